import type { Finding } from '../base/finding.ts';
import type { CasePart, EntryTime } from '../model/case-part.ts';
import type { CaseOrigin, CaseRecord, SourceFile } from '../model/case.ts';
import type { DrugRecord } from '../model/drug.ts';
import type { CaseEvent } from '../model/event.ts';
import type { RawChannel } from '../readers/reading.ts';
import { DAY_MS } from '../time/civil.ts';
import { clockOffsetWords } from '../time/clock-offset.ts';
import { alignClocks, firstEntry, firstTrend, moveOf, type Part, type SourceNotes } from './align-clocks.ts';
import { joinChannels } from './join-channels.ts';
import { nameChannels } from './name-channels.ts';

interface Placed<Entry> {
  readonly entry: Entry;
  readonly time: EntryTime;
}

/**
 * Returns the case that parts make together: one clock, times from the first trend row, channels joined where they continue
 * one another.
 * Shape   the parts' arrays are not modified; `clock` and `shiftMs` of the parts are set. What each part gave stands in `parts`
 *         of the case.
 */
export function buildCase(caseId: string, parts: readonly Part[], attributes: Readonly<Record<string, string>>, notes: SourceNotes): CaseRecord {
  const findings: Finding[] = [];
  const { clock, zone } = alignClocks(parts, notes, findings);
  let originMs = Infinity;
  for (const part of parts) originMs = Math.min(originMs, firstTrend(part) + moveOf(part));
  if (originMs === Infinity) {
    for (const part of parts) originMs = Math.min(originMs, firstEntry(part) + moveOf(part));
    findings.push({ code: 'no-trends', severity: 'warning', message: 'No trend file belongs to this case; its drugs and events alone are shown.', count: 1 });
  }
  if (originMs === Infinity) originMs = 0;
  const sources = parts.map(({ file }): SourceFile => ({ name: file.source.name, sha256: file.source.sha256, byteLength: file.source.byteLength, kind: file.source.kind, clockOffsetMs: file.clockOffsetMs, ...(file.acceptedOffset === undefined ? {} : { acceptedOffset: file.acceptedOffset }) }));
  const raw: { readonly channel: RawChannel; readonly sourceIndex: number; readonly shiftMs: number }[] = [];
  for (const [sourceIndex, part] of parts.entries()) {
    for (const channel of part.reading.channels) raw.push({ channel, sourceIndex, shiftMs: moveOf(part) - originMs });
    addReadingFindings(part.reading, sourceIndex, findings);
    addOffsetFinding(part, sourceIndex, findings);
  }
  const joined = joinChannels(raw);
  findings.push(...joined.findings);
  const channels = nameChannels(joined.channels);
  const events: Placed<CaseEvent>[] = [];
  const drugs: Placed<DrugRecord>[] = [];
  for (const [sourceIndex, part] of parts.entries()) {
    const shift = moveOf(part) - originMs;
    // Field by field: a case put together anew from what is stored has the very bytes of the import.
    for (const { kind, term, phase, text, tMs, endMs, manual, site, line } of part.reading.events) {
      events.push({ entry: { eventId: '', kind, term, phase, text, atMs: tMs + shift, endMs: endMs === null ? null : endMs + shift, manual, site, source: { sourceIndex, line } }, time: [tMs, endMs] });
    }
    for (const { inn, atc, isVasopressor, route, form, amount, unit, tMs, endMs, manual, flags, text, line } of part.reading.drugs) {
      const end = endMs === null ? null : endMs + shift;
      drugs.push({ entry: { drugId: '', inn, atc, isVasopressor, route, form, amount, unit, atMs: tMs + shift, endMs: end, manual, flags, text, source: { sourceIndex, line } }, time: [tMs, endMs] });
    }
  }
  events.sort(inOrder);
  drugs.sort(inOrder);
  const origin: CaseOrigin = {
    epochMs: clock === 'absolute' ? originMs : null,
    clock,
    // A clock set forward over midnight starts the next day's count anew.
    originOffsetMs: clock === 'absolute' ? 0 : clock === 'time of day' ? originMs - Math.floor(originMs / DAY_MS) * DAY_MS : originMs,
    zone: zone.name,
    zoneStated: zone.basis !== 'none',
  };
  return {
    caseId,
    origin,
    sources,
    channels,
    events: events.map(({ entry }, i) => ({ ...entry, eventId: `e${i + 1}` })),
    drugs: drugs.map(({ entry }, i) => ({ ...entry, drugId: `d${i + 1}` })),
    findings,
    attributes,
    parts: parts.map((part, sourceIndex) => casePart(part, timesOf(events, sourceIndex), timesOf(drugs, sourceIndex))),
  };
}

function inOrder({ entry: a }: Placed<CaseEvent | DrugRecord>, { entry: b }: Placed<CaseEvent | DrugRecord>): number {
  return a.atMs - b.atMs || a.source.sourceIndex - b.source.sourceIndex || a.source.line - b.source.line;
}

function timesOf(placed: readonly Placed<CaseEvent | DrugRecord>[], sourceIndex: number): EntryTime[] {
  return placed.flatMap(({ entry, time }) => (entry.source.sourceIndex === sourceIndex ? [time] : []));
}

function casePart({ file, reading }: Part, eventTimes: readonly EntryTime[], drugTimes: readonly EntryTime[]): CasePart {
  const { nDuplicates, nConflicts, firstConflictLine } = reading;
  const { name, basis } = file.zone;
  const channels = reading.channels.map(({ quantity, label, unit, site, sensor, layout, valueMaking, deviceHoldS, tMs, value, mark, line }) => ({
    quantity, label, unit, site, sensor, layout, ...(valueMaking === undefined ? {} : { valueMaking }), ...(deviceHoldS === undefined ? {} : { deviceHoldS }), tMs, value, mark, line,
  }));
  return { clock: file.clock, mayBeTimeOfDay: file.asTimeOfDay !== undefined, zone: { name, basis }, canSwapDayAndMonth: file.canSwapDayAndMonth, channels, eventTimes, drugTimes, nDuplicates, nConflicts, firstConflictLine };
}

function addOffsetFinding({ file, reading }: Part, sourceIndex: number, findings: Finding[]): void {
  if (file.clockOffsetMs === 0 || (reading.channels.length === 0 && reading.events.length === 0 && reading.drugs.length === 0)) return;
  findings.push({ code: 'clock-offset', severity: 'note', message: `${file.source.name}: its clock was set ${file.acceptedOffset === undefined ? 'by hand' : `by a proposal from the data that a person accepted (against ${file.acceptedOffset.against})`}, ${clockOffsetWords(file.clockOffsetMs)}.`, count: 1, sourceIndex });
}

function addReadingFindings(reading: Part['reading'], sourceIndex: number, findings: Finding[]): void {
  if (reading.nDuplicates > 0) findings.push({ code: 'duplicate-rows', severity: 'note', message: 'Rows that repeat an earlier row were dropped.', count: reading.nDuplicates, sourceIndex });
  if (reading.nConflicts > 0) {
    findings.push({
      code: 'conflicting-values',
      severity: 'warning',
      message: 'Two different values stand at one instant; the first plausible one was kept.',
      count: reading.nConflicts,
      sourceIndex,
      ...(reading.firstConflictLine === null ? {} : { firstLine: reading.firstConflictLine }),
    });
  }
}
