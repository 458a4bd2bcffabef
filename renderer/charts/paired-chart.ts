import { axisX, axisY, dot, gridY, link, type Markish } from '@observablehq/plot';
import { hitDots, INK, symbolOf } from './chart-marks.ts';
import type { ChartDrawing, SeriesLook } from './chart-types.ts';

/** One patient with both sites. */
export interface PairedCase {
  readonly key: string;
  readonly label: string;
  readonly first: number;
  readonly second: number;
  readonly figure: string;
}

export interface PairedOptions {
  readonly firstName: string;
  readonly secondName: string;
  readonly firstLook: SeriesLook;
  readonly secondLook: SeriesLook;
  readonly yLabel: string;
  readonly tickText: (value: number) => string;
}

/** Returns two columns of dots, joined for each patient. The press is on the dot of the second site. */
export function pairedChart(cases: readonly PairedCase[], options: PairedOptions, widthPx: number): ChartDrawing {
  const top = Math.max(0, ...cases.flatMap((one) => [one.first, one.second]));
  // Many lines are thinner and paler, so that their mean course can be seen.
  const opacity = cases.length > 60 ? 0.25 : cases.length > 20 ? 0.45 : 0.7;
  const marks: Markish[] = [
    gridY({ stroke: INK.line, strokeOpacity: 1 }),
    link(cases, { x1: () => 0, x2: () => 1, y1: 'first', y2: 'second', stroke: INK.soft, strokeOpacity: opacity, strokeWidth: 1.2 }),
    dot(cases, { x: () => 0, y: 'first', r: 4.5, symbol: symbolOf(options.firstLook.shape), fill: options.firstLook.color, stroke: INK.panel, strokeWidth: 1 }),
    dot(cases, { x: () => 1, y: 'second', r: 4.5, symbol: symbolOf(options.secondLook.shape), fill: options.secondLook.color, stroke: INK.panel, strokeWidth: 1 }),
    axisX({ ticks: [0, 1], tickFormat: (value: number) => (value === 0 ? options.firstName : options.secondName), label: null, tickSize: 0, tickPadding: 10 }),
    axisY({ tickFormat: (value: number) => options.tickText(value), label: options.yLabel, labelAnchor: 'top', labelArrow: 'none', ticks: 6, tickSize: 0, tickPadding: 6 }),
    hitDots(cases.map((one) => ({ x: 1, y: one.second }))),
  ];
  return {
    options: {
      width: Math.min(widthPx, 560), height: 320, marginLeft: 64, marginRight: 30, marginTop: 30, marginBottom: 34,
      x: { type: 'linear', domain: [-0.35, 1.35] }, y: { type: 'linear', domain: [0, top > 0 ? top * 1.08 : 1] }, marks,
    },
    points: cases.map((one) => ({ key: one.key, label: `${one.label}: ${one.figure}` })),
  };
}
