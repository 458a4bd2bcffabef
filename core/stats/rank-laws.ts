import { normalCdf } from './normal.ts';

/*
 * The laws of the signed-rank and of the rank-sum statistic without ties. Exact where the counting is short; beyond, the
 * normal law with the continuity correction and the term of the fourth cumulant (both are symmetric, so the third is 0),
 * whose error at these sizes is far below one step of the statistic.
 */

/** Additions that an exact law may cost: about a tenth of a second. */
const MOST_WORK = 5e7;

/** A statistic that takes whole numbers from 0 to `most`, symmetric about the middle. */
export interface RankLaw {
  readonly most: number;
  readonly isExact: boolean;
  /** P(statistic ≤ x) for a whole x. */
  readonly cdf: (x: number) => number;
}

/** Returns P(sum = s), s from 0, of the sum of those weights whose fair coin falls on heads; null where it would take too long. Shape: weights whole numbers ≥ 0. */
export function coinSumLaw(weights: ArrayLike<number>): Float64Array | null {
  let total = 0;
  for (let i = 0; i < weights.length; i++) total += weights[i] ?? 0;
  if (weights.length * total > MOST_WORK) return null;
  const law = new Float64Array(total + 1);
  law[0] = 1;
  let reached = 0;
  for (let i = 0; i < weights.length; i++) {
    const w = weights[i] ?? 0;
    reached += w;
    for (let s = reached; s >= 0; s--) law[s] = ((law[s] ?? 0) + (s >= w ? (law[s - w] ?? 0) : 0)) / 2;
  }
  return law;
}

/**
 * Returns P(sum = s), s from 0, of the sum of `m` of the weights drawn without replacement; null where it would take too long.
 * Shape   weights whole numbers ≥ 0; 0 ≤ m ≤ their number.
 */
export function drawSumLaw(weights: ArrayLike<number>, m: number): Float64Array | null {
  const n = weights.length;
  let most = 0;
  for (const w of Array.from(weights).sort((a, b) => b - a).slice(0, m)) most += w;
  if (n * m * most > 2 * MOST_WORK) return null;
  const width = most + 1;
  // Row j: P(j of the weights seen so far are drawn, with this sum), each weight taken with the chance that the draws left give it.
  const law = new Float64Array((m + 1) * width);
  law[0] = 1;
  for (let i = 0; i < n; i++) {
    const w = weights[i] ?? 0;
    const left = n - i;
    for (let j = Math.min(m, i + 1); j >= 0; j--) {
      const stay = Math.max(0, left - (m - j)) / left;
      const take = j > 0 ? Math.max(0, m - j + 1) / left : 0;
      const to = j * width;
      for (let s = most; s >= 0; s--) {
        const taken = take > 0 && s >= w ? take * (law[to - width + s - w] ?? 0) : 0;
        law[to + s] = stay * (law[to + s] ?? 0) + taken;
      }
    }
  }
  return law.slice(m * width);
}

/** Returns the law of the signed-rank statistic of n untied pairs. Source: Hollander & Wolfe 3.1. */
export function signedRankLaw(n: number): RankLaw {
  const most = (n * (n + 1)) / 2;
  const exact = coinSumLaw(Float64Array.from({ length: n }, (_, i) => i + 1));
  if (exact !== null) return exactLaw(exact, most);
  // Σ r⁴ over ranks 1 … n; the fourth cumulant of a fair coin is −1/8.
  const fourth = (n * (n + 1) * (2 * n + 1) * (3 * n * n + 3 * n - 1)) / 30;
  return normalLaw(most, (n * (n + 1) * (2 * n + 1)) / 24, -fourth / 8);
}

/** Returns the law of the rank-sum statistic U of m and n untied values. Source: Mann & Whitney 1947; fourth cumulant: Fix & Hodges, Ann Math Stat 1955;26:301. */
export function rankSumLaw(m: number, n: number): RankLaw {
  const few = Math.min(m, n);
  const exact = drawSumLaw(Float64Array.from({ length: m + n }, (_, i) => i), few);
  // Ranks from 0: the smallest sum is 0 + … + (few − 1), where U is 0.
  if (exact !== null) return exactLaw(exact.slice((few * (few - 1)) / 2), m * n);
  return normalLaw(m * n, (m * n * (m + n + 1)) / 12, (-m * n * (m + n + 1) * (m * m + n * n + m * n + m + n)) / 120);
}

/**
 * Returns the largest rank k with P(statistic ≤ k − 1) ≤ tail, and the chance that the k-th smallest to the k-th largest of
 * the averages (or differences) hold the parameter; null when even k = 1 exceeds the tail.
 */
export function orderLimits(law: RankLaw, tail: number): { readonly rank: number; readonly achievedConf: number } | null {
  let low = 0;
  let high = Math.floor(law.most / 2) + 1;
  // The law rises: the largest k lies where it passes the tail.
  while (low < high) {
    const k = Math.ceil((low + high) / 2);
    if (law.cdf(k - 1) <= tail) low = k;
    else high = k - 1;
  }
  return low === 0 ? null : { rank: low, achievedConf: 1 - 2 * law.cdf(low - 1) };
}

function exactLaw(law: Float64Array, most: number): RankLaw {
  const cumulated = new Float64Array(law.length);
  let sum = 0;
  law.forEach((p, s) => {
    sum += p;
    cumulated[s] = sum;
  });
  return { most, isExact: true, cdf: (x) => (x < 0 ? 0 : (cumulated[Math.min(x, most)] ?? 1)) };
}

function normalLaw(most: number, variance: number, cumulant4: number): RankLaw {
  const sd = Math.sqrt(variance);
  const excess = cumulant4 / variance ** 2;
  return {
    most,
    isExact: false,
    cdf: (x) => {
      const z = (x + 0.5 - most / 2) / sd;
      const density = Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);
      return Math.min(1, Math.max(0, normalCdf(z) - (density * excess * (z ** 3 - 3 * z)) / 24));
    },
  };
}
