import { normalQuantile } from '../normal.ts';
import type { AgreementReason } from './agreement-reason.ts';

/** How far apart two categories are: by their distance, its square, or a matrix with 0 on its diagonal. */
export type DisagreementWeights = 'linear' | 'quadratic' | readonly (readonly number[])[];

/** Agreement of two reviewers on ordered categories. */
export interface WeightedKappa {
  readonly kappa: number | null;
  readonly se: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly reason: AgreementReason | null;
}

/**
 * Returns kappa with weights of disagreement: |i − j|/(k − 1), its square, or given ones (their scale does not matter).
 * Shape   table as for `cohenKappa`.
 * Missing no unit, or no disagreement to expect by chance: null.
 * Source  Cohen, Psychol Bull 1968;70:213; standard error: Fleiss, Cohen & Everitt, Psychol Bull 1969;72:323.
 */
export function weightedKappa(table: readonly (readonly number[])[], weights: DisagreementWeights, conf: number): WeightedKappa {
  const k = table.length;
  const places = table.map((_, i) => i);
  const n = table.reduce((sum, row) => sum + row.reduce((s, v) => s + v, 0), 0);
  if (!(n > 0)) return { kappa: null, se: null, lower: null, upper: null, reason: 'nothing-rated' };
  const p = (i: number, j: number): number => (table[i]?.[j] ?? 0) / n;
  const given = (i: number, j: number): number => (typeof weights === 'string' ? (Math.abs(i - j) / (k - 1)) ** (weights === 'linear' ? 1 : 2) : (weights[i]?.[j] ?? NaN));
  const most = places.reduce((high, i) => places.reduce((h, j) => Math.max(h, given(i, j)), high), 0);
  /** Weight of agreement: 1 on the diagonal, 0 for the farthest. */
  const v = (i: number, j: number): number => 1 - given(i, j) / most;
  const sum = (term: (i: number) => number): number => places.reduce((total, i) => total + term(i), 0);
  const rows = places.map((i) => sum((j) => p(i, j)));
  const columns = places.map((j) => sum((i) => p(i, j)));
  const po = sum((i) => sum((j) => v(i, j) * p(i, j)));
  const pe = sum((i) => sum((j) => v(i, j) * (rows[i] ?? NaN) * (columns[j] ?? NaN)));
  if (!(1 - pe > 1e-12)) return { kappa: null, se: null, lower: null, upper: null, reason: 'one-category' };
  const kappa = (po - pe) / (1 - pe);
  const rowMean = places.map((i) => sum((j) => (columns[j] ?? NaN) * v(i, j)));
  const columnMean = places.map((j) => sum((i) => (rows[i] ?? NaN) * v(i, j)));
  const spread = sum((i) => sum((j) => p(i, j) * (v(i, j) - ((rowMean[i] ?? NaN) + (columnMean[j] ?? NaN)) * (1 - kappa)) ** 2));
  const se = Math.sqrt(Math.max(0, spread - (kappa - pe * (1 - kappa)) ** 2) / n) / (1 - pe);
  const z = -normalQuantile((1 - conf) / 2);
  return { kappa, se, lower: Math.max(-1, kappa - z * se), upper: Math.min(1, kappa + z * se), reason: null };
}
