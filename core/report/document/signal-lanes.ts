import type { CaseRecord } from '../../model/case.ts';
import type { Channel } from '../../model/channel.ts';
import { channelLaneName } from '../../model/lane-choice.ts';
import { QUANTITY_FACTS, type Quantity } from '../../model/quantity.ts';
import type { Ink, MarkForm } from '../../model/report-document.ts';
import { siteKey } from '../../model/site.ts';
import { placeWords, SITE_INKS } from './case-words.ts';
import { LANE_GAP, laneFrame, marginHeight, plainSteps, traces, type AxisStep, type LaneSection, type LineKey } from './lane-drawing.ts';
import { plotScale, roundSteps, stroke } from './plot-frame.ts';

/** Shares of height, as the timeline of the window gives them out: px of a lane that nobody resized. */
export const LANE_WEIGHTS = { spo2: 128, perfusion: 62, rate: 66, pressure: 84, temperature: 42, gas: 48, respiration: 48, other: 48 } as const;

/** One line of a lane. */
interface LaneLine extends LineKey {
  readonly channel: Channel;
}

const MARKS: readonly (MarkForm | null)[] = [null, 'circle', 'square', 'triangle', 'diamond', 'triangle down'];

/** Lines of one lane are told apart by marks; the first has none. */
function told(lines: readonly Omit<LaneLine, 'mark'>[]): LaneLine[] {
  return lines.map((line, i) => ({ ...line, mark: MARKS[i % MARKS.length] ?? null }));
}

/** Returns the values of a channel without what cannot be true of its quantity, which is not drawn. */
function plausibleValues({ quantity, value }: Channel, isLog = false): Float64Array {
  const { plausible } = QUANTITY_FACTS[quantity];
  return Float64Array.from(value, (one) => ((plausible !== null && (one < plausible[0] || one > plausible[1])) || (isLog && one <= 0) ? NaN : isLog ? Math.log10(one) : one));
}

function extentOf(lines: readonly Pick<LaneLine, 'channel'>[]): readonly [number, number] | null {
  let [low, high] = [Infinity, -Infinity];
  for (const { channel } of lines) {
    for (const one of plausibleValues(channel)) {
      if (one < low) low = one;
      if (one > high) high = one;
    }
  }
  return low <= high ? [low, high] : null;
}

interface PlainLane {
  readonly laneName: string;
  readonly name: string;
  readonly unit: string;
  readonly weight: number;
  readonly lines: readonly LaneLine[];
  readonly from: number;
  readonly to: number;
}

/** Returns a lane of lines on a straight scale. */
function plainLane({ laneName, name, unit, weight, lines, from, to }: PlainLane): LaneSection {
  const title = unit === '' ? name : `${name}, ${unit}`;
  return {
    laneName, title, weight,
    leastHeight: Math.max(24, marginHeight(1 + lines.length)), gap: LANE_GAP,
    draw: (drawing, height) => {
      const scale = plotScale(from, to, drawing.y + height, drawing.y + 2);
      laneFrame(drawing, title, height, scale, plainSteps(roundSteps(from, to, 3)), lines);
      for (const { channel, ink, mark } of lines) traces(drawing, channel, plausibleValues(channel), scale, { ink, mark });
      drawing.y += height + LANE_GAP;
    },
  };
}

const snapDown = (value: number, step: number): number => Math.floor(value / step) * step;
const snapUp = (value: number, step: number): number => Math.ceil(value / step) * step;

function sensorOf({ site, sensor }: Channel): string {
  return site === null ? 'sensor not stated' : placeWords(siteKey({ site, sensor }));
}

function sensorInk({ site }: Channel): Ink {
  return site === null ? 'other' : SITE_INKS[site];
}

/** Values written on the axis of the perfusion index. 0.3 and 1: weak and desirable (handbook 2; common practice, no source). */
const INDEX_STEPS = [0.1, 0.3, 1, 3, 10] as const;

/**
 * Returns the perfusion index, one lane for each sensor, on a scale of logarithms: it is skewed, and what matters are ratios (handbook 2).
 * Lines that cross would be told apart by colour alone, and dashes would look like gaps.
 */
