import { MARK } from '../../core/model/channel.ts';
import type { Channel } from '../../core/model/channel.ts';
import { buildEnvelope, drawingGaps, readEnvelope } from '../../core/signal/envelope.ts';
import type { Envelope } from '../../core/signal/envelope.ts';

/**
 * The samples of a channel that can stand on a line, and where the line breaks.
 * Shape    the arrays have one length; `breakBefore[i]` is 1 where the record breaks between sample i − 1 and i (never for i = 0).
 */
export interface Trace {
  readonly channelId: string;
  /** The rows of the table the channel came from: traces with one grid can share a plot. */
  readonly gridMs: Float64Array;
  readonly tMs: Float64Array;
  readonly value: Float64Array;
  readonly breakBefore: Uint8Array;
  /** The shortest interval of the channel; null: recorded irregularly, so samples are marks without a line. */
  readonly intervalMs: number | null;
  readonly envelope: Envelope;
}

/** Returns whether sample `i` of `channel` can be drawn: a number, not flagged by the export, within the quantity's limits. */
export function isDrawable(channel: Channel, i: number, plausible: readonly [number, number] | null): boolean {
  const value = channel.value[i];
  if (value === undefined || Number.isNaN(value)) return false;
  if (((channel.mark[i] ?? 0) & MARK.flagged) !== 0) return false;
  return plausible === null || (value >= plausible[0] && value <= plausible[1]);
}

/** Traces that were made, by channel: a new analysis of a case draws the same samples. */
const madeTraces = new WeakMap<Channel, { readonly plausible: readonly [number, number] | null; readonly trace: Trace }>();

/**
 * Returns what can be drawn of a channel: the same object for the same channel and limits.
 * Shape    the channel is not modified; its arrays may be taken over where all of it can be drawn.
 * Missing  an empty, filler, flagged or implausible sample is left out; the line breaks where `drawingGaps` says that a value was due.
 *          An irregular channel breaks at every sample.
 */
export function buildTrace(channel: Channel, plausible: readonly [number, number] | null): Trace {
  const made = madeTraces.get(channel);
  if (made !== undefined && made.plausible?.[0] === plausible?.[0] && made.plausible?.[1] === plausible?.[1]) return made.trace;
  const drawable = drawableValues(channel, plausible);
  const { gapsMs, intervalMs } = lineLimits(channel.tMs, drawable);
  const envelope = buildEnvelope(channel.tMs, drawable, gapsMs);
  const { breaksUpTo } = envelope;
  const breakBefore = new Uint8Array(breaksUpTo.length);
  if (intervalMs === null) breakBefore.fill(1, 1);
  else if ((breaksUpTo[breaksUpTo.length - 1] ?? 0) > 0) {
    for (let i = 1; i < breakBefore.length; i++) if ((breaksUpTo[i] ?? 0) > (breaksUpTo[i - 1] ?? 0)) breakBefore[i] = 1;
  }
  const trace: Trace = { channelId: channel.channelId, gridMs: channel.tMs, tMs: envelope.tMs, value: envelope.value, breakBefore, intervalMs, envelope };
  madeTraces.set(channel, { plausible, trace });
  return trace;
}

/** The values with NaN for those that cannot be drawn: the channel's own array where none has to be left out. */
function drawableValues(channel: Channel, plausible: readonly [number, number] | null): Float64Array {
  const { value } = channel;
  for (let i = 0; i < value.length; i++) {
    if (Number.isNaN(value[i]) || isDrawable(channel, i, plausible)) continue;
    return value.map((own, j) => (isDrawable(channel, j, plausible) ? own : NaN));
  }
  return value;
}

interface LineLimits {
  readonly gapsMs: Float64Array;
  /** null: recorded irregularly. */
  readonly intervalMs: number | null;
}

/** Of grids on which a channel has every value; most channels of a case share theirs. */
const limitsOfWholeGrid = new WeakMap<Float64Array, LineLimits>();

