import { mersenneTwister } from './mersenne-twister.ts';

/** How clusters are drawn anew; printed beside every number that comes of it. */
export interface Resampling {
  readonly replicates: number;
  readonly seed: number;
}

/** A number worked out from the totals of columns over the drawn clusters. Not a finite number: not defined for these totals. */
export type OfTotals = (totals: Float64Array) => number;

/** Returns the statistic total of column `numerator` / total of column `denominator`. */
export function ratioOf(numerator: number, denominator: number): OfTotals {
  return (totals) => (totals[numerator] ?? NaN) / (totals[denominator] ?? NaN);
}

/**
 * Returns statistics of totals for clusters drawn anew, whole and with replacement, one list of replicates per statistic.
 * Shape   each column holds one number per cluster, in the order of the cluster ids: another order draws other samples. Every
 *         replicate draws as many clusters as there are, once for all columns and statistics, so what belongs to a cluster
 *         comes along. Fewer than 2²¹ clusters.
 * Missing a statistic that is not defined for a draw is NaN there.
 * Source  Davison & Hinkley 1997, 3.8; index and order of drawing: statistics 0.
 */
export function drawnStatistics(columns: readonly ArrayLike<number>[], statistics: readonly OfTotals[], { replicates, seed }: Resampling): Float64Array[] {
  const width = columns.length;
  const k = columns[0]?.length ?? 0;
  // One cluster's numbers side by side: a draw touches one place in memory, however many columns there are.
  const rows = new Float64Array(k * width);
  columns.forEach((column, c) => {
    for (let i = 0; i < k; i++) rows[i * width + c] = column[i] ?? NaN;
  });
  const { index } = mersenneTwister(seed);
  const totals = new Float64Array(width);
  const out = statistics.map(() => new Float64Array(replicates));
  for (let r = 0; r < replicates; r++) {
    totals.fill(0);
    for (let i = 0; i < k; i++) {
      const row = index(k) * width;
      for (let c = 0; c < width; c++) totals[c] = (totals[c] ?? NaN) + (rows[row + c] ?? NaN);
    }
    statistics.forEach((statistic, s) => {
      const value = statistic(totals);
      const into = out[s];
      if (into !== undefined) into[r] = Number.isFinite(value) ? value : NaN;
    });
  }
  return out;
}

/** Returns statistics of the totals of all clusters, each counted once. Missing not defined: NaN. */
export function statisticsOfAll(columns: readonly ArrayLike<number>[], statistics: readonly OfTotals[]): number[] {
  const totals = totalsOf(columns);
  return statistics.map((statistic) => statistic(totals)).map((value) => (Number.isFinite(value) ? value : NaN));
}

/** Returns statistics of the totals with each cluster left out in turn, one list per statistic in the order of the clusters. Missing not defined: NaN. */
export function leftOutStatistics(columns: readonly ArrayLike<number>[], statistics: readonly OfTotals[]): Float64Array[] {
  const k = columns[0]?.length ?? 0;
  const all = totalsOf(columns);
  const rest = new Float64Array(columns.length);
  const out = statistics.map(() => new Float64Array(k));
  for (let i = 0; i < k; i++) {
    columns.forEach((column, c) => {
      rest[c] = (all[c] ?? NaN) - (column[i] ?? NaN);
    });
    statistics.forEach((statistic, s) => {
      const value = statistic(rest);
      const into = out[s];
      if (into !== undefined) into[i] = Number.isFinite(value) ? value : NaN;
    });
  }
  return out;
}

function totalsOf(columns: readonly ArrayLike<number>[]): Float64Array {
  return Float64Array.from(columns, (column) => {
    let sum = 0;
    for (let i = 0; i < column.length; i++) sum += column[i] ?? NaN;
    return sum;
  });
}
