import type { Interval } from '../base/interval.ts';
import type { BelowThreshold } from '../model/analysis.ts';
import type { SiteTrack } from '../quality/site-track.ts';
import { informationFrom } from '../quality/site-track.ts';

/** Source: analysis-spec 8. */
export const THRESHOLDS_PCT = [90, 85, 80] as const;

/**
 * Returns the time that SpO2 stood below each threshold while there was information, and what it could have been.
 * Shape   one entry per threshold, from the highest. Within `span`, both ends included.
 * Units   ms; thresholds in per cent, strict (below, not at).
 * Missing linear between neighbouring samples with information, clipped where the line crosses the threshold; nothing
 *         is counted across a loss, so a sample that stands alone counts for no time. `lowMs` is the observed time (all
 *         that was lost was above), `highMs` adds `lostMidMs` (all below).
 * Source  analysis-spec 8; handbook 6.1. Series 96, 92, 88, 84, 88, 92, 96 at 60 s, threshold 90 → 180 s.
 */
export function timeBelow(site: SiteTrack, span: Interval, lostMidMs: number): BelowThreshold[] {
  const { tMs, value, status } = site.track;
  const lowest = informationFrom('any');
  return THRESHOLDS_PCT.map((thresholdPct) => {
    let observedMs = 0;
    for (let i = 1; i < tMs.length; i++) {
      if ((status[i] ?? 0) < lowest || (status[i - 1] ?? 0) < lowest) continue;
      const from = value[i - 1] ?? NaN;
      const to = value[i] ?? NaN;
      if (from >= thresholdPct && to >= thresholdPct) continue;
      const startMs = tMs[i - 1] ?? NaN;
      const endMs = tMs[i] ?? NaN;
      const limit = Math.max(site.limitMs[i - 1] ?? Infinity, site.limitMs[i] ?? Infinity);
      if (limit === Infinity || endMs - startMs > limit || startMs < span.startMs || endMs > span.endMs) continue;
      if (from < thresholdPct && to < thresholdPct) observedMs += endMs - startMs;
      else observedMs += ((endMs - startMs) * (thresholdPct - Math.min(from, to))) / Math.abs(to - from);
    }
    return { thresholdPct, observedMs, lowMs: observedMs, highMs: observedMs + lostMidMs };
  });
}
