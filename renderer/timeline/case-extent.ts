import type { Interval } from '../../core/base/interval.ts';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';

/**
 * Returns the stretch a timeline of this case has to show: the case's bounds and every sample, event and drug outside them.
 * Missing a case with nothing in it gives the bounds alone.
 */
export function caseExtent(record: CaseRecord, analysis: CaseAnalysis): Interval {
  let startMs = analysis.bounds.startMs;
  let endMs = analysis.bounds.endMs;
  const include = (ms: number | null | undefined): void => {
    if (ms === null || ms === undefined || !Number.isFinite(ms)) return;
    if (ms < startMs) startMs = ms;
    if (ms > endMs) endMs = ms;
  };
  for (const channel of record.channels) {
    include(channel.tMs[0]);
    include(channel.tMs[channel.tMs.length - 1]);
  }
  for (const event of record.events) {
    include(event.atMs);
    include(event.endMs);
  }
  for (const drug of record.drugs) {
    include(drug.atMs);
    include(drug.endMs);
  }
  return { startMs, endMs };
}
