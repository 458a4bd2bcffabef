import { alignedChart } from '../../renderer/charts/aligned-chart.ts';
import type { DrawChart, SeriesLook } from '../../renderer/charts/chart-types.ts';
import { curveChart } from '../../renderer/charts/curve-chart.ts';
import { flowChart } from '../../renderer/charts/flow-chart.ts';
import { funnelChart } from '../../renderer/charts/funnel-chart.ts';
import { intervalChart } from '../../renderer/charts/interval-chart.ts';
import { pairedChart } from '../../renderer/charts/paired-chart.ts';
import { qualityChart } from '../../renderer/charts/quality-chart.ts';
import { survivalChart } from '../../renderer/charts/survival-chart.ts';

const FINGER: SeriesLook = { color: 'var(--site-finger)', dashPx: [], shape: 'circle' };
const EAR: SeriesLook = { color: 'var(--site-ear-lobe)', dashPx: [3, 2], shape: 'triangle' };
const FOREHEAD: SeriesLook = { color: 'var(--site-forehead)', dashPx: [6, 3], shape: 'triangle-down' };

const pct = (value: number): string => `${(value * 100).toFixed(1)} %`;
const plain = (value: number): string => String(Math.round(value * 100) / 100);
const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

/** One picture of every kind, from invented numbers. */
export const SAMPLE_CHARTS: Readonly<Record<string, DrawChart>> = {
  'interval': (width) =>
    intervalChart(
      [
        { key: 'finger', label: 'finger', estimate: 0.031, lower: 0.022, upper: 0.044, figure: '3.1 % (2.2 to 4.4 %), 214 cases', look: FINGER },
        { key: 'ear lobe', label: 'ear lobe', estimate: 0.018, lower: 0.009, upper: 0.036, figure: '1.8 % (0.9 to 3.6 %), 61 cases', look: EAR },
        { key: 'forehead', label: 'forehead', estimate: 0.026, lower: 0.002, upper: 0.41, figure: '2.6 % (0.2 to 41 %), 4 cases', look: FOREHEAD },
        { key: 'toe', label: 'toe', estimate: null, lower: null, upper: null, figure: 'not defined: one case' },
      ],
      { xLabel: 'Share of monitored time lost', tickText: pct, scale: 'from zero', reference: { value: 0.029, label: 'all' } },
      width,
    ),
  'ratio': (width) =>
    intervalChart(
      [
        { key: 'a', label: 'phenylephrine', estimate: 2.1, lower: 1.4, upper: 3.2, figure: '2.1 (1.4 to 3.2)' },
        { key: 'b', label: 'ephedrine', estimate: 1.2, lower: 0.4, upper: Infinity, figure: '1.2 (0.4 to no limit)' },
      ],
      { xLabel: 'Rate ratio', tickText: plain, scale: 'ratio' },
      width,
    ),
  'quality': (width) =>
    qualityChart(
      Array.from({ length: 24 }, (_, i) => ({
        key: `m${i}`, label: `${MONTHS[i % 12] ?? ''} ${2030 + Math.floor(i / 12)}`, value: i === 9 ? null : 0.03 + 0.012 * Math.sin(i * 1.7) - (i > 16 ? 0.012 : 0) + (i === 12 ? 0.03 : 0), centre: i > 16 ? 0.018 : 0.031, lower: i > 16 ? 0.002 : 0.008,
        upper: i > 16 ? 0.036 : 0.056, signal: i === 12 ? 'above the upper limit' : null, kind: i === 23 ? 'open' as const : i === 3 ? 'excluded' as const : 'counted' as const, isBaseline: i < 12, figure: '3 %',
      })),
      { yLabel: 'Share of time lost', tickText: pct, centreName: 'median', changes: [{ beforeIndex: 17, label: 'second site with tucked arms' }] },
      width,
    ),
  'survival': (width) =>
    survivalChart(
      [
        { key: 'finger', label: 'finger', look: FINGER, steps: [[20, 0.8], [40, 0.55], [60, 0.42], [120, 0.2]].map(([at = 0, share = 0]) => ({ at, share, lower: share - 0.1, upper: share + 0.08 })), censoredAt: [50, 200], median: 60, followedTo: 240, figure: 'median 60 s' },
        { key: 'ear', label: 'ear lobe', look: EAR, steps: [[30, 0.9], [90, 0.6]].map(([at = 0, share = 0]) => ({ at, share, lower: share - 0.2, upper: Math.min(1, share + 0.1) })), censoredAt: [150], median: null, followedTo: 180, figure: 'median not reached' },
      ],
      { xLabel: 'Time since the onset', yLabel: 'Not yet restored', tickText: (value) => `${value} s`, ticks: [0, 60, 120, 180, 240], mostShown: 240 },
      width,
    ),
  'paired': (width) =>
    pairedChart(
      Array.from({ length: 14 }, (_, i) => ({ key: `p${i}`, label: `case ${i}`, first: 0.01 + (i % 5) * 0.01, second: 0.005 + (i % 3) * 0.008, figure: 'x' })),
      { firstName: 'finger', secondName: 'ear lobe', firstLook: FINGER, secondLook: EAR, yLabel: 'Share lost', tickText: pct },
      width,
    ),
  'aligned': (width) =>
    alignedChart(
      Array.from({ length: 73 }, (_, i) => {
        const lagS = -120 + i * 10;
        const mean = lagS < 0 ? 0 : -40 * (1 - Math.exp(-lagS / 90)) * Math.exp(-lagS / 600);
        return { key: `lag${lagS}`, lagS, mean, lower: mean - 8, upper: mean + 8, n: 40 - Math.floor(i / 6), figure: `${mean.toFixed(1)} %` };
      }),
      { yLabel: 'Perfusion index, change from before, %', xLabel: 'Minutes from the bolus', eventName: 'bolus', tickText: plain, lagText: (lagS) => `${lagS / 60} min` },
      width,
    ),
  'funnel': (width) =>
    funnelChart(
      [['OR 1', 40, 1.2, 'none'], ['OR 2', 120, 1.9, 'inner'], ['OR 3', 300, 2.6, 'outer'], ['fewer than 10 cases', 9, 0, 'none']].map(([label, size, value, beyond]) => ({ key: String(label), label: String(label), size: Number(size), value: Number(value), beyond: beyond as 'none', figure: `${String(value)}/h` })),
      Array.from({ length: 40 }, (_, i) => {
        const size = 5 + i * 8;
        const se = Math.sqrt(1.4 / size);
        return { size, innerLow: Math.max(0, 1.4 - 1.96 * se), innerHigh: 1.4 + 1.96 * se, outerLow: Math.max(0, 1.4 - 3.09 * se), outerHigh: 1.4 + 3.09 * se };
      }),
      { xLabel: 'Monitored hours', yLabel: 'Dropouts per monitored hour', xTickText: plain, yTickText: plain, centre: 1.4, centreName: 'all rooms', innerName: '95 %', outerName: '99.8 %', yMost: Infinity },
      width,
    ),
  'flow': (width) =>
    flowChart(
      [
        { key: 'imported', label: 'Imported', cases: 312, leftOut: [{ key: 'damaged', reason: 'cannot be opened', cases: 1 }] },
        { key: 'chosen', label: 'Chosen', cases: 240, leftOut: [{ key: 'spo2', reason: 'no SpO2', cases: 4 }, { key: 'site', reason: 'no monitored site', cases: 2 }] },
        { key: 'analysed', label: 'Analysed', cases: 234, leftOut: [] },
      ],
      (cases) => `${cases} cases`,
      width,
    ),
  'curve': (width) =>
    curveChart(
      [
        { key: 'finger', label: 'finger', look: FINGER, points: [5, 10, 20, 30, 60, 120, 300].map((at) => ({ key: `f${at}`, at, value: 3 / Math.sqrt(at), lower: 2.5 / Math.sqrt(at), upper: 3.6 / Math.sqrt(at), figure: 'x' })) },
        { key: 'ear', label: 'ear lobe', look: EAR, points: [5, 10, 20, 30, 60, 120, 300].map((at) => ({ key: `e${at}`, at, value: at > 200 ? null : 1.5 / Math.sqrt(at), lower: null, upper: null, figure: 'x' })) },
      ],
      { xLabel: 'Shortest loss that counts', yLabel: 'Dropouts per hour', xTickText: (value) => `${value} s`, yTickText: plain, inForce: 30 },
      width,
    ),
};
