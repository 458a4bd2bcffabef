import type { CurvePoint } from '../../../../core/robustness/apply-definition.ts';
import { LONGEST_S, SHORTEST_S } from './duration-steps.ts';

/** Where a curve is drawn, in px of its picture. */
export interface CurveFrame {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** Returns the x of a minimum duration on the scale of ratios from 5 s to 10 min. */
export function durationX(seconds: number, frame: CurveFrame): number {
  const at = Math.log(seconds / SHORTEST_S) / Math.log(LONGEST_S / SHORTEST_S);
  return frame.left + Math.min(1, Math.max(0, at)) * frame.width;
}

/** Returns a round number at or above `value`, for the top of an axis: 1, 2 or 5 times a power of ten. At least 1. */
export function roundTop(value: number): number {
  if (!(value > 1)) return 1;
  const power = 10 ** Math.floor(Math.log10(value));
  return [1, 2, 5, 10].map((factor) => factor * power).find((top) => top >= value) ?? value;
}

/** Returns the path of a curve in steps: a value stands until the next duration at which it was worked out. */
export function curvePath(points: readonly CurvePoint[], valueOf: (point: CurvePoint) => number, top: number, frame: CurveFrame): string {
  const y = yOf(top, frame);
  return points.map((point, i) => {
    const [x, at] = [durationX(point.minDurationS, frame).toFixed(1), y(valueOf(point))];
    return i === 0 ? `M${x} ${at}` : `H${x}V${at}`;
  }).join('');
}

/** Returns the closed path between two values of every point, in the same steps. */
export function bandPath(points: readonly CurvePoint[], lowOf: (point: CurvePoint) => number, highOf: (point: CurvePoint) => number, top: number, frame: CurveFrame): string {
  const last = points[points.length - 1];
  if (last === undefined) return '';
  const y = yOf(top, frame);
  const x = (point: CurvePoint): string => durationX(point.minDurationS, frame).toFixed(1);
  const back = [...points].reverse().map((point, i, reversed) => {
    const before = reversed[i + 1];
    return before === undefined ? `H${x(point)}` : `H${x(point)}V${y(lowOf(before))}`;
  });
  return `${curvePath(points, highOf, top, frame)}V${y(lowOf(last))}${back.join('')}Z`;
}

function yOf(top: number, frame: CurveFrame): (value: number) => string {
  return (value) => (frame.top + frame.height * (1 - value / top)).toFixed(1);
}