export function indexSections(record: CaseRecord): LaneSection[] {
  return withValues(record, 'perfusion-index').map((channel): LaneSection => {
    const [low, high] = extentOf([{ channel }]) ?? [0.1, 10];
    const [from, to] = [Math.log10(low < 0.1 ? 0.02 : 0.09), Math.log10(high > 11 ? 42 : 11)];
    return {
      laneName: 'perfusion', title: `Perfusion index of the ${sensorOf(channel)}`, weight: LANE_WEIGHTS.perfusion, leastHeight: 26, gap: LANE_GAP,
      draw: (drawing, height) => {
        const scale = plotScale(from, to, drawing.y + height, drawing.y + 2);
        const steps = INDEX_STEPS.map((one): AxisStep => ({ at: Math.log10(one), text: String(one) }));
        // Where there is little room the two that are spoken of stay.
        laneFrame(drawing, `Perfusion index\n${sensorOf(channel)}`, height, scale, height < 40 ? steps.slice(1, 3).concat(steps.slice(4)) : steps);
        for (const one of [0.3, 1]) drawing.shapes.push(stroke([drawing.left, scale.at(Math.log10(one))], [drawing.x.at(drawing.endMs), scale.at(Math.log10(one))], 'rule', 0.5, [1, 2]));
        traces(drawing, channel, plausibleValues(channel, true), scale, { ink: sensorInk(channel) });
        drawing.y += height + LANE_GAP;
      },
    };
  });
}

function withValues(record: CaseRecord, ...quantities: readonly Quantity[]): Channel[] {
  return quantities.flatMap((quantity) => record.channels.filter((channel) => channel.quantity === quantity && channel.value.some(Number.isFinite)));
}

function rateSection(record: CaseRecord): LaneSection[] {
  const lines = told([
    ...withValues(record, 'heart-rate').map((channel) => ({ channel, words: 'heart (ECG)', ink: 'ink' as const })),
    ...withValues(record, 'pulse-rate').map((channel) => ({ channel, words: `pulse, ${sensorOf(channel)}`, ink: sensorInk(channel) })),
  ]);
  const extent = extentOf(lines);
  return extent === null ? [] : [plainLane({ laneName: 'rate', name: 'Rate', unit: '/min', weight: LANE_WEIGHTS.rate, lines, from: snapDown(Math.min(40, extent[0]), 20), to: snapUp(Math.max(120, extent[1]), 20) })];
}

function temperatureSection(record: CaseRecord): LaneSection[] {
  const core = withValues(record, 'temp-core').map((channel) => ({ channel, words: 'core', ink: 'ink' as const }));
  const other = withValues(record, 'temp');
  const lines = told([...core, ...other.map((channel, i) => ({ channel, words: other.length > 1 ? `body ${i + 1}` : 'body', ink: 'soft' as const }))]);
  const extent = extentOf(lines);
  return extent === null ? [] : [plainLane({ laneName: 'temperature', name: 'Temperature', unit: '°C', weight: LANE_WEIGHTS.temperature, lines, from: Math.floor(Math.min(35, extent[0])), to: Math.ceil(Math.max(38, extent[1])) })];
}

function gasSection(record: CaseRecord): LaneSection[] {
  const lines = told([
    ...withValues(record, 'etco2').map((channel) => ({ channel, words: 'EtCO2, mmHg', ink: 'ink' as const })),
    ...withValues(record, 'fio2').map((channel) => ({ channel, words: 'inspired O2, %', ink: 'soft' as const })),
  ]);
  const extent = extentOf(lines);
  return extent === null ? [] : [plainLane({ laneName: 'gas', name: 'Gas', unit: '', weight: LANE_WEIGHTS.gas, lines, from: 0, to: snapUp(Math.max(60, extent[1]), 20) })];
}

function respirationSection(record: CaseRecord): LaneSection[] {
  const channels = withValues(record, 'resp-rate');
  const lines = told(channels.map((channel, i) => ({ channel, words: channels.length > 1 ? `source ${i + 1}` : 'respiratory rate', ink: 'ink' as const })));
  const extent = extentOf(lines);
  return extent === null ? [] : [plainLane({ laneName: 'respiration', name: 'Breathing', unit: '/min', weight: LANE_WEIGHTS.respiration, lines, from: 0, to: snapUp(Math.max(20, extent[1]), 10) })];
}

/** Channels of no lane of their own, each as recorded. `other` bears only the name that a file gives it. */
function furtherSections(record: CaseRecord): LaneSection[] {
  return record.channels.filter(({ quantity, value }) => QUANTITY_FACTS[quantity].lane === 'none' && quantity !== 'resp-rate' && quantity !== 'other' && value.some(Number.isFinite)).map((channel) => {
    const lines = told([{ channel, words: channel.site === null ? 'as recorded' : sensorOf(channel), ink: channel.site === null ? 'ink' : sensorInk(channel) }]);
    const [low, high] = extentOf(lines) ?? [0, 1];
    const margin = high > low ? (high - low) * 0.06 : Math.max(1, Math.abs(high) * 0.06);
    return plainLane({ laneName: channelLaneName(channel), name: QUANTITY_FACTS[channel.quantity].name, unit: '', weight: LANE_WEIGHTS.other, lines, from: low - margin, to: high + margin });
  });
}

/**
 * Returns the lane of pressures: an arterial line with its mean (thick) between systolic and diastolic, a cuff as an upright bar from
 * diastolic to systolic with a cross at the mean. `meansOnly` leaves systolic and diastolic out.
 */
