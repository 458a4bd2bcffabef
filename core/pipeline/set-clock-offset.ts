import { fail, ok, type Result } from '../base/result.ts';
import type { CaseRecord } from '../model/case.ts';
import type { AcceptedOffset } from '../model/clock-comparison.ts';
import { MAX_CLOCK_OFFSET_S } from '../model/mapping.ts';
import type { Part, SourceNotes } from './align-clocks.ts';
import { buildCase } from './build-case.ts';
import { partsOfCase } from './parts-of-case.ts';

/** What the assembly would say in the report of an import: there is none here, and the case carries its own findings. */
const NO_NOTES: SourceNotes = { add: () => undefined, takeAsTimeOfDay: () => undefined };

/**
 * Returns the case as an import of its files with this clock offset would make it; the files themselves are not needed.
 * Shape   `record` is not modified. Setting an offset back gives a case that is equal to the one before in every field.
 * Units   `offsetMs` is the whole offset of the source, added to its times as the file has them.
 * Errors  `case-without-parts`: stored by a program before form 3; `source-unknown`; `offset-unusable`.
 */
export function setClockOffset(record: CaseRecord, sourceIndex: number, offsetMs: number, accepted: AcceptedOffset | null): Result<CaseRecord> {
  const source = record.sources[sourceIndex];
  if (source === undefined) return fail({ code: 'source-unknown', message: `${record.caseId} has no source number ${sourceIndex + 1}.`, remedy: 'Open the case again.' });
  if (!Number.isFinite(offsetMs) || Math.abs(offsetMs) > MAX_CLOCK_OFFSET_S * 1000) {
    return fail({ code: 'offset-unusable', message: `A clock cannot be set by ${offsetMs / 1000} s.`, remedy: `State at most ${MAX_CLOCK_OFFSET_S / 86_400} days either way.` });
  }
  const parts = partsOfCase(record);
  if (parts === null) {
    return fail({ code: 'case-without-parts', message: `${record.caseId} was stored by an earlier version of the program, which did not keep what its clocks are set with.`, remedy: 'Import its files again; then its clocks can be set.' });
  }
  const moved = parts.map((part, i): Part => (i === sourceIndex ? { ...part, file: { ...part.file, clockOffsetMs: Math.round(offsetMs), acceptedOffset: accepted !== null && Math.round(offsetMs) !== 0 ? accepted : undefined } } : part));
  return ok(buildCase(record.caseId, moved, record.attributes, NO_NOTES));
}
