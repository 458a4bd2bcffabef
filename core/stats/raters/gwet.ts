import { studentQuantile } from '../distributions.ts';
import type { AgreementReason } from './agreement-reason.ts';

/** Agreement with chance measured by how hard the units are to sort. */
export interface GwetAC1 {
  readonly ac1: number | null;
  readonly percentAgreement: number | null;
  readonly expectedAgreement: number | null;
  readonly se: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly reason: AgreementReason | null;
}

/**
 * Returns AC1 of two reviewers from their table, with its standard error (no correction for a finite population).
 * Shape   table as for `cohenKappa`: all categories of the form, used or not.
 * Missing no unit: null.
 * Source  Gwet, Br J Math Stat Psychol 2008;61:29.
 */
export function ac1OfTable(table: readonly (readonly number[])[]): { readonly ac1: number | null; readonly se: number | null } {
  const q = table.length;
  const n = table.reduce((sum, row) => sum + row.reduce((s, v) => s + v, 0), 0);
  if (!(n > 0) || q < 2) return { ac1: null, se: null };
  const p = (i: number, j: number): number => (table[i]?.[j] ?? 0) / n;
  const places = table.map((_, i) => i);
  const sum = (term: (i: number) => number): number => places.reduce((total, i) => total + term(i), 0);
  const pi = places.map((i) => sum((j) => p(i, j) + p(j, i)) / 2);
  const pa = sum((i) => p(i, i));
  const pe = pi.reduce((total, v) => total + v * (1 - v), 0) / (q - 1);
  const ac1 = (pa - pe) / (1 - pe);
  const own = sum((i) => p(i, i) * (1 - (pi[i] ?? NaN))) / (q - 1);
  const all = sum((i) => sum((j) => p(i, j) * (1 - ((pi[i] ?? NaN) + (pi[j] ?? NaN)) / 2) ** 2)) / (q - 1) ** 2;
  const variance = (pa * (1 - pa) - 4 * (1 - ac1) * (own - pa * pe) + 4 * (1 - ac1) ** 2 * (all - pe * pe)) / (n * (1 - pe) ** 2);
  return { ac1, se: Math.sqrt(Math.max(0, variance)) };
}

/**
 * Returns AC1 of any number of reviewers, some values missing.
 * Shape   units[unit]: the categories given to it, null where a reviewer gave none; `categories` are those of the form, not those seen.
 *         The interval uses Student's t with units − 1 degrees of freedom and is cut to [−1, 1].
 * Missing units without any value are left out; a unit with one value counts for chance only. No unit with two: null. One unit: no interval.
 * Source  Gwet, Br J Math Stat Psychol 2008;61:29; Handbook of Inter-Rater Reliability, 4th ed. 2014, p. 120.
 */
export function gwetAC1(units: readonly (readonly (number | null)[])[], categories: readonly number[], conf: number): GwetAC1 {
  const q = categories.length;
  const counts = units.map((unit) => categories.map((c) => unit.filter((v) => v === c).length)).filter((row) => row.some((v) => v > 0));
  const rated = counts.map((row) => row.reduce((sum, v) => sum + v, 0));
  const n = counts.length;
  const twice = rated.filter((r) => r >= 2).length;
  if (twice === 0 || q < 2) return { ac1: null, percentAgreement: null, expectedAgreement: null, se: null, lower: null, upper: null, reason: 'nothing-rated' };
  const agreement = counts.map((row, i) => {
    const r = rated[i] ?? NaN;
    return r >= 2 ? row.reduce((sum, v) => sum + v * (v - 1), 0) / (r * (r - 1)) : 0;
  });
  const pa = agreement.reduce((sum, v) => sum + v, 0) / twice;
  const pi = categories.map((_, c) => counts.reduce((sum, row, i) => sum + (row[c] ?? 0) / (rated[i] ?? NaN), 0) / n);
  const pe = pi.reduce((sum, v) => sum + v * (1 - v), 0) / (q - 1);
  const ac1 = (pa - pe) / (1 - pe);
  const found = { ac1, percentAgreement: pa, expectedAgreement: pe };
  if (n < 2) return { ...found, se: null, lower: null, upper: null, reason: null };
  let squares = 0;
  counts.forEach((row, i) => {
    const r = rated[i] ?? NaN;
    const chance = row.reduce((sum, v, c) => sum + (1 - (pi[c] ?? NaN)) * v, 0) / r / (q - 1);
    const direct = r >= 2 ? ((n / twice) * ((agreement[i] ?? NaN) - pe)) / (1 - pe) : 0;
    squares += (direct - (2 * (1 - ac1) * (chance - pe)) / (1 - pe) - ac1) ** 2;
  });
  const se = Math.sqrt(squares / (n * (n - 1)));
  const t = studentQuantile(1 - (1 - conf) / 2, n - 1);
  return { ...found, se, lower: Math.max(-1, ac1 - t * se), upper: Math.min(1, ac1 + t * se), reason: null };
}
