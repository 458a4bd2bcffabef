import { areaY, axisX, axisY, dot, gridY, line, rect, ruleX, text, type Markish } from '@observablehq/plot';
import { hitDots, INK, spread, textRoomPx } from './chart-marks.ts';
import type { ChartDrawing } from './chart-types.ts';

/** One point of a chart in order of time. Limits are those that hold at this point; null where the chart has none. */
export interface QualityPoint {
  readonly key: string;
  /** As the axis names it: "Mar 2031". */
  readonly label: string;
  /** null: nothing to draw here, such as a month without cases. */
  readonly value: number | null;
  readonly centre: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** What the point signals, in a word or two; null for none. */
  readonly signal: string | null;
  /** 'excluded': drawn, not counted in the limits. 'open': not over yet. */
  readonly kind: 'counted' | 'excluded' | 'open';
  /** Belongs to the stretch that the limits were worked out from. */
  readonly isBaseline: boolean;
  /** What is read out and shown for it. */
  readonly figure: string;
}

/** A change that was made: drawn before the point of this index. */
export interface ChangeMark {
  readonly beforeIndex: number;
  readonly label: string;
}

export interface QualityOptions {
  readonly yLabel: string;
  readonly tickText: (value: number) => string;
  /** How centre and limits are written at the right; without it, as on the axis. */
  readonly valueText?: ((value: number) => string) | undefined;
  readonly centreName: string;
  readonly changes: readonly ChangeMark[];
}

const HEIGHT_PX = 320;

/** Returns points in order of time, joined within a stretch of the same limits, with centre, limits, baseline, signals and changes. */
export function qualityChart(points: readonly QualityPoint[], options: QualityOptions, widthPx: number): ChartDrawing {
  const indexed = points.map((point, i) => ({ ...point, i }));
  const drawn = indexed.filter((point): point is (typeof indexed)[number] & { value: number } => point.value !== null);
  const top = Math.max(0, ...drawn.map((point) => point.value), ...points.flatMap((point) => [point.upper ?? 0, point.centre ?? 0]));
  const bottom = Math.min(0, ...drawn.map((point) => point.value), ...points.flatMap((point) => [point.lower ?? 0]));
  const last = points.at(-1);
  const rightTexts = last === undefined ? [] : spread(endLabels(last, options), (top - bottom) * 0.07, top);
  const rightRoom = Math.min(170, Math.max(24, ...rightTexts.map(({ words }) => textRoomPx(words) + 10)));
  const leftRoom = Math.max(44, textRoomPx(options.tickText(top)) + 18);
  const every = Math.max(1, Math.ceil(points.length / Math.max(2, Math.floor((widthPx - leftRoom - rightRoom) / 72))));
  const phases = phasesOf(indexed, options.changes);
  const baseline = indexed.filter((point) => point.isBaseline);
  const edges = (phase: typeof indexed): { x: number; centre: number | null; lower: number | null; upper: number | null }[] =>
    phase.flatMap((point) => [point.i - 0.5, point.i + 0.5].map((x) => ({ x, centre: point.centre, lower: point.lower, upper: point.upper })));
  const marks: Markish[] = [
    gridY({ stroke: INK.line, strokeOpacity: 1 }),
    ...(baseline.length === 0
      ? []
      : [
          rect([baseline], { x1: (b: typeof baseline) => (b[0]?.i ?? 0) - 0.5, x2: (b: typeof baseline) => (b.at(-1)?.i ?? 0) + 0.5, y1: bottom, y2: top * 1.12, fill: INK.sunk, fillOpacity: 0.55 }),
          text([baseline[0]], { x: (point: (typeof baseline)[number]) => point.i - 0.5, frameAnchor: 'bottom-left', textAnchor: 'start', dx: 5, dy: -6, text: () => 'baseline', fill: INK.soft, fontStyle: 'italic' }),
        ]),
    ...phases.flatMap((phase) => {
      const along = edges(phase);
      const limits = along.filter((edge): edge is typeof edge & { upper: number } => edge.upper !== null);
      return [
        ...(limits.length === 0
          ? []
          : [
              areaY(limits, { x: 'x', y1: (edge: (typeof limits)[number]) => edge.lower ?? bottom, y2: 'upper', fill: INK.accent, fillOpacity: 0.07 }),
              line(limits, { x: 'x', y: 'upper', stroke: INK.soft, strokeDasharray: '5 3', strokeWidth: 1.2 }),
              line(limits.filter((edge) => edge.lower !== null), { x: 'x', y: 'lower', stroke: INK.soft, strokeDasharray: '5 3', strokeWidth: 1.2 }),
            ]),
        line(along.filter((edge) => edge.centre !== null), { x: 'x', y: 'centre', stroke: INK.soft, strokeWidth: 1.4 }),
        // A point without a value breaks the line.
        line(phase, { x: 'i', y: (point: QualityPoint) => point.value ?? NaN, stroke: INK.accent, strokeWidth: 1.6 }),
      ];
    }),
    ...options.changes.flatMap((change, i) => [
      ruleX([change.beforeIndex - 0.5], { stroke: INK.text, strokeWidth: 1.4, strokeDasharray: '2 2' }),
      // The sign stands on the line of the change, the words on the side that has the room.
      ...(change.beforeIndex < points.length / 2
        ? [text([change], { x: () => change.beforeIndex - 0.5, frameAnchor: 'top', dx: -5, dy: -14 - (i % 2) * 15, text: () => `▼ ${change.label}`, fill: INK.text, textAnchor: 'start' })]
        : [text([change], { x: () => change.beforeIndex - 0.5, frameAnchor: 'top', dx: 5, dy: -14 - (i % 2) * 15, text: () => `${change.label} ▼`, fill: INK.text, textAnchor: 'end' })]),
    ]),
    dot(drawn.filter((point) => point.kind === 'counted' && point.signal === null), { x: 'i', y: 'value', r: 4, fill: INK.accent, stroke: INK.panel, strokeWidth: 1 }),
    dot(drawn.filter((point) => point.kind === 'excluded'), { x: 'i', y: 'value', r: 4, symbol: 'times', stroke: INK.soft, strokeWidth: 1.8 }),
    dot(drawn.filter((point) => point.kind === 'open'), { x: 'i', y: 'value', r: 4.5, fill: INK.panel, stroke: INK.accent, strokeWidth: 1.8 }),
    dot(drawn.filter((point) => point.kind === 'counted' && point.signal !== null), { x: 'i', y: 'value', r: 6.5, symbol: 'diamond', fill: INK.signal, stroke: INK.panel, strokeWidth: 1.2 }),
    text(signalLabels(drawn), { x: 'x', y: 'y', dy: -15, text: 'words', fill: INK.text, stroke: INK.panel, strokeWidth: 3 }),
    ...rightTexts.map(({ y, words }) => text([y], { x: () => points.length - 0.5, y: (at: number) => at, dx: 6, textAnchor: 'start', text: () => words, fill: INK.soft })),
    axisX({ ticks: indexed.filter((point) => point.i % every === 0).map((point) => point.i), tickFormat: (i: number) => points[i]?.label ?? '', label: null, tickSize: 4 }),
    axisY({ tickFormat: (value: number) => options.tickText(value), label: options.yLabel, labelAnchor: 'top', labelArrow: 'none', ticks: 6, tickSize: 0, tickPadding: 6 }),
    hitDots(drawn.map((point) => ({ x: point.i, y: point.value }))),
  ];
  return {
    options: {
      width: widthPx,
      height: HEIGHT_PX,
      marginLeft: leftRoom,
      marginRight: rightRoom,
      marginTop: options.changes.length > 1 ? 56 : options.changes.length === 1 ? 44 : 30,
      marginBottom: 30,
      x: { type: 'linear', domain: [-0.5, Math.max(0.5, points.length - 0.5)] },
      y: { type: 'linear', domain: [bottom, top === bottom ? bottom + 1 : top * 1.12] },
      marks,
    },
    points: drawn.map((point) => ({ key: point.key, label: `${point.label}: ${point.figure}${point.signal === null ? '' : `; signal: ${point.signal}`}` })),
  };
}

