import { axisX, axisY, dot, gridX, ruleX, ruleY, text, type Markish } from '@observablehq/plot';
import { dashOf, fitted, hitDots, INK, ONLY_SERIES, symbolOf, textRoomPx } from './chart-marks.ts';
import type { ChartDrawing, SeriesLook } from './chart-types.ts';

/** One group with its estimate. `lower` and `upper` may be infinite; null where there is no interval. */
export interface IntervalRow {
  readonly key: string;
  readonly label: string;
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** The figure in words, written at the right; where there is no estimate, why. */
  readonly figure: string;
  readonly look?: SeriesLook | undefined;
}

export interface IntervalOptions {
  readonly xLabel: string;
  readonly tickText: (value: number) => string;
  /** 'ratio': equal steps are equal ratios, with an upright line at 1. */
  readonly scale: 'from zero' | 'ratio';
  /** Another upright line, such as the figure of all cases together. */
  readonly reference?: { readonly value: number; readonly label: string } | undefined;
}

const ROW_PX = 30;
/** A row whose figure stands under it. */
const TALL_ROW_PX = 46;
const LEAST_ROOM_PX = 260;

/** Returns a row for each group: estimate, interval, and the figure in words beside it; under it where both do not fit beside each other. */
export function intervalChart(rows: readonly IntervalRow[], options: IntervalOptions, widthPx: number): ChartDrawing {
  const { labelRoom, figureRoom, isBelow } = sideRooms(rows, widthPx);
  const domain = intervalDomain(rows, options);
  const clip = (value: number): number => Math.min(domain[1], Math.max(domain[0], value));
  const drawn = rows.filter((row): row is IntervalRow & { estimate: number } => row.estimate !== null);
  const ranges = rows.flatMap((row) => (row.lower === null || row.upper === null ? [] : [{ key: row.key, low: clip(row.lower), high: clip(row.upper), row }]));
  const ticks = options.scale === 'ratio' ? ratioTicks(domain) : tickCount(widthPx - labelRoom - figureRoom);
  const marks: Markish[] = [
    gridX({ stroke: INK.line, strokeOpacity: 1, ticks }),
    ...(options.scale === 'ratio' ? [ruleX([1], { stroke: INK.lineStrong, strokeWidth: 1.5 })] : []),
    ...(options.reference === undefined
      ? []
      : [
          ruleX([options.reference.value], { stroke: INK.soft, strokeDasharray: '4 3' }),
          text([options.reference.value], { x: (value: number) => value, frameAnchor: 'top', dy: -14, text: () => options.reference?.label, fill: INK.soft }),
        ]),
    ...ranges.map(({ key, low, high, row }) => ruleY([key], { x1: low, x2: high, stroke: (row.look ?? ONLY_SERIES).color, strokeWidth: 2.5, strokeDasharray: dashOf(row.look ?? ONLY_SERIES) })),
    // An arrow says that the interval goes on beyond the picture.
    ...ranges.flatMap(({ key, low, high, row }) => [
      ...(row.lower !== low ? [text([key], { x: low, y: (value: string) => value, text: () => '◂', fill: (row.look ?? ONLY_SERIES).color, dx: -2 })] : []),
      ...(row.upper !== high ? [text([key], { x: high, y: (value: string) => value, text: () => '▸', fill: (row.look ?? ONLY_SERIES).color, dx: 2 })] : []),
    ]),
    ...drawn.map((row) => dot([row], { x: () => clip(row.estimate), y: 'key', symbol: symbolOf((row.look ?? ONLY_SERIES).shape), r: 5.5, fill: (row.look ?? ONLY_SERIES).color, stroke: INK.panel, strokeWidth: 1 })),
    isBelow
      ? text(rows, { y: 'key', frameAnchor: 'left', textAnchor: 'start', dx: 4, dy: 17, text: (row: IntervalRow) => fitted(row.figure, widthPx - labelRoom - 36), fill: INK.text, stroke: INK.panel, strokeWidth: 3 })
      : text(rows, { y: 'key', frameAnchor: 'right', textAnchor: 'start', dx: 12, text: (row: IntervalRow) => fitted(row.figure, figureRoom), fill: INK.text }),
    // As text, since the library leaves out the names of some ticks of a logarithmic axis.
    axisX({ ticks, text: (value: number) => options.tickText(value), label: options.xLabel, labelAnchor: 'center', labelArrow: 'none', labelOffset: 36, tickSize: 4 }),
    axisY({ tickFormat: (key: string) => linesOf(rows.find((row) => row.key === key)?.label ?? '', isBelow).map((line) => fitted(line, labelRoom)).join('\n'), tickSize: 0, tickPadding: 10, label: null }),
    hitDots(drawn.map((row) => ({ x: clip(row.estimate), y: row.key }))),
  ];
  return {
    options: {
      width: widthPx,
      height: rows.length * (isBelow ? TALL_ROW_PX : ROW_PX) + 62,
      marginLeft: labelRoom + 14,
      marginRight: figureRoom + 18,
      marginTop: 22,
      marginBottom: 40,
      x: { type: options.scale === 'ratio' ? 'log' : 'linear', domain: [...domain] },
      y: { type: 'point', domain: rows.map((row) => row.key), padding: 0.6 },
      marks,
    },
    points: drawn.map((row) => ({ key: row.key, label: `${row.label}: ${row.figure}` })),
  };
}

