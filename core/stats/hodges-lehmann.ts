import { orderLimits, rankSumLaw, signedRankLaw } from './rank-laws.ts';
import { toTie } from './ranks.ts';
import { kthSum } from './select-sum.ts';

/** A middle of differences with its interval. */
export interface HodgesLehmann {
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** The interval reaches from the rank-th smallest to the rank-th largest of all averages (or differences). */
  readonly rank: number | null;
  readonly achievedConf: number | null;
  readonly reason: 'no value' | 'too few values' | 'no difference' | null;
}

const NOTHING = { estimate: null, lower: null, upper: null, rank: null, achievedConf: null };

/**
 * Returns the median of the averages of every two of the differences (each with itself too), with its distribution-free interval.
 * Shape   all differences, zeros included. The n(n + 1)/2 averages are never made: each order statistic is selected.
 * Missing no value: null. Fewer than 6 differences have no 95 % interval; all 0: estimate 0 and no interval.
 * Source  Hodges & Lehmann, Ann Math Stat 1963;34:598; Hollander & Wolfe 3.2–3.3: the law of the signed-rank statistic without
 *         ties, exact to about 450 differences, beyond normal with the fourth cumulant. With ties the interval is conservative.
 */
export function hodgesLehmann(differences: readonly number[], conf: number): HodgesLehmann {
  const sorted = Float64Array.from(differences.filter(Number.isFinite), toTie).sort();
  const n = sorted.length;
  if (n === 0) return { ...NOTHING, reason: 'no value' };
  if (sorted.every((d) => d === 0)) return { ...NOTHING, estimate: 0, reason: 'no difference' };
  const count = (n * (n + 1)) / 2;
  const kth = (k: number): number => kthSum(sorted, sorted, k, true) / 2;
  return limitsOf(kth, count, orderLimits(signedRankLaw(n), (1 - conf) / 2));
}

/**
 * Returns how far the values of one group lie above those of another: the median of all differences x − y, with its interval.
 * Missing an empty group: null. Too few values for the wanted confidence: no interval.
 * Source  Hodges & Lehmann 1963; Hollander & Wolfe 4.2–4.3, with the law of the rank sum without ties.
 */
export function hodgesLehmannShift(x: readonly number[], y: readonly number[], conf: number): HodgesLehmann {
  const first = Float64Array.from(x.filter(Number.isFinite)).sort();
  const second = Float64Array.from(y.filter(Number.isFinite), (value) => -value).sort();
  if (first.length === 0 || second.length === 0) return { ...NOTHING, reason: 'no value' };
  const kth = (k: number): number => kthSum(first, second, k, false);
  return limitsOf(kth, first.length * second.length, orderLimits(rankSumLaw(first.length, second.length), (1 - conf) / 2));
}

function limitsOf(kth: (k: number) => number, count: number, limits: ReturnType<typeof orderLimits>): HodgesLehmann {
  const low = kth(Math.ceil(count / 2));
  const estimate = count % 2 === 1 ? low : (low + kth(count / 2 + 1)) / 2;
  if (limits === null) return { ...NOTHING, estimate, reason: 'too few values' };
  return { estimate, lower: kth(limits.rank), upper: kth(count + 1 - limits.rank), rank: limits.rank, achievedConf: limits.achievedConf, reason: null };
}
