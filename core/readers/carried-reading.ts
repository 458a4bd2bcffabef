import { countWords } from '../base/count-words.ts';
import type { SourceKind } from '../model/case.ts';
import type { ColumnReport, Guess, Withheld } from '../model/import-report.ts';
import { clockOffsetWords } from '../time/clock-offset.ts';
import { isKnownZone, ZoneClock } from '../time/zone-clock.ts';
import type { ReadingRules } from '../model/mapping.ts';
import type { PhraseBook } from './phrase-book.ts';
import type { ByteSource, ImportOptions } from './reader.ts';
import type { CaseReading, ClockKind, FileReading } from './reading.ts';
import { emptyReport, naming, offsetName, sourceOf } from './read-source.ts';
import { MAX_LISTED_REJECTS, type RowAccount } from './row-account.ts';
import type { StatedWords } from './stated-words.ts';
import { needlessRuleNotes, unmetColumnNotes } from './unmet-rules.ts';
import { valueFactFields, valueFactNotes, withValueFacts } from './value-facts.ts';

const MAX_NOTES = 60;

/** The zone in which a file's local times are read, as stated by mapping or user. */
export interface StatedZone {
  readonly name: string | null;
  readonly clock: ZoneClock | null;
}

/** Returns the stated zone; null when it is stated and not known. */
export function statedZone(rules: ReadingRules | null, options: ImportOptions): StatedZone | null {
  const name = rules?.zone ?? options.zone;
  if (name === null) return { name, clock: null };
  return isKnownZone(name) ? { name, clock: new ZoneClock(name) } : null;
}

/** What a carrier found out about one file. */
export interface Carried {
  readonly source: ByteSource;
  readonly sha256: string;
  readonly layout: string;
  readonly encoding: string;
  readonly account: RowAccount;
  readonly rules: ReadingRules | null;
  readonly zone: StatedZone;
  readonly clock: ClockKind | null;
  /** The first offset from UTC that a time of the file carries, NaN when none does. */
  readonly offsetMin: number;
  /** Times without an offset. */
  readonly nLocal: number;
  readonly phrases: PhraseBook;
  readonly words: StatedWords;
  readonly notes: readonly string[];
  readonly guesses: readonly Guess[];
  readonly columns: readonly ColumnReport[];
  readonly cases: readonly CaseReading[];
  readonly areKeysMasked: boolean;
  readonly withheld: readonly Withheld[];
  readonly identifiersSeen: readonly string[];
  /** What to say when not one row was found. */
  readonly failureWithoutRows: { readonly message: string; readonly remedy: string } | null;
}

