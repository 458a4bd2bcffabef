import { addSums, correlationOf, noPairs, sampledSums, type PairSums } from '../stats/sampled-correlation.ts';
import { mersenneTwister } from '../stats/mersenne-twister.ts';
import { quantileOfSorted } from '../stats/quantile.ts';
import type { CoursePair } from './course-pair.ts';

/** Where the one course fits the other best, and how surely. Shifts in steps of the grid. */
export interface CourseFit {
  /** Correlation at every shift from −maxShift to maxShift. */
  readonly r: readonly (number | null)[];
  readonly maxShift: number;
  readonly shift: number;
  readonly low: number;
  readonly high: number;
  readonly n: number;
  readonly peak: number;
  /** Highest correlation away from the peak; null where there is none. */
  readonly next: number | null;
  /** Fisher's z of the peak over its standard error, with as many independent pairs as the courses' own persistence leaves. */
  readonly z: number;
  /** Share of the replicates whose best shift lies at this peak. */
  readonly share: number;
}

const REPLICATES = 200;
const SEED = 20310304;
/** Shifts of the replicates away from the peak are looked at on every so many places of the grid. */
const COARSE = 5;
const LEAST_PAIRS = 30;
const LEAST_BLOCKS = 4;

/**
 * Returns the best shift of the samples `from` up to `to` against the grid, null where no shift has enough pairs (30, and half as
 * many as the shift with the most).
 * Shape   the limits are the 2.5 and 97.5 % quantiles of the best shift over 200 draws of blocks of samples, within the peak;
 *         a fixed seed, so that the same case gives the same limits.
 * Source  Fisher's z with Bartlett's variance for two persistent series: Box & Jenkins, Time Series Analysis, ch. 11;
 *         moving-block draws: Künsch, Ann Stat 1989;17:1217 (from memory). docs/methods/clock-offset.md.
 */
export function fitCourse(pair: CoursePair, maxShift: number, from: number, to: number): CourseFit | null {
  const { value, at, grid, awayPlaces } = pair;
  const sums: PairSums[] = [];
  for (let k = -maxShift; k <= maxShift; k++) sums.push(sampledSums(value, at, grid, k, from, to));
  const most = sums.reduce((max, { n }) => Math.max(max, n), 0);
  const minPairs = Math.max(LEAST_PAIRS, most / 2);
  const r = sums.map((own) => correlationOf(own, minPairs));
  const best = bestOf(r, 0, r.length - 1);
  if (best === null) return null;
  const peak = r[best] ?? 0;
  const zone = peakZone(r, best, awayPlaces);
  const nextBest = [bestOf(r, 0, zone.from - 1), bestOf(r, zone.to + 1, r.length - 1)].flatMap((i) => (i === null ? [] : [r[i] ?? -1]));
  const next = nextBest.length === 0 ? null : Math.max(...nextBest);
  const n = sums[best]?.n ?? 0;
  const independent = n / Math.max(1, persistence(pair, from, to));
  const z = Math.atanh(Math.min(0.9999, Math.max(0, peak))) * Math.sqrt(Math.max(0, independent - 3));
  return { r, maxShift, shift: best - maxShift, n, peak, next, z, ...drawn(pair, { r, maxShift, zone, minPairs }, from, to) };
}

interface Zone {
  readonly from: number;
  readonly to: number;
}

function bestOf(r: readonly (number | null)[], from: number, to: number): number | null {
  const middle = (r.length - 1) / 2;
  let best: number | null = null;
  for (let i = Math.max(0, from); i <= Math.min(to, r.length - 1); i++) {
    const own = r[i] ?? null;
    if (own === null) continue;
    const highest = best === null ? null : (r[best] ?? null);
    if (highest === null || own > highest || (own === highest && Math.abs(i - middle) < Math.abs((best ?? 0) - middle))) best = i;
  }
  return best;
}

/** The shifts that belong to the peak: until the correlation has fallen to half of it, but `away` places at least. */
function peakZone(r: readonly (number | null)[], best: number, away: number): Zone {
  const half = (r[best] ?? 0) / 2;
  let from = best;
  while (from > 0 && ((r[from - 1] ?? -1) > half || best - from < away)) from--;
  let to = best;
  while (to < r.length - 1 && ((r[to + 1] ?? -1) > half || to - best < away)) to++;
  return { from, to };
}

