import { assert } from '../base/assert.ts';
import type { EntryTime } from '../model/case-part.ts';
import type { CaseRecord } from '../model/case.ts';
import type { Part } from './align-clocks.ts';

/**
 * Returns what the sources of a stored case gave, as the assembly takes it, or null where the case does not keep it.
 * Shape   one part for each source, arrays shared with the case; `clock` and `shiftMs` are not settled yet.
 */
export function partsOfCase(record: CaseRecord): Part[] | null {
  return record.parts?.map((part, sourceIndex): Part => {
    const source = record.sources[sourceIndex];
    assert(source !== undefined, 'a case has a part for each source');
    const { name, sha256, byteLength, kind, clockOffsetMs, acceptedOffset } = source;
    const { clock, zone, canSwapDayAndMonth, channels, nDuplicates, nConflicts, firstConflictLine } = part;
    const events = ofSource(record.events, sourceIndex).map(({ eventId: _id, atMs: _at, endMs: _end, source: { line }, ...rest }, i) => ({ ...rest, ...timeAt(part.eventTimes, i), line }));
    const drugs = ofSource(record.drugs, sourceIndex).map(({ drugId: _id, atMs: _at, endMs: _end, source: { line }, ...rest }, i) => ({ ...rest, ...timeAt(part.drugTimes, i), line }));
    return {
      file: { source: { name, sha256, byteLength, kind }, clock, zone, clockOffsetMs, canSwapDayAndMonth, acceptedOffset, ...(part.mayBeTimeOfDay ? { asTimeOfDay: true } : {}) },
      reading: { channels, events, drugs, nDuplicates, nConflicts, firstConflictLine },
      clock,
      shiftMs: 0,
    };
  }) ?? null;
}

function ofSource<Entry extends { readonly source: { readonly sourceIndex: number } }>(entries: readonly Entry[], sourceIndex: number): Entry[] {
  return entries.filter((entry) => entry.source.sourceIndex === sourceIndex);
}

function timeAt(times: readonly EntryTime[], index: number): { readonly tMs: number; readonly endMs: number | null } {
  const time = times[index];
  assert(time !== undefined, 'every event and drug of a case has its time in the part of its source');
  return { tMs: time[0], endMs: time[1] };
}
