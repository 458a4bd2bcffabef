import { MARK } from '../model/channel.ts';
import type { Channel } from '../model/channel.ts';
import type { IntervalSegment } from '../model/analysis.ts';
import { DUE_FACTOR, intervalsAt } from '../signal/interval.ts';

/** The samples of a channel that were due: with a value, or lost. Rows that are not there at all have no sample. */
export interface DueSamples {
  readonly tMs: Float64Array;
  readonly value: Float64Array;
  readonly mark: Uint8Array;
  /** Interval in force at each sample, ms; NaN where it is irregular. */
  readonly intervalMs: Float64Array;
}

/**
 * Returns the instants at which a channel has a recorded row: a number or an explicit filler.
 * Shape   ascending; `channel.tMs` itself when every row is recorded.
 * Missing an empty cell of a wide table is no recorded row; a row of a long table that names the channel always is.
 * Source  analysis-spec 2; docs/methods/interval.md.
 */
export function recordedTimes(channel: Channel): Float64Array {
  if (channel.layout === 'long') return channel.tMs;
  let recorded = 0;
  for (const mark of channel.mark) if ((mark & MARK.empty) === 0) recorded++;
  if (recorded === channel.tMs.length) return channel.tMs;
  const out = new Float64Array(recorded);
  let n = 0;
  for (let i = 0; i < channel.tMs.length; i++) if (((channel.mark[i] ?? 0) & MARK.empty) === 0) out[n++] = channel.tMs[i] ?? NaN;
  return out;
}

/**
 * Returns the samples of a channel at which a value was due.
 * Shape   the channel's own arrays when all its rows were due, else copies; never modified.
 * Missing an empty cell is due, and so lost, only where every row of the table is (the row step is the interval); in a
 *         channel recorded on every k-th row the empty cells between are nothing.
 * Source  analysis-spec 2 and 3; docs/methods/interval.md.
 */
export function dueSamples(channel: Channel, segments: readonly IntervalSegment[]): DueSamples {
  const { tMs, value, mark } = channel;
  const intervalMs = intervalsAt(tMs, segments);
  const keep = new Uint8Array(tMs.length);
  let kept = 0;
  for (let i = 0; i < tMs.length; i++) {
    const isRecorded = channel.layout === 'long' || ((mark[i] ?? 0) & MARK.empty) === 0;
    if (isRecorded || (intervalMs[i] ?? NaN) < DUE_FACTOR * rowStep(tMs, i)) {
      keep[i] = 1;
      kept++;
    }
  }
  if (kept === tMs.length) return { tMs, value, mark, intervalMs };
  const out = { tMs: new Float64Array(kept), value: new Float64Array(kept), mark: new Uint8Array(kept), intervalMs: new Float64Array(kept) };
  let n = 0;
  for (let i = 0; i < tMs.length; i++) {
    if (keep[i] === 0) continue;
    out.tMs[n] = tMs[i] ?? NaN;
    out.value[n] = value[i] ?? NaN;
    out.mark[n] = mark[i] ?? 0;
    out.intervalMs[n] = intervalMs[i] ?? NaN;
    n++;
  }
  return out;
}

/** The shorter of the steps to the rows before and after. */
function rowStep(tMs: Float64Array, i: number): number {
  const at = tMs[i] ?? NaN;
  return Math.min(at - (tMs[i - 1] ?? -Infinity), (tMs[i + 1] ?? Infinity) - at);
}
