import { areaY, axisX, axisY, dot, gridX, gridY, line, ruleY, text, type Markish } from '@observablehq/plot';
import { dashOf, hitDots, INK, spread, symbolOf, textRoomPx } from './chart-marks.ts';
import type { ChartDrawing, SeriesLook } from './chart-types.ts';

/** One step of a curve: from `at` on the share is `share`. Limits null where they are not defined. */
export interface SurvivalStep {
  readonly at: number;
  readonly share: number;
  readonly lower: number | null;
  readonly upper: number | null;
}

export interface SurvivalCurve {
  readonly key: string;
  readonly label: string;
  readonly look: SeriesLook;
  /** Ascending; the step at 0 with share 1 need not be given. */
  readonly steps: readonly SurvivalStep[];
  /** Times at which something was followed no longer. */
  readonly censoredAt: readonly number[];
  /** Where the curve comes down to a half; null where it does not. */
  readonly median: number | null;
  /** The end of the longest follow-up. */
  readonly followedTo: number;
  readonly figure: string;
}

export interface SurvivalOptions {
  readonly xLabel: string;
  readonly yLabel: string;
  readonly tickText: (value: number) => string;
  /** Times that the axis names. */
  readonly ticks: readonly number[];
  /** Most of the time axis: what lies beyond stands in the table. */
  readonly mostShown: number;
}

const HEIGHT_PX = 330;
/** Between two labels, as a share of the height. */
const LABEL_GAP = 0.065;

/** Returns the steps of a curve as its line has them: from 1 at time 0 to the end of follow-up or of the axis. */
export function stepsShown(curve: SurvivalCurve, mostShown: number): SurvivalStep[] {
  const end = Math.min(curve.followedTo, mostShown);
  const start: SurvivalStep = { at: 0, share: 1, lower: 1, upper: 1 };
  const steps = [...(curve.steps[0]?.at === 0 ? [] : [start]), ...curve.steps.filter((step) => step.at <= end)];
  const last = steps.at(-1) ?? start;
  return last.at < end ? [...steps, { ...last, at: end }] : steps;
}

/** Returns curves that come down in steps, with their bands, marks where follow-up ended, and a press at the median or the end of each. */
export function survivalChart(curves: readonly SurvivalCurve[], options: SurvivalOptions, widthPx: number): ChartDrawing {
  const rightRoom = Math.min(220, Math.max(30, ...curves.map((curve) => textRoomPx(curve.label) + 30)));
  const shown = curves.map((curve) => ({ curve, steps: stepsShown(curve, options.mostShown) }));
  const anchors = shown.map(({ curve, steps }) => {
    if (curve.median !== null && curve.median <= options.mostShown) return { x: curve.median, y: 0.5 };
    const last = steps.at(-1);
    return { x: last?.at ?? 0, y: last?.share ?? 1 };
  });
  const labels = spread(shown.map(({ curve, steps }) => ({ curve, y: steps.at(-1)?.share ?? 1 })), LABEL_GAP, 1);
  const marks: Markish[] = [
    gridX({ stroke: INK.line, strokeOpacity: 1, ticks: [...options.ticks] }),
    gridY({ stroke: INK.line, strokeOpacity: 1 }),
    ruleY([0.5], { stroke: INK.lineStrong, strokeDasharray: '2 3' }),
    ...shown.map(({ curve, steps }) => {
      const band = steps.filter((step): step is SurvivalStep & { lower: number; upper: number } => step.lower !== null && step.upper !== null);
      return areaY(band, { x: 'at', y1: 'lower', y2: 'upper', curve: 'step-after', fill: curve.look.color, fillOpacity: 0.11 });
    }),
    ...shown.map(({ curve, steps }) => line(steps, { x: 'at', y: 'share', curve: 'step-after', stroke: curve.look.color, strokeWidth: 2, strokeDasharray: dashOf(curve.look) })),
    ...shown.map(({ curve, steps }) => {
      const at = curve.censoredAt.filter((time) => time <= options.mostShown);
      return dot(at, { x: (time: number) => time, y: (time: number) => shareAt(steps, time), symbol: 'plus', r: 4, stroke: curve.look.color, strokeWidth: 1.3 });
    }),
    ...shown.map(({ curve }, i) => dot([anchors[i]], { x: 'x', y: 'y', r: 5, symbol: symbolOf(curve.look.shape), fill: curve.look.color, stroke: INK.panel, strokeWidth: 1 })),
    // The shape stands beside the name, since a line is told from another by more than its colour.
    ...labels.flatMap(({ curve, y }) => [
      dot([y], { x: () => options.mostShown, y: (at: number) => at, dx: 14, r: 4.5, symbol: symbolOf(curve.look.shape), fill: curve.look.color }),
      text([y], { x: () => options.mostShown, y: (at: number) => at, dx: 24, textAnchor: 'start', text: () => curve.label, fill: INK.text }),
    ]),
    axisX({ tickFormat: (value: number) => options.tickText(value), label: options.xLabel, labelAnchor: 'center', labelArrow: 'none', labelOffset: 36, ticks: [...options.ticks], tickSize: 4 }),
    axisY({ tickFormat: (value: number) => `${Math.round(value * 100)} %`, label: options.yLabel, labelAnchor: 'top', labelArrow: 'none', ticks: 5, tickSize: 0, tickPadding: 6 }),
    hitDots(anchors),
  ];
  return {
    options: {
      width: widthPx, height: HEIGHT_PX, marginLeft: 52, marginRight: rightRoom, marginTop: 30, marginBottom: 42,
      x: { type: 'linear', domain: [0, options.mostShown] }, y: { type: 'linear', domain: [0, 1] }, marks,
    },
    points: curves.map((curve) => ({ key: curve.key, label: `${curve.label}: ${curve.figure}` })),
  };
}

function shareAt(steps: readonly SurvivalStep[], time: number): number {
  let share = 1;
  for (const step of steps) {
    if (step.at > time) break;
    share = step.share;
  }
  return share;
}
