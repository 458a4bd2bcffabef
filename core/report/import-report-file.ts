import type { FileReport } from '../model/import-report.ts';
import type { JsonField } from './json-field.ts';
import { jsonText } from './json-field.ts';

/** A case that was read and could not be analysed. */
export interface UnanalyzedCase {
  readonly caseId: string;
  readonly message: string;
}

/**
 * Returns import-report.json: a list with one entry per input file.
 * A case that could not be analysed stands in the notes of every file it came from.
 */
export function importReportText(files: readonly FileReport[], unanalyzed: readonly UnanalyzedCase[]): string {
  return jsonText(
    files.map((report) => ({
      file: report.file,
      kind: report.kind,
      encoding: report.encoding,
      delimiter: report.delimiter,
      layout: report.layout,
      rows_read: report.rows_read,
      rows_accepted: report.rows_accepted,
      rows_rejected: report.rows_rejected,
      rejected: report.rejected.map(({ reason, count, first_line }) => ({ reason, count, first_line })),
      notes: [
        ...report.notes,
        ...unanalyzed.filter(({ caseId }) => report.cases.includes(caseId)).map(({ caseId, message }) => `Case ${caseId} was read and not analysed: ${message}`),
      ],
      guesses: report.guesses,
      columns: report.columns,
      cases: report.cases,
      ...(report.unknown_phrases === undefined ? {} : { unknown_phrases: report.unknown_phrases, unknown_phrases_not_listed: report.unknown_phrases_not_listed ?? 0 }),
      ...(report.value_making === undefined ? {} : { value_making: report.value_making, device_hold_s: report.device_hold_s ?? null }),
      sha256: report.sha256,
      byte_length: report.byte_length,
      ...(report.container === undefined ? {} : { container: report.container }),
      ...(report.mapping === undefined ? {} : { mapping: report.mapping }),
      ...(report.headings === undefined ? {} : { headings: report.headings }),
      failure: report.failure,
    })),
  );
}

