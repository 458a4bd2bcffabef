import type { CaseListResult } from '../model/case-list.ts';
import type { CohortBurdenResult } from '../model/cohort-burden.ts';
import type { CohortExport } from '../model/cohort-export.ts';
import type { DropoutChoice } from '../model/confirmed.ts';
import type { FileReport, RejectedRow } from '../model/import-report.ts';
import { CASE_LIST_COLUMNS, caseListText } from './case-list-table.ts';
import { ALIGNED_COLUMNS, alignedRows, COHORT_ROBUSTNESS_COLUMNS, DOSE_COLUMNS, doseRows, RATE_COLUMNS, rateRows, robustRows } from './cohort-before-loss-table.ts';
import { BURDEN_COLUMNS, burdenRows, caseBurdenRows, COHORT_CASE_COLUMNS, countColumns, FLOW_COLUMNS, flowRows, type BurdenTableRow, type CaseBurdenTableRow } from './cohort-burden-table.ts';
import { CHANGE_COLUMNS, changeRows, CHART_COLUMNS, chartRows, FUNNEL_COLUMNS } from './cohort-charts-table.ts';
import { methodsText } from './cohort-methods.ts';
import { BETWEEN_COLUMNS, betweenRows, CURVE_COLUMNS, curveRows, RESTORATION_COLUMNS, RESTORATION_SITES_COLUMNS, restorationRows } from './cohort-restoration-table.ts';
import { selectionColumn, type CohortColumn } from './cohort-row.ts';
import { COVERAGE_COLUMNS, SITES_COLUMNS } from './cohort-sites-table.ts';
import { describedColumns, headingText, rowsText, type DescribedColumn } from './column.ts';
import { DICTIONARY_HEAD, dictionarySection, REVIEWS_TABLE, type DescribedTable } from './data-dictionary.ts';
import type { UnanalyzedCase } from './import-report-file.ts';
import { IMPORT_REPORT_FIELDS } from './import-report-file.ts';
import type { RunSettings } from './parameters-file.ts';
import { COHORT_FIELDS, PARAMETERS_FIELDS } from './parameters-file.ts';
import { NEXT_STUDY_COLUMNS } from './next-study-table.ts';
import { REJECTED_ROW_COLUMNS } from './rejected-rows-table.ts';
import { relativeColumns } from './relative-time.ts';
import { importReportFiles, REVIEWS_FILE_NAME, type ReportFile } from './report-files.ts';
import { REVIEW_COLUMNS } from './reviews-table.ts';

/** A table of a cohort: its file, what the dictionary says of it, and its text. */
interface CohortTable {
  readonly name: string;
  readonly about: string;
  readonly fields: readonly DescribedColumn[];
  /** Its columns in a run that counts these dropouts. */
  readonly columns: (dropouts: DropoutChoice) => readonly DescribedColumn[];
  readonly text: (run: CohortExport, relativeTime: boolean) => string;
}

/** A table is written from its columns, its rows are taken from the run. */
function table<Of>(name: string, about: string, columns: readonly CohortColumn<Of>[], rowsOf: (run: CohortExport) => Iterable<Of>, reviewed: readonly CohortColumn<Of>[] = []): CohortTable {
  const writtenFor = (dropouts: DropoutChoice): readonly CohortColumn<Of>[] => (dropouts === 'computed' ? columns : [...columns, ...reviewed]);
  return {
    name,
    about,
    fields: describedColumns([...columns, ...reviewed]),
    columns: (dropouts) => describedColumns(writtenFor(dropouts)),
    text: (run, relativeTime) => {
      const stated = writtenFor(run.results.options.dropouts);
      const written = relativeTime ? relativeColumns(stated) : stated;
      return headingText(written) + rowsText(written, withRun(rowsOf(run), run));
    },
  };
}

/** The column of tables that are worked out on one kind of dropouts. */
function ofRun<Of>(): CohortColumn<Of>[] {
  return [selectionColumn(({ run }) => run.results.selection)];
}

function* withRun<Of>(rows: Iterable<Of>, run: CohortExport): Generator<{ readonly of: Of; readonly run: CohortExport }> {
  for (const of of rows) yield { of, run };
}

const CAUSE = 'Association in time is not cause.';
const SITE = 'Only sensors worn at the same time, or assigned at random, answer which is better.';

