import type { BundleManifest, FileDigest } from '../../model/bundle-manifest.ts';
import { BUNDLE_KIND } from '../../model/bundle-manifest.ts';
import type { CaseListResult } from '../../model/case-list.ts';
import type { CohortExport } from '../../model/cohort-export.ts';
import type { FileReport, RejectedRow } from '../../model/import-report.ts';
import { inOrder } from '../case-context.ts';
import type { CaseReport } from '../case-report.ts';
import { CHANNEL_COLUMNS } from '../channels-table.ts';
import { caseListText } from '../case-list-table.ts';
import { CASE_LIST_FILE_NAME, cohortTableTexts } from '../cohort-files.ts';
import { methodsText, type ChannelSum } from '../cohort-methods.ts';
import { headingText, rowsText } from '../column.ts';
import { cellOf, CsvRows } from '../csv-rows.ts';
import type { DescribedTable } from '../data-dictionary.ts';
import { flowFigure, flowWords } from '../document/flow-figure.ts';
import { sceneSvg } from '../document/scene-svg.ts';
import type { UnanalyzedCase } from '../import-report-file.ts';
import { jsonText } from '../json-field.ts';
import { ParquetTable } from '../parquet.ts';
import type { RunSettings } from '../parameters-file.ts';
import { parametersText } from '../parameters-file.ts';
import { importReportFiles, type BytesFile, type ReportFile } from '../report-files.ts';
import { COMPARISON_COLUMNS, comparisonRows } from '../site-comparison-table.ts';
import { bundleDictionaryText, tableMetadataText, type CountedTable } from './bundle-dictionary.ts';
import { BUNDLE_FILES, parquetName, tableName } from './bundle-names.ts';
import { readmeText } from './bundle-readme.ts';
import { bundleTables, CHANNELS_TABLE, CODES_TABLE, type BundleExtent } from './bundle-tables.ts';

/** Where the files of a bundle go while it is made. */
export interface BundleSink {
  put(file: ReportFile | BytesFile): Promise<void>;
  /** Returns the text of a file that was put, in pieces. */
  textOf(name: string): AsyncIterable<string> | Iterable<string>;
  /** Returns the digest of every file so far. */
  digests(): Promise<readonly FileDigest[]>;
}

/** What a bundle is made of beside the tables that were written case by case. */
export interface BundleGiven extends Pick<BundleManifest, 'source' | 'call' | 'options' | 'given' | 'inputs' | 'made'> {
  readonly extent: BundleExtent;
  readonly run: CohortExport;
  /** As they may be shown. */
  readonly settings: Omit<RunSettings, 'written'>;
  readonly files: readonly FileReport[];
  readonly rejectedRows: Iterable<RejectedRow> | AsyncIterable<RejectedRow>;
  readonly unanalyzed: readonly UnanalyzedCase[];
  /** What is pooled over cases. */
  readonly cases: readonly Pick<CaseReport, 'caseId' | 'pairs'>[];
  readonly caseList: CaseListResult | null;
  /** Files of a next study and a protocol, and whether the run was computed under the protocol. */
  readonly planned: { readonly files: readonly ReportFile[]; readonly statement: string | null };
  /** codes.csv. */
  readonly codes: string;
  /** Told after each table. */
  readonly onTable?: ((done: number, total: number) => void) | undefined;
}

/** Returns the names of every file of a bundle, in the order of their names. */
export function bundleFileNames(extent: BundleExtent, more: readonly string[]): string[] {
  const tables = bundleTables(extent).flatMap(({ name }) => [tableName(name), parquetName(name)]);
  const { importReport, ...always } = BUNDLE_FILES;
  return [...Object.values(always), ...(extent.withImport ? [importReport] : []), ...tables, ...more].sort(inOrder);
}

/**
 * Writes a bundle; the tables that are written case by case are in the sink already, with their headings.
 * Shape   the same run gives the same bytes, but for `made` in the manifest. Returns the manifest.
 * Errors  rejects as the sink does; throws where a table holds what its columns do not say: our bug.
 */