/** Returns how long each sample may be joined to the next, and the shortest interval. */
function lineLimits(tMs: Float64Array, drawable: Float64Array): LineLimits {
  const isWhole = drawable.every(Number.isFinite);
  const known = isWhole ? limitsOfWholeGrid.get(tMs) : undefined;
  if (known !== undefined) return known;
  const gapsMs = drawingGaps(tMs, drawable);
  let shortestMs = Infinity;
  let longestMs = 0;
  for (let i = 0; i < gapsMs.length; i++) {
    const gapMs = gapsMs[i] ?? NaN;
    if (gapMs < shortestMs) shortestMs = gapMs;
    if (gapMs > longestMs && Number.isFinite(gapMs)) longestMs = gapMs;
  }
  const isRegular = Number.isFinite(shortestMs) && shortestMs > 0;
  // An irregular stretch of a channel that is regular elsewhere is held to the longest interval the channel has: never bridged.
  if (isRegular) for (let i = 0; i < gapsMs.length; i++) if ((gapsMs[i] ?? 0) > longestMs) gapsMs[i] = longestMs;
  const limits = { gapsMs, intervalMs: isRegular ? shortestMs / GAP_IN_INTERVALS : null };
  if (isWhole) limitsOfWholeGrid.set(tMs, limits);
  return limits;
}

/** `drawingGaps` allows this many intervals between two joined samples. */
const GAP_IN_INTERVALS = 1.5;

/** Returns the traces gathered by time grid: those that share one array of instants, or arrays that read alike. */
export function groupByGrid(traces: readonly Trace[]): Trace[][] {
  const groups: Trace[][] = [];
  for (const trace of traces) {
    const group = groups.find((other) => other[0] !== undefined && sameInstants(other[0].gridMs, trace.gridMs));
    if (group === undefined) groups.push([trace]);
    else group.push(trace);
  }
  return groups;
}

function sameInstants(a: Float64Array, b: Float64Array): boolean {
  if (a === b) return true;
  if (a.length !== b.length) return false;
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
  return true;
}

/** A cell of a plot's column: a number; null where the line breaks; undefined where there is nothing and the line goes on. */
export type PlotCell = number | null | undefined;

/** What a plot is given. `xSec` ascends; every column has its length. Seconds from the case origin. */
export interface PlotColumns {
  readonly xSec: readonly number[];
  readonly columns: readonly (readonly PlotCell[])[];
}

/** Which of its values a series shows where a pixel column holds several. */
export type EnvelopeSide = 'both' | 'min' | 'max';

/**
 * Returns every sample of traces that share a grid, as columns over one x.
 * Missing  only null breaks a line in the plotting library (NaN and undefined do not), so each break holds a null: on a row of the grid
 *          without a value where there is one, else on an x put between.
 */
export function rawColumns(traces: readonly Trace[]): PlotColumns {
  const grid = traces[0]?.gridMs ?? new Float64Array(0);
  const extra = new Set<number>();
  for (const trace of traces) {
    for (let i = 1; i < trace.tMs.length; i++) {
      if (trace.breakBefore[i] === 1) extra.add(((trace.tMs[i - 1] ?? NaN) + (trace.tMs[i] ?? NaN)) / 2);
    }
  }
  const between = [...extra].sort((a, b) => a - b);
  const xMs: number[] = [];
  let iBetween = 0;
  for (const ms of grid) {
    for (let next = between[iBetween]; next !== undefined && next <= ms; next = between[++iBetween]) if (next < ms) xMs.push(next);
    xMs.push(ms);
  }
  const columns = traces.map((trace) => {
    const column: PlotCell[] = new Array<PlotCell>(xMs.length).fill(undefined);
    let iSample = 0;
    for (let i = 0; i < xMs.length; i++) {
      const ms = xMs[i] ?? NaN;
      if (iSample < trace.tMs.length && trace.tMs[iSample] === ms) column[i] = trace.value[iSample++];
      // Between two samples with a break every x that is not a sample may carry the null; before the first and after the last none is needed.
      else if (iSample > 0 && iSample < trace.tMs.length && trace.breakBefore[iSample] === 1) column[i] = null;
    }
    return column;
  });
  return { xSec: xMs.map((ms) => ms / 1000), columns };
}

/** Slots of a bucket in a level's columns: the break before it, then its two values. */
const SLOTS = 3;

/**
 * Returns the traces reduced to the lowest and highest value of each bucket, as columns over one x.
 * Shape    buckets of `bucketMs` stand at whole multiples of it, so a bucket holds the same samples however the window moves.
 *          Each has three x: its start (null where the line breaks between the bucket before and this one), and two for its values.
 *          The line enters at the value nearer to where it left the bucket before. `sides` has one entry per trace.
 * Missing  buckets without a sample are undefined (the line goes on) unless the record breaks there, then null throughout.
 */
