import type { AgreementReason } from './agreement-reason.ts';
import { normalQuantile } from '../normal.ts';
import { ac1OfTable } from './gwet.ts';

/** Agreement of two reviewers who put the same units into the same categories. */
export interface CohenKappa {
  readonly n: number;
  readonly percentAgreement: number | null;
  readonly expectedAgreement: number | null;
  readonly kappa: number | null;
  /** For the interval. */
  readonly se: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** Under no agreement beyond chance: for a test only, never for an interval. */
  readonly seNull: number | null;
  /** Kappa if all categories were equally frequent: (k·pₒ − 1)/(k − 1). */
  readonly pabak: number | null;
  /** Highest kappa that these margins allow. */
  readonly kappaMax: number | null;
  readonly ac1: number | null;
  readonly ac1Se: number | null;
  /** The four below for two categories only, the first of them being the positive one. */
  readonly prevalenceIndex: number | null;
  readonly biasIndex: number | null;
  readonly positiveAgreement: number | null;
  readonly negativeAgreement: number | null;
  readonly reason: AgreementReason | null;
}

/** Chance agreement nearer to 1 than this leaves nothing beyond it. */
const CERTAIN = 1e-12;

/**
 * Returns Cohen's kappa of a square table with what must stand beside it.
 * Shape   table[i][j]: units that the first reviewer put into category i and the second into j; categories are those of the form.
 * Missing no unit: everything null. One category used: kappa null, never 0.
 * Source  Cohen, Educ Psychol Meas 1960;20:37; standard errors: Fleiss, Cohen & Everitt, Psychol Bull 1969;72:323; PABAK and indices:
 *         Byrt, Bishop & Carlin, J Clin Epidemiol 1993;46:423 (from memory); positive and negative agreement: Cicchetti & Feinstein,
 *         J Clin Epidemiol 1990;43:551 (from memory).
 */
export function cohenKappa(table: readonly (readonly number[])[], conf: number): CohenKappa {
  const k = table.length;
  const at = (i: number, j: number): number => table[i]?.[j] ?? 0;
  const n = table.reduce((sum, row) => sum + row.reduce((s, v) => s + v, 0), 0);
  const nothing = {
    n, percentAgreement: null, expectedAgreement: null, kappa: null, se: null, lower: null, upper: null, seNull: null, pabak: null, kappaMax: null, ac1: null, ac1Se: null,
    prevalenceIndex: null, biasIndex: null, positiveAgreement: null, negativeAgreement: null,
  };
  if (!(n > 0)) return { ...nothing, reason: 'nothing-rated' };
  const rows = table.map((_, i) => table.reduce((sum, _row, j) => sum + at(i, j), 0) / n);
  const columns = table.map((_, j) => table.reduce((sum, _row, i) => sum + at(i, j), 0) / n);
  const po = table.reduce((sum, _, i) => sum + at(i, i), 0) / n;
  const pe = rows.reduce((sum, r, i) => sum + r * (columns[i] ?? NaN), 0);
  const { ac1, se: ac1Se } = ac1OfTable(table);
  const [[a, b], [c, d]] = [[at(0, 0), at(0, 1)], [at(1, 0), at(1, 1)]];
  const plain = {
    ...nothing,
    percentAgreement: po,
    expectedAgreement: pe,
    pabak: (k * po - 1) / (k - 1),
    ac1,
    ac1Se,
    ...(k === 2 && {
      prevalenceIndex: (a - d) / n,
      biasIndex: (b - c) / n,
      positiveAgreement: a + b + c > 0 ? (2 * a) / (2 * a + b + c) : null,
      negativeAgreement: d + b + c > 0 ? (2 * d) / (2 * d + b + c) : null,
    }),
  };
  if (1 - pe < CERTAIN) return { ...plain, reason: 'one-category' };
  const kappa = (po - pe) / (1 - pe);
  let own = 0;
  let cross = 0;
  let margins = 0;
  for (let i = 0; i < k; i++) {
    const sum = (rows[i] ?? NaN) + (columns[i] ?? NaN);
    own += (at(i, i) / n) * (1 - sum * (1 - kappa)) ** 2;
    margins += (rows[i] ?? NaN) * (columns[i] ?? NaN) * sum;
    for (let j = 0; j < k; j++) if (i !== j) cross += (at(i, j) / n) * ((columns[i] ?? NaN) + (rows[j] ?? NaN)) ** 2;
  }
  const variance = (own + (1 - kappa) ** 2 * cross - (kappa - pe * (1 - kappa)) ** 2) / (n * (1 - pe) ** 2);
  const se = Math.sqrt(Math.max(0, variance));
  const z = -normalQuantile((1 - conf) / 2);
  return {
    ...plain,
    kappa,
    se,
    lower: Math.max(-1, kappa - z * se),
    upper: Math.min(1, kappa + z * se),
    seNull: Math.sqrt(Math.max(0, pe + pe * pe - margins) / n) / (1 - pe),
    kappaMax: (rows.reduce((sum, r, i) => sum + Math.min(r, columns[i] ?? NaN), 0) - pe) / (1 - pe),
    reason: null,
  };
}
