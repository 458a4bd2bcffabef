import { normalTwoSided } from './normal.ts';
import { coinSumLaw } from './rank-laws.ts';
import { commonDivisor, midranks, toTie } from './ranks.ts';

/** What becomes of pairs without a difference: ranked and then left out, or left out before. */
export type ZeroRule = 'pratt' | 'wilcox';

/** The signed-rank test of paired differences. */
export interface SignedRank {
  readonly n: number;
  readonly nonzero: number;
  readonly vPlus: number | null;
  readonly vMinus: number | null;
  /** Of the two that follow, the exact one where it could be counted. */
  readonly p: number | null;
  readonly method: 'exact' | 'normal' | null;
  /** From all patterns of signs; null where they are too many to count. */
  readonly pExact: number | null;
  /** One-sided, exact, for positive differences. */
  readonly pGreater: number | null;
  readonly z: number | null;
  readonly pAsymptotic: number | null;
  /** The same with the continuity correction, for comparison with other software. */
  readonly pAsymptoticCorrected: number | null;
  readonly reason: 'no pair' | 'no difference' | null;
}

/**
 * Returns the Wilcoxon signed-rank test of one difference per patient.
 * Shape   differences in any order; equal up to 1e-9 is tied (midranks). Exact: the law of the sum of the ranks under all
 *         patterns of signs, counted for up to about 300 differences; two-sided p = 2 × the smaller tail. Beyond: the normal
 *         law with the variance Σ r²/4, without continuity correction.
 * Missing no pair: null. No difference anywhere: p 1, with the reason. Values that are not finite are left out.
 * Source  Wilcoxon 1945; Pratt, JASA 1959;54:655; Hollander & Wolfe 3.1; statistics c.
 */
export function signedRank(differences: readonly number[], { zeros }: { readonly zeros: ZeroRule }): SignedRank {
  const all = differences.filter(Number.isFinite).map(toTie);
  const kept = zeros === 'pratt' ? all : all.filter((d) => d !== 0);
  const n = all.length;
  const { doubled } = midranks(kept.map(Math.abs));
  const used = doubled.filter((_, i) => kept[i] !== 0);
  const nonzero = used.length;
  const none = { n, nonzero, vMinus: null, method: null, pExact: null, pGreater: null, z: null, pAsymptotic: null, pAsymptoticCorrected: null };
  if (n === 0) return { ...none, vPlus: null, p: null, reason: 'no pair' };
  if (nonzero === 0) return { ...none, vPlus: 0, vMinus: 0, p: 1, reason: 'no difference' };
  let plus = 0;
  let total = 0;
  let squares = 0;
  doubled.forEach((rank, i) => {
    const d = kept[i] ?? 0;
    if (d === 0) return;
    if (d > 0) plus += rank;
    total += rank;
    squares += rank ** 2;
  });
  const divisor = commonDivisor(used);
  const law = coinSumLaw(used.map((rank) => rank / divisor));
  const upper = law === null ? null : tailSum(law, plus / divisor, law.length - 1);
  const pExact = law === null || upper === null ? null : Math.min(1, 2 * Math.min(upper, tailSum(law, 0, plus / divisor)));
  // Ranks are doubled, so their sums and the root of the sum of squares are halved together.
  const distance = plus - total / 2;
  const sd = Math.sqrt(squares / 4);
  const z = distance / sd;
  const pAsymptotic = normalTwoSided(z);
  return {
    n,
    nonzero,
    vPlus: plus / 2,
    vMinus: (total - plus) / 2,
    p: pExact ?? pAsymptotic,
    method: pExact === null ? 'normal' : 'exact',
    pExact,
    pGreater: upper,
    z,
    pAsymptotic,
    pAsymptoticCorrected: normalTwoSided(Math.max(0, Math.abs(distance) - 1) / sd),
    reason: null,
  };
}

function tailSum(law: Float64Array, from: number, to: number): number {
  let sum = 0;
  for (let s = from; s <= to; s++) sum += law[s] ?? 0;
  return sum;
}