export async function writeBundle(sink: BundleSink, bundle: BundleGiven): Promise<BundleManifest> {
  const { extent, run, files, unanalyzed, options, source } = bundle;
  const tables = bundleTables(extent);
  const planned = bundle.planned.files.filter(({ name }) => !name.endsWith('.csv'));
  const written = bundleFileNames(extent, planned.map(({ name }) => name));
  const settings: RunSettings = { ...bundle.settings, written };
  for (const file of await tableFiles(bundle)) await sink.put({ ...file, name: tableName(file.name) });
  for (const file of extent.withImport ? importReportFiles({ settings, files, rejectedRows: bundle.rejectedRows, unanalyzed }) : [{ name: 'parameters.json', text: [parametersText(settings, files)] }]) {
    await sink.put({ ...file, name: file.name.endsWith('.csv') ? tableName(file.name) : file.name });
  }
  for (const file of planned) await sink.put(file);
  const channels = channelCounter();
  const counted: CountedTable[] = [];
  for (const [i, table] of tables.entries()) {
    const { rows, empty, bytes } = await asParquet(table, sink.textOf(tableName(table.name)), table.name === CHANNELS_TABLE ? channels.add : null);
    await sink.put({ name: parquetName(table.name), bytes });
    counted.push({ ...table, rows, empty });
    bundle.onTable?.(i + 1, tables.length);
  }
  const { flow } = run.results;
  const figure = flowFigure(flow);
  await sink.put({ name: BUNDLE_FILES.methods, text: [methodsText(run, settings, files, { caseList: bundle.caseList, protocol: bundle.planned.statement, bundle: { channels: channels.sums(), source } })] });
  await sink.put({ name: BUNDLE_FILES.dictionary, text: [bundleDictionaryText(counted, { relativeTime: options.relativeTime, withImport: extent.withImport })] });
  await sink.put({ name: BUNDLE_FILES.columns, text: [tableMetadataText(counted)] });
  await sink.put({ name: BUNDLE_FILES.flow, text: [['# Flow of cases', '', ...flowWords(flow.steps).map((line) => `- ${line}`), '', `The unit of every interval is the ${flow.unit} (${flow.units}). As a table: \`${tableName('cohort-flow.csv')}\`, with the cases that were left out; as a diagram: \`${BUNDLE_FILES.flowPicture}\`.`, ''].join('\n')] });
  await sink.put({ name: BUNDLE_FILES.flowPicture, text: [`${sceneSvg(figure.scene, figure.alternative)}\n`] });
  const { call, given, inputs, made } = bundle;
  const version = run.results.productVersion;
  await sink.put({ name: BUNDLE_FILES.readme, text: [readmeText({ run, source, call, options, given, inputs, product_version: version, listed: listedFiles(tables, extent, planned.map(({ name }) => name)) })] });
  const manifest: BundleManifest = { kind: BUNDLE_KIND, product: 'lacuna', product_version: version, source, call, options, given, inputs, files: [...(await sink.digests())].sort((a, b) => inOrder(a.file, b.file)), made };
  await sink.put({ name: BUNDLE_FILES.manifest, text: [jsonText(manifest)] });
  const all = [...(await sink.digests())].sort((a, b) => inOrder(a.file, b.file));
  await sink.put({ name: BUNDLE_FILES.sums, text: [all.map(({ file, sha256 }) => `${sha256}  ${file}\n`).join('')] });
  const missing = written.filter((name) => name !== BUNDLE_FILES.sums && all.every(({ file }) => file !== name));
  if (missing.length > 0 || all.length + 1 !== written.length) throw new Error(`the files of the bundle are not those it lists: ${missing.join(', ')}`);
  return manifest;
}

/** Returns the tables that are written once for all cases. */
async function tableFiles({ extent, run, cases, settings, caseList, planned, codes }: BundleGiven): Promise<ReportFile[]> {
  return [
    { name: 'site-comparison.csv', text: [headingText(COMPARISON_COLUMNS), rowsText(COMPARISON_COLUMNS, comparisonRows(cases, settings.parameters.name))] },
    ...cohortTableTexts(run, extent.relativeTime),
    ...(caseList === null ? [] : [{ name: CASE_LIST_FILE_NAME, text: [caseListText(caseList)] }]),
    ...planned.files.filter(({ name }) => name.endsWith('.csv')),
    { name: CODES_TABLE, text: [codes] },
  ];
}

