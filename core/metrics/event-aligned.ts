import type { AlignedScale, BandMethod } from '../model/cohort-aligned.ts';
import { studentQuantile } from '../stats/distributions.ts';
import { mersenneTwister } from '../stats/mersenne-twister.ts';
import { quantileOfSorted } from '../stats/quantile.ts';

/** Curves of one case, one per event; every curve has one value per lag, NaN where missing. */
export interface AlignedCase {
  readonly events: readonly ArrayLike<number>[];
}

/** What is to be averaged, and how. */
export interface AlignedRule {
  /** Time after the event, ascending, ms. */
  readonly lagsMs: readonly number[];
  /** Lags from, up to and without to. */
  readonly baseline: { readonly fromMs: number; readonly toMs: number };
  readonly scale: AlignedScale;
  readonly draws: number;
  readonly seed: number;
  readonly conf: number;
}

/** The mean course around events; the arrays have one entry per lag. */
export interface EventAligned {
  readonly eventsUsed: number;
  /** Without a value in the baseline, or with a baseline of 0 that cannot be a denominator. */
  readonly eventsLeftOut: number;
  readonly casesUsed: number;
  readonly casesAtLag: readonly number[];
  readonly mean: readonly (number | null)[];
  /** Pointwise, not simultaneous. */
  readonly lower: readonly (number | null)[];
  readonly upper: readonly (number | null)[];
  readonly band: BandMethod;
}

/** With more cases they are not drawn anew: the mean of so many is normal, and the band of both methods the same to the eye. */
const MOST_DRAWN = 200;

/**
 * Returns the mean course of a value around events: over the events of a case first, then over cases, each case weighing the same.
 * Shape   cases in the order of their ids: another order draws other samples. Cases without a usable event take no part.
 * Missing no case at a lag: null there. Fewer than two cases at a lag: no band.
 * Source  statistics d; Davison & Hinkley 1997 (cases resampled whole, percentile interval at each lag).
 */
export function eventAligned(cases: readonly AlignedCase[], rule: AlignedRule): EventAligned {
  const { lagsMs } = rule;
  const width = lagsMs.length;
  const curves: Float64Array[] = [];
  let eventsUsed = 0;
  let eventsLeftOut = 0;
  for (const { events } of cases) {
    const changes = events.flatMap((event) => changeFromBaseline(event, rule) ?? []);
    eventsUsed += changes.length;
    eventsLeftOut += events.length - changes.length;
    if (changes.length > 0) curves.push(meanCurve(changes, width));
  }
  const casesAtLag = lagsMs.map((_, l) => curves.reduce((count, curve) => count + (Number.isNaN(curve[l]) ? 0 : 1), 0));
  const isDrawn = curves.length <= MOST_DRAWN;
  const mean = meanCurve(curves, width);
  const limits = isDrawn ? drawnBand(curves, rule) : studentBand(curves, mean, rule.conf);
  const given = (values: ArrayLike<number>, least: number) => casesAtLag.map((count, l) => (count >= least ? (values[l] ?? null) : null));
  return {
    eventsUsed,
    eventsLeftOut,
    casesUsed: curves.length,
    casesAtLag,
    mean: given(mean, 1),
    lower: given(limits.lower, 2),
    upper: given(limits.upper, 2),
    band: isDrawn ? 'cases drawn anew' : 't over cases',
  };
}

function changeFromBaseline(event: ArrayLike<number>, { lagsMs, baseline, scale }: AlignedRule): Float64Array | null {
  let sum = 0;
  let count = 0;
  for (let l = 0; l < lagsMs.length; l++) {
    const lag = lagsMs[l] ?? NaN;
    const value = event[l] ?? NaN;
    if (lag < baseline.fromMs || lag >= baseline.toMs || value !== value) continue;
    sum += value;
    count++;
  }
  if (count === 0 || (scale === 'percent of baseline' && sum === 0)) return null;
  const base = sum / count;
  const change = new Float64Array(lagsMs.length);
  for (let l = 0; l < change.length; l++) change[l] = scale === 'difference' ? (event[l] ?? NaN) - base : 100 * ((event[l] ?? NaN) / base - 1);
  return change;
}

/** The mean of what is there at each lag; NaN where nothing is. */
function meanCurve(curves: readonly Float64Array[], width: number): Float64Array {
  const sums = new Float64Array(width);
  const counts = new Float64Array(width);
  for (const curve of curves) addCurve(sums, counts, curve, 1);
  return sums.map((sum, l) => sum / (counts[l] ?? NaN));
}

function addCurve(sums: Float64Array, counts: Float64Array, curve: Float64Array, weight: number): void {
  for (let l = 0; l < curve.length; l++) {
    const value = curve[l] ?? NaN;
    if (value !== value) continue;
    sums[l] = (sums[l] ?? NaN) + weight * value;
    counts[l] = (counts[l] ?? NaN) + weight;
  }
}

interface Limits {
  readonly lower: Float64Array;
  readonly upper: Float64Array;
}

function drawnBand(curves: readonly Float64Array[], { lagsMs, draws, seed, conf }: AlignedRule): Limits {
  const width = lagsMs.length;
  const { index } = mersenneTwister(seed);
  const means = Array.from({ length: width }, () => new Float64Array(draws));
  const times = new Uint32Array(curves.length);
  for (let draw = 0; draw < draws; draw++) {
    times.fill(0);
    for (let i = 0; i < curves.length; i++) {
      const drawn = index(curves.length);
      times[drawn] = (times[drawn] ?? 0) + 1;
    }
    const sums = new Float64Array(width);
    const counts = new Float64Array(width);
    curves.forEach((curve, i) => {
      const weight = times[i] ?? 0;
      if (weight > 0) addCurve(sums, counts, curve, weight);
    });
    means.forEach((at, l) => (at[draw] = (sums[l] ?? NaN) / (counts[l] ?? NaN)));
  }
  const sorted = means.map((at) => at.filter((mean) => mean === mean).sort());
  const limit = (p: number) => Float64Array.from(sorted, (at) => quantileOfSorted(at, p) ?? NaN);
  return { lower: limit((1 - conf) / 2), upper: limit(1 - (1 - conf) / 2) };
}

function studentBand(curves: readonly Float64Array[], mean: Float64Array, conf: number): Limits {
  const squares = new Float64Array(mean.length);
  const counts = new Float64Array(mean.length);
  for (const curve of curves) {
    for (let l = 0; l < curve.length; l++) {
      const value = curve[l] ?? NaN;
      if (value !== value) continue;
      squares[l] = (squares[l] ?? NaN) + (value - (mean[l] ?? NaN)) ** 2;
      counts[l] = (counts[l] ?? NaN) + 1;
    }
  }
  // Most lags have the same number of cases, and a quantile takes long.
  const widths = new Map<number, number>();
  const width = (count: number): number => {
    const t = widths.get(count) ?? studentQuantile(1 - (1 - conf) / 2, count - 1);
    widths.set(count, t);
    return t;
  };
  const half = squares.map((sum, l) => {
    const count = counts[l] ?? NaN;
    return count < 2 ? NaN : width(count) * Math.sqrt(sum / (count - 1) / count);
  });
  return { lower: mean.map((middle, l) => middle - (half[l] ?? NaN)), upper: mean.map((middle, l) => middle + (half[l] ?? NaN)) };
}