/** Returns the lines of a label: where its row is tall, what stands behind its first comma is the second. */
function linesOf(label: string, isTall: boolean): string[] {
  const at = label.indexOf(', ');
  return isTall && at >= 0 ? [label.slice(0, at + 1), label.slice(at + 2)] : [label];
}

interface SideRooms {
  readonly labelRoom: number;
  /** 0: the figures stand under their rows. */
  readonly figureRoom: number;
  readonly isBelow: boolean;
}

/** Returns the room for the labels and for the figures, px; the picture between them keeps at least LEAST_ROOM_PX while there is any. */
function sideRooms(rows: readonly IntervalRow[], widthPx: number): SideRooms {
  const label = Math.max(40, ...rows.map((row) => textRoomPx(row.label)));
  const figure = Math.max(40, ...rows.map((row) => textRoomPx(row.figure)));
  const free = widthPx - LEAST_ROOM_PX;
  if (label + figure <= free) return { labelRoom: label, figureRoom: figure, isBelow: false };
  // A figure is longer than the picture may be narrow: it takes a line of its own, from the left edge of the picture.
  const line = Math.max(40, ...rows.flatMap((row) => linesOf(row.label, true).map(textRoomPx)));
  return { labelRoom: Math.min(line, Math.max(80, Math.min(free, widthPx - figure - 36))), figureRoom: 0, isBelow: true };
}

/**
 * Returns the ends of the axis: from 0, or for ratios around 1 and the finite limits, at least from a half to 2.
 * An interval that is much wider than the estimates is cut, so that one group of few cases does not press all others together.
 */
export function intervalDomain(rows: readonly IntervalRow[], options: Pick<IntervalOptions, 'scale' | 'reference'>): readonly [number, number] {
  const finite = (values: readonly (number | null | undefined)[]): number[] => values.filter((value): value is number => value !== null && value !== undefined && Number.isFinite(value));
  const estimates = finite([...rows.map((row) => row.estimate), options.reference?.value]);
  const limits = finite(rows.flatMap((row) => [row.lower, row.upper]));
  if (options.scale === 'from zero') {
    const top = Math.max(0, ...estimates);
    const high = Math.min(Math.max(top, ...limits), top > 0 ? top * 4 : Infinity);
    return [0, high > 0 ? high * 1.05 : 1];
  }
  const positive = (values: readonly number[]): number[] => values.filter((value) => value > 0);
  const least = Math.max(Math.min(0.5, ...positive(limits), ...positive(estimates)), Math.min(0.5, ...positive(estimates)) / 8);
  const most = Math.min(Math.max(2, ...limits, ...estimates), Math.max(2, ...estimates) * 8);
  return [least / 1.1, most * 1.1];
}

/** Ticks of ratios: 1, 2, 5 times powers of ten, and their inverses. */
export function ratioTicks([low, high]: readonly [number, number]): number[] {
  const ticks = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];
  return ticks.filter((tick) => tick >= low && tick <= high);
}

function tickCount(roomPx: number): number {
  return Math.max(2, Math.min(8, Math.floor(roomPx / 80)));
}
