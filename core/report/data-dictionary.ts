import { casesColumns, dropoutsColumns } from './case-report.ts';
import { CASE_COLUMNS } from './cases-table.ts';
import { DROPOUT_COLUMNS } from './dropouts-table.ts';
import { EXPOSURE_COLUMNS } from './exposures-table.ts';
import { IMPORT_REPORT_FIELDS } from './import-report-file.ts';
import { describedColumns, type Column, type DescribedColumn } from './column.ts';
import type { JsonField } from './json-field.ts';
import { LINK_COLUMNS } from './links-table.ts';
import { LOW_COLUMNS } from './low-spo2-table.ts';
import { PARAMETERS_FIELDS } from './parameters-file.ts';
import { CASE_REVIEW_COLUMNS, DROPOUT_REVIEW_COLUMNS } from './review-columns.ts';
import { REVIEW_COLUMNS } from './reviews-table.ts';
import { ROBUSTNESS_COLUMNS } from './robustness-table.ts';
import { COMPARISON_COLUMNS } from './site-comparison-table.ts';
import { CLOCK_COLUMNS } from './clock-offsets-table.ts';
import { PAIR_COLUMNS } from './site-pairs-table.ts';
import { RELATIVE_TIME_STATEMENT } from './relative-time.ts';
import { REJECTED_ROW_COLUMNS } from './rejected-rows-table.ts';

/** A table of the output with its columns. */
export interface DescribedTable {
  readonly name: string;
  readonly about: string;
  readonly columns: readonly DescribedColumn[];
}

/** A file of the output with its columns or fields. */
export interface DescribedFile {
  readonly name: string;
  readonly about: string;
  readonly fields: readonly JsonField[];
}

const FILES: readonly DescribedFile[] = [
  { name: 'cases.csv', about: 'One row per case and sensor, and one row per case with site `case` for the blind intervals. Sorted by case, site and sensor.', fields: CASE_COLUMNS },
  { name: 'dropouts.csv', about: 'One row per dropout, and one per blind interval with site `case`. Sorted by case, site, sensor and number.', fields: DROPOUT_COLUMNS },
  { name: 'dropouts-doubtful-lost.csv', about: 'The second result of `dropouts.csv`: the same with weak and disputed samples counted as lost. Sorted as it; the numbers are its own, and `links.csv` does not refer to it.', fields: DROPOUT_COLUMNS },
  { name: 'links.csv', about: 'One row per dropout and exposure. Sorted as dropouts.csv; within a dropout what preceded it, nearest first, then what was done during it. A link is association in time: it does not show that a drug or a position caused a loss.', fields: LINK_COLUMNS },
  { name: 'exposures.csv', about: 'One row per exposure, those that no dropout followed too. Sorted by case and time.', fields: EXPOSURE_COLUMNS },
  { name: 'low-spo2.csv', about: 'One row per fall of SpO2 and per run of low values, while there was information. Sorted by case, site, sensor, rule and time.', fields: LOW_COLUMNS },
  { name: 'site-pairs.csv', about: 'One row per case and two of its sensors. Only sensors worn at the same time, or assigned at random, answer which is better; every other comparison describes use. Sorted by case, site and sensor.', fields: PAIR_COLUMNS },
  { name: 'site-comparison.csv', about: 'One row per two sites over all cases of the run. Only sensors worn at the same time, or assigned at random, answer which is better.', fields: COMPARISON_COLUMNS },
  { name: 'clock-offsets.csv', about: 'One row per case and file with times, but for the file that the others are held against: what the data say of its clock. Only a mapping sets a clock. Sorted by case, then in the order of the files.', fields: CLOCK_COLUMNS },
  { name: 'robustness.csv', about: 'Only with `--robustness`. One row per case, sensor and definition of a dropout, and one per case and definition with site `case` for the blind intervals: what the figures would be if it were drawn otherwise. Sorted by case, site, sensor, doubtful_lost, bridge_s and min_duration_s.', fields: ROBUSTNESS_COLUMNS },
  { name: 'rejected-rows.csv', about: 'One row per input row that was not taken. Sorted by file and line.', fields: REJECTED_ROW_COLUMNS },
  { name: 'import-report.json', about: 'A list with one entry per input file, sorted by file.', fields: IMPORT_REPORT_FIELDS },
  { name: 'parameters.json', about: 'Everything that the results depend on besides the input.', fields: PARAMETERS_FIELDS },
];

