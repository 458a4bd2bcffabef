import type { CaseRecord } from '../model/case.ts';
import type { AcceptedOffset } from '../model/clock-comparison.ts';
import { fail, ok, type Result } from '../base/result.ts';
import { proposeClockOffsets } from './propose-clock-offsets.ts';

/**
 * Returns the evidence of a proposal that a person accepts, worked out anew from the case, so that nothing is kept that the data
 * do not say.
 * Errors  `proposal-gone`: no such offset is proposed for this source.
 */
export function acceptedOffset(record: CaseRecord, sourceIndex: number, offsetMs: number): Result<AcceptedOffset> {
  const own = proposeClockOffsets(record).find((comparison) => comparison.sourceIndex === sourceIndex && comparison.verdict === 'proposed' && comparison.offsetMs === offsetMs);
  const best = own?.evidence[0];
  const against = own === undefined || own.againstIndex === null ? undefined : record.sources[own.againstIndex];
  if (best === undefined || against === undefined || best.lowMs === null || best.highMs === null || best.peak === null) {
    return fail({ code: 'proposal-gone', message: `An offset of ${offsetMs / 1000} s is not proposed for this source of ${record.caseId}.`, remedy: 'Look at the clocks of the case again, or set the clock by hand.' });
  }
  const { method, lowMs, highMs, n, peak, atPresent } = best;
  return ok({ against: against.name, method, lowMs, highMs, n, peak, atPresent });
}
