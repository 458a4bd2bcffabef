import type { FileReport, RejectedRow } from '../model/import-report.ts';
import { inOrder } from './case-context.ts';
import type { CaseReport, CaseTable } from './case-report.ts';
import { casesColumns, dropoutsColumns } from './case-report.ts';
import { CASE_COLUMNS } from './cases-table.ts';
import { CHANNEL_COLUMNS } from './channels-table.ts';
import { CLOCK_COLUMNS } from './clock-offsets-table.ts';
import { headingText, rowsText, type Column } from './column.ts';
import { dataDictionaryText } from './data-dictionary.ts';
import { DROPOUT_COLUMNS } from './dropouts-table.ts';
import { EXPOSURE_COLUMNS } from './exposures-table.ts';
import type { UnanalyzedCase } from './import-report-file.ts';
import { importReportText } from './import-report-file.ts';
import { LINK_COLUMNS } from './links-table.ts';
import { LOW_COLUMNS } from './low-spo2-table.ts';
import type { RunSettings } from './parameters-file.ts';
import { parametersText } from './parameters-file.ts';
import { relativeColumns, withoutInstants } from './relative-time.ts';
import { REVIEW_COLUMNS } from './reviews-table.ts';
import { ROBUSTNESS_COLUMNS } from './robustness-table.ts';
import { COMPARISON_COLUMNS, comparisonRows } from './site-comparison-table.ts';
import { PAIR_COLUMNS } from './site-pairs-table.ts';
import { REJECTED_ROW_COLUMNS } from './rejected-rows-table.ts';

/** What a run found apart from the rows of single cases. */
export interface RunResult {
  readonly settings: RunSettings;
  readonly files: readonly FileReport[];
  /** By file (code unit order), then line. */
  readonly rejectedRows: Iterable<RejectedRow> | AsyncIterable<RejectedRow>;
  /** What is pooled over cases. */
  readonly cases: readonly Pick<CaseReport, 'caseId' | 'pairs'>[];
  readonly unanalyzed: readonly UnanalyzedCase[];
}

/** A file to be written. The text comes in pieces, so that a large table is never one string. */
export interface ReportFile {
  readonly name: string;
  readonly text: Iterable<string> | AsyncIterable<string>;
}

/** A file to be written that is no text. */
export interface BytesFile {
  readonly name: string;
  readonly bytes: Uint8Array;
}

/** Sheets of a run bear numbers, never the name of a case: a file name goes where its content does not. */
export const CASE_SHEETS_TABLE = 'case-sheets.csv';
export const DEPARTMENT_REPORT_FILE_NAMES = ['department-report.html', 'department-report.pdf'] as const;

/** Returns the names of the files of a case sheet by its number, from 1. */
export function caseSheetNames(number: number): readonly [html: string, pdf: string] {
  const name = `case-sheet-${String(number).padStart(3, '0')}`;
  return [`${name}.html`, `${name}.pdf`];
}

/** Whether a file bears the name of a case sheet. */
export function isCaseSheetName(name: string): boolean {
  return /^case-sheet-\d{3,}\.(html|pdf)$/u.test(name);
}

/** The names of the files that every run writes, in the order in which they are written. */
export const REPORT_FILE_NAMES = ['import-report.json', 'rejected-rows.csv', 'cases.csv', 'dropouts.csv', 'dropouts-doubtful-lost.csv', 'links.csv', 'exposures.csv', 'low-spo2.csv', 'site-pairs.csv', 'site-comparison.csv', 'clock-offsets.csv', 'parameters.json', 'data-dictionary.md'] as const;

/** A file that is written only on request. */
export const ROBUSTNESS_FILE_NAME = 'robustness.csv';
/** A file that is written only where reviews are given. */
export const REVIEWS_FILE_NAME = 'reviews.csv';

/** What is wanted beside the files of every run. */
export interface MoreFiles {
  readonly withRobustness: boolean;
  readonly withReviews: boolean;
  /** Left out: not. */
  readonly withChannels?: boolean | undefined;
}

