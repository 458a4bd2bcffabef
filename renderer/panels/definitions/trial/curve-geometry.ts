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

/** Returns the path of a curve: a step down wherever the minimum passes a dropout, since between two steps nothing is known to change. */
export function curvePath(points: readonly CurvePoint[], valueOf: (point: CurvePoint) => number, top: number, frame: CurveFrame): string {
  const y = (value: number): number => frame.top + frame.height * (1 - value / top);
  return points.map((point, i) => `${i === 0 ? 'M' : 'L'}${durationX(point.minDurationS, frame).toFixed(1)} ${y(valueOf(point)).toFixed(1)}`).join('');
}

/** Returns the closed path between two values of every point. */
export function bandPath(points: readonly CurvePoint[], lowOf: (point: CurvePoint) => number, highOf: (point: CurvePoint) => number, top: number, frame: CurveFrame): string {
  if (points.length === 0) return '';
  const y = (value: number): number => frame.top + frame.height * (1 - value / top);
  const at = (point: CurvePoint, value: number): string => `${durationX(point.minDurationS, frame).toFixed(1)} ${y(value).toFixed(1)}`;
  return `M${points.map((point) => at(point, highOf(point))).join('L')}L${[...points].reverse().map((point) => at(point, lowOf(point))).join('L')}Z`;
}
