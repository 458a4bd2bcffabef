import { binomialCdf } from './distributions.ts';
import { median } from './quantile.ts';

/** A median with an interval of order statistics. */
export interface MedianInterval {
  readonly median: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** The interval reaches from the k-th smallest to the k-th largest value. */
  readonly rank: number | null;
  readonly achievedConf: number | null;
}

/**
 * Returns the median of the finite values with the narrowest symmetric interval of order statistics that holds `conf`.
 * Missing too few values for such an interval (fewer than 6 at 95 %): limits null.
 * Source  Hahn & Meeker, Statistical Intervals, ch. 5: k is the largest rank with P(Bin(n, 1/2) ≤ k − 1) ≤ (1 − conf)/2.
 */
export function medianInterval(values: readonly number[], conf: number): MedianInterval {
  const sorted = values.filter(Number.isFinite).sort((a, b) => a - b);
  const n = sorted.length;
  let k = 0;
  while (k + 1 <= n / 2 && binomialCdf(k, n, 0.5) <= (1 - conf) / 2) k++;
  if (k === 0) return { median: median(sorted), lower: null, upper: null, rank: null, achievedConf: null };
  return { median: median(sorted), lower: sorted[k - 1] ?? null, upper: sorted[n - k] ?? null, rank: k, achievedConf: 1 - 2 * binomialCdf(k - 1, n, 0.5) };
}