/** Returns how many pairs count as one: Σ ρx(k)·ρy(k) over the lags up to where both have died away. */
function persistence({ value, at, grid, stepPlaces }: CoursePair, from: number, to: number): number {
  const own = autocorrelation((i) => value[i] ?? NaN, from, to);
  const others = Float64Array.from(at.subarray(from, to), (place) => grid[place] ?? NaN);
  // The other series is looked at on the same rhythm, wherever its own values lie.
  const stepped = others.some((v) => !Number.isNaN(v)) ? others : everyStep(grid, stepPlaces);
  const other = autocorrelation((i) => stepped[i] ?? NaN, 0, stepped.length);
  let sum = 1;
  for (let k = 0; k < own.length && k < other.length; k++) sum += 2 * (own[k] ?? 0) * (other[k] ?? 0);
  return sum;
}

function everyStep(grid: Float64Array, stepPlaces: number): Float64Array {
  const out: number[] = [];
  for (let i = 0; i < grid.length; i += stepPlaces) out.push(grid[i] ?? NaN);
  return Float64Array.from(out);
}

const MOST_LAGS = 60;

/** Autocorrelation at lag 1, 2, … until it first falls below 0.05. */
function autocorrelation(at: (i: number) => number, from: number, to: number): number[] {
  const out: number[] = [];
  for (let lag = 1; lag <= MOST_LAGS; lag++) {
    const sums = noPairs();
    for (let i = from; i + lag < to; i++) {
      const a = at(i);
      const b = at(i + lag);
      if (a !== a || b !== b) continue;
      sums.n++;
      sums.x += a;
      sums.y += b;
      sums.xx += a * a;
      sums.yy += b * b;
      sums.xy += a * b;
    }
    const own = correlationOf(sums, LEAST_PAIRS) ?? 0;
    if (own < 0.05) break;
    out.push(own);
  }
  return out;
}

interface Search {
  readonly r: readonly (number | null)[];
  readonly maxShift: number;
  readonly zone: Zone;
  readonly minPairs: number;
}

/** Draws blocks of samples anew and returns where the best shift lies then. */
function drawn(pair: CoursePair, { r, maxShift, zone, minPairs }: Search, from: number, to: number): { low: number; high: number; share: number } {
  const blocks = blocksOf(pair, from, to);
  const peak = Math.max(...r.slice(zone.from, zone.to + 1).map((v) => v ?? -1));
  // Far below the peak no draw can win.
  const candidates = r.flatMap((own, i) => (own !== null && own > peak / 3 && ((i >= zone.from && i <= zone.to && own > peak / 2) || i % COARSE === 0) ? [i] : []));
  if (blocks.length < LEAST_BLOCKS || candidates.length === 0) return { low: zone.from - maxShift, high: zone.to - maxShift, share: 0 };
  const sums = candidates.map((i) => blocks.map(([start, end]) => sampledSums(pair.value, pair.at, pair.grid, i - maxShift, start, end)));
  const { index } = mersenneTwister(SEED);
  const inPeak: number[] = [];
  for (let replicate = 0; replicate < REPLICATES; replicate++) {
    const weights = new Uint16Array(blocks.length);
    for (let b = 0; b < blocks.length; b++) {
      const drawnBlock = index(blocks.length);
      weights[drawnBlock] = (weights[drawnBlock] ?? 0) + 1;
    }
    let best = -1;
    let highest = -2;
    for (let c = 0; c < candidates.length; c++) {
      const total = noPairs();
      const own = sums[c] ?? [];
      for (let b = 0; b < own.length; b++) {
        const part = own[b];
        if (part !== undefined) for (let times = weights[b] ?? 0; times > 0; times--) addSums(total, part);
      }
      const value = correlationOf(total, minPairs / 2);
      if (value !== null && value > highest) {
        highest = value;
        best = candidates[c] ?? -1;
      }
    }
    if (best >= zone.from && best <= zone.to) inPeak.push(best - maxShift);
  }
  const sorted = inPeak.sort((a, b) => a - b);
  return { low: quantileOfSorted(sorted, 0.025) ?? zone.from - maxShift, high: quantileOfSorted(sorted, 0.975) ?? zone.to - maxShift, share: inPeak.length / REPLICATES };
}

/** Cuts the samples into blocks as long as the courses are smoothed over, so that what hangs together stays together. */
function blocksOf({ at, blockPlaces }: CoursePair, from: number, to: number): (readonly [number, number])[] {
  const out: [number, number][] = [];
  let start = from;
  for (let i = from + 1; i <= to; i++) {
    if (i < to && (at[i] ?? 0) - (at[start] ?? 0) < blockPlaces) continue;
    out.push([start, i]);
    start = i;
  }
  return out;
}
