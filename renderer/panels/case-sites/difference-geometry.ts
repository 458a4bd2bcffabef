import type { DifferencePoint } from '../../../core/model/site-detail.ts';
import { snapOut } from '../../timeline/y-scale.ts';

/** The axes of a difference plot: means to the right, differences upwards. */
export interface DifferenceAxes {
  readonly minMean: number;
  readonly maxMean: number;
  readonly minDifference: number;
  readonly maxDifference: number;
}

/** Returns axes that hold every point, the limits and zero, with room around them. */
export function differenceAxes(points: readonly DifferencePoint[], limits: { readonly lower: number; readonly upper: number } | null): DifferenceAxes {
  const means = points.map((point) => point.mean);
  const differences = [...points.map((point) => point.difference), 0, ...(limits === null ? [] : [limits.lower, limits.upper])];
  const span = (values: readonly number[]): readonly [number, number] => {
    const least = values.reduce((low, v) => Math.min(low, v), Infinity);
    const most = values.reduce((high, v) => Math.max(high, v), -Infinity);
    return least > most ? [0, 1] : [least, most];
  };
  const [leastMean, mostMean] = span(means);
  const [leastDifference, mostDifference] = span(differences);
  const [minMean, maxMean] = snapOut(leastMean - 0.5, mostMean + 0.5, mostMean - leastMean > 20 ? 5 : 1);
  const [minDifference, maxDifference] = snapOut(leastDifference - 0.5, mostDifference + 0.5, 1);
  return { minMean, maxMean, minDifference, maxDifference };
}

/** Points that fall on one place of the picture: rounded values often do. */
export interface StackedPoint {
  readonly mean: number;
  readonly difference: number;
  readonly count: number;
}

/** Returns the points gathered by place, so that a dot's size can tell how many it stands for. */
export function stackPoints(points: readonly DifferencePoint[]): StackedPoint[] {
  const stacks = new Map<string, StackedPoint>();
  for (const { mean, difference } of points) {
    const key = `${mean.toFixed(2)} ${difference.toFixed(2)}`;
    const known = stacks.get(key);
    stacks.set(key, known === undefined ? { mean, difference, count: 1 } : { ...known, count: known.count + 1 });
  }
  return [...stacks.values()];
}

/** Returns the radius of a dot, px: its area grows with the number of pairs. */
export function dotRadius(count: number): number {
  return Math.min(9, 2.2 * Math.sqrt(count));
}
