import type { Resampling } from './case-draws.ts';
import { mersenneTwister } from './mersenne-twister.ts';

/** A number counted or measured in one case, over its time. */
export interface CaseTotal {
  readonly numerator: number;
  readonly denominator: number;
}

/** The permutation test of a difference of two ratios of totals, labels of whole cases dealt anew. */
export interface LabelPermutation {
  readonly difference: number | null;
  readonly pTwoSided: number | null;
  /** One-sided, for a higher ratio in the first group. */
  readonly pGreater: number | null;
  readonly method: 'exact' | 'drawn' | null;
  /** Arrangements that were looked at: all there are, or those drawn (without the observed one). */
  readonly arrangements: number;
  readonly reason: 'empty group' | null;
}

/** All arrangements are looked at up to this many. */
const MOST_EXACT = 200_000;
/** Differences closer than this are equal but for rounding. */
const SLACK = 1e-12;

/**
 * Returns whether the ratio of totals differs between two groups of different cases: if the groups were alike, any case could
 * have been in either.
 * Shape   cases of each group in the order of their ids. Exact over all arrangements while there are at most 200,000; else
 *         drawn: the cases (first group, then second) are shuffled anew for every replicate, and
 *         p = (count + 1)/(replicates + 1), never 0.
 * Missing a case without time (denominator 0) is no case; an empty group: null.
 * Source  Fisher 1935; Good, Permutation, Parametric and Bootstrap Tests of Hypotheses; Phipson & Smyth 2010.
 */
export function labelPermutation(first: readonly CaseTotal[], second: readonly CaseTotal[], resampling: Resampling): LabelPermutation {
  const firstCases = first.filter((one) => one.denominator > 0);
  const cases = [...firstCases, ...second.filter((one) => one.denominator > 0)];
  const m = firstCases.length;
  if (m === 0 || m === cases.length) return { difference: null, pTwoSided: null, pGreater: null, method: null, arrangements: 0, reason: 'empty group' };
  const numerators = Float64Array.from(cases, (one) => one.numerator);
  const denominators = Float64Array.from(cases, (one) => one.denominator);
  const [above, below] = [totalOf(numerators), totalOf(denominators)];
  const differenceOf = (members: ArrayLike<number>): number => {
    let y = 0;
    let t = 0;
    for (let i = 0; i < m; i++) {
      y += numerators[members[i] ?? -1] ?? NaN;
      t += denominators[members[i] ?? -1] ?? NaN;
    }
    return y / t - (above - y) / (below - t);
  };
  const difference = differenceOf(Uint32Array.from({ length: m }, (_, i) => i));
  let greater = 0;
  let extreme = 0;
  const count = (one: number): void => {
    if (one >= difference - SLACK) greater++;
    if (Math.abs(one) >= Math.abs(difference) - SLACK) extreme++;
  };
  const arrangements = choose(cases.length, m);
  if (arrangements <= MOST_EXACT) {
    for (const members of choices(cases.length, m)) count(differenceOf(members));
    return { difference, pTwoSided: extreme / arrangements, pGreater: greater / arrangements, method: 'exact', arrangements, reason: null };
  }
  const { shuffle } = mersenneTwister(resampling.seed);
  const order = Uint32Array.from(cases, (_, i) => i);
  for (let r = 0; r < resampling.replicates; r++) {
    shuffle(order);
    count(differenceOf(order));
  }
  const p = (times: number): number => (times + 1) / (resampling.replicates + 1);
  return { difference, pTwoSided: p(extreme), pGreater: p(greater), method: 'drawn', arrangements: resampling.replicates, reason: null };
}

function totalOf(values: Float64Array): number {
  let sum = 0;
  for (const value of values) sum += value;
  return sum;
}

/** The number of ways to choose m of n; Infinity where it is beyond counting. */
function choose(n: number, m: number): number {
  let ways = 1;
  for (let i = 1; i <= Math.min(m, n - m); i++) ways = Math.round((ways * (n - i + 1)) / i);
  return ways;
}

/** Every choice of m of the numbers 0 … n − 1, ascending; the same array each time. */
function* choices(n: number, m: number): Generator<Uint32Array> {
  const chosen = Uint32Array.from({ length: m }, (_, i) => i);
  for (;;) {
    yield chosen;
    let at = m - 1;
    while (at >= 0 && chosen[at] === n - m + at) at--;
    if (at < 0) return;
    const next = (chosen[at] ?? 0) + 1;
    for (let i = at; i < m; i++) chosen[i] = next + i - at;
  }
}
