import { mersenneTwister } from '../mersenne-twister.ts';
import { quantile } from '../quantile.ts';
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

/** More undefined samples than this share, and no interval is worth its name. */
const MOST_UNDEFINED = 0.05;

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
  if (cases.length < 2) return { ...none, reason: 'one-case' };
  const { index } = mersenneTwister(seed);
  const drawn = new Int32Array(size);
  const found: number[] = [];
  for (let r = 0; r < replicates; r++) {
    drawn.fill(0);
    for (let i = 0; i < tables.length; i++) {
      const table = tables[index(tables.length)];
      for (let cell = 0; cell < size; cell++) drawn[cell] = (drawn[cell] ?? 0) + (table?.[cell] ?? 0);
    }
    const one = kappaOf(drawn, categories);
    if (one !== null) found.push(one);
  }
  const undefinedReplicates = replicates - found.length;
  if (undefinedReplicates > MOST_UNDEFINED * replicates) return { ...none, undefinedReplicates, reason: 'too-many-undefined' };
  const range = found.reduce((most, v) => Math.max(most, v), -Infinity) - found.reduce((least, v) => Math.min(least, v), Infinity);
  if (range <= 1e-12 * Math.abs(kappa)) return { ...none, undefinedReplicates, reason: 'replicates-alike' };
  return { ...none, lower: quantile(found, (1 - conf) / 2), upper: quantile(found, 1 - (1 - conf) / 2), undefinedReplicates, reason: null };
}

/** Kappa alone, many thousand times. */
function kappaOf(table: Int32Array, k: number): number | null {
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
