import type { FileReport, Guess } from '../model/import-report.ts';
import type { FileReading } from '../readers/reading.ts';
import type { BuiltCase } from './build-planned-case.ts';
import type { CasePlan } from './plan-cases.ts';

/** What the building of one case left to be said. */
export type CaseRemarks = Omit<BuiltCase, 'record'>;

/**
 * Returns the complete report of every file, in the order of the readings: what its reading said, what the plan and the building
 * of its cases added, and the cases it contributed to.
 * Missing  a case without remarks (null) was not built.
 */
export function completeReports(readings: readonly FileReading[], plan: CasePlan, remarks: readonly (CaseRemarks | null)[]): FileReport[] {
  const notes = readings.map((file) => [...file.report.notes]);
  const added = readings.map(() => new Set<string>());
  const cases = readings.map(() => new Set<string>());
  const because = new Map<number, string>();
  const aged = new Set<number>();
  const say = (file: number, note: string): void => {
    if (added[file]?.has(note) !== false) return;
    added[file].add(note);
    notes[file]?.push(note);
  };
  for (const { file, note } of plan.notes) say(file, note);
  for (const [i, { caseId, parts }] of plan.cases.entries()) {
    for (const { part, note } of remarks[i]?.notes ?? []) say(parts[part]?.file ?? -1, note);
    for (const { part, note } of remarks[i]?.asTimeOfDay ?? []) because.set(parts[part]?.file ?? -1, note);
    const agedBy = parts[remarks[i]?.agedBy ?? -1]?.file;
    if (agedBy !== undefined) {
      aged.add(agedBy);
      say(agedBy, 'Of the dates of birth only the age at the case was kept, in whole years and as one group from 90 on.');
    }
    for (const { file } of parts) cases[file]?.add(caseId);
  }
  return readings.map((file, i) => ({ ...file.report, guesses: guessesOf(file, because.get(i)), withheld: withheldOf(file.report, aged.has(i)), notes: notes[i] ?? [], cases: [...(cases[i] ?? [])].sort(byText) }));
}

/** Returns the guesses of a file as the building of its cases leaves them. */
function guessesOf({ report, asTimeOfDay, cases }: FileReading, because: string | undefined): readonly Guess[] {
  // With several cases in the file the clock may have been settled for some of them only: the note says so then.
  if (because === undefined || asTimeOfDay === undefined || cases.length > 1) return report.guesses;
  return report.guesses.map((guess) => (guess.field === 'timeKind' ? { ...asTimeOfDay, because } : guess));
}

/** Returns what was withheld of a file, birth dates told as grouped where ages were made of them. */
function withheldOf({ withheld }: FileReport, isAged: boolean): FileReport['withheld'] {
  if (!isAged) return withheld;
  return withheld?.map((entry) => (entry.looksLike === 'birth date' && entry.heading !== '' && entry.done === 'left out' ? { ...entry, done: 'grouped' as const } : entry));
}

function byText(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
