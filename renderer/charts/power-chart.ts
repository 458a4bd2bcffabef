import { areaY, axisX, axisY, dot, gridY, line, ruleY, text, type Markish } from '@observablehq/plot';
import { dashOf, hitDots, INK, spread, symbolOf, textRoomPx } from './chart-marks.ts';
import type { ChartDrawing, SeriesLook } from './chart-types.ts';
import { thinned } from './curve-chart.ts';

/** What a study of one size would give, on an axis from 0 to 1. */
export interface PowerPoint {
  readonly key: string;
  readonly n: number;
  readonly value: number;
  readonly lower: number;
  readonly upper: number;
  readonly figure: string;
}

export interface PowerSeries {
  readonly key: string;
  readonly label: string;
  readonly look: SeriesLook;
  readonly points: readonly PowerPoint[];
}

export interface PowerOptions {
  readonly xLabel: string;
  readonly yLabel: string;
  readonly tickText: (value: number) => string;
  readonly sizeText: (n: number) => string;
  /** The power that is wanted; null: none. */
  readonly wanted: number | null;
}

/** Between two labels, as a share of the height. */
const LABEL_GAP = 0.06;

/** Returns power against the size of a study, equal steps being equal ratios of sizes, with the error of the simulation as a band. */
export function powerChart(series: readonly PowerSeries[], options: PowerOptions, widthPx: number): ChartDrawing {
  const all = series.flatMap((one) => one.points.map((point) => ({ ...point, one })));
  const sizes = [...new Set(all.map((point) => point.n))].sort((a, b) => a - b);
  const first = sizes[0] ?? 1;
  const last = sizes.at(-1) ?? 10;
  const rightRoom = Math.max(30, ...series.map((one) => textRoomPx(one.label) + 40));
  const marks: Markish[] = [
    gridY({ stroke: INK.line, strokeOpacity: 1 }),
    ...(options.wanted === null
      ? []
      : [ruleY([options.wanted], { stroke: INK.text, strokeDasharray: '3 2' }), text([options.wanted], { y: (value: number) => value, frameAnchor: 'left', textAnchor: 'start', dx: 4, dy: -8, text: () => 'wanted', fill: INK.text })]),
    ...series.flatMap((one) => [
      areaY(one.points, { x: 'n', y1: 'lower', y2: 'upper', fill: one.look.color, fillOpacity: 0.12 }),
      line(one.points, { x: 'n', y: 'value', stroke: one.look.color, strokeWidth: 2, strokeDasharray: dashOf(one.look) }),
      dot(one.points, { x: 'n', y: 'value', r: 4, symbol: symbolOf(one.look.shape), fill: one.look.color, stroke: INK.panel, strokeWidth: 1 }),
    ]),
    ...spread(series.flatMap((one) => one.points.slice(-1).map((point) => ({ y: point.value, one }))), LABEL_GAP, 1).flatMap(({ y, one }) => [
      dot([y], { x: () => last, y: (at: number) => at, dx: 16, r: 4, symbol: symbolOf(one.look.shape), fill: one.look.color }),
      text([y], { x: () => last, y: (at: number) => at, dx: 26, textAnchor: 'start', text: () => one.label, fill: INK.text }),
    ]),
    // As text, since the library leaves out the names of some ticks of a logarithmic axis.
    axisX({ ticks: thinned(sizes, last, widthPx - rightRoom - 60), text: (n: number) => options.sizeText(n), label: options.xLabel, labelAnchor: 'center', labelArrow: 'none', labelOffset: 36, tickSize: 4 }),
    axisY({ tickFormat: (value: number) => options.tickText(value), label: options.yLabel, labelAnchor: 'top', labelArrow: 'none', ticks: 6, tickSize: 0, tickPadding: 6 }),
    hitDots(all.map((point) => ({ x: point.n, y: point.value }))),
  ];
  return {
    options: {
      width: widthPx, height: 320, marginLeft: 60, marginRight: rightRoom, marginTop: 30, marginBottom: 48,
      x: { type: 'log', domain: [first, last === first ? first + 1 : last] }, y: { type: 'linear', domain: [0, 1] }, marks,
    },
    points: all.map((point) => ({ key: point.key, label: `${options.sizeText(point.n)}, ${point.one.label}: ${point.figure}` })),
  };
}
