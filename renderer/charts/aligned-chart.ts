import { areaY, axisX, axisY, dot, gridY, line, ruleX, ruleY, text, type Markish } from '@observablehq/plot';
import { hitDots, INK, ONLY_SERIES } from './chart-marks.ts';
import type { ChartDrawing } from './chart-types.ts';

/** The mean at one lag from the event. null: not defined there. */
export interface AlignedLag {
  readonly key: string;
  /** Seconds from the event; negative is before. */
  readonly lagS: number;
  readonly mean: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** Cases that have a value here. */
  readonly n: number;
  readonly figure: string;
}

export interface AlignedOptions {
  readonly yLabel: string;
  readonly xLabel: string;
  readonly eventName: string;
  readonly tickText: (value: number) => string;
  readonly lagText: (lagS: number) => string;
}

/** Returns the mean course around an event, its band, and under the axis the number of cases at each tick. */
export function alignedChart(lags: readonly AlignedLag[], options: AlignedOptions, widthPx: number): ChartDrawing {
  const values = lags.flatMap((lag) => [lag.mean, lag.lower, lag.upper]).filter((value): value is number => value !== null);
  const low = Math.min(0, ...values);
  const high = Math.max(0, ...values);
  const room = (high - low || 1) * 0.08;
  const ticked = tickedLags(lags, Math.max(3, Math.floor((widthPx - 90) / 64)));
  const band = lags.filter((lag) => lag.lower !== null && lag.upper !== null);
  const withMean = ticked.filter((lag): lag is AlignedLag & { mean: number } => lag.mean !== null);
  const marks: Markish[] = [
    gridY({ stroke: INK.line, strokeOpacity: 1 }),
    ruleY([0], { stroke: INK.lineStrong }),
    ruleX([0], { stroke: INK.text, strokeDasharray: '3 2' }),
    text([0], { x: () => 0, frameAnchor: 'top', dy: -15, text: () => options.eventName, fill: INK.text }),
    areaY(band, { x: 'lagS', y1: 'lower', y2: 'upper', fill: INK.accent, fillOpacity: 0.14 }),
    line(lags, { x: 'lagS', y: (lag: AlignedLag) => lag.mean ?? NaN, stroke: INK.accent, strokeWidth: 2 }),
    dot(withMean, { x: 'lagS', y: 'mean', r: 3.5, fill: ONLY_SERIES.color, stroke: INK.panel, strokeWidth: 1 }),
    axisX({ ticks: ticked.map((lag) => lag.lagS), tickFormat: (value: number) => options.lagText(value), label: null, tickSize: 4 }),
    text(ticked, { x: 'lagS', frameAnchor: 'bottom', dy: 32, text: (lag: AlignedLag) => String(lag.n), fill: INK.soft }),
    text(['n'], { frameAnchor: 'bottom-left', textAnchor: 'end', dx: -22, dy: 32, text: () => 'cases', fill: INK.soft }),
    text([options.xLabel], { frameAnchor: 'bottom', dy: 56, text: (words: string) => words, fill: INK.soft }),
    axisY({ tickFormat: (value: number) => options.tickText(value), label: options.yLabel, labelAnchor: 'top', labelArrow: 'none', ticks: 6, tickSize: 0, tickPadding: 6 }),
    hitDots(withMean.map((lag) => ({ x: lag.lagS, y: lag.mean }))),
  ];
  const first = lags[0]?.lagS ?? 0;
  const last = lags.at(-1)?.lagS ?? 1;
  return {
    options: {
      width: widthPx, height: 340, marginLeft: 66, marginRight: 26, marginTop: 34, marginBottom: 66,
      x: { type: 'linear', domain: [first, last === first ? first + 1 : last] }, y: { type: 'linear', domain: [low - room, high + room] }, marks,
    },
    points: withMean.map((lag) => ({ key: lag.key, label: `${options.lagText(lag.lagS)}: ${lag.figure}` })),
  };
}

/** Returns at most `most` lags at whole multiples of a round step, 0 always among them where it is a lag. */
export function tickedLags(lags: readonly AlignedLag[], most: number): AlignedLag[] {
  const first = lags[0]?.lagS ?? 0;
  const last = lags.at(-1)?.lagS ?? 0;
  const step = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1800, 3600].find((s) => (last - first) / s + 1 <= most) ?? 3600;
  return lags.filter((lag) => lag.lagS % step === 0);
}
