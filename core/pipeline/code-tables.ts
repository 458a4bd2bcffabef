import { labelsFor, tablesOf, type CodeTable } from '../readers/code-table.ts';
import type { FileReading } from '../readers/reading.ts';

/** What of a reading says whether it needs, or is, a list of codes. Plain data that can cross a thread. */
export interface CodeFacts {
  readonly file: string;
  readonly columns: NonNullable<FileReading['codeColumns']>['columns'];
  readonly table: CodeTable | null;
}

/** What a second reading takes. */
export interface SecondReading {
  /** The lists that explain a column of another file. */
  readonly codeTables: readonly CodeTable[];
  /** Which files are to be read again, by their place: those that are explained, and the lists. */
  readonly again: readonly number[];
}

/** Returns what of a reading says whether it needs, or is, a list of codes. */
export function codeFactsOf({ codeColumns, codeTable }: FileReading): CodeFacts {
  return { file: codeColumns?.file ?? '', columns: codeColumns?.columns ?? [], table: codeTable ?? null };
}

/**
 * Returns which files hold columns of codes that lists of codes beside or above them explain, and these lists; null when there are
 * none. `byFile`: the readings of each file, in the order of the files.
 */
export function secondReading(byFile: readonly (readonly CodeFacts[])[]): SecondReading | null {
  const all = byFile.flatMap((readings) => readings.flatMap(({ table }) => table ?? []));
  if (all.length === 0) return null;
  const usedBy = ({ file, columns }: CodeFacts): string[] => {
    const near = tablesOf(file.slice(0, Math.max(0, file.lastIndexOf('/'))), all).filter((table) => table.file !== file);
    return columns.flatMap((column) => labelsFor(column, near)?.file ?? []);
  };
  const used = new Set(byFile.flatMap((readings) => readings.flatMap(usedBy)));
  const again = byFile.flatMap((readings, i) => (readings.some((facts) => usedBy(facts).length > 0 || (facts.table !== null && used.has(facts.table.file))) ? [i] : []));
  return again.length === 0 ? null : { codeTables: all.filter((table) => used.has(table.file)), again };
}
