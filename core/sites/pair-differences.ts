import type { PairDifferences } from '../model/site-comparison.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { subjectDifferences } from '../stats/agreement.ts';
import type { CommonGrid } from './common-grid.ts';

/** At most one stable pair of this long: consecutive seconds tell nothing new. */
const TILE_MS = 60_000;

/**
 * Returns the differences first − second of every instant at which both had information, or null for none.
 * Source  analysis-spec 9; docs/metrics/site-pairs.md.
 */
export function allDifferences({ first, second }: CommonGrid): PairDifferences | null {
  const differences: number[] = [];
  first.forEach((v, i) => {
    const d = v - (second[i] ?? NaN);
    if (!Number.isNaN(d)) differences.push(d);
  });
  return summaryOf(differences);
}

/** One stable pair. */
export interface StablePair {
  readonly atMs: number;
  readonly first: number;
  readonly second: number;
}

/**
 * Returns the pairs first(t), second(t + lag) of stable stretches, at most one a minute.
 * Shape   the first instant of each minute around which both sensors stay within `stablePoints` over `stableS` (at least
 *         one sample on either side), without a loss. `atMs` is the instant at the first sensor.
 * Units   per cent; lag in ms, rounded to a step.
 * Source  statistics e: align first, then stable stretches, one pair a minute at most.
 */
export function stablePairs({ first, second, startMs, stepMs }: CommonGrid, lagMs: number, parameters: AnalysisParameters): StablePair[] {
  const shift = Math.round(lagMs / stepMs);
  const reach = Math.max(1, Math.round((parameters.stableS * 500) / stepMs));
  const tile = Math.max(1, Math.round(TILE_MS / stepMs));
  const pairs: StablePair[] = [];
  for (let start = 0; start < first.length; start += tile) {
    for (let i = start; i < Math.min(start + tile, first.length); i++) {
      if (!isStable(first, i, reach, parameters.stablePoints) || !isStable(second, i + shift, reach, parameters.stablePoints)) continue;
      pairs.push({ atMs: startMs + i * stepMs, first: first[i] ?? NaN, second: second[i + shift] ?? NaN });
      break;
    }
  }
  return pairs;
}

/** Returns the differences first − second of stable pairs, or null for none. */
export function stableDifferences(pairs: readonly StablePair[]): PairDifferences | null {
  return summaryOf(pairs.map((pair) => pair.first - pair.second));
}

function isStable(values: Float64Array, at: number, reach: number, points: number): boolean {
  if (at - reach < 0 || at + reach >= values.length) return false;
  let low = Infinity;
  let high = -Infinity;
  for (let i = at - reach; i <= at + reach; i++) {
    const v = values[i] ?? NaN;
    if (Number.isNaN(v)) return false;
    low = Math.min(low, v);
    high = Math.max(high, v);
    if (high - low > points) return false;
  }
  return true;
}

function summaryOf(differences: readonly number[]): PairDifferences | null {
  if (differences.length === 0) return null;
  const { n, mean, sumSquares } = subjectDifferences(differences);
  return {
    n,
    bias: mean,
    sd: n > 1 ? Math.sqrt(sumSquares / (n - 1)) : null,
    rms: Math.sqrt(mean ** 2 + sumSquares / n),
    maxAbs: differences.reduce((most, d) => Math.max(most, Math.abs(d)), 0),
  };
}