const TABLES: readonly CohortTable[] = [
  table('cohort-flow.csv', 'One row per step from what was imported to what was analysed, and one per reason for which cases were left out.', FLOW_COLUMNS, ({ results }) => flowRows(results.flow.steps)),
  table('cohort-burden.csv', 'One row per group of cases, place and result (doubtful samples as information, and as lost). With `--dropouts confirmed` or `both` once more for each of the other selections.', BURDEN_COLUMNS, ({ results }) => burdenRows(results), [selectionColumn(({ of }) => of.selection), ...countColumns<BurdenTableRow>(({ row }) => row.review)]),
  table('cohort-cases.csv', 'One row per case and sensor, and one per case with site `case` for the blind intervals. Sorted by case.', COHORT_CASE_COLUMNS, ({ results }) => caseBurdenRows(results), [selectionColumn(({ of }) => of.selection), ...countColumns<CaseBurdenTableRow>(({ review }) => review)]),
  table('cohort-restoration.csv', 'Time to restored information: one row per group of losses and estimate of their lengths.', RESTORATION_COLUMNS, ({ results }) => restorationRows(results.restoration.groups), ofRun()),
  table('cohort-restoration-curves.csv', 'The curves behind it: one row per step.', CURVE_COLUMNS, ({ results }) => curveRows(results.restoration.groups), ofRun()),
  table('cohort-restoration-between.csv', 'Where the recording interval is coarse for the lengths: shares of losses that ended between two times. No row where it is not.', BETWEEN_COLUMNS, ({ results }) => betweenRows(results.restoration.groups), ofRun()),
  table('cohort-restoration-sites.csv', `Time to restored information, two sites against each other. ${SITE}`, RESTORATION_SITES_COLUMNS, ({ results }) => results.restoration.differences, ofRun()),
  table('cohort-sites.csv', `Two sites in the same patients over their common time, and all sites together. ${SITE}`, SITES_COLUMNS, ({ results: { sites } }) => [...sites.pairs.map((pair) => ({ pair, all: null })), ...sites.all.map((all) => ({ pair: null, all }))], ofRun()),
  table('cohort-coverage.csv', `How much of the time lost at one sensor another, worn at the same time, had information. ${SITE}`, COVERAGE_COLUMNS, ({ results }) => results.sites.coverage),
  table('cohort-before-loss.csv', `Rate of loss after boluses and positions against control time of the same cases. ${CAUSE}`, RATE_COLUMNS, ({ results }) => rateRows(results.beforeLoss), ofRun()),
  table('cohort-dose.csv', `Rate of loss by dose of one drug, where the numbers allow. ${CAUSE}`, DOSE_COLUMNS, ({ results }) => doseRows(results.beforeLoss.rates), ofRun()),
  table('cohort-aligned.csv', `Mean course of SpO2, perfusion index and mean pressure around boluses. ${CAUSE}`, ALIGNED_COLUMNS, ({ results }) => alignedRows(results.aligned)),
  table('cohort-robustness.csv', 'The main results under other definitions of a dropout, one thing moved at a time.', COHORT_ROBUSTNESS_COLUMNS, ({ results }) => robustRows(results.robustness), ofRun()),
  table('cohort-charts.csv', 'Charts by month: one row per point.', CHART_COLUMNS, ({ charts }) => chartRows(charts), ofRun()),
  table('cohort-change.csv', 'Before and after the change that was stated with `--change`; no row without one.', CHANGE_COLUMNS, ({ charts }) => changeRows(charts), ofRun()),
  table('cohort-funnel.csv', 'Units by the column of `--group-by`; no row without one. Never a ranking.', FUNNEL_COLUMNS, ({ funnel }) => funnel?.units ?? [], ofRun()),
];

/** The names of the files that every cohort run writes, in the order in which they are written. */
export const COHORT_FILE_NAMES: readonly string[] = ['import-report.json', 'rejected-rows.csv', ...TABLES.map(({ name }) => name), 'parameters.json', 'methods.md', 'cohort-dictionary.md'];

/** A file that is written only where a list of cases was given. */
export const CASE_LIST_FILE_NAME = 'case-list.csv';

/** Files of a study that was asked about, and of a protocol. */
export const NEXT_STUDY_FILE_NAMES = ['next-study.csv', 'next-study.md'] as const;
export const PROTOCOL_FILE_NAME = 'protocol.md';

/** Returns the names of the files that a cohort run writes. */
export function cohortFileNames({ withCaseList, withNextStudy = false, withProtocol = false, withReviews = false }: { readonly withCaseList: boolean; readonly withNextStudy?: boolean; readonly withProtocol?: boolean; readonly withReviews?: boolean }): string[] {
  return [...COHORT_FILE_NAMES, ...(withCaseList ? [CASE_LIST_FILE_NAME] : []), ...(withNextStudy ? NEXT_STUDY_FILE_NAMES : []), ...(withProtocol ? [PROTOCOL_FILE_NAME] : []), ...(withReviews ? [REVIEWS_FILE_NAME] : [])];
}

