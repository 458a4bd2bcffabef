import { gammaQ } from './distributions.ts';

/** Returns P(Z ≤ z) of the standard normal law, to about 1e-14 of itself in the lower tail. Source: Abramowitz & Stegun 26.2 and 6.5. */
export function normalCdf(z: number): number {
  const tail = gammaQ(0.5, (z * z) / 2) / 2;
  return z < 0 ? tail : 1 - tail;
}

/** Returns the p-quantile of the standard normal law; −Infinity for 0, Infinity for 1. */
export function normalQuantile(p: number): number {
  if (p <= 0 || p >= 1) return p <= 0 ? -Infinity : Infinity;
  if (p === 0.5) return 0;
  if (p > 0.5) return -normalQuantile(1 - p);
  // P(Z ≤ −39) is below the smallest double.
  let low = -39;
  let high = 0;
  for (let i = 0; i < 100; i++) {
    const middle = (low + high) / 2;
    if (normalCdf(middle) < p) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Returns the two-sided p value of a standard normal statistic. */
export function normalTwoSided(z: number): number {
  return Math.min(1, 2 * normalCdf(-Math.abs(z)));
}

/** Returns the z with P(−z < Z < z) = conf. */
export function normalHalfWidth(conf: number): number {
  return -normalQuantile((1 - conf) / 2);
}