interface ReadTable {
  readonly rows: number;
  readonly empty: readonly number[];
  readonly bytes: Uint8Array<ArrayBuffer>;
}

/** Returns a table as Parquet, read from its CSV: both hold the same because one is made of the other. */
async function asParquet({ name, columns }: DescribedTable, text: AsyncIterable<string> | Iterable<string>, onRow: ((cells: readonly string[]) => void) | null): Promise<ReadTable> {
  const table = new ParquetTable(columns);
  const reader = new CsvRows();
  const empty = columns.map(() => 0);
  let rows = -1; // the headings
  for await (const piece of text) {
    for (const cells of reader.push(piece)) {
      rows += 1;
      if (rows === 0) {
        if (cells.join('\n') !== columns.map((column) => column.name).join('\n')) throw new Error(`${name} has other columns than the dictionary`);
        continue;
      }
      onRow?.(cells);
      table.add(columns.map(({ type }, i) => {
        const cell = cellOf(cells[i] ?? '', type);
        if (cell === null) empty[i] = (empty[i] ?? 0) + 1;
        return cell;
      }));
    }
  }
  reader.end();
  return { rows, empty, bytes: table.finish() };
}

/** Sums up channels.csv by channel. */
function channelCounter(): { readonly add: (cells: readonly string[]) => void; readonly sums: () => ChannelSum[] } {
  const place = new Map(CHANNEL_COLUMNS.map(({ name }, i) => [name, i]));
  const of = (cells: readonly string[], column: string): string => cells[place.get(column) ?? -1] ?? '';
  const byChannel = new Map<string, { cases: number; files: Set<string>; intervals: Map<string, number>; samples: number; values: number }>();
  return {
    add(cells) {
      const sum = byChannel.get(of(cells, 'channel')) ?? { cases: 0, files: new Set(), intervals: new Map(), samples: 0, values: 0 };
      byChannel.set(of(cells, 'channel'), sum);
      sum.cases += 1;
      sum.files.add(of(cells, 'source_sha256'));
      sum.intervals.set(of(cells, 'interval_s'), (sum.intervals.get(of(cells, 'interval_s')) ?? 0) + 1);
      sum.samples += Number(of(cells, 'samples'));
      sum.values += Number(of(cells, 'values'));
    },
    sums: () =>
      [...byChannel].sort(([a], [b]) => inOrder(a, b)).map(([channel, { cases, files, intervals, samples, values }]) => ({
        channel, cases, files: files.size, withValue: samples === 0 ? 0 : values / samples,
        intervals: [...intervals].map(([text, own]) => ({ intervalS: text === '' ? null : Number(text), cases: own })).sort((a, b) => (a.intervalS ?? Infinity) - (b.intervalS ?? Infinity)),
      })),
  };
}

function listedFiles(tables: readonly DescribedTable[], { withImport }: BundleExtent, planned: readonly string[]): (readonly [file: string, what: string])[] {
  const what: readonly (readonly [string, string])[] = [
    [BUNDLE_FILES.methods, 'what was done, for a methods section, with the items of RECORD'],
    [BUNDLE_FILES.dictionary, 'every column of every table'],
    [BUNDLE_FILES.columns, 'the same for programs'],
    [BUNDLE_FILES.flow, 'the flow of cases in words'],
    [BUNDLE_FILES.flowPicture, 'the flow of cases as a diagram'],
    [BUNDLE_FILES.parameters, 'every parameter, and the digest of every input'],
    ...(withImport ? [[BUNDLE_FILES.importReport, 'what became of every input file'] as const] : []),
    ...planned.map((name) => [name, name.startsWith('protocol') ? 'the protocol, and whether the run kept to it' : 'a study planned from the spread of these cases'] as const),
    [BUNDLE_FILES.manifest, 'digests of every file and input, version, call'],
    [BUNDLE_FILES.sums, 'the digests as `sha256sum -c` reads them'],
  ];
  return [...what, ...tables.map(({ name, about }) => [`${tableName(name)}, ${parquetName(name).replace(/^.*\//u, '')}`, about.replaceAll('|', '\\|')] as const)];
}
