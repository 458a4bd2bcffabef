import type { Interval } from '../base/interval.ts';
import { STATUS } from '../model/analysis.ts';
import type { SiteTrack } from '../quality/site-track.ts';

/**
 * Returns how long weak and disputed samples stand within `span`, ms.
 * Missing a sample stands until the next one, but for no longer than its interval; where the interval is not known, for
 *         no time.
 * Source  analysis-spec 3; docs/methods/sample-status.md.
 */
export function doubtfulMs(site: SiteTrack, span: Interval): number {
  const { tMs, status } = site.track;
  let total = 0;
  for (let i = 0; i < tMs.length; i++) {
    const code = status[i];
    if (code !== STATUS.weak && code !== STATUS.disputed) continue;
    const at = tMs[i] ?? NaN;
    const interval = site.intervalMs[i] ?? NaN;
    if (Number.isNaN(interval) || at < span.startMs || at > span.endMs) continue;
    total += Math.min(interval, (tMs[i + 1] ?? Infinity) - at);
  }
  return total;
}
