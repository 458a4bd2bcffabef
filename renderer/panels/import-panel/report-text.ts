import type { SourceKind } from '../../../core/model/case.ts';
import type { FileReport, Guess, RejectedRow } from '../../../core/model/import-report.ts';
import { countText, numberText } from '../../format/number-text.ts';

const KIND_TEXT: Readonly<Record<SourceKind, string>> = {
  'trends': 'recorded values over time',
  'administrations': 'drugs given',
  'events': 'events',
  'case list': 'a list of cases',
  'unknown': 'not recognised',
};

/** Returns what a file was taken as, in words. */
export function kindText(kind: SourceKind): string {
  return KIND_TEXT[kind];
}

const DELIMITER_TEXT: ReadonlyMap<string, string> = new Map([
  [',', 'comma'],
  [';', 'semicolon'],
  ['\t', 'tab'],
  ['|', 'upright stroke'],
  [' ', 'space'],
  ['^', 'caret (^)'],
  ['aligned', 'blanks, columns one below the other'],
  ['', 'none found'],
]);

/** Returns the name of the sign between cells. */
export function delimiterText(delimiter: string): string {
  return DELIMITER_TEXT.get(delimiter) ?? delimiter;
}

/** Returns a table's layout in words. */
export function layoutText(layout: string): string {
  if (layout === 'wide') return 'wide: one row per time, a column for each quantity';
  if (layout === 'long') return 'long: one row per value, its name in a column';
  return layout === '' ? 'not recognised' : layout;
}

/** Returns the name of an encoding as it is usually written. */
export function encodingText(encoding: string): string {
  return encoding === '' ? 'not recognised' : encoding.toUpperCase().replace('LATIN1', 'Latin-1').replace('WINDOWS', 'Windows');
}

/** Returns how sure a guess is, in words. */
export function certaintyText(certainty: Guess['certainty']): string {
  switch (certainty) {
    case 'proven':
      return 'proven by the file itself';
    case 'likely':
      return 'likely';
    case 'assumed':
      return 'assumed, for want of evidence';
  }
}

/** Returns the reason for a guess as a sentence of its own. */
export function becauseText(because: string): string {
  const reason = because.trim();
  return `Because ${reason}${/[.!?…]$/.test(reason) ? '' : '.'}`;
}

/** Returns the rows of a file as a sum that adds up. */
export function rowsText(report: Pick<FileReport, 'rows_read' | 'rows_accepted' | 'rows_rejected'>): string {
  return `${numberText(report.rows_read)} ${report.rows_read === 1 ? 'row' : 'rows'} read = ${numberText(report.rows_accepted)} accepted + ${numberText(report.rows_rejected)} rejected`;
}

export interface ReportSums {
  readonly files: number;
  readonly failed: number;
  readonly rows_read: number;
  readonly rows_accepted: number;
  readonly rows_rejected: number;
  /** Guesses that the file itself does not prove. */
  readonly openGuesses: number;
}

/** Returns what the files of one import add up to. */
export function sumReports(files: readonly FileReport[]): ReportSums {
  const sum = (pick: (file: FileReport) => number): number => files.reduce((total, file) => total + pick(file), 0);
  return {
    files: files.length,
    failed: files.filter((file) => file.failure !== null).length,
    rows_read: sum((file) => file.rows_read),
    rows_accepted: sum((file) => file.rows_accepted),
    rows_rejected: sum((file) => file.rows_rejected),
    openGuesses: sum((file) => openGuesses(file).length),
  };
}

/** Returns the guesses of a file that the file itself does not prove. */
export function openGuesses(file: FileReport): Guess[] {
  return file.guesses.filter((guess) => guess.certainty !== 'proven');
}

/** Returns the headline of a report: how many files came in and how many did not. */
export function headlineText(sums: ReportSums, cases: number): string {
  const read = sums.files - sums.failed;
  if (read === 0 && sums.failed > 0) return `Nothing came in: ${countText(sums.failed, 'file', 'files')} could not be read`;
  const failed = sums.failed === 0 ? '' : `; ${countText(sums.failed, 'file', 'files')} could not be read`;
  return `${countText(read, 'file', 'files')} read into ${countText(cases, 'case', 'cases')}${failed}`;
}

/** Returns the rejected rows of one file and reason, in file order. */
export function rejectedRowsOf(rows: readonly RejectedRow[], file: string, reason: string): RejectedRow[] {
  return rows.filter((row) => row.file === file && row.reason === reason).sort((a, b) => a.line - b.line);
}

/** Returns the failed files first, then those with rejected rows or open guesses, then the rest; each group in its own order. */
export function filesByConcern(files: readonly FileReport[]): FileReport[] {
  const concern = (file: FileReport): number => (file.failure !== null ? 0 : file.rows_rejected > 0 || openGuesses(file).length > 0 ? 1 : 2);
  return files.map((file, index) => ({ file, index })).sort((a, b) => concern(a.file) - concern(b.file) || a.index - b.index).map(({ file }) => file);
}
