import type { IntervalSegment, RecordGap } from '../model/analysis.ts';
import { QUANTITY_FACTS } from '../model/quantity.ts';
import { upperBound } from '../base/search.ts';
import type { ChannelIntervals } from '../quality/channel-intervals.ts';
import { DUE_FACTOR } from '../signal/interval.ts';

export interface RecordGapSearch {
  readonly gaps: readonly RecordGap[];
  /** False where no regular channel stands beside those of the oximeter. */
  readonly canBeTold: boolean;
}

/**
 * Returns the times in which no channel of the record has a number: the recorder stood still.
 * Shape   in time order, disjoint; only gaps between two numbers, overlapping startMs…endMs.
 * Units   ms.
 * Missing fillers and empty cells are no numbers. A number of any channel, a cuff reading too, ends a gap. How long a
 *         silence must last to be a gap (more than 1.5 intervals) is judged by the finest channel that is regular and
 *         not the oximeter's: a sensor that falls silent says nothing of the recorder. Without such a channel gaps
 *         cannot be told.
 * Source  analysis-spec 4; docs/methods/record-gap.md.
 */
export function findRecordGaps(channels: readonly ChannelIntervals[], startMs: number, endMs: number): RecordGapSearch {
  const witnesses = channels.filter(isWitness);
  if (witnesses.length === 0) return { gaps: [], canBeTold: false };
  let finest = Infinity;
  for (const { segments } of witnesses) for (const { intervalMs } of segments) finest = Math.min(finest, intervalMs ?? Infinity);
  const gaps: RecordGap[] = [];
  for (const [lastRowMs, firstRowMs] of silences(channels, DUE_FACTOR * finest)) {
    if (firstRowMs <= startMs || lastRowMs >= endMs) continue;
    const expected = expectedSteps(witnesses, lastRowMs, firstRowMs);
    if (expected === null || firstRowMs - lastRowMs <= DUE_FACTOR * Math.max(expected.before, expected.after)) continue;
    const firstMissingMs = lastRowMs + expected.before;
    const lastMissingMs = Math.max(firstMissingMs, firstRowMs - expected.after);
    const low = lastMissingMs - firstMissingMs;
    const high = firstRowMs - lastRowMs;
    gaps.push({ lastRowMs, firstMissingMs, lastMissingMs, firstRowMs, gapMs: { low, mid: (low + high) / 2, high } });
  }
  return { gaps, canBeTold: true };
}

/** A regular channel with numbers that is neither the oximeter's nor a cuff's (which is intermittent by nature). */
function isWitness({ channel, segments }: ChannelIntervals): boolean {
  if (QUANTITY_FACTS[channel.quantity].ofSensor || channel.quantity.startsWith('nibp')) return false;
  return segments.some((s) => s.intervalMs !== null) && channel.value.some((v) => Number.isFinite(v));
}

/** Stretches between two neighbouring numbers of all channels together that last longer than `longerThanMs`. */
function silences(channels: readonly ChannelIntervals[], longerThanMs: number): [number, number][] {
  const finestFirst = [...channels].sort((a, b) => (a.mainMs ?? Infinity) - (b.mainMs ?? Infinity));
  let open: [number, number][] = [[-Infinity, Infinity]];
  for (const { channel } of finestFirst) {
    const { tMs, value } = channel;
    const next: [number, number][] = [];
    for (const [from, to] of open) {
      let last = from;
      for (let i = upperBound(tMs, from); i < tMs.length; i++) {
        const at = tMs[i] ?? Infinity;
        if (at >= to) break;
        if (!Number.isFinite(value[i])) continue;
        if (at - last > longerThanMs) next.push([last, at]);
        last = at;
      }
      if (to - last > longerThanMs) next.push([last, to]);
    }
    open = next;
  }
  return open.filter(([from, to]) => Number.isFinite(from) && Number.isFinite(to));
}

/** The finest interval at either edge of a silence, from the channels recorded across it, else from those beside it. */
function expectedSteps(witnesses: readonly ChannelIntervals[], from: number, to: number): { before: number; after: number } | null {
  let across: { before: number; after: number } | null = null;
  let before = Infinity;
  let after = Infinity;
  for (const { segments } of witnesses) {
    const left = segmentBefore(segments, from);
    const right = segmentAfter(segments, to);
    const leftMs = left?.intervalMs ?? Infinity;
    const rightMs = right?.intervalMs ?? Infinity;
    if (left !== undefined && right !== undefined) {
      const isFiner = across === null || Math.max(leftMs, rightMs) < Math.max(across.before, across.after);
      if (isFiner && leftMs !== Infinity && rightMs !== Infinity) across = { before: leftMs, after: rightMs };
    }
    if (left !== undefined && from - left.endMs <= DUE_FACTOR * leftMs) before = Math.min(before, leftMs);
    if (right !== undefined && right.startMs - to <= DUE_FACTOR * rightMs) after = Math.min(after, rightMs);
  }
  if (across !== null) return across;
  return before !== Infinity && after !== Infinity ? { before, after } : null;
}

/** The last segment that starts at or before `at`. */
function segmentBefore(segments: readonly IntervalSegment[], at: number): IntervalSegment | undefined {
  return segments[partition(segments.length, (i) => (segments[i]?.startMs ?? Infinity) <= at) - 1];
}

/** The first segment that ends at or after `at`. */
function segmentAfter(segments: readonly IntervalSegment[], at: number): IntervalSegment | undefined {
  return segments[partition(segments.length, (i) => (segments[i]?.endMs ?? Infinity) < at)];
}

/** The number of leading indexes for which `holds`, which must be true up to one and false from there. */
function partition(count: number, holds: (i: number) => boolean): number {
  let lo = 0;
  let hi = count;
  while (lo < hi) {
    const mid = (lo + hi) >>> 1;
    if (holds(mid)) lo = mid + 1;
    else hi = mid;
  }
  return lo;
}
