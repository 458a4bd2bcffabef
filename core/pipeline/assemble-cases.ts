import { countWords } from '../base/count-words.ts';
import { ageOnDay } from '../identity/grouped-age.ts';
import type { CaseRecord } from '../model/case.ts';
import type { FileReport, Guess, RejectedRow } from '../model/import-report.ts';
import type { ImportOptions, ImportOutcome } from '../readers/reader.ts';
import type { CaseReading, FileReading } from '../readers/reading.ts';
import { DAY_MS } from '../time/civil.ts';
import { ZoneClock } from '../time/zone-clock.ts';
import type { Part, PartFile, SourceNotes } from './align-clocks.ts';
import { buildCase } from './build-case.ts';

/** What one file says about a case, before anything is known of the others. */
interface FilePart extends Part {
  readonly file: FileReading;
  readonly reading: CaseReading;
}

interface Group {
  readonly id: string;
  readonly parts: FilePart[];
}

function byPath(a: FileReading, b: FileReading): number {
  return a.source.relativePath < b.source.relativePath ? -1 : a.source.relativePath > b.source.relativePath ? 1 : 0;
}

function byText(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

/** Notes that the assembly adds to files, by their place among the readings. */
class ReportNotes implements SourceNotes {
  private readonly notes = new Map<PartFile, string[]>();
  private readonly agedFiles = new Set<PartFile>();
  private readonly timeOfDay = new Map<PartFile, string>();
  readonly cases = new Map<FileReading, Set<string>>();

  add(file: PartFile, note: string): void {
    const own = this.notes.get(file) ?? [];
    if (!own.includes(note)) own.push(note);
    this.notes.set(file, own);
  }

  addCase(file: FileReading, id: string): void {
    const own = this.cases.get(file) ?? new Set<string>();
    own.add(id);
    this.cases.set(file, own);
  }

  of(file: FileReading): readonly string[] {
    return this.notes.get(file) ?? [];
  }

  groupBirthDates(file: PartFile): void {
    this.agedFiles.add(file);
    this.add(file, 'Of the dates of birth only the age at the case was kept, in whole years and as one group from 90 on.');
  }

  /** Returns what was withheld of a file, birth dates told as grouped where ages were made of them. */
  withheldOf(file: FileReading): FileReport['withheld'] {
    if (!this.agedFiles.has(file)) return file.report.withheld;
    return file.report.withheld?.map((entry) => (entry.looksLike === 'birth date' && entry.heading !== '' && entry.done === 'left out' ? { ...entry, done: 'grouped' as const } : entry));
  }

  takeAsTimeOfDay(file: PartFile, because: string): void {
    this.timeOfDay.set(file, because);
  }

  /** Returns the guesses of a file as the assembly leaves them. */
  guessesOf(file: FileReading): readonly Guess[] {
    const because = this.timeOfDay.get(file);
    const { asTimeOfDay } = file;
    // With several cases in the file the clock may have been settled for some of them only: the note says so then.
    if (because === undefined || asTimeOfDay === undefined || file.cases.length > 1) return file.report.guesses;
    return file.report.guesses.map((guess) => (guess.field === 'timeKind' ? { ...asTimeOfDay, because } : guess));
  }
}

/**
 * Returns the cases that files make together, and the complete report of every file.
 * Files of one folder without a case column are one case, named after the folder (or the only case that other files of the
 * folder name). Each case's origin is its first trend row; every other time counts from it.
 * Shape   the readings' arrays are not modified. The result depends on the readings alone, not on their order, except that
 *         `files` and `rejectedRows` keep it.
 * Errors  never throws for bad input.
 */
export function assembleCases(readings: readonly FileReading[], options: ImportOptions): ImportOutcome {
  const notes = new ReportNotes();
  const sorted = [...readings].sort(byPath);
  const { groups, attributes } = groupParts(sorted, notes);
  const cases: CaseRecord[] = [];
  for (const group of groups) {
    options.signal?.throwIfAborted();
    cases.push(withAge(buildCase(group.id, group.parts, attributes.get(group.id) ?? {}, notes), group.parts, notes));
    for (const part of group.parts) notes.addCase(part.file, group.id);
  }
  cases.sort((a, b) => byText(a.caseId, b.caseId));
  const files = readings.map((file): FileReport => ({ ...file.report, guesses: notes.guessesOf(file), withheld: notes.withheldOf(file), notes: [...file.report.notes, ...notes.of(file)], cases: [...(notes.cases.get(file) ?? [])].sort(byText) }));
  const rejectedRows: RejectedRow[] = [];
  for (const file of readings) for (const row of file.rejectedRows) rejectedRows.push(row);
  return { cases, files, rejectedRows };
}

/** Puts what the files say under the case it belongs to. */
function groupParts(files: readonly FileReading[], notes: ReportNotes): { groups: Group[]; attributes: Map<string, Record<string, string>> } {
  const maskedNames = maskedCaseNames(files);
  const keyOf = (file: FileReading, reading: CaseReading): string | null => (reading.caseKey === null ? null : file.areKeysMasked ? (maskedNames.get(reading.caseKey) ?? reading.caseKey) : reading.caseKey);
  const folderNames = folderCaseNames(files);
  const idsOfFolder = new Map<string, Set<string>>();
  for (const file of files) {
    if (file.source.kind === 'case list') continue;
    for (const reading of file.cases) {
      const key = keyOf(file, reading);
      if (key === null) continue;
      const ids = idsOfFolder.get(file.source.folder) ?? new Set<string>();
      ids.add(key);
      idsOfFolder.set(file.source.folder, ids);
    }
  }
  const groups = new Map<string, Group>();
  const attributes = new Map<string, Record<string, string>>();
  const listed: { readonly file: FileReading; readonly reading: CaseReading; readonly id: string }[] = [];
  for (const file of files) {
    if (file.areKeysMasked) notes.add(file, 'What tells its cases apart identifies a person or a stay: the cases bear the folder’s name or a code instead of it.');
    for (const reading of file.cases) {
      const key = keyOf(file, reading);
      const ownFolder = idsOfFolder.get(file.source.folder);
      let id = key ?? folderNames.get(file.source.folder) ?? file.source.folderName;
      if (key === null && ownFolder !== undefined && ownFolder.size === 1) {
        const [only] = ownFolder;
        if (only !== undefined) {
          id = only;
          notes.add(file, `The file names no case; it was joined to case ${only}, the only one that the other files of its folder name.`);
        }
      }
      if (file.source.kind === 'case list') {
        listed.push({ file, reading, id });
        continue;
      }
      if (reading.channels.length === 0 && reading.events.length === 0 && reading.drugs.length === 0) continue;
      const group = groups.get(id) ?? { id, parts: [] };
      if (group.parts.some((part) => part.file.source.sha256 === file.source.sha256 && part.reading.caseKey === reading.caseKey && file.source.sha256 !== '')) {
        notes.add(file, 'The file has the same content as another file of the case and was not used a second time.');
        continue;
      }
      group.parts.push({ file, reading, clock: file.clock, shiftMs: 0 });
      groups.set(id, group);
    }
  }
  const missing = new Map<FileReading, number>();
  for (const { file, reading, id } of listed) {
    const group = groups.get(id);
    if (group === undefined) {
      missing.set(file, (missing.get(file) ?? 0) + 1);
      continue;
    }
    const own = attributes.get(id) ?? {};
    for (const [name, value] of Object.entries(reading.attributes)) own[name] ??= value;
    attributes.set(id, own);
    group.parts.push({ file, reading, clock: file.clock, shiftMs: 0 });
  }
  for (const [file, count] of missing) notes.add(file, `${countWords(count, 'case of the list has', 'cases of the list have')} no trends, drugs or events among the files read.`);
  return { groups: [...groups.values()], attributes };
}

/** Returns the names of cases told apart by codes, where a folder's name is better: that of a folder which the code has to itself. */
function maskedCaseNames(files: readonly FileReading[]): Map<string, string> {
  const foldersOf = new Map<string, Map<string, string>>();
  const keysOf = new Map<string, Set<string>>();
  for (const file of files) {
    if (!file.areKeysMasked) continue;
    for (const { caseKey } of file.cases) {
      if (caseKey === null) continue;
      foldersOf.set(caseKey, (foldersOf.get(caseKey) ?? new Map<string, string>()).set(file.source.folder, file.source.folderName));
      keysOf.set(file.source.folder, (keysOf.get(file.source.folder) ?? new Set<string>()).add(caseKey));
    }
  }
  const names = new Map<string, string>();
  for (const [key, folders] of foldersOf) {
    const [only, ...rest] = folders;
    if (only !== undefined && rest.length === 0 && keysOf.get(only[0])?.size === 1 && only[1] !== '') names.set(key, only[1]);
  }
  return names;
}

/** Adds the age at a dated case where a file states the date of birth and none states the age; over 89 years it is a group. */
function withAge(record: CaseRecord, parts: readonly FilePart[], notes: ReportNotes): CaseRecord {
  const part = parts.find((own) => own.reading.bornOnDay !== undefined);
  const { epochMs, zone } = record.origin;
  if (part?.reading.bornOnDay === undefined || epochMs === null || Object.keys(record.attributes).some((name) => /^(?:age|alter|âge|edad|età)\b/i.test(name))) return record;
  const age = ageOnDay(part.reading.bornOnDay, Math.floor((epochMs + new ZoneClock(zone).offsetAt(epochMs)) / DAY_MS));
  if (age === null) return record;
  notes.groupBirthDates(part.file);
  return { ...record, attributes: { ...record.attributes, 'age at the case': age } };
}

/** Returns the name of each folder's case: the folder's own name, with its parents where two folders share it. */
function folderCaseNames(files: readonly FileReading[]): Map<string, string> {
  const folders = new Map<string, string>();
  for (const file of files) if (file.cases.some((reading) => reading.caseKey === null)) folders.set(file.source.folder, file.source.folderName);
  const uses = new Map<string, number>();
  for (const name of folders.values()) uses.set(name, (uses.get(name) ?? 0) + 1);
  return new Map([...folders].map(([folder, name]) => [folder, (uses.get(name) ?? 0) > 1 && folder !== '' ? folder : name]));
}
