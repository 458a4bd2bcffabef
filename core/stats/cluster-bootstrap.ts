import type { OfTotals, Resampling } from './case-draws.ts';
import { drawnStatistics, leftOutStatistics, statisticsOfAll } from './case-draws.ts';
import { normalCdf, normalQuantile } from './normal.ts';
import { quantileOfSorted } from './quantile.ts';

/** Why a bootstrap over clusters gives no value (the first) or no interval. */
export type BootstrapReason = 'not defined' | 'one cluster' | 'too many draws not defined' | 'all draws alike';

/** What clusters drawn anew say of a statistic. */
export interface BootstrapInterval {
  readonly estimate: number | null;
  /** Standard deviation of the replicates (n − 1). */
  readonly standardError: number | null;
  readonly percentile: readonly [number, number] | null;
  /** Corrected for bias and acceleration; the percentile interval where these are not defined (`isBcaPercentile`). */
  readonly bca: readonly [number, number] | null;
  readonly isBcaPercentile: boolean;
  readonly z0: number | null;
  readonly acceleration: number | null;
  /** Replicates for which the statistic was not defined. */
  readonly dropped: number;
  readonly reason: BootstrapReason | null;
}

/** More replicates without a value than this share, and no interval is worth its name. */
const MOST_DROPPED = 0.05;
/** Replicates whose range is below this share of the estimate are alike but for rounding. */
const ALIKE = 1e-12;

/**
 * Returns intervals of statistics of totals from drawing whole clusters anew, all statistics from the same draws.
 * Shape   columns and order as in `drawnStatistics`; one result per statistic. Percentile limits are type-7 quantiles.
 * Missing fewer than two clusters, more than 5 % of the replicates without a value, or all alike: no interval, with the reason.
 *         A bias that is infinite (the estimate lies outside all replicates), or an acceleration that is not defined: BCa is
 *         the percentile interval, and `isBcaPercentile` says so.
 * Source  Efron & Tibshirani 1993, 13.3 and 14.3, ties counted half in z0; Davison & Hinkley 1997, 3.8; statistics 0.
 */
export function clusterBootstrap(columns: readonly ArrayLike<number>[], statistics: readonly OfTotals[], { conf, ...resampling }: Resampling & { readonly conf: number }): BootstrapInterval[] {
  const estimates = statisticsOfAll(columns, statistics);
  const clusters = columns[0]?.length ?? 0;
  if (clusters < 2) return estimates.map((estimate) => noInterval(estimate, 0, 'one cluster'));
  const drawn = drawnStatistics(columns, statistics, resampling);
  const leftOut = leftOutStatistics(columns, statistics);
  return estimates.map((estimate, s) => bootstrapInterval(estimate, drawn[s] ?? new Float64Array(), leftOut[s] ?? new Float64Array(), conf));
}

/**
 * Returns the interval of one estimate from its replicates.
 * Shape   `leftOut`: the statistic with each cluster left out in turn; empty where it is not known, then BCa is the percentile interval.
 * Missing NaN in `drawn` is a dropped replicate; an estimate that is not a number is not defined.
 */
export function bootstrapInterval(estimate: number, drawn: Float64Array, leftOut: Float64Array, conf: number): BootstrapInterval {
  const sorted = drawn.filter((value) => value === value).sort();
  const dropped = drawn.length - sorted.length;
  const n = sorted.length;
  if (!Number.isFinite(estimate)) return noInterval(estimate, dropped, 'not defined');
  if (n === 0 || dropped > MOST_DROPPED * drawn.length) return noInterval(estimate, dropped, 'too many draws not defined');
  if ((sorted[n - 1] ?? NaN) - (sorted[0] ?? NaN) <= ALIKE * Math.abs(estimate)) return noInterval(estimate, dropped, 'all draws alike');
  const tail = (1 - conf) / 2;
  const limits = (low: number, high: number): [number, number] => [quantileOfSorted(sorted, low) ?? NaN, quantileOfSorted(sorted, high) ?? NaN];
  const percentile = limits(tail, 1 - tail);
  const z0 = biasOf(estimate, sorted);
  const acceleration = accelerationOf(leftOut);
  const common = { estimate, standardError: standardDeviation(sorted), percentile, z0: Number.isFinite(z0) ? z0 : null, acceleration, dropped, reason: null };
  if (!Number.isFinite(z0) || acceleration === null) return { ...common, bca: percentile, isBcaPercentile: true };
  const z = normalQuantile(tail);
  const moved = (by: number) => normalCdf(z0 + (z0 + by) / (1 - acceleration * (z0 + by)));
  return { ...common, bca: limits(moved(z), moved(-z)), isBcaPercentile: false };
}

function noInterval(estimate: number, dropped: number, reason: BootstrapReason): BootstrapInterval {
  const isDefined = Number.isFinite(estimate);
  return {
    estimate: isDefined ? estimate : null,
    standardError: null,
    percentile: null,
    bca: null,
    isBcaPercentile: false,
    z0: null,
    acceleration: null,
    dropped,
    reason: isDefined ? reason : 'not defined',
  };
}

function biasOf(estimate: number, sorted: Float64Array): number {
  let below = 0;
  let upTo = 0;
  for (const value of sorted) {
    if (value < estimate) below++;
    if (value <= estimate) upTo++;
  }
  return normalQuantile((below + upTo) / (2 * sorted.length));
}

function accelerationOf(leftOut: Float64Array): number | null {
  let mean = 0;
  for (const value of leftOut) mean += value / leftOut.length;
  let squares = 0;
  let cubes = 0;
  for (const value of leftOut) {
    const d = mean - value;
    squares += d ** 2;
    cubes += d ** 3;
  }
  const acceleration = cubes / (6 * squares ** 1.5);
  return Number.isFinite(acceleration) ? acceleration : null;
}

function standardDeviation(values: Float64Array): number {
  let mean = 0;
  for (const value of values) mean += value / values.length;
  let squares = 0;
  for (const value of values) squares += (value - mean) ** 2;
  return Math.sqrt(squares / (values.length - 1));
}