/** Returns the reading of a file that a carrier read to its end, with a report whose sums are asserted. */
export function carriedReading(carried: Carried): FileReading {
  const { source, sha256, account, rules, zone, cases } = carried;
  const totals = account.totals();
  const kind = kindOf(cases);
  const clockOffsetMs = Math.round((rules?.clockOffsetS ?? 0) * 1000);
  const notes = [...carried.notes, ...carried.phrases.notes(), ...carried.words.notes(), ...unmetColumnNotes(rules, carried.columns.map((column) => column.heading), 0), ...needlessRuleNotes(rules), ...duplicateNotes(cases), ...zoneNotes(carried), ...valueFactNotes(cases, rules)];
  if (clockOffsetMs !== 0) notes.push(`Its clock was set by hand: ${clockOffsetWords(clockOffsetMs)}.`);
  if (totals.rows_rejected > MAX_LISTED_REJECTS) notes.push(`Only the first ${MAX_LISTED_REJECTS} of ${totals.rows_rejected} rejected rows are listed; all are counted.`);
  if (totals.rows_accepted === 0 && totals.rows_read > 0) notes.push('No row of this file could be used.');
  const [reason] = totals.rejected;
  const failure =
    totals.rows_read === 0
      ? carried.failureWithoutRows === null
        ? null
        : { ...carried.failureWithoutRows, message: naming(source, carried.failureWithoutRows.message), line: 1 }
      : totals.rows_accepted === 0
        ? { message: naming(source, totals.rows_read === 1 ? `Its only row could not be used (${reason?.reason ?? ''}).` : `None of its ${totals.rows_read} rows could be used (${reason?.reason ?? ''}).`), line: reason?.first_line ?? null, remedy: 'Look at the rejected rows; check that the export was copied whole, and export it again.' }
        : null;
  return {
    source: sourceOf(source, sha256, kind),
    clock: carried.clock,
    zone:
      zone.name !== null
        ? { name: zone.name, basis: 'stated' }
        : Number.isNaN(carried.offsetMin)
          ? { name: 'UTC', basis: 'none' }
          : { name: offsetName(carried.offsetMin), basis: 'offset' },
    clockOffsetMs,
    canSwapDayAndMonth: false,
    areKeysMasked: carried.areKeysMasked,
    identifiersSeen: carried.identifiersSeen,
    report: {
      ...emptyReport(source, sha256),
      kind,
      encoding: carried.encoding,
      layout: carried.layout,
      ...totals,
      notes: notes.slice(0, MAX_NOTES),
      guesses: carried.guesses,
      columns: carried.columns,
      ...carried.phrases.report(),
      ...valueFactFields(cases, rules),
      withheld: carried.withheld,
      failure,
    },
    rejectedRows: account.rejectedRows,
    cases: withValueFacts(cases, rules),
  };
}

function kindOf(cases: readonly CaseReading[]): SourceKind {
  const sum = (count: (reading: CaseReading) => number): number => cases.reduce((total, reading) => total + count(reading), 0);
  if (sum((reading) => reading.channels.length) > 0) return 'trends';
  const nDrugs = sum((reading) => reading.drugs.length);
  const nEvents = sum((reading) => reading.events.length);
  return nDrugs + nEvents === 0 ? 'unknown' : nDrugs >= nEvents ? 'administrations' : 'events';
}

function duplicateNotes(cases: readonly CaseReading[]): string[] {
  const notes: string[] = [];
  const nDuplicates = cases.reduce((sum, reading) => sum + reading.nDuplicates, 0);
  const nConflicts = cases.reduce((sum, reading) => sum + reading.nConflicts, 0);
  let first = Infinity;
  for (const { firstConflictLine } of cases) first = Math.min(first, firstConflictLine ?? Infinity);
  if (nDuplicates > 0) notes.push(`${countWords(nDuplicates, 'value repeats an earlier one of the same instant and was dropped as a duplicate', 'values repeat an earlier one of the same instant and were dropped as duplicates')}.`);
  if (nConflicts > 0) notes.push(`At ${countWords(nConflicts, 'instant', 'instants')} two different values stand for one quantity (first: line ${first}); the first plausible one was kept.`);
  return notes;
}

function zoneNotes({ zone, clock, nLocal, offsetMin }: Carried): string[] {
  const notes: string[] = [];
  if (clock !== 'absolute') return notes;
  if (nLocal > 0 && !Number.isNaN(offsetMin)) notes.push(`${countWords(nLocal, 'time carries', 'times carry')} no offset from UTC, others do.`);
  if (nLocal > 0 && zone.name === null && Number.isNaN(offsetMin)) notes.push('No time zone is stated; the times are taken as UTC so that results repeat. State the zone to show local time and to resolve daylight-saving changes.');
  if (zone.clock !== null && zone.clock.nTwice > 0) notes.push(`${countWords(zone.clock.nTwice, 'local time occurs twice because clocks were put back; it was told apart by its', 'local times occur twice because clocks were put back; they were told apart by their')} order in the file.`);
  if (zone.clock !== null && zone.clock.nMissing > 0) notes.push(`${countWords(zone.clock.nMissing, 'local time does not exist because clocks were put forward; it was', 'local times do not exist because clocks were put forward; they were')} read with the offset that held before.`);
  return notes;
}
