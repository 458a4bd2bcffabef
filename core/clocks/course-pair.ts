import { median } from '../stats/quantile.ts';
import type { Course } from './course.ts';

/** The finer course stands on a grid of this step. */
export const GRID_MS = 1000;
/** Finer values than this are brought to means over so long: an oximeter's rate is itself a mean over about as much. */
const FINEST_MS = 5000;
/** Slow changes over more than this are taken off both courses: they are alike in any two courses of an anaesthetic. */
const TREND_MS = 300_000;
const TREND_STEPS = 10;
/** More values than this are thinned: they tell nothing more. */
const MOST_SAMPLES = 20_000;
/** A longer time than this on the grid is no case. */
const MOST_PLACES = 4_000_000;
/** Values further from the trend than this many robust standard deviations count as this far: a spike is an artefact more often than not. */
const MOST_DEVIATIONS = 5;

/** Two courses made ready to be shifted against one another: samples of the coarser one, the finer one on a grid, trends taken off. */
export interface CoursePair {
  readonly value: Float64Array;
  /** Place of each sample on the grid when nothing is shifted. */
  readonly at: Int32Array;
  readonly grid: Float64Array;
  readonly stepPlaces: number;
  readonly blockPlaces: number;
  /** How far from a peak another one must lie to count as another. */
  readonly awayPlaces: number;
}

/** Returns two courses ready to be shifted, or null where they would take too long a grid. */
export function coursePair(coarser: Course, finer: Course): CoursePair | null {
  const startMs = Math.floor((finer.tMs[0] ?? 0) / GRID_MS) * GRID_MS;
  const places = Math.ceil(((finer.tMs.at(-1) ?? 0) - startMs) / GRID_MS) + 1;
  if (places > MOST_PLACES) return null;
  const stepMs = Math.max(FINEST_MS, coarser.stepMs);
  const trendMs = Math.max(TREND_MS, TREND_STEPS * stepMs);
  const onGrid = gridOf(finer, startMs, places);
  const grid = withoutTrend(coarser.stepMs < FINEST_MS ? means(onGrid, FINEST_MS / GRID_MS / 2) : onGrid, trendMs / GRID_MS / 2);
  const samples = coarser.stepMs < FINEST_MS ? binned(coarser) : { tMs: coarser.tMs, value: coarser.value };
  const bare = samplesWithoutTrend(samples.tMs, samples.value, trendMs / 2);
  const stride = Math.ceil(bare.length / MOST_SAMPLES);
  const kept = Array.from({ length: Math.ceil(bare.length / stride) }, (_, i) => i * stride);
  return {
    value: clipped(Float64Array.from(kept, (i) => bare[i] ?? NaN)),
    at: Int32Array.from(kept, (i) => Math.round(((samples.tMs[i] ?? NaN) - startMs) / GRID_MS)),
    grid: clipped(grid),
    stepPlaces: Math.round((stepMs * stride) / GRID_MS),
    blockPlaces: Math.round(trendMs / 2 / GRID_MS),
    awayPlaces: Math.round(Math.max(30_000, stepMs) / GRID_MS),
  };
}

/** The course on every second; straight between neighbours that are no further apart than two and a half steps, NaN elsewhere. */
function gridOf({ tMs, value, stepMs }: Course, startMs: number, places: number): Float64Array {
  const out = new Float64Array(places).fill(NaN);
  const widest = 2.5 * Math.max(stepMs, GRID_MS);
  let j = 0;
  for (let k = 0; k < places; k++) {
    const at = startMs + k * GRID_MS;
    while (j + 1 < tMs.length && (tMs[j + 1] ?? Infinity) <= at) j++;
    const t0 = tMs[j] ?? NaN;
    const t1 = tMs[j + 1] ?? NaN;
    if (t0 > at) continue;
    if (at === t0) out[k] = value[j] ?? NaN;
    else if (t1 - t0 <= widest) out[k] = (value[j] ?? NaN) + (((value[j + 1] ?? NaN) - (value[j] ?? NaN)) * (at - t0)) / (t1 - t0);
  }
  return out;
}

/** Mean over the places within `half` on either side that have a value; NaN where fewer than a third have one. */
function means(values: Float64Array, half: number): Float64Array {
  const reach = Math.max(0, Math.round(half));
  const sum = new Float64Array(values.length + 1);
  const count = new Uint32Array(values.length + 1);
  for (let i = 0; i < values.length; i++) {
    const v = values[i] ?? NaN;
    const has = !Number.isNaN(v);
    sum[i + 1] = (sum[i] ?? 0) + (has ? v : 0);
    count[i + 1] = (count[i] ?? 0) + (has ? 1 : 0);
  }
  return values.map((_, i) => {
    const from = Math.max(0, i - reach);
    const to = Math.min(values.length, i + reach + 1);
    const n = (count[to] ?? 0) - (count[from] ?? 0);
    return 3 * n < to - from ? NaN : ((sum[to] ?? 0) - (sum[from] ?? 0)) / n;
  });
}

function withoutTrend(values: Float64Array, half: number): Float64Array {
  const trend = means(values, half);
  return values.map((v, i) => v - (trend[i] ?? NaN));
}

/** The samples less the mean of those within `halfMs` on either side. */
function samplesWithoutTrend(tMs: Float64Array, value: Float64Array, halfMs: number): Float64Array {
  const out = new Float64Array(value.length);
  let from = 0;
  let to = 0;
  let sum = 0;
  for (let i = 0; i < value.length; i++) {
    const at = tMs[i] ?? NaN;
    while (to < value.length && (tMs[to] ?? Infinity) <= at + halfMs) sum += value[to++] ?? 0;
    while ((tMs[from] ?? Infinity) < at - halfMs) sum -= value[from++] ?? 0;
    out[i] = (value[i] ?? NaN) - sum / (to - from);
  }
  return out;
}

/** Means over 5 s, each at the mean of its times. */
function binned({ tMs, value }: Course): { tMs: Float64Array; value: Float64Array } {
  const t: number[] = [];
  const v: number[] = [];
  let i = 0;
  while (i < tMs.length) {
    const bin = Math.floor((tMs[i] ?? 0) / FINEST_MS);
    let n = 0;
    let sumT = 0;
    let sumV = 0;
    while (i < tMs.length && Math.floor((tMs[i] ?? 0) / FINEST_MS) === bin) {
      sumT += tMs[i] ?? 0;
      sumV += value[i] ?? 0;
      n++;
      i++;
    }
    t.push(sumT / n);
    v.push(sumV / n);
  }
  return { tMs: Float64Array.from(t), value: Float64Array.from(v) };
}

function clipped(values: Float64Array): Float64Array {
  const size = median(values.map(Math.abs));
  // 1.4826: the median absolute deviation of a normal distribution has a standard deviation of 1.
  const most = size === null || size === 0 ? Infinity : MOST_DEVIATIONS * 1.4826 * size;
  return values.map((v) => Math.max(-most, Math.min(most, v)));
}
