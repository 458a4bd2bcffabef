import type { BootstrapReason } from '../cluster-bootstrap.ts';
import { clusterBootstrap } from '../cluster-bootstrap.ts';
import type { AgreementReason } from './agreement-reason.ts';
import { cohenKappa } from './kappa.ts';

/** Kappa of two reviewers with an interval that keeps the units of one case together. */
export interface KappaClusterBootstrap {
  readonly kappa: number | null;
  /** The standard error if units were independent, for comparison. */
  readonly seIndependent: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** Samples in which one category only was used; left out. */
  readonly undefinedReplicates: number;
  readonly reason: AgreementReason | null;
}

const REASONS: Readonly<Record<BootstrapReason, AgreementReason>> = {
  'not defined': 'too-many-undefined',
  'one cluster': 'one-case',
  'too many draws not defined': 'too-many-undefined',
  'all draws alike': 'replicates-alike',
};

/**
 * Returns Cohen's kappa with a percentile interval from drawing whole cases anew.
 * Shape   cases[case]: the pairs (first reviewer's category, second's), categories 0 … categories − 1; cases in the order of their
 *         ids, since another order draws other samples.
 * Missing no kappa: null with its reason. One case, all samples alike, or more than 5 % of them undefined: no interval.
 * Source  Davison & Hinkley 1997, 3.8 (cases resampled whole); quantiles of type 7.
 */
export function kappaClusterBootstrap(cases: readonly (readonly (readonly [number, number])[])[], categories: number, replicates: number, seed: number, conf: number): KappaClusterBootstrap {
  const size = categories * categories;
  const tables = cases.map((pairs) => {
    const table = new Int32Array(size);
    for (const [a, b] of pairs) table[a * categories + b] = (table[a * categories + b] ?? 0) + 1;
    return table;
  });
  const whole = new Int32Array(size);
  for (const table of tables) table.forEach((v, cell) => (whole[cell] = (whole[cell] ?? 0) + v));
  const square = Array.from({ length: categories }, (_, i) => [...whole.subarray(i * categories, (i + 1) * categories)]);
  const { kappa, se, reason } = cohenKappa(square, conf);
  const none = { kappa, seIndependent: se, lower: null, upper: null, undefinedReplicates: 0 };
  if (kappa === null) return { ...none, reason };
  // Kappa hangs on the totals of the cells alone: one column per cell.
  const cells = Array.from({ length: size }, (_, cell) => Float64Array.from(tables, (table) => table[cell] ?? 0));
  const [drawn] = clusterBootstrap(cells, [(totals) => kappaOf(totals, categories) ?? NaN], { replicates, seed, conf });
  const undefinedReplicates = drawn?.dropped ?? 0;
  const { percentile = null, reason: noInterval = null } = drawn ?? {};
  if (percentile === null) return { ...none, undefinedReplicates, reason: REASONS[noInterval ?? 'not defined'] };
  return { ...none, lower: percentile[0], upper: percentile[1], undefinedReplicates, reason: null };
}

/** Kappa alone, many thousand times. */
function kappaOf(table: Float64Array, k: number): number | null {
  let n = 0;
  let same = 0;
  for (let i = 0; i < k; i++) {
    same += table[i * k + i] ?? 0;
    for (let j = 0; j < k; j++) n += table[i * k + j] ?? 0;
  }
  if (n === 0) return null;
  let chance = 0;
  for (let i = 0; i < k; i++) {
    let row = 0;
    let column = 0;
    for (let j = 0; j < k; j++) {
      row += table[i * k + j] ?? 0;
      column += table[j * k + i] ?? 0;
    }
    chance += (row / n) * (column / n);
  }
  return 1 - chance < 1e-12 ? null : (same / n - chance) / (1 - chance);
}