export function pressureSection(record: CaseRecord, meansOnly: boolean): LaneSection[] {
  const pick = (quantity: Quantity): Channel | null => withValues(record, quantity)[0] ?? null;
  const art = { mean: pick('art-mean'), edges: meansOnly ? [] : [pick('art-sys'), pick('art-dia')].filter((one) => one !== null) };
  const cuff = { mean: pick('nibp-mean'), sys: meansOnly ? null : pick('nibp-sys'), dia: meansOnly ? null : pick('nibp-dia') };
  const all = [art.mean, ...art.edges, cuff.mean, cuff.sys, cuff.dia].filter((one) => one !== null);
  if (all.length === 0) return [];
  const extent = extentOf(all.map((channel) => ({ channel }))) ?? [40, 120];
  const [from, to] = meansOnly ? [Math.min(30, snapDown(extent[0], 10)), Math.max(130, snapUp(extent[1], 10))] : [snapDown(Math.min(40, extent[0]), 20), snapUp(Math.max(140, extent[1]), 20)];
  const keys: string[] = meansOnly ? ['mmHg'] : [
    ...(art.mean === null && art.edges.length === 0 ? [] : [art.edges.length === 0 ? 'arterial mean' : art.mean === null ? 'arterial' : 'arterial: mean thick']),
    ...(cuff.mean === null && cuff.sys === null && cuff.dia === null ? [] : ['cuff: bars, × mean']),
  ];
  return [{
    laneName: 'pressure', title: meansOnly ? 'Mean pressure, mmHg' : 'Pressure, mmHg', weight: LANE_WEIGHTS.pressure, leastHeight: Math.max(26, marginHeight(1 + keys.length)), gap: LANE_GAP,
    draw: (drawing, height) => {
      const scale = plotScale(from, to, drawing.y + height, drawing.y + 2);
      laneFrame(drawing, [meansOnly ? 'Mean pressure' : 'Pressure, mmHg', ...keys].join('\n'), height, scale, plainSteps(meansOnly ? [50, 100] : roundSteps(from, to, 3)));
      for (const channel of art.edges) traces(drawing, channel, plausibleValues(channel), scale, { ink: 'soft', width: 0.4 });
      if (art.mean !== null) traces(drawing, art.mean, plausibleValues(art.mean), scale, { ink: 'soft', width: meansOnly ? 0.8 : 1.1 });
      for (const { atMs, sys, dia, mean } of cuffReadings(cuff)) {
        if (atMs < drawing.startMs || atMs > drawing.endMs) continue;
        const x = drawing.x.at(atMs);
        if (sys !== null && dia !== null) drawing.shapes.push(stroke([x, scale.at(dia)], [x, scale.at(sys)], 'soft', 1));
        else for (const one of [sys, dia]) if (one !== null) drawing.shapes.push(stroke([x - 2, scale.at(one)], [x + 2, scale.at(one)], 'soft', 1));
        if (mean !== null) drawing.shapes.push({ kind: 'mark', form: 'cross', x, y: scale.at(mean), size: 2.6, ink: 'soft' });
      }
      drawing.y += height + LANE_GAP;
    },
  }];
}

interface CuffReading {
  readonly atMs: number;
  readonly sys: number | null;
  readonly dia: number | null;
  readonly mean: number | null;
}

/** Returns readings of a cuff in time order; values recorded at one instant make one. */
function cuffReadings(cuff: Readonly<Record<'sys' | 'dia' | 'mean', Channel | null>>): CuffReading[] {
  const readings = new Map<number, { sys: number | null; dia: number | null; mean: number | null }>();
  for (const part of ['sys', 'dia', 'mean'] as const) {
    const channel = cuff[part];
    if (channel === null) continue;
    const value = plausibleValues(channel);
    for (let i = 0; i < value.length; i++) {
      const [atMs, one] = [channel.tMs[i] ?? NaN, value[i] ?? NaN];
      if (!Number.isFinite(one)) continue;
      const reading = readings.get(atMs) ?? { sys: null, dia: null, mean: null };
      reading[part] = one;
      readings.set(atMs, reading);
    }
  }
  return [...readings].map(([atMs, reading]) => ({ atMs, ...reading })).sort((a, b) => a.atMs - b.atMs);
}

/** Returns every lane of signals beside SpO2 in the order of the window's timeline, those of no lane of their own last. */
export function signalSections(record: CaseRecord): { readonly own: readonly LaneSection[]; readonly further: readonly LaneSection[] } {
  return {
    own: [...indexSections(record), ...rateSection(record), ...pressureSection(record, false), ...temperatureSection(record), ...gasSection(record), ...respirationSection(record)],
    further: furtherSections(record),
  };
}