/** Returns the tables that `analyse` writes, with their columns. */
export function analysisTables({ withReviews, withRobustness }: { readonly withReviews: boolean; readonly withRobustness: boolean }): DescribedTable[] {
  const about = (name: string): string => FILES.find((file) => file.name === name)?.about ?? '';
  const table = <Row>(name: string, columns: readonly Column<Row>[]): DescribedTable => ({ name, about: about(name), columns: describedColumns(columns) });
  return [
    table('cases.csv', casesColumns(withReviews)),
    table('dropouts.csv', dropoutsColumns(withReviews)),
    table('dropouts-doubtful-lost.csv', DROPOUT_COLUMNS),
    table('links.csv', LINK_COLUMNS),
    table('exposures.csv', EXPOSURE_COLUMNS),
    table('low-spo2.csv', LOW_COLUMNS),
    table('site-pairs.csv', PAIR_COLUMNS),
    table('site-comparison.csv', COMPARISON_COLUMNS),
    table('clock-offsets.csv', CLOCK_COLUMNS),
    ...(withRobustness ? [table('robustness.csv', ROBUSTNESS_COLUMNS)] : []),
    table('rejected-rows.csv', REJECTED_ROW_COLUMNS),
    ...(withReviews ? [{ name: REVIEWS_TABLE.name, about: REVIEWS_TABLE.about, columns: describedColumns(REVIEW_COLUMNS) }] : []),
  ];
}

/** What holds for every table, and what is to be known before their figures are used. */
export const DICTIONARY_HEAD = `# Data dictionary

The tables are UTF-8, comma-separated, with a heading row and CRLF line ends (RFC 4180); the decimal mark is a point.
An empty cell means "not defined" or "not known", never 0. Truth values are \`yes\` and \`no\`.
Columns ending in \`_s\` are seconds; instants among them count from the first trend row of the case. Columns ending in \`_at\` (and \`at\`) are ISO 8601 with offset.
Sites are \`finger\`, \`toe\`, \`ear lobe\`, \`nasal ala\`, \`forehead\`, \`other\` and \`unstated\`.
Recorded values are written as recorded; computed ones with at most six significant digits, times to the millisecond.
Text from the input that a spreadsheet would take for a formula has one apostrophe before it.

## Before you use the figures

- For looking back only: they guide no care, and nothing here grades a person.
- A missing value in an export does not prove that the bedside display was blank; a value does not prove that it was seen.
- The recording interval hides the true limits of a dropout: low, mid and high belong together.
- Counts of dropouts from records with different intervals must not be compared; shares of time survive better.
- A link in time is association, not cause.
- "Cannot be excluded" is a bound under the greatest rates of change, not what happened.
- Onset patterns are evidence for a reviewer, not a verdict.
- What looks like a name, number, birth date or address of a person was left out or blanked (\`[withheld]\`), unless \`parameters.json\` says that identifiers were kept; recognition misses some. Check the files before you pass them on.
`;

/** Returns data-dictionary.md: every column and field of the output with meaning, unit and how it is computed. */
export function dataDictionaryText({ relativeTime, withReviews }: { readonly relativeTime: boolean; readonly withReviews: boolean }): string {
  return [DICTIONARY_HEAD, ...(relativeTime ? [RELATIVE_TIME_STATEMENT] : []), ...(withReviews ? withReviewed(FILES) : FILES).map(dictionarySection)].join('\n');
}

/** What the dictionaries of both commands say of reviews.csv. */
export const REVIEWS_TABLE: DescribedFile = {
  name: 'reviews.csv',
  about: 'Only with `--reviews`. One row per entry: what readers said, those in force and those that are not any more, by case and in the order in which they were made; last those whose case is not among those that were read. A verdict is what a reader made of the record, not what happened.',
  fields: REVIEW_COLUMNS,
};

function withReviewed(files: readonly DescribedFile[]): DescribedFile[] {
  const more: Readonly<Record<string, readonly JsonField[]>> = { 'cases.csv': CASE_REVIEW_COLUMNS, 'dropouts.csv': DROPOUT_REVIEW_COLUMNS };
  return [...files.map((file) => ({ ...file, fields: [...file.fields, ...(more[file.name] ?? [])] })), REVIEWS_TABLE];
}

/** Returns the part of a dictionary that describes one file. */
export function dictionarySection({ name, about, fields }: DescribedFile): string {
  const rows = fields.map((field) => `| \`${field.name}\` | ${[field.meaning, field.unit, field.how].map(cellText).join(' | ')} |`);
  return [`## ${name}`, '', about, '', '| name | meaning | unit | how it is computed |', '| --- | --- | --- | --- |', ...rows, ''].join('\n');
}

function cellText(text: string): string {
  return text.replaceAll('|', '\\|');
}
