import type { LossRun } from '../model/loss-run.ts';
import { DUE_FACTOR } from '../signal/interval.ts';
import type { InformationRule, SiteTrack } from '../quality/site-track.ts';
import { informationFrom } from '../quality/site-track.ts';

/** The samples of a track that count: those inside the case's bounds, from the first with information to the last. */
export interface TrackRange {
  /** Index of the first and last sample with information; first > last when there is none. */
  readonly first: number;
  readonly last: number;
  /** Index after the last sample inside the bounds. */
  readonly end: number;
}

/** Returns which samples of a track count within the bounds (inclusive, ms). */
export function informationRange(site: SiteTrack, rule: InformationRule, startMs: number, endMs: number): TrackRange {
  const { tMs, status } = site.track;
  const lowest = informationFrom(rule);
  let from = 0;
  while (from < tMs.length && (tMs[from] ?? NaN) < startMs) from++;
  let end = tMs.length;
  while (end > from && (tMs[end - 1] ?? NaN) > endMs) end--;
  let first = from;
  while (first < end && (status[first] ?? 0) < lowest) first++;
  let last = end - 1;
  while (last >= first && (status[last] ?? 0) < lowest) last--;
  return { first, last, end };
}

/**
 * Returns every stretch without information between the first and the last sample that have it.
 * Shape   in time order, pairwise disjoint; each has lastGood < firstLost ≤ lastLost < firstGood.
 * Units   ms.
 * Missing where rows are not there, first lost = last good + interval and last lost = first good − interval, never below
 *         first lost. Where the channel is recorded irregularly on both sides nothing can have been due: no run.
 * Source  analysis-spec 5; docs/methods/dropout.md.
 * Example good at 0, lost at 10, 20, 30, good at 40 s → 0, 10, 30, 40 s.
 */
export function lossRuns(site: SiteTrack, range: TrackRange, rule: InformationRule): LossRun[] {
  const { tMs, status } = site.track;
  const lowest = informationFrom(rule);
  const out: LossRun[] = [];
  let good = range.first;
  for (let i = range.first + 1; i <= range.last; i++) {
    if ((status[i] ?? 0) < lowest) continue;
    const lastGoodMs = tMs[good] ?? NaN;
    const firstGoodMs = tMs[i] ?? NaN;
    const before = site.intervalMs[good] ?? NaN;
    const after = site.intervalMs[i] ?? NaN;
    const hasLostSamples = i - good > 1;
    const isRegular = !Number.isNaN(before) || !Number.isNaN(after);
    const limit = Math.max(site.limitMs[good] ?? Infinity, site.limitMs[i] ?? Infinity);
    if (isRegular && (hasLostSamples || firstGoodMs - lastGoodMs > limit)) {
      const firstLostMs = firstLost(site, good, i);
      const rowMs = hasLostSamples ? (tMs[i - 1] ?? NaN) : -Infinity;
      const lastLostMs = Number.isNaN(after) || firstGoodMs - rowMs <= DUE_FACTOR * after ? Math.max(rowMs, firstLostMs) : firstGoodMs - after;
      out.push({ lastGoodMs, firstLostMs, lastLostMs: Math.max(firstLostMs, lastLostMs), firstGoodMs, isOpen: false });
    }
    good = i;
  }
  return out;
}

/**
 * Returns when the loss after sample `good` begins: the next lost sample, or one interval on where its row is missing.
 * Shape   `next` is the index of the next sample with information (the track's end for an open run).
 */
export function firstLost(site: SiteTrack, good: number, next: number): number {
  const { tMs } = site.track;
  const at = tMs[good] ?? NaN;
  const interval = site.intervalMs[good] ?? NaN;
  const rowMs = good + 1 < next ? (tMs[good + 1] ?? Infinity) : Infinity;
  if (rowMs - at <= DUE_FACTOR * interval || Number.isNaN(interval)) {
    if (rowMs !== Infinity) return rowMs;
  }
  return at + (Number.isNaN(interval) ? (site.intervalMs[next] ?? 0) : interval);
}
