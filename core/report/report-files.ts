import type { FileReport, RejectedRow } from '../model/import-report.ts';
import type { AnalyzedCase } from './case-context.ts';
import { caseContexts, inOrder } from './case-context.ts';
import { CASE_COLUMNS, caseRows } from './cases-table.ts';
import { tableText } from './column.ts';
import { dataDictionaryText } from './data-dictionary.ts';
import { DROPOUT_COLUMNS, dropoutRows } from './dropouts-table.ts';
import { EXPOSURE_COLUMNS, exposureRows } from './exposures-table.ts';
import type { UnanalyzedCase } from './import-report-file.ts';
import { importReportText } from './import-report-file.ts';
import { LINK_COLUMNS, linkRows } from './links-table.ts';
import { LOW_COLUMNS, lowRows } from './low-spo2-table.ts';
import type { RunSettings } from './parameters-file.ts';
import { parametersText } from './parameters-file.ts';
import { ROBUSTNESS_COLUMNS, robustnessRows } from './robustness-table.ts';
import { COMPARISON_COLUMNS, comparisonRows } from './site-comparison-table.ts';
import { PAIR_COLUMNS, pairRows } from './site-pairs-table.ts';
import { REJECTED_ROW_COLUMNS } from './rejected-rows-table.ts';

/** All that a run found. */
export interface RunResult {
  readonly settings: RunSettings;
  readonly files: readonly FileReport[];
  readonly rejectedRows: readonly RejectedRow[];
  readonly cases: readonly AnalyzedCase[];
  readonly unanalyzed: readonly UnanalyzedCase[];
  /** Whether `robustness.csv` is wanted beside the others. */
  readonly withRobustness: boolean;
}

/** A file to be written. The text comes in pieces, so that a large table is never one string. */
export interface ReportFile {
  readonly name: string;
  readonly text: Iterable<string>;
}

/** The names of the files that every run writes, in the order in which they are written. */
export const REPORT_FILE_NAMES = ['import-report.json', 'rejected-rows.csv', 'cases.csv', 'dropouts.csv', 'links.csv', 'exposures.csv', 'low-spo2.csv', 'site-pairs.csv', 'site-comparison.csv', 'parameters.json', 'data-dictionary.md'] as const;

/** A file that is written only on request. */
export const ROBUSTNESS_FILE_NAME = 'robustness.csv';

/** Returns the names of the files that a run writes. */
export function reportFileNames({ withRobustness }: Pick<RunResult, 'withRobustness'>): string[] {
  return withRobustness ? [...REPORT_FILE_NAMES, ROBUSTNESS_FILE_NAME] : [...REPORT_FILE_NAMES];
}

/**
 * Returns every file of a run.
 * Shape   the same result gives the same bytes, whatever the order of `files`, `rejectedRows` and `cases`.
 */
export function reportFiles(run: RunResult): ReportFile[] {
  const files = [...run.files].sort((a, b) => inOrder(a.file, b.file));
  const rejected = [...run.rejectedRows].sort((a, b) => inOrder(a.file, b.file) || a.line - b.line);
  const contexts = caseContexts(run.cases);
  const texts: Readonly<Record<(typeof REPORT_FILE_NAMES)[number], Iterable<string>>> = {
    'import-report.json': [importReportText(files, run.unanalyzed)],
    'rejected-rows.csv': tableText(REJECTED_ROW_COLUMNS, rejected),
    'cases.csv': tableText(CASE_COLUMNS, caseRows(contexts)),
    'dropouts.csv': tableText(DROPOUT_COLUMNS, dropoutRows(contexts)),
    'links.csv': tableText(LINK_COLUMNS, linkRows(contexts)),
    'exposures.csv': tableText(EXPOSURE_COLUMNS, exposureRows(contexts)),
    'low-spo2.csv': tableText(LOW_COLUMNS, lowRows(contexts)),
    'site-pairs.csv': tableText(PAIR_COLUMNS, pairRows(contexts)),
    'site-comparison.csv': tableText(COMPARISON_COLUMNS, comparisonRows(contexts)),
    'parameters.json': [parametersText(run.settings, files)],
    'data-dictionary.md': [dataDictionaryText()],
  };
  const always = REPORT_FILE_NAMES.map((name) => ({ name, text: texts[name] }));
  return run.withRobustness ? [...always, { name: ROBUSTNESS_FILE_NAME, text: tableText(ROBUSTNESS_COLUMNS, robustnessRows(contexts)) }] : always;
}
