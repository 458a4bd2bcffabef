import type { Spread } from '../model/site-cohort.ts';
import { median } from '../stats/quantile.ts';

/** Returns how far one number per case spreads over the cases; null for no case. */
export function spreadOf(values: readonly number[]): Spread | null {
  const middle = median(values);
  if (middle === null) return null;
  return {
    cases: values.length,
    least: values.reduce((least, v) => Math.min(least, v), Infinity),
    median: middle,
    most: values.reduce((most, v) => Math.max(most, v), -Infinity),
  };
}
