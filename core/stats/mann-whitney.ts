import { normalTwoSided } from './normal.ts';
import { drawSumLaw } from './rank-laws.ts';
import { commonDivisor, midranks, toTie } from './ranks.ts';

/** The rank-sum test of two groups. */
export interface MannWhitney {
  /** Pairs (x, y) with x above y, ties counted half. */
  readonly u: number | null;
  /** u over all pairs: the chance that a value of the first group lies above one of the second. */
  readonly superiority: number | null;
  /** Of the two that follow, the exact one where it could be counted. */
  readonly p: number | null;
  readonly method: 'exact' | 'normal' | null;
  /** From all ways of dealing the ranks to the groups, ties as they are; null where they are too many to count. */
  readonly pExact: number | null;
  /** With the variance corrected for ties; null where all values are equal. */
  readonly pAsymptotic: number | null;
  /** The same with the continuity correction, for comparison with other software. */
  readonly pAsymptoticCorrected: number | null;
  readonly reason: 'empty group' | 'all values equal' | null;
}

/**
 * Returns the Mann–Whitney test of one number per patient in two groups of different patients.
 * Shape   values in any order; equal up to 1e-9 is tied. Exact: as far from the middle as observed, over all arrangements of
 *         the midranks, counted while that is short (about 60 in each group, or few against many); beyond, the normal law with
 *         the variance corrected for ties, without continuity correction.
 * Missing an empty group: null. All values equal: p 1, with the reason. Values that are not finite are left out.
 * Source  Mann & Whitney, Ann Math Stat 1947;18:50; Hollander & Wolfe 4.1; statistics c.
 */
export function mannWhitney(x: readonly number[], y: readonly number[]): MannWhitney {
  const first = x.filter(Number.isFinite).map(toTie);
  const second = y.filter(Number.isFinite).map(toTie);
  const [m, n] = [first.length, second.length];
  const none = { method: null, pExact: null, pAsymptotic: null, pAsymptoticCorrected: null };
  if (m === 0 || n === 0) return { ...none, u: null, superiority: null, p: null, reason: 'empty group' };
  const { doubled, tieSum } = midranks([...first, ...second]);
  let doubledSum = 0;
  for (let i = 0; i < m; i++) doubledSum += doubled[i] ?? NaN;
  const u = (doubledSum - m * (m + 1)) / 2;
  const common = { u, superiority: u / (m * n) };
  const all = m + n;
  const variance = ((m * n) / 12) * (all + 1 - tieSum / (all * (all - 1)));
  if (!(variance > 0)) return { ...none, ...common, p: 1, reason: 'all values equal' };
  const pExact = exactP(doubled, doubledSum, m, n);
  const distance = Math.abs(u - (m * n) / 2);
  const pAsymptotic = normalTwoSided(distance / Math.sqrt(variance));
  const pAsymptoticCorrected = normalTwoSided(Math.max(0, distance - 0.5) / Math.sqrt(variance));
  return { ...common, p: pExact ?? pAsymptotic, method: pExact === null ? 'normal' : 'exact', pExact, pAsymptotic, pAsymptoticCorrected, reason: null };
}

function exactP(doubled: Float64Array, doubledSum: number, m: number, n: number): number | null {
  let total = 0;
  for (const rank of doubled) total += rank;
  // Whole numbers: the smallest rank is taken off all, and what divides the rest is divided out.
  const least = doubled.reduce((low, rank) => Math.min(low, rank), Infinity);
  const divisor = commonDivisor(doubled.map((rank) => rank - least));
  const few = Math.min(m, n);
  const observed = m <= n ? doubledSum : total - doubledSum;
  const law = drawSumLaw(doubled.map((rank) => (rank - least) / divisor), few);
  if (law === null) return null;
  const at = (observed - few * least) / divisor;
  const middle = ((few * total) / (m + n) - few * least) / divisor;
  const reach = Math.abs(at - middle) - 1e-9;
  let p = 0;
  law.forEach((chance, s) => {
    if (Math.abs(s - middle) >= reach) p += chance;
  });
  return Math.min(1, p);
}
