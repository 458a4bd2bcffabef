import { areaY, axisX, axisY, dot, gridY, line, ruleX, ruleY, text, type Markish } from '@observablehq/plot';
import { dashOf, hitDots, INK, spread, symbolOf, textRoomPx } from './chart-marks.ts';
import type { ChartDrawing, SeriesLook } from './chart-types.ts';

/** A figure under one definition. */
export interface DefinitionPoint {
  readonly key: string;
  /** Where the definition lies on the axis; above 0. */
  readonly at: number;
  readonly value: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly figure: string;
}

export interface DefinitionSeries {
  readonly key: string;
  readonly label: string;
  readonly look: SeriesLook;
  readonly points: readonly DefinitionPoint[];
}

export interface CurveOptions {
  readonly xLabel: string;
  readonly yLabel: string;
  readonly xTickText: (value: number) => string;
  readonly yTickText: (value: number) => string;
  /** Where the definition in force lies. */
  readonly inForce: number;
}

/** How much higher than the highest figure the axis may go for the sake of a band. */
const MOST_BAND = 2;
/** Bands of more series than this lie over one another and say nothing; the table has them. */
const MOST_BANDS = 2;
/** Between two labels, as a share of the height. */
const LABEL_GAP = 0.06;

/** Returns a figure against a definition, equal steps being equal ratios, with the definition in force marked. */
export function curveChart(series: readonly DefinitionSeries[], options: CurveOptions, widthPx: number): ChartDrawing {
  const all = series.flatMap((one) => one.points);
  // A band that is much wider than the figures is cut, so that one series of few cases does not press all others together.
  const most = Math.max(0, ...all.map((point) => Math.abs(point.value ?? 0))) * MOST_BAND;
  const top = Math.min(most, Math.max(0, ...all.map((point) => Math.max(point.value ?? 0, point.upper ?? 0))));
  const bottom = Math.max(-most, Math.min(0, ...all.map((point) => Math.min(point.value ?? 0, point.lower ?? 0))));
  const cut = (value: number | null): number | null => (value === null ? null : Math.min(top, Math.max(bottom, value)));
  const places = [...new Set([...all.map((point) => point.at), options.inForce])].sort((a, b) => a - b);
  const rightRoom = Math.max(30, ...series.map((one) => textRoomPx(one.label) + 30));
  const drawn = series.flatMap((one) => one.points.filter((point): point is DefinitionPoint & { value: number } => point.value !== null).map((point) => ({ ...point, one })));
  const marks: Markish[] = [
    gridY({ stroke: INK.line, strokeOpacity: 1 }),
    ...(bottom < 0 ? [ruleY([0], { stroke: INK.lineStrong })] : []),
    ruleX([options.inForce], { stroke: INK.text, strokeDasharray: '3 2' }),
    text([options.inForce], { x: (at: number) => at, frameAnchor: 'top', dy: -15, text: () => 'in force', fill: INK.text }),
    ...series.flatMap((one) => [
      ...(series.length > MOST_BANDS ? [] : [areaY(one.points.filter((point) => point.lower !== null && point.upper !== null), { x: 'at', y1: (point: DefinitionPoint) => cut(point.lower), y2: (point: DefinitionPoint) => cut(point.upper), fill: one.look.color, fillOpacity: 0.12 })]),
      line(one.points, { x: 'at', y: (point: DefinitionPoint) => point.value ?? NaN, stroke: one.look.color, strokeWidth: 2, strokeDasharray: dashOf(one.look) }),
      dot(one.points.filter((point) => point.value !== null), { x: 'at', y: 'value', r: 4, symbol: symbolOf(one.look.shape), fill: one.look.color, stroke: INK.panel, strokeWidth: 1 }),
    ]),
    ...spread(
      series.flatMap((one) => one.points.flatMap((point) => (point.value === null ? [] : [{ y: point.value - bottom, one }])).slice(-1)),
      (top - bottom) * LABEL_GAP, top - bottom,
    ).flatMap(({ y, one }) => [
      dot([y + bottom], { x: () => places.at(-1), y: (at: number) => at, dx: 14, r: 4, symbol: symbolOf(one.look.shape), fill: one.look.color }),
      text([y + bottom], { x: () => places.at(-1), y: (at: number) => at, dx: 24, textAnchor: 'start', text: () => one.label, fill: INK.text }),
    ]),
    // As text, since the library leaves out the names of some ticks of a logarithmic axis.
    axisX({ ticks: thinned(places, options.inForce, Math.max(120, widthPx - rightRoom - 60)), text: (value: number) => options.xTickText(value), label: options.xLabel, labelAnchor: 'center', labelArrow: 'none', labelOffset: 36, tickSize: 4 }),
    axisY({ tickFormat: (value: number) => options.yTickText(value), label: options.yLabel, labelAnchor: 'top', labelArrow: 'none', ticks: 6, tickSize: 0, tickPadding: 6 }),
    hitDots(drawn.map((point) => ({ x: point.at, y: point.value }))),
  ];
  return {
    options: {
      width: widthPx, height: 320, marginLeft: Math.max(52, textRoomPx(options.yTickText(top)) + 16), marginRight: rightRoom, marginTop: 34, marginBottom: 42,
      x: { type: 'log', domain: [(places[0] ?? 1) / 1.08, (places.at(-1) ?? 10) * 1.08] }, y: { type: 'linear', domain: [bottom * 1.08, top > bottom ? top * 1.08 : 1] }, marks,
    },
    points: drawn.map((point) => ({ key: point.key, label: `${point.one.label}, ${options.xTickText(point.at)}: ${point.figure}` })),
  };
}

/** Room of a tick's text, px. */
const TICK_PX = 52;

/** Returns those of the values, ascending, whose texts do not lie on one another where equal steps are equal ratios; `kept` is among them. */
export function thinned(values: readonly number[], kept: number, roomPx: number): number[] {
  const [first, last] = [values[0] ?? 1, values.at(-1) ?? 1];
  const x = (value: number): number => (last > first ? (Math.log(value / first) / Math.log(last / first)) * roomPx : 0);
  const shown = values.includes(kept) ? [kept] : [];
  for (const value of values) if (shown.every((other) => Math.abs(x(other) - x(value)) >= TICK_PX)) shown.push(value);
  return shown.sort((a, b) => a - b);
}
