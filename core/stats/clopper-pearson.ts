import { betaQuantile } from './distributions.ts';

/** A share of trials with its exact limits. */
export interface BinomialInterval {
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly reason: 'no trial' | null;
}

/**
 * Returns x of n with the exact binomial interval. The n must not depend on one another: cases, not seconds or dropouts.
 * Shape   whole numbers, 0 ≤ x ≤ n.
 * Missing no trial: everything null.
 * Source  Clopper & Pearson, Biometrika 1934;26:404.
 */
export function binomialInterval(x: number, n: number, conf: number): BinomialInterval {
  if (!(n > 0)) return { estimate: null, lower: null, upper: null, reason: 'no trial' };
  const tail = (1 - conf) / 2;
  return {
    estimate: x / n,
    lower: x === 0 ? 0 : betaQuantile(tail, x, n - x + 1),
    upper: x === n ? 1 : betaQuantile(1 - tail, x + 1, n - x),
    reason: null,
  };
}
