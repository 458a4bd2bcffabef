import { mersenneTwister } from './mersenne-twister.ts';
import { median, quantile } from './quantile.ts';

/**
 * Returns the median of one number per case with a percentile interval from drawing cases anew.
 * Shape   `values` in the order of the case ids: another order draws other samples.
 * Missing no value: null; fewer than two, or all replicates alike: no interval.
 * Source  Efron & Tibshirani 1993, percentile interval; statistics 0 (the unit is the case).
 */
export function bootstrapMedian(values: readonly number[], replicates: number, seed: number, conf: number): { median: number | null; lower: number | null; upper: number | null } {
  const middle = median(values);
  if (middle === null || values.length < 2) return { median: middle, lower: null, upper: null };
  const { index } = mersenneTwister(seed);
  const medians: number[] = [];
  for (let r = 0; r < replicates; r++) {
    const drawn = values.map(() => values[index(values.length)] ?? NaN);
    medians.push(median(drawn) ?? NaN);
  }
  const lower = quantile(medians, (1 - conf) / 2);
  const upper = quantile(medians, 1 - (1 - conf) / 2);
  return lower === upper ? { median: middle, lower: null, upper: null } : { median: middle, lower, upper };
}

/** A ratio of totals with its interval. */
export interface RatioInterval {
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
}

/** More replicates without a denominator than this share, and no interval is worth its name. */
const MOST_DROPPED = 0.05;

/**
 * Returns a ratio of totals over cases with a percentile interval from drawing whole cases anew.
 * Shape   numerators and denominators in the order of the case ids: another order draws other samples.
 * Missing a total of 0 below: no estimate. One case, all replicates alike, or more than 5 % of them without a denominator:
 *         no interval.
 * Source  Davison & Hinkley 1997, 3.8 (cases resampled whole); Efron & Tibshirani 1993, 13.3; statistics 0.
 */
export function bootstrapRatio(numerators: readonly number[], denominators: readonly number[], replicates: number, seed: number, conf: number): RatioInterval {
  const below = denominators.reduce((sum, d) => sum + d, 0);
  if (!(below > 0)) return { estimate: null, lower: null, upper: null };
  const estimate = numerators.reduce((sum, n) => sum + n, 0) / below;
  const k = numerators.length;
  const none = { estimate, lower: null, upper: null };
  if (k < 2) return none;
  const { index } = mersenneTwister(seed);
  const ratios: number[] = [];
  for (let r = 0; r < replicates; r++) {
    let above = 0;
    let under = 0;
    for (let i = 0; i < k; i++) {
      const drawn = index(k);
      above += numerators[drawn] ?? NaN;
      under += denominators[drawn] ?? NaN;
    }
    if (under > 0) ratios.push(above / under);
  }
  if (ratios.length < (1 - MOST_DROPPED) * replicates) return none;
  const range = ratios.reduce((most, v) => Math.max(most, v), -Infinity) - ratios.reduce((least, v) => Math.min(least, v), Infinity);
  if (range <= 1e-12 * Math.abs(estimate)) return none;
  return { estimate, lower: quantile(ratios, (1 - conf) / 2), upper: quantile(ratios, 1 - (1 - conf) / 2) };
}
