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
