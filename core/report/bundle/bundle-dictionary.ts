import { jsonText, type JsonField } from '../json-field.ts';
import { DICTIONARY_HEAD, dictionarySection, type DescribedTable } from '../data-dictionary.ts';
import { IMPORT_REPORT_FIELDS } from '../import-report-file.ts';
import { COHORT_FIELDS, PARAMETERS_FIELDS } from '../parameters-file.ts';
import { RELATIVE_TIME_STATEMENT } from '../relative-time.ts';
import { parquetName } from './bundle-names.ts';

/** A table as it is in a bundle: with the number of its rows, and of the empty cells of each column. */
export interface CountedTable extends DescribedTable {
  readonly rows: number;
  /** One for each column. */
  readonly empty: readonly number[];
}

/** Returns data-dictionary.md of a bundle: every column with type, meaning, unit, how it is computed, and how many of its cells are empty. */
export function bundleDictionaryText(tables: readonly CountedTable[], { relativeTime, withImport }: { readonly relativeTime: boolean; readonly withImport: boolean }): string {
  return [
    DICTIONARY_HEAD,
    'Every table is here twice, as CSV and as Parquet with the same values: there numbers are DOUBLE, `yes or no` is BOOLEAN, all else text, what is not defined is null, and the apostrophe that guards a spreadsheet is left out. `tables/csv-metadata.json` says the same for programs (W3C Recommendation “Metadata Vocabulary for Tabular Data”, 2015).\n',
    '“Empty” is the number of cells without a value in this bundle. Why a cell can be empty stands beside its column where there is more to say than that it is not defined or not known.\n',
    ...(relativeTime ? [RELATIVE_TIME_STATEMENT] : []),
    ...tables.map(tableSection),
    ...(withImport ? [dictionarySection({ name: 'import-report.json', about: 'A list with one entry per input file, sorted by file.', fields: IMPORT_REPORT_FIELDS })] : []),
    dictionarySection({ name: 'parameters.json', about: 'Everything that the results depend on besides the input.', fields: [...PARAMETERS_FIELDS, ...COHORT_FIELDS] }),
    dictionarySection({ name: 'manifest.json', about: 'What the bundle was made from, how, and the digest of every file in it.', fields: MANIFEST_FIELDS }),
  ].join('\n');
}

function tableSection({ name, about, columns, rows, empty }: CountedTable): string {
  const lines = columns.map((column, i) => `| \`${column.name}\` | ${[column.type, column.meaning, column.unit, column.how, rows === 0 ? '–' : `${empty[i] ?? 0} of ${rows}`].map((text) => text.replaceAll('|', '\\|')).join(' | ')} |`);
  return [`## ${name}`, '', about, '', `${rows} rows.`, '', '| name | type | meaning | unit | how it is computed | empty |', '| --- | --- | --- | --- | --- | --- |', ...lines, ''].join('\n');
}

const DATATYPES = { text: 'string', number: 'double', 'yes or no': { base: 'boolean', format: 'yes|no' } } as const;

/**
 * Returns csv-metadata.json: the same for programs.
 * Source  W3C Recommendation 2015-12-17, Metadata Vocabulary for Tabular Data: group of tables, `null`, `datatype` with a format of truth values;
 *         the name of the file is the one at which readers look. Unit, how it is computed and counts are annotations under our own name.
 */
export function tableMetadataText(tables: readonly CountedTable[]): string {
  const own = 'urn:lacuna:bundle#';
  return jsonText({
    '@context': ['http://www.w3.org/ns/csvw', { '@language': 'en' }],
    dialect: { header: true, encoding: 'utf-8', delimiter: ',', quoteChar: '"', doubleQuote: true, lineTerminators: ['\r\n'] },
    tables: tables.map(({ name, about, columns, rows, empty }) => ({
      url: name,
      'dc:description': about,
      [`${own}rows`]: rows,
      [`${own}parquet`]: parquetName(name).replace(/^.*\//u, ''),
      tableSchema: {
        columns: columns.map((column, i) => ({
          name: column.name,
          titles: column.name,
          'dc:description': column.meaning,
          datatype: DATATYPES[column.type],
          null: '',
          required: false,
          ...(column.unit === '' ? {} : { [`${own}unit`]: column.unit }),
          ...(column.how === '' ? {} : { [`${own}how`]: column.how }),
          [`${own}empty`]: empty[i] ?? 0,
        })),
      },
    })),
  });
}

export const MANIFEST_FIELDS: readonly JsonField[] = [
  { name: 'kind', meaning: 'form of the bundle', unit: '', how: '' },
  { name: 'product_version', meaning: 'version of the program', unit: '', how: 'only the same version makes the same bytes' },
  { name: 'source', meaning: 'what the cases were taken from', unit: '', how: '`inputs`: files that were read for it; `library`: cases that a library holds' },
  { name: 'call', meaning: 'the call that makes it anew', unit: '', how: 'INPUT... and DIR stand for where the files are and where the result goes; names of other files without their folders' },
  { name: 'options', meaning: 'everything of the call that the bytes depend on', unit: '', how: 'parameters of the analysis stand in parameters.json' },
  { name: 'given[]', meaning: 'files beside the inputs, by the option that names them', unit: '', how: 'needed again to make it anew' },
  { name: 'inputs[]', meaning: 'the input files', unit: '', how: 'SHA-256 over the bytes of each; empty where it could not be opened' },
  { name: 'files[]', meaning: 'the files of the bundle', unit: '', how: 'SHA-256 over the bytes of each, but for manifest.json and SHA256SUMS; `SHA256SUMS` has that of manifest.json too' },
  { name: 'made', meaning: 'when it was made', unit: '', how: 'only where the caller stated it (`--made`); no other file depends on it' },
];
