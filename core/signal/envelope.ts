import { lowerBound } from '../base/search.ts';
import { segmentIntervals, stepLimits } from './interval.ts';

/** Samples per bucket of the first level, and buckets per bucket of each further one. */
const FAN = 16;

/** A channel prepared for drawing: its finite samples, where the line must break, and minima and maxima per bucket. */
export interface Envelope {
  /** Finite samples only, in time order. */
  readonly tMs: Float64Array;
  readonly value: Float64Array;
  /** Number of breaks up to and including the step that ends at this sample. */
  readonly breaksUpTo: Uint32Array;
  /** Level k has one entry per FAN^(k+1) samples. */
  readonly levels: readonly { readonly min: Float64Array; readonly max: Float64Array }[];
}

/** What one drawing of a window needs: `n` entries of each array are used. */
export interface EnvelopeColumns {
  /** Time in ms. Ascending. */
  readonly x: Float64Array;
  /** NaN in both: lift the pen, the line is not to join the entries on either side. */
  readonly min: Float64Array;
  readonly max: Float64Array;
  readonly n: number;
}

/**
 * Returns a channel prepared for drawing at any zoom.
 * Shape   `tMs` strictly increasing, `value` as long; neither is modified. `gapMs` is one limit for all, or one per sample.
 *         Where every sample is finite, `tMs` and 64-bit values are taken over as they are, not copied.
 * Units   ms; values as given.
 * Missing samples that are not finite are left out. Two finite samples are joined unless more time passes between them
 *         than the larger of their limits; so an empty cell breaks the line exactly where a value was due.
 * Source  docs/methods/interval.md for the limits (`drawingGaps` makes them).
 */
export function buildEnvelope(tMs: Float64Array, value: Float64Array | Float32Array, gapMs: Float64Array | number): Envelope {
  let count = 0;
  for (const x of value) if (Number.isFinite(x)) count++;
  const isWhole = count === value.length && tMs.length === value.length;
  const t = isWhole ? tMs : new Float64Array(count);
  const v = isWhole && value instanceof Float64Array ? value : new Float64Array(count);
  const limits = typeof gapMs === 'number' ? null : gapMs;
  const limitOfAll = typeof gapMs === 'number' ? gapMs : Infinity;
  const breaksUpTo = new Uint32Array(count);
  let n = 0;
  let breaks = 0;
  let limitBefore = 0;
  let before = NaN;
  for (let i = 0; i < value.length; i++) {
    const x = value[i] ?? NaN;
    if (!Number.isFinite(x)) continue;
    const at = tMs[i] ?? NaN;
    const limit = limits === null ? limitOfAll : (limits[i] ?? Infinity);
    if (n > 0 && at - before > (limit > limitBefore ? limit : limitBefore)) breaks++;
    if (!isWhole) t[n] = at;
    if (v !== value) v[n] = x;
    breaksUpTo[n] = breaks;
    limitBefore = limit;
    before = at;
    n++;
  }
  const levels: { readonly min: Float64Array; readonly max: Float64Array }[] = [];
  let below: { readonly min: Float64Array; readonly max: Float64Array } = { min: v, max: v };
  while (below.min.length > FAN) {
    below = coarser(below);
    levels.push(below);
  }
  return { tMs: t, value: v, breaksUpTo, levels };
}

/**
 * Returns the columns that draw `startMs`…`endMs` in `pixels` columns: the true lowest and highest value of each.
 * Shape   new arrays; use the first `n` entries. A column with one sample stands at that sample's time, one with more at
 *         its middle. One sample beyond either edge is added, so that a line runs to the edge. An empty column has no
 *         entry; a break has one with NaN.
 * Units   ms.
 * Missing nothing in the window: the samples just outside it, or n = 0.
 * Errors  none; a window of no length, or of no pixels, gives n = 0.
 */
