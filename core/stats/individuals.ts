import { isAbove } from './beyond-limit.ts';
import { type ChartOptions, type ChartReason, isInBaseline, pointsBeyond } from './shewhart.ts';

/** Mean range of two values over their standard deviation, as printed in the tables (not 2/√π), so that published examples come out. */
export const MOVING_RANGE_TO_SIGMA = 1.128;
/** Upper limit of a moving range over the mean moving range, as printed. */
const RANGE_LIMIT = 3.267;

/** A chart of single values with their moving ranges. */
export interface IndividualsChart {
  readonly centre: number | null;
  readonly meanMovingRange: number | null;
  readonly sigma: number | null;
  readonly ucl: number | null;
  readonly lcl: number | null;
  /** Upper limit of the moving range. */
  readonly mrUcl: number | null;
  readonly beyond: readonly number[];
  /** Points, from 0, whose distance from the point before lies above its limit. */
  readonly mrBeyond: readonly number[];
  readonly reason: ChartReason | null;
}

/** What the limits of a chart of single values follow from. */
export interface IndividualsBaseline {
  readonly centre: number | null;
  readonly meanMovingRange: number | null;
}

/**
 * Returns mean and mean moving range of the points that count.
 * Missing null points are left out, and no range reaches over one or over a point that does not count; no range: null.
 */
export function individualsBaseline(x: readonly (number | null)[], options: ChartOptions): IndividualsBaseline {
  const counted = x.map((v, i) => (isInBaseline(i, options) ? v : null));
  const present = counted.filter((v) => v !== null);
  if (present.length === 0) return { centre: null, meanMovingRange: null };
  const ranges = movingRanges(counted).filter((r) => r !== null);
  return { centre: mean(present), meanMovingRange: ranges.length === 0 ? null : mean(ranges) };
}

/**
 * Returns the points between limits that follow from a baseline: that of the same points, or one that was fixed before.
 * Missing no mean moving range: no limits. Limits are not cut: what cannot be negative is cut by the caller.
 */
export function individualsLimits(x: readonly (number | null)[], baseline: IndividualsBaseline, sigmas: number): IndividualsChart {
  const { centre, meanMovingRange } = baseline;
  if (centre === null || meanMovingRange === null) {
    return { centre, meanMovingRange, sigma: null, ucl: null, lcl: null, mrUcl: null, beyond: [], mrBeyond: [], reason: 'too-few-points' };
  }
  const sigma = meanMovingRange / MOVING_RANGE_TO_SIGMA;
  const ucl = centre + sigmas * sigma;
  const lcl = centre - sigmas * sigma;
  const mrUcl = RANGE_LIMIT * meanMovingRange;
  return {
    centre,
    meanMovingRange,
    sigma,
    ucl,
    lcl,
    mrUcl,
    beyond: pointsBeyond(x, x.map(() => lcl), x.map(() => ucl)),
    mrBeyond: movingRanges(x).flatMap((r, i) => (r !== null && isAbove(r, mrUcl) ? [i] : [])),
    reason: null,
  };
}

/**
 * Returns an XmR chart: single values with limits from the mean distance of neighbours.
 * Missing null points make a gap; one point: no limits.
 * Source  Montgomery, Introduction to Statistical Quality Control, 6.4: x̄ ± 3·mR̄/1.128, limit of a range 3.267·mR̄.
 */
export function individualsChart(x: readonly (number | null)[], options: ChartOptions): IndividualsChart {
  return individualsLimits(x, individualsBaseline(x, options), options.sigmas);
}

function movingRanges(x: readonly (number | null)[]): (number | null)[] {
  return x.map((v, i) => {
    const before = i === 0 ? null : (x[i - 1] ?? null);
    return v === null || before === null ? null : Math.abs(v - before);
  });
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, v) => sum + v, 0) / values.length;
}