/** The fields of import-report.json. */
export const IMPORT_REPORT_FIELDS: readonly JsonField[] = [
  { name: 'file', meaning: 'input file', unit: '', how: 'path relative to the given input' },
  { name: 'kind', meaning: 'what the file holds', unit: '', how: '`trends`, `administrations`, `events`, `case list` or `unknown`; found from the content, never from the name' },
  { name: 'encoding', meaning: 'character encoding', unit: '', how: 'from the byte order mark or the bytes' },
  { name: 'delimiter', meaning: 'what parts the columns', unit: '', how: 'from the content' },
  { name: 'layout', meaning: 'whether each quantity has its column (wide) or its rows (long)', unit: '', how: 'from the content' },
  { name: 'rows_read', meaning: 'rows of data in the file', unit: '', how: 'counted; always rows_accepted + rows_rejected' },
  { name: 'rows_accepted', meaning: 'rows taken', unit: '', how: 'counted' },
  { name: 'rows_rejected', meaning: 'rows not taken', unit: '', how: 'counted; each stands in rejected-rows.csv' },
  { name: 'rejected[].reason', meaning: 'why rows were not taken', unit: '', how: 'one entry per reason' },
  { name: 'rejected[].count', meaning: 'how many', unit: '', how: 'counted; the sum is rows_rejected' },
  { name: 'rejected[].first_line', meaning: 'line of the first of them', unit: '', how: 'physical, from 1' },
  { name: 'notes[]', meaning: 'what else the reader of the file should know', unit: '', how: 'duplicates and conflicts counted, clock changes, columns left out, cases not analysed' },
  { name: 'guesses[].field', meaning: 'what was decided where the file allows more than one reading', unit: '', how: 'the field of a mapping file that overrules it' },
  { name: 'guesses[].taken', meaning: 'the reading taken', unit: '', how: 'in words' },
  { name: 'guesses[].because', meaning: 'why', unit: '', how: 'in words' },
  { name: 'guesses[].certainty', meaning: 'how sure it is', unit: '', how: '`proven` by the file itself, `likely`, or `assumed` for want of evidence' },
  { name: 'guesses[].alternatives[].label', meaning: 'another reading', unit: '', how: 'in words' },
  { name: 'guesses[].alternatives[].rules', meaning: 'what a mapping file has to say for it', unit: '', how: 'the `reading` of an entry of the mapping file' },
  { name: 'columns[].heading', meaning: 'column, or name in a long table', unit: '', how: 'as the file has it' },
  { name: 'columns[].readAs', meaning: 'what it was read as', unit: '', how: 'in words' },
  { name: 'columns[].quantity', meaning: 'what it was read as', unit: '', how: 'name of the quantity; null where it is no measurement' },
  { name: 'columns[].site', meaning: 'where the sensor sat', unit: '', how: 'null where it belongs to no oximeter sensor' },
  { name: 'columns[].values', meaning: 'cells with a usable value', unit: '', how: 'counted over the accepted rows; of times, words and the like every cell that is not empty' },
  { name: 'columns[].missing', meaning: 'cells without one, fillers included', unit: '', how: 'counted over the accepted rows; values + missing = rows_accepted in a wide table' },
  { name: 'cases[]', meaning: 'the cases that the file contributed to', unit: '', how: 'case_id of the tables' },
  { name: 'unknown_phrases[].text', meaning: 'words of a drug or event entry that the dictionary does not know', unit: '', how: 'as written, of a drug up to its first number; at most 200, the most frequent first; `phrases` of a mapping says what they mean' },
  { name: 'unknown_phrases[].kind', meaning: 'what the entry was taken for', unit: '', how: '`drug`: drawn under its own words, never an exposure; `event`: a plain note' },
  { name: 'unknown_phrases[].count', meaning: 'entries that have it', unit: '', how: 'counted' },
  { name: 'unknown_phrases[].first_line', meaning: 'line of the first of them', unit: '', how: 'physical, from 1' },
  { name: 'unknown_phrases_not_listed', meaning: 'further entries with words that are not known', unit: '', how: 'counted; words of more than 300 characters are never listed' },
  { name: 'value_making', meaning: 'how the record keeper made each stored value', unit: '', how: 'as a mapping states it: `snapshot`, `mean`, `median`, `hold`, `unknown`, or `not stated`; left out where the file holds no values' },
  { name: 'device_hold_s', meaning: 'how long the device showed its last value before it blanked', unit: 's', how: 'as a mapping states it; null: not stated, the parameter `deviceHoldS` holds' },
  { name: 'withheld[].heading', meaning: 'column, field of a message or resource, or name in a long table that identifies persons', unit: '', how: 'as the file has it; empty for free text anywhere in the file; `name of the file` and `name of a folder` for these' },
  { name: 'withheld[].looksLike', meaning: 'what it looks like', unit: '', how: '`name`, `record number`, `birth date`, `age`, `address`, `contact`, `other number` or `free text`; from the heading, the shape of the cells and the words of the text' },
  { name: 'withheld[].done', meaning: 'what was done', unit: '', how: '`left out`, `replaced by a code`, `grouped` (an age; 90 or more), `blanked in the text` or `kept` (--keep-identifiers, or a mapping says so)' },
  { name: 'withheld[].count', meaning: 'how often', unit: '', how: 'cells, or places in texts; rejected rows included' },
  { name: 'withheld[].firstLine', meaning: 'line of the first of them', unit: '', how: 'physical, from 1; null where it has none' },
  { name: 'sha256', meaning: 'digest of the file', unit: '', how: 'SHA-256 over its bytes; empty where it could not be opened' },
  { name: 'byte_length', meaning: 'size of the file', unit: 'By', how: 'from the disk; of a file in an archive as unpacked; of a sheet as tab-separated UTF-8 text, over which its digest is made too' },
  { name: 'container.file', meaning: 'archive or workbook that the file lies in', unit: '', how: '`container` is left out where it lies in none; of archives in archives the outermost' },
  { name: 'container.sha256', meaning: 'digest of that archive or workbook', unit: '', how: 'SHA-256 over its bytes' },
  { name: 'container.byte_length', meaning: 'size of that archive or workbook', unit: 'By', how: 'from the disk' },
  { name: 'mapping', meaning: 'mapping whose rules were used', unit: '', how: 'its name, or that of its entry; left out where none fitted' },
  { name: 'headings[]', meaning: 'headings of the table', unit: '', how: 'as the file has them; what an entry of a mapping fits by; left out where there are none' },
  { name: 'failure.message', meaning: 'why the file could not be read at all', unit: '', how: '`failure` is null where it was read' },
  { name: 'failure.line', meaning: 'line at which reading ended', unit: '', how: 'physical, from 1; null where it concerns the whole file' },
  { name: 'failure.remedy', meaning: 'what can be done', unit: '', how: 'in words; null where nothing is known' },
];
