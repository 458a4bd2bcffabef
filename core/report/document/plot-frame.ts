import type { Ink, Point, Shape } from '../../model/report-document.ts';

/** A straight scale from values to pt. */
export interface PlotScale {
  readonly from: number;
  readonly to: number;
  readonly at: (value: number) => number;
}

/** Returns a scale; a span of no length gives the middle for every value. */
export function plotScale(from: number, to: number, atFrom: number, atTo: number): PlotScale {
  return { from, to, at: (value) => (to === from ? (atFrom + atTo) / 2 : rounded(atFrom + ((value - from) / (to - from)) * (atTo - atFrom))) };
}

/** Pictures are rounded to hundredths of a point: what is finer cannot be seen, and would make the files longer. */
export function rounded(value: number): number {
  return Math.round(value * 100) / 100;
}

/** Returns about `count` round values between two others, both included where they are round. */
export function roundSteps(from: number, to: number, count: number): number[] {
  if (!(to > from)) return [from];
  const raw = (to - from) / Math.max(1, count);
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 2.5, 5, 10].map((one) => one * power).find((one) => one >= raw * (1 - 1e-9)) ?? 10 * power;
  const steps: number[] = [];
  for (let i = Math.ceil(from / step - 1e-9); i * step <= to + step * 1e-9; i++) steps.push(Number((i * step).toPrecision(12)));
  return steps;
}

/** Returns a text shape; sizes in pt, `y` is the base line. */
export function label(x: number, y: number, text: string, { size = 7, ink = 'soft', align = 'start', isBold }: { readonly size?: number; readonly ink?: Ink; readonly align?: 'start' | 'middle' | 'end'; readonly isBold?: boolean } = {}): Shape {
  return { kind: 'text', x: rounded(x), y: rounded(y), text, size, ink, align, ...(isBold === undefined ? {} : { isBold }) };
}

/** Returns a line of two ends. */
export function stroke(a: Point, b: Point, ink: Ink, width = 0.6, dash?: readonly number[]): Shape {
  return { kind: 'line', points: [[rounded(a[0]), rounded(a[1])], [rounded(b[0]), rounded(b[1])]], ink, width, ...(dash === undefined ? {} : { dash }) };
}

/** Returns a filled or edged box; a width below half a point is drawn as half a point, so that nothing short vanishes. */
export function box(x: number, y: number, width: number, height: number, fill: Ink | null, edge: Ink | null = null, dash?: readonly number[]): Shape {
  return { kind: 'box', x: rounded(x), y: rounded(y), width: rounded(Math.max(0.5, width)), height: rounded(height), fill, edge, ...(dash === undefined ? {} : { dash }) };
}

/** An estimate of the width of a text in pt, for deciding whether a label fits: both writers measure for themselves. */
export function roughWidth(text: string, size: number): number {
  return text.length * size * 0.54;
}
