import type { StatusName, StatusRuns } from '../model/analysis.ts';
import { STATUS_NAMES } from '../model/analysis.ts';
import type { SiteTrack } from './site-track.ts';

/**
 * Returns the unbroken runs of samples by status, for the statuses that a record cannot show by itself.
 * Shape   per status start and end in turn, ascending. Samples of one status with none of another between are one run,
 *         unless a row was missed between them.
 * Units   ms.
 * Missing a sample stands until the next one, but for no longer than its interval; where the interval is not known, for
 *         no time.
 * Source  analysis-spec 3; docs/methods/sample-status.md.
 */
export function statusRuns(site: SiteTrack): StatusRuns {
  const { tMs, status } = site.track;
  const runs: Record<keyof StatusRuns, number[]> = { implausible: [], flagged: [], held: [], weak: [], disputed: [] };
  let i = 0;
  while (i < tMs.length) {
    const code = status[i] ?? 0;
    let last = i;
    while (last + 1 < tMs.length && status[last + 1] === code && (tMs[last + 1] ?? NaN) - (tMs[last] ?? NaN) <= (site.limitMs[last] ?? 0)) last++;
    const name = STATUS_NAMES[code - 1];
    if (name !== undefined && isShown(name)) {
      const at = tMs[last] ?? NaN;
      const interval = site.intervalMs[last] ?? NaN;
      runs[name].push(tMs[i] ?? NaN, Number.isNaN(interval) ? at : Math.min(at + interval, tMs[last + 1] ?? Infinity));
    }
    i = last + 1;
  }
  return runs;
}

function isShown(name: StatusName): name is keyof StatusRuns {
  return name !== 'absent' && name !== 'good';
}
