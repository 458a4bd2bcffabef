import type { RecordGap } from '../model/analysis.ts';
import type { CaseRecord } from '../model/case.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { BareExposure } from '../model/prepared-case.ts';
import { gapSpans } from '../episodes/gap-spans.ts';
import { positionStateEnd } from '../linkage/position-state.ts';
import type { EventSpan } from '../metrics/false-low.ts';
import type { PairContext } from '../sites/pair-spans.ts';

/** Returns the stretches of a case in which the patient lay head down, each with the event that began it. */
export function headDownSpans(record: CaseRecord, caseEndMs: number): EventSpan[] {
  return record.events.flatMap((event) => {
    const endMs = event.kind === 'position' && event.term === 'head down' ? positionStateEnd(event, record.events, caseEndMs) : null;
    return endMs === null ? [] : [{ eventId: event.eventId, startMs: event.atMs, endMs }];
  });
}

/** Returns what of a case bears on the comparison of its sensors. */
export function pairContext(headDown: readonly EventSpan[], exposures: readonly BareExposure[], gaps: readonly RecordGap[], parameters: AnalysisParameters): PairContext {
  const bypass = exposures.flatMap(({ kind, atMs, endMs }) => (kind === 'bypass' && endMs !== null ? [{ startMs: atMs, endMs }] : []));
  return { bypass, headDown, recordGaps: gapSpans(gaps), parameters };
}
