import { binomialCdf } from './distributions.ts';
import { median } from './quantile.ts';
import { toTie } from './ranks.ts';

/** The sign test of paired differences. */
export interface SignTest {
  readonly positive: number;
  readonly negative: number;
  readonly zero: number;
  readonly p: number | null;
  /** Of all differences, zeros included. */
  readonly medianDifference: number | null;
  readonly reason: 'no pair' | 'no difference' | null;
}

/**
 * Returns how many differences are above and below 0, with the exact two-sided p; zeros do not count for it.
 * Missing no pair: null. No difference anywhere: p 1, with the reason. Values that are not finite are left out.
 * Source  Dixon & Mood, JASA 1946;41:557.
 */
export function signTest(differences: readonly number[]): SignTest {
  const all = differences.filter(Number.isFinite).map(toTie);
  const positive = all.filter((d) => d > 0).length;
  const negative = all.filter((d) => d < 0).length;
  const counts = { positive, negative, zero: all.length - positive - negative, medianDifference: median(all) };
  if (all.length === 0) return { ...counts, p: null, reason: 'no pair' };
  if (positive + negative === 0) return { ...counts, p: 1, reason: 'no difference' };
  return { ...counts, p: Math.min(1, 2 * binomialCdf(Math.min(positive, negative), positive + negative, 0.5)), reason: null };
}