/** Returns the names of the files that a run writes. */
export function reportFileNames({ withRobustness, withReviews }: MoreFiles): string[] {
  return [...REPORT_FILE_NAMES, ...(withRobustness ? [ROBUSTNESS_FILE_NAME] : []), ...(withReviews ? [REVIEWS_FILE_NAME] : [])];
}

const CASE_TABLE_HEADINGS: Readonly<Record<CaseTable, string>> = {
  'cases.csv': headingText(CASE_COLUMNS),
  'dropouts.csv': headingText(DROPOUT_COLUMNS),
  'dropouts-doubtful-lost.csv': headingText(DROPOUT_COLUMNS),
  'links.csv': headingText(LINK_COLUMNS),
  'exposures.csv': headingText(EXPOSURE_COLUMNS),
  'low-spo2.csv': headingText(LOW_COLUMNS),
  'site-pairs.csv': headingText(PAIR_COLUMNS),
  'clock-offsets.csv': headingText(CLOCK_COLUMNS),
  'robustness.csv': headingText(ROBUSTNESS_COLUMNS),
  'reviews.csv': headingText(REVIEW_COLUMNS),
  'channels.csv': headingText(CHANNEL_COLUMNS),
};

/** Returns the tables that are written case by case, by case id (code unit order), each with its headings. */
export function caseTables({ withRobustness, withReviews, withChannels = false }: MoreFiles): { readonly name: CaseTable; readonly heading: string }[] {
  const names = Object.keys(CASE_TABLE_HEADINGS) as CaseTable[]; // the keys of a record of these names
  const more: Readonly<Partial<Record<CaseTable, string>>> = withReviews ? { 'cases.csv': headingText(casesColumns(true)), 'dropouts.csv': headingText(dropoutsColumns(true)) } : {};
  return names
    .filter((name) => (withRobustness || name !== ROBUSTNESS_FILE_NAME) && (withReviews || name !== REVIEWS_FILE_NAME) && (withChannels || name !== 'channels.csv'))
    .map((name) => ({ name, heading: more[name] ?? CASE_TABLE_HEADINGS[name] }));
}

/**
 * Returns every other file of a run.
 * Shape   the same result gives the same bytes, whatever the order of `files` and `cases`.
 */
export function runFiles(run: RunResult): ReportFile[] {
  return [
    ...importReportFiles(run),
    { name: 'site-comparison.csv', text: [headingText(COMPARISON_COLUMNS), rowsText(COMPARISON_COLUMNS, comparisonRows(run.cases, run.settings.parameters.name))] },
    { name: 'data-dictionary.md', text: [dataDictionaryText({ relativeTime: run.settings.relativeTime, withReviews: run.settings.reviews !== undefined })] },
  ];
}

/** Returns the files that say what was read and with what: those of every run. */
export function importReportFiles(run: Omit<RunResult, 'cases'>): ReportFile[] {
  const { relativeTime } = run.settings;
  const released = <T>(value: T): T => (relativeTime ? withoutInstants(value) : value);
  const files = released([...run.files].sort((a, b) => inOrder(a.file, b.file)));
  const settings = relativeTime ? { ...run.settings, zone: null, mapping: withoutInstants(run.settings.mapping) } : run.settings;
  return [
    { name: 'import-report.json', text: [importReportText(files, released(run.unanalyzed))] },
    { name: 'rejected-rows.csv', text: rejectedText(run.rejectedRows, relativeTime ? relativeColumns(REJECTED_ROW_COLUMNS) : REJECTED_ROW_COLUMNS) },
    { name: 'parameters.json', text: [parametersText(settings, files)] },
  ];
}

function rejectedText(rows: RunResult['rejectedRows'], columns: readonly Column<RejectedRow>[]): ReportFile['text'] {
  return Symbol.asyncIterator in rows ? laterRejectedText(rows, columns) : [headingText(columns), rowsText(columns, rows)];
}

async function* laterRejectedText(rows: AsyncIterable<RejectedRow>, columns: readonly Column<RejectedRow>[]): AsyncGenerator<string> {
  yield headingText(columns);
  for await (const row of rows) yield rowsText(columns, [row]);
}