/** Tables whose rows are months or days: a run without dates has none of them. */
const DATED_TABLES: ReadonlySet<string> = new Set(['cohort-charts.csv', 'cohort-change.csv']);

/** Returns the tables over cases with their columns; without dates those by month are not among them. */
export function cohortTables({ dropouts, relativeTime }: { readonly dropouts: DropoutChoice; readonly relativeTime: boolean }): DescribedTable[] {
  return TABLES.filter(({ name }) => !relativeTime || !DATED_TABLES.has(name)).map(({ name, about, columns }) => ({ name, about, columns: columns(dropouts) }));
}

/** Returns the same tables as text; without dates no row is of a month and no cell names one. */
export function cohortTableTexts(run: CohortExport, relativeTime: boolean): ReportFile[] {
  const shown = relativeTime ? withoutMonths(run) : run;
  return TABLES.filter(({ name }) => !relativeTime || !DATED_TABLES.has(name)).map(({ name, text }) => ({ name, text: [text(shown, relativeTime)] }));
}

function withoutMonths(run: CohortExport): CohortExport {
  const undated = (burden: CohortBurdenResult): CohortBurdenResult => ({ ...burden, rows: burden.rows.filter(({ scope }) => scope !== 'month'), cases: burden.cases.map((one) => ({ ...one, month: '' })) });
  const { results } = run;
  return { ...run, results: { ...results, burden: undated(results.burden), beside: results.beside.map((one) => ({ ...one, burden: undated(one.burden) })) } };
}

/** What a cohort run found. */
export interface CohortRun {
  readonly run: CohortExport;
  readonly settings: RunSettings;
  readonly files: readonly FileReport[];
  readonly rejectedRows: Iterable<RejectedRow> | AsyncIterable<RejectedRow>;
  readonly unanalyzed: readonly UnanalyzedCase[];
  /** A list of cases held against those that were read; null: none was given. */
  readonly caseList: CaseListResult | null;
  /** Where a study or a protocol was given: their files, and whether the run was computed under the protocol (null: there is none). */
  readonly planned?: { readonly files: readonly ReportFile[]; readonly statement: string | null } | undefined;
  /** Rows of reviews.csv; null, or left out: no reviews were given. */
  readonly reviewRows?: readonly string[] | null | undefined;
}

/** Returns every file of a cohort run. Shape the same result gives the same bytes, whatever the order of `files`. */
export function cohortFiles({ run, settings, files, rejectedRows, unanalyzed, caseList, planned, reviewRows = null }: CohortRun): ReportFile[] {
  return [
    ...importReportFiles({ settings, files, rejectedRows, unanalyzed }),
    ...TABLES.map(({ name, text }) => ({ name, text: [text(run, false)] })),
    { name: 'methods.md', text: [methodsText(run, settings, files, { caseList, protocol: planned?.statement ?? null })] },
    { name: 'cohort-dictionary.md', text: [dictionaryText()] },
    ...(caseList === null ? [] : [{ name: CASE_LIST_FILE_NAME, text: [caseListText(caseList)] }]),
    ...(planned?.files ?? []),
    ...(reviewRows === null ? [] : [{ name: REVIEWS_FILE_NAME, text: [headingText(REVIEW_COLUMNS), ...reviewRows] }]),
  ];
}

function dictionaryText(): string {
  const others = [
    { name: CASE_LIST_FILE_NAME, about: 'Only with `--case-list`. The rows of the list in their order, then the cases that no row means and those that seem to be there twice.', fields: CASE_LIST_COLUMNS },
    { name: 'next-study.csv', about: 'Only with `--next-study`. One row per size of a study that compares two sites, drawn from the patients of the run.', fields: NEXT_STUDY_COLUMNS },
    REVIEWS_TABLE,
    { name: 'rejected-rows.csv', about: 'One row per input row that was not taken. Sorted by file and line.', fields: REJECTED_ROW_COLUMNS },
    { name: 'import-report.json', about: 'A list with one entry per input file, sorted by file.', fields: IMPORT_REPORT_FIELDS },
    { name: 'parameters.json', about: 'Everything that the results depend on besides the input.', fields: [...PARAMETERS_FIELDS, ...COHORT_FIELDS] },
  ];
  return [DICTIONARY_HEAD, ...[...TABLES, ...others].map(dictionarySection)].join('\n');
}
