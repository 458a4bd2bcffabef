import { chiSquareUpper } from './distributions.ts';
import { exitOrder } from './survival-steps.ts';
import type { CensoredTime } from './survival-steps.ts';

/** A censored time of one of the groups that are compared. */
export interface GroupedTime extends CensoredTime {
  readonly group: string;
  /** Times are compared within a stratum only; one name for all: no strata. */
  readonly stratum: string;
}

/** Why there is no test: no event at all, or no event at which two groups of one stratum were at risk. */
export type LogRankReason = 'no event' | 'groups never at risk together';

/** Result of the log-rank test; `groups`, `observed` and `expected` have one entry per group, groups in order of their names. */
export interface LogRank {
  readonly groups: readonly string[];
  readonly observed: readonly number[];
  readonly expected: readonly number[];
  readonly chiSquare: number | null;
  readonly df: number | null;
  readonly p: number | null;
  /** Strata with an event at which more than one group was at risk: only they say anything. */
  readonly informativeStrata: number;
  readonly reason: LogRankReason | null;
}

/** A pivot below this share of the largest variance is rounding: that direction was not compared. */
const SINGULAR = 1e-10;

/**
 * Returns the log-rank test of groups, within strata.
 * Shape   times in any order. Degrees of freedom are the directions that were compared: one less than the groups with expected
 *         events, fewer where some groups never stood against others.
 * Missing no event, or no stratum with two groups at risk: no test, with the reason.
 * Source  Mantel, Cancer Chemother Rep 1966;50:163, hypergeometric variance; strata: sums over them.
 */
export function logRank(times: readonly GroupedTime[]): LogRank {
  const groups = [...new Set(times.map((one) => one.group))].sort();
  const numbers = new Map(groups.map((group, i) => [group, i]));
  const k = groups.length;
  const observed = groups.map(() => 0);
  const expected = groups.map(() => 0);
  const variance = groups.map(() => new Float64Array(k));
  let informativeStrata = 0;
  for (const stratum of byStratum(times).values()) {
    const order = exitOrder(stratum);
    const atRisk = groups.map(() => 0);
    for (const one of stratum) add(atRisk, numbers.get(one.group), 1);
    let isInformative = false;
    let i = 0;
    while (i < order.length) {
      const time = stratum[order[i] ?? 0]?.time ?? NaN;
      const n = order.length - i;
      const leaving = groups.map(() => 0);
      let d = 0;
      for (; i < order.length; i++) {
        const one = stratum[order[i] ?? 0];
        if (one?.time !== time) break;
        const group = numbers.get(one.group);
        add(leaving, group, 1);
        if (!one.isEvent) continue;
        d++;
        add(observed, group, 1);
      }
      if (d > 0) {
        const scale = n > 1 ? (d * (n - d)) / (n - 1) : 0;
        for (let g = 0; g < k; g++) {
          const share = (atRisk[g] ?? NaN) / n;
          if (share === 0) continue;
          add(expected, g, d * share);
          if (share < 1) isInformative = true;
          const row = variance[g];
          if (row === undefined) continue;
          for (let h = 0; h < k; h++) row[h] = (row[h] ?? NaN) + scale * share * ((g === h ? 1 : 0) - (atRisk[h] ?? NaN) / n);
        }
      }
      leaving.forEach((count, g) => add(atRisk, g, -count));
    }
    if (isInformative) informativeStrata++;
  }
  const plain = { groups, observed, expected, informativeStrata };
  if (observed.every((count) => count === 0)) return { ...plain, chiSquare: null, df: null, p: null, reason: 'no event' };
  const { value, rank } = quadraticForm(observed.map((o, g) => o - (expected[g] ?? NaN)), variance);
  if (rank === 0) return { ...plain, chiSquare: null, df: null, p: null, reason: 'groups never at risk together' };
  return { ...plain, chiSquare: value, df: rank, p: chiSquareUpper(value, rank), reason: null };
}

function byStratum(times: readonly GroupedTime[]): Map<string, GroupedTime[]> {
  const strata = new Map<string, GroupedTime[]>();
  for (const one of times) {
    const known = strata.get(one.stratum);
    if (known === undefined) strata.set(one.stratum, [one]);
    else known.push(one);
  }
  return strata;
}

function add(counts: number[], at: number | undefined, more: number): void {
  if (at !== undefined) counts[at] = (counts[at] ?? 0) + more;
}

/** x'V⁻x with a generalised inverse of the symmetric V, by elimination with the largest pivot first; and the rank of V. */
function quadraticForm(x: readonly number[], v: readonly Float64Array[]): { value: number; rank: number } {
  const left = [...x];
  const matrix = v.map((row) => [...row]);
  const at = (g: number, h: number): number => matrix[g]?.[h] ?? NaN;
  const open = new Set(x.map((_, g) => g));
  const largest = Math.max(0, ...x.map((_, g) => at(g, g)));
  let value = 0;
  let rank = 0;
  for (;;) {
    const pivot = [...open].sort((a, b) => at(b, b) - at(a, a) || a - b)[0];
    if (pivot === undefined || !(at(pivot, pivot) > SINGULAR * largest)) return { value, rank };
    const d = at(pivot, pivot);
    const own = left[pivot] ?? NaN;
    value += (own * own) / d;
    rank++;
    open.delete(pivot);
    for (const g of open) {
      const factor = at(g, pivot) / d;
      left[g] = (left[g] ?? NaN) - factor * own;
      const row = matrix[g];
      if (row !== undefined) for (const h of open) row[h] = (row[h] ?? NaN) - factor * at(pivot, h);
    }
  }
}
