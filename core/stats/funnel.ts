import { betaI, binomialCdf, gammaQ } from './distributions.ts';
import { normalCdf, normalQuantile } from './normal.ts';
import { quantile } from './quantile.ts';

/** Tail on either side of the inner limits, 95 % between them. */
export const INNER_TAIL = 0.025;
/** Tail on either side of the outer limits, 99.8 % between them. */
export const OUTER_TAIL = 0.001;

/** Where one unit stands against a target. */
export interface FunnelPoint {
  /** null without cases. */
  readonly proportion: number | null;
  /** Chance of so many or more. */
  readonly pUpper: number | null;
  /** Chance of so many or fewer. */
  readonly pLower: number | null;
  readonly beyond95: boolean;
  readonly beyond998: boolean;
}

/** How much more units differ than chance alone makes them. */
export interface Overdispersion {
  readonly target: number | null;
  readonly z: readonly number[];
  readonly winsorised: readonly number[];
  readonly phi: number | null;
  readonly threshold: number | null;
  /** phi lies above its threshold: limits are widened by √phi. */
  readonly inflate: boolean;
  readonly reason: 'too-few-units' | 'no-spread-expected' | null;
}

/**
 * Returns the exact limit of a share of n cases at a tail probability, interpolated between whole numbers of cases.
 * Shape   r is the smallest whole number with P(R ≤ r) > tail; limit (r − (P(R ≤ r) − tail)/P(R = r))/n, cut to [0, 1].
 * Source  Spiegelhalter, Stat Med 2005;24:1185, appendix.
 */
export function funnelShareLimit(n: number, target: number, tail: number): number {
  if (target <= 0) return 0;
  if (target >= 1) return 1;
  return Math.min(1, Math.max(0, interpolated((r) => binomialCdf(r, n, target), tail, n) / n));
}

/**
 * Returns the exact limit of observed over expected events at a tail probability.
 * Shape   as `funnelShareLimit`, with the Poisson law of mean `expected`; cut to 0 from below.
 * Source  Spiegelhalter, Stat Med 2005;24:1185, appendix.
 */
export function funnelRatioLimit(expected: number, tail: number): number {
  const cdf = (r: number): number => (r < 0 ? 0 : gammaQ(r + 1, expected));
  return Math.max(0, interpolated(cdf, tail, Math.ceil(expected + 40 * Math.sqrt(expected) + 40))) / expected;
}

function interpolated(cdf: (r: number) => number, tail: number, most: number): number {
  let below = -1;
  let r = most;
  while (r - below > 1) {
    const middle = Math.floor((below + r) / 2);
    if (cdf(middle) > tail) r = middle;
    else below = middle;
  }
  const at = cdf(r);
  return r - (at - tail) / (at - cdf(r - 1));
}

/**
 * Returns where x cases of n stand against a target share. The status comes from the exact tail, not from a drawn curve.
 * Shape   `phi` widens: a unit is beyond when its tail is smaller than that of √phi times the normal deviate of the limit; 1 leaves the
 *         tails 0.025 and 0.001 as they are.
 * Missing no case: null, beyond nothing.
 * Source  Spiegelhalter, Stat Med 2005;24:1185. The widening of exact tails is this program's own.
 */
export function funnelPoint(x: number, n: number, target: number, phi = 1): FunnelPoint {
  if (!(n > 0)) return { proportion: null, pUpper: null, pLower: null, beyond95: false, beyond998: false };
  const pUpper = x <= 0 ? 1 : target <= 0 ? 0 : target >= 1 ? 1 : betaI(target, x, n - x + 1);
  const pLower = x >= n ? 1 : target <= 0 ? 1 : target >= 1 ? 0 : binomialCdf(x, n, target);
  const tail = Math.min(pUpper, pLower);
  return { proportion: x / n, pUpper, pLower, beyond95: tail < widenedTail(INNER_TAIL, phi), beyond998: tail < widenedTail(OUTER_TAIL, phi) };
}

function widenedTail(tail: number, phi: number): number {
  return phi === 1 ? tail : normalCdf(normalQuantile(tail) * Math.sqrt(phi));
}

/** Returns a limit moved away from the target by √phi, cut to [0, 1]. */
export function widenedLimit(limit: number, target: number, phi: number): number {
  return phi === 1 ? limit : Math.min(1, Math.max(0, target + (limit - target) * Math.sqrt(phi)));
}

/**
 * Returns how much more shares of units differ than chance alone makes them.
 * Shape   x cases of n per unit with at least one case; target total over total; distances cut at the `winsor` and 1 − `winsor`
 *         quantiles (type 7), phi the mean of their squares, threshold 1 + 2·√(2/k).
 * Missing fewer than two units, or a target of 0 or 1: null.
 * Source  Spiegelhalter, Stat Med 2005;24:1185; Qual Saf Health Care 2005;14:347.
 */
export function overdispersion(x: readonly number[], n: readonly number[], winsor: number): Overdispersion {
  const cases = n.reduce((sum, v) => sum + v, 0);
  const target = cases > 0 ? x.reduce((sum, v) => sum + v, 0) / cases : null;
  const nothing = { target, z: [], winsorised: [], phi: null, threshold: null, inflate: false };
  if (target === null || n.length < 2) return { ...nothing, reason: 'too-few-units' };
  if (target <= 0 || target >= 1) return { ...nothing, reason: 'no-spread-expected' };
  const z = n.map((d, i) => ((x[i] ?? NaN) / d - target) / Math.sqrt((target * (1 - target)) / d));
  const low = quantile(z, winsor) ?? NaN;
  const high = quantile(z, 1 - winsor) ?? NaN;
  const winsorised = z.map((v) => Math.min(high, Math.max(low, v)));
  const phi = winsorised.reduce((sum, v) => sum + v * v, 0) / winsorised.length;
  const threshold = 1 + 2 * Math.sqrt(2 / winsorised.length);
  return { target, z, winsorised, phi, threshold, inflate: phi > threshold, reason: null };
}
