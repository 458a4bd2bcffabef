import type { Interval } from '../base/interval.ts';
import { coveredMs, lengthMs } from '../base/interval.ts';
import type { RecordGap } from '../model/analysis.ts';
import type { SiteTrack } from '../quality/site-track.ts';
import { gapSpans } from './gap-spans.ts';

/**
 * Returns the span in which a sensor was meant to inform: first to last information and, beyond it, a loss not restored.
 * Shape   `censoredAtMs` is that of the last dropout, null where it was restored or there is none.
 * Source  analysis-spec 4; docs/methods/monitored-time.md.
 */
export function meantSpan(monitored: Interval, censoredAtMs: number | null): Interval {
  return { startMs: monitored.startMs, endMs: Math.max(monitored.endMs, censoredAtMs ?? -Infinity) };
}

/** Returns how long a span is without its record gaps (unless they are kept) and without stretches in which the channel has no interval, ms. */
export function judgedMs(span: Interval, site: SiteTrack, gaps: readonly RecordGap[], keepRecordGaps: boolean): number {
  const irregular = site.segments.filter((s) => s.intervalMs === null);
  const out = [...irregular, ...(keepRecordGaps ? [] : gapSpans(gaps))];
  return lengthMs(span) - coveredMs(span, out);
}