export function levelColumns(traces: readonly Trace[], sides: readonly EnvelopeSide[], bucketMs: number): PlotColumns {
  let first = Infinity;
  let last = -Infinity;
  for (const trace of traces) {
    if (trace.tMs.length === 0) continue;
    first = Math.min(first, Math.floor((trace.tMs[0] ?? NaN) / bucketMs));
    last = Math.max(last, Math.floor((trace.tMs[trace.tMs.length - 1] ?? NaN) / bucketMs));
  }
  const nBuckets = last >= first ? last - first + 1 : 0;
  const xSec: number[] = new Array<number>(nBuckets * SLOTS);
  for (let b = 0; b < nBuckets; b++) {
    const startMs = (first + b) * bucketMs;
    xSec[b * SLOTS] = startMs / 1000;
    xSec[b * SLOTS + 1] = (startMs + bucketMs * 0.25) / 1000;
    xSec[b * SLOTS + 2] = (startMs + bucketMs * 0.75) / 1000;
  }
  return { xSec, columns: traces.map((trace, i) => levelColumn(trace, sides[i] ?? 'both', bucketMs, first, nBuckets)) };
}

function levelColumn(trace: Trace, side: EnvelopeSide, bucketMs: number, first: number, nBuckets: number): PlotCell[] {
  const column: PlotCell[] = new Array<PlotCell>(nBuckets * SLOTS).fill(undefined);
  const read = readEnvelope(trace.envelope, first * bucketMs, (first + nBuckets) * bucketMs, nBuckets);
  let previousEnd = 0;
  let previous = NaN;
  let isBroken = false;
  for (let i = 0; i < read.n; i++) {
    const low = read.min[i] ?? NaN;
    const high = read.max[i] ?? NaN;
    if (Number.isNaN(low)) {
      isBroken = true;
      continue;
    }
    const slot = (Math.floor((read.x[i] ?? NaN) / bucketMs) - first) * SLOTS;
    // Every slot of the break needs its null: the library clips away only from the neighbours of nulls, not across undefined.
    if (isBroken || (trace.intervalMs === null && i > 0)) column.fill(null, previousEnd, slot + 1);
    // The line enters a bucket at the value nearer to where it left the last one.
    const isHighFirst = Math.abs(high - previous) < Math.abs(low - previous);
    const entry = side === 'both' ? (isHighFirst ? high : low) : side === 'min' ? low : high;
    const exit = side === 'both' ? (isHighFirst ? low : high) : entry;
    column[slot + 1] = entry;
    column[slot + 2] = exit;
    previous = exit;
    previousEnd = slot + SLOTS;
    isBroken = false;
  }
  return column;
}

/**
 * Returns the bucket a window of `spanMs` over `widthPx` should be drawn with: the smallest power of two (in seconds) that is
 * a pixel or more, so one to two pixels, or null where the samples themselves are few enough.
 */
export function bucketFor(spanMs: number, widthPx: number, intervalMs: number | null): number | null {
  const msPerPx = spanMs / Math.max(1, widthPx);
  const bucketMs = 1000 * 2 ** Math.ceil(Math.log2(msPerPx / 1000));
  return intervalMs === null || bucketMs < 3 * intervalMs ? null : bucketMs;
}

/** The columns of one plot at every resolution that was asked for, each made once. */
export class ColumnSource {
  private readonly made = new Map<number, PlotColumns>();
  private readonly intervalMs: number | null;
  private readonly traces: readonly Trace[];
  private readonly sides: readonly EnvelopeSide[];

  constructor(traces: readonly Trace[], sides: readonly EnvelopeSide[]) {
    this.traces = traces;
    this.sides = sides;
    const intervals = traces.map((trace) => trace.intervalMs).filter((ms) => ms !== null);
    // The densest trace decides; marks without a line are always few.
    this.intervalMs = intervals.length === 0 ? null : Math.min(...intervals);
  }

  /** Returns whether `spanMs` over `widthPx` brings more than a sample to every other pixel. */
  isDense(spanMs: number, widthPx: number): boolean {
    return this.intervalMs !== null && spanMs / this.intervalMs > widthPx / 2;
  }

  /** Returns the columns to draw `spanMs` over `widthPx` with: the same object for the same resolution. */
  columnsFor(spanMs: number, widthPx: number): PlotColumns {
    const bucketMs = bucketFor(spanMs, widthPx, this.intervalMs);
    const key = bucketMs ?? 0;
    const known = this.made.get(key);
    if (known !== undefined) return known;
    const columns = bucketMs === null ? rawColumns(this.traces) : levelColumns(this.traces, this.sides, bucketMs);
    this.made.set(key, columns);
    return columns;
  }
}