export function readEnvelope(env: Envelope, startMs: number, endMs: number, pixels: number): EnvelopeColumns {
  const columns = Math.max(0, Math.floor(pixels));
  // A column may take two entries where its edge falls between two roundings, and each entry may follow a break.
  const size = 4 * columns + 8;
  const out = { x: new Float64Array(size), min: new Float64Array(size), max: new Float64Array(size), n: 0 };
  if (columns === 0 || !(endMs > startMs) || env.tMs.length === 0) return out;
  const first = lowerBound(env.tMs, startMs);
  const last = lowerBound(env.tMs, endMs);
  const width = (endMs - startMs) / columns;
  let previous = -1;
  const put = (i0: number, i1: number, middle: number) => {
    if (previous >= 0 && (env.breaksUpTo[i0] ?? 0) > (env.breaksUpTo[previous] ?? 0)) {
      out.x[out.n] = ((env.tMs[previous] ?? NaN) + (env.tMs[i0] ?? NaN)) / 2;
      out.min[out.n] = NaN;
      out.max[out.n] = NaN;
      out.n++;
    }
    out.x[out.n] = i1 - i0 === 1 ? (env.tMs[i0] ?? NaN) : middle;
    lowestAndHighest(env, i0, i1, out);
    out.n++;
    previous = i1 - 1;
  };
  if (first > 0) put(first - 1, first, 0);
  let i = first;
  while (i < last) {
    const column = Math.min(columns - 1, Math.floor(((env.tMs[i] ?? NaN) - startMs) / width));
    const end = column === columns - 1 ? last : Math.min(last, Math.max(i + 1, lowerBoundFrom(env.tMs, startMs + (column + 1) * width, i)));
    put(i, end, startMs + (column + 0.5) * width);
    i = end;
  }
  if (last < env.tMs.length) put(last, last + 1, 0);
  return out;
}

/**
 * Returns the limits that `buildEnvelope` wants for a channel as recorded: 1.5 recording intervals, worked out piecewise
 * from the samples that hold a number.
 * Missing Infinity where the channel is recorded irregularly: its values are joined, or better drawn as single marks.
 */
export function drawingGaps(tMs: Float64Array, value: Float64Array | Float32Array): Float64Array {
  const finite = new Float64Array(tMs.length);
  let n = 0;
  for (let i = 0; i < tMs.length; i++) if (Number.isFinite(value[i])) finite[n++] = tMs[i] ?? NaN;
  return stepLimits(tMs, segmentIntervals(finite.subarray(0, n)));
}

function coarser(below: { readonly min: Float64Array; readonly max: Float64Array }): { readonly min: Float64Array; readonly max: Float64Array } {
  const count = Math.ceil(below.min.length / FAN);
  const min = new Float64Array(count);
  const max = new Float64Array(count);
  const belowMin = below.min;
  const belowMax = below.max;
  for (let bucket = 0, i = 0; bucket < count; bucket++) {
    let low = Infinity;
    let high = -Infinity;
    for (const end = Math.min(belowMin.length, i + FAN); i < end; i++) {
      const min = belowMin[i] ?? Infinity;
      const max = belowMax[i] ?? -Infinity;
      if (min < low) low = min;
      if (max > high) high = max;
    }
    min[bucket] = low;
    max[bucket] = high;
  }
  return { min, max };
}

/** Writes the extremes of samples i0…i1-1 into entry `out.n`, by whole buckets of the coarsest level that fits. */
function lowestAndHighest(env: Envelope, i0: number, i1: number, out: { min: Float64Array; max: Float64Array; n: number }): void {
  let low = Infinity;
  let high = -Infinity;
  let i = i0;
  while (i < i1) {
    let level = -1;
    let span = 1;
    while (level + 1 < env.levels.length && i % (span * FAN) === 0 && i + span * FAN <= i1) {
      span *= FAN;
      level++;
    }
    const bucket = env.levels[level];
    const at = i / span;
    const min = (bucket === undefined ? env.value[i] : bucket.min[at]) ?? Infinity;
    const max = (bucket === undefined ? env.value[i] : bucket.max[at]) ?? -Infinity;
    if (min < low) low = min;
    if (max > high) high = max;
    i += span;
  }
  out.min[out.n] = low;
  out.max[out.n] = high;
}

/** `lowerBound` from an index on, stepping out before halving: columns lie close to one another. */
function lowerBoundFrom(sorted: Float64Array, x: number, from: number): number {
  let step = 1;
  let lo = from;
  while (lo + step < sorted.length && (sorted[lo + step] ?? Infinity) < x) {
    lo += step;
    step *= 2;
  }
  let hi = Math.min(sorted.length, lo + step);
  while (lo < hi) {
    const mid = (lo + hi) >>> 1;
    if ((sorted[mid] ?? Infinity) < x) lo = mid + 1;
    else hi = mid;
  }
  return lo;
}
