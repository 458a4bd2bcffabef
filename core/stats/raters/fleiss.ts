import type { AgreementReason } from './agreement-reason.ts';

/** Agreement of several interchangeable reviewers, as many for every unit. */
export interface FleissKappa {
  readonly subjects: number;
  readonly raters: number;
  readonly percentAgreement: number | null;
  readonly expectedAgreement: number | null;
  readonly kappa: number | null;
  /** Under no agreement beyond chance: for z only, never for an interval. */
  readonly seNull: number | null;
  readonly z: number | null;
  readonly reason: AgreementReason | null;
}

/**
 * Returns Fleiss' kappa.
 * Shape   counts[unit][category]: reviewers who chose it; every row adds up to the same number, at least two.
 * Missing no unit, rows of different sums or of fewer than two: null. One category used: kappa null.
 * Source  Fleiss, Psychol Bull 1971;76:378; null standard error: Fleiss, Nee & Landis, Psychol Bull 1979;86:974.
 */
export function fleissKappa(counts: readonly (readonly number[])[]): FleissKappa {
  const subjects = counts.length;
  const sums = counts.map((row) => row.reduce((sum, v) => sum + v, 0));
  const raters = sums[0] ?? 0;
  const nothing = { subjects, raters, percentAgreement: null, expectedAgreement: null, kappa: null, seNull: null, z: null };
  if (subjects === 0 || raters < 2) return { ...nothing, reason: 'nothing-rated' };
  if (sums.some((sum) => sum !== raters)) return { ...nothing, reason: 'unequal-raters' };
  const categories = (counts[0] ?? []).map((_, c) => counts.reduce((sum, row) => sum + (row[c] ?? 0), 0) / (subjects * raters));
  const pairs = counts.reduce((sum, row) => sum + row.reduce((s, v) => s + v * v, 0) - raters, 0);
  const percentAgreement = pairs / (subjects * raters * (raters - 1));
  const expectedAgreement = categories.reduce((sum, p) => sum + p * p, 0);
  if (1 - expectedAgreement < 1e-12) return { ...nothing, percentAgreement, expectedAgreement, reason: 'one-category' };
  const kappa = (percentAgreement - expectedAgreement) / (1 - expectedAgreement);
  const pq = categories.reduce((sum, p) => sum + p * (1 - p), 0);
  const skew = categories.reduce((sum, p) => sum + p * (1 - p) * (1 - 2 * p), 0);
  const seNull = Math.sqrt(Math.max(0, 2 * (pq * pq - skew))) / (pq * Math.sqrt(subjects * raters * (raters - 1)));
  return { subjects, raters, percentAgreement, expectedAgreement, kappa, seNull, z: seNull > 0 ? kappa / seNull : null, reason: null };
}