/** Returns one label for every stretch of neighbours that signal the same: over its middle, at the height of its highest point. */
export function signalLabels(points: readonly { readonly i: number; readonly value: number; readonly signal: string | null; readonly kind: QualityPoint['kind'] }[]): { readonly x: number; readonly y: number; readonly words: string }[] {
  const stretches: { from: number; to: number; y: number; words: string }[] = [];
  for (const { i, value, signal, kind } of points) {
    if (signal === null || kind !== 'counted') continue;
    const last = stretches.at(-1);
    if (last !== undefined && last.words === signal && last.to === i - 1) {
      last.to = i;
      last.y = Math.max(last.y, value);
    } else stretches.push({ from: i, to: i, y: value, words: signal });
  }
  return stretches.map(({ from, to, y, words }) => ({ x: (from + to) / 2, y, words }));
}

/** Returns the points cut where a change was made: lines are not drawn across it. */
function phasesOf<T extends { readonly i: number }>(points: readonly T[], changes: readonly ChangeMark[]): T[][] {
  const cuts = changes.map((change) => change.beforeIndex);
  const phases: T[][] = [];
  for (const point of points) {
    const current = phases.at(-1);
    if (current === undefined || cuts.includes(point.i)) phases.push([point]);
    else current.push(point);
  }
  return phases;
}

/** Returns what the lines are, to be written at their right ends. */
function endLabels(last: QualityPoint, options: QualityOptions): { y: number; words: string }[] {
  const valueText = options.valueText ?? options.tickText;
  const named: { y: number; words: string }[] = [];
  if (last.centre !== null) named.push({ y: last.centre, words: `${options.centreName} ${valueText(last.centre)}` });
  if (last.upper !== null) named.push({ y: last.upper, words: `upper ${valueText(last.upper)}` });
  if (last.lower !== null && last.lower > 0) named.push({ y: last.lower, words: `lower ${valueText(last.lower)}` });
  return named;
}
