import type { Resampling } from './case-draws.ts';
import { bootstrapInterval } from './cluster-bootstrap.ts';
import { mersenneTwister } from './mersenne-twister.ts';
import { median } from './quantile.ts';

/** A median over cases with its percentile interval. */
export interface MedianOverCases {
  readonly median: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
}

/**
 * Returns the median of one number per case with a percentile interval from drawing cases anew.
 * Shape   `values` in the order of the case ids: another order draws other samples.
 * Missing no value: null; fewer than two, or all replicates alike: no interval.
 * Source  Efron & Tibshirani 1993, percentile interval; statistics 0 (the unit is the case).
 */
export function bootstrapMedian(values: readonly number[], { replicates, seed, conf }: Resampling & { readonly conf: number }): MedianOverCases {
  const middle = median(values);
  const n = values.length;
  if (middle === null || n < 2) return { median: middle, lower: null, upper: null };
  const { index } = mersenneTwister(seed);
  const sorted = Float64Array.from(values).sort();
  const rankOf = ranks(values);
  const times = new Uint32Array(n);
  const medians = new Float64Array(replicates);
  for (let r = 0; r < replicates; r++) {
    // A draw is how often each rank came: its median needs no sorting.
    times.fill(0);
    for (let i = 0; i < n; i++) {
      const rank = rankOf[index(n)] ?? 0;
      times[rank] = (times[rank] ?? 0) + 1;
    }
    const low = sorted[rankAt(times, Math.floor((n - 1) / 2))] ?? NaN;
    const high = sorted[rankAt(times, Math.floor(n / 2))] ?? NaN;
    medians[r] = low + (high - low) / 2;
  }
  const { percentile } = bootstrapInterval(middle, medians, new Float64Array(), conf);
  return { median: middle, lower: percentile?.[0] ?? null, upper: percentile?.[1] ?? null };
}

function ranks(values: readonly number[]): Uint32Array {
  const order = values.map((_, i) => i).sort((a, b) => (values[a] ?? NaN) - (values[b] ?? NaN));
  const out = new Uint32Array(values.length);
  order.forEach((at, rank) => {
    out[at] = rank;
  });
  return out;
}

/** The rank of the value that stands at a place (from 0) of the drawn values in order. */
function rankAt(times: Uint32Array, place: number): number {
  let seen = 0;
  for (let rank = 0; rank < times.length; rank++) {
    seen += times[rank] ?? 0;
    if (seen > place) return rank;
  }
  return times.length - 1;
}
