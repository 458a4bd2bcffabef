import type { Failure } from '../base/result.ts';
import { countWords } from '../base/count-words.ts';
import type { SourceKind } from '../model/case.ts';
import type { FileReport, Guess } from '../model/import-report.ts';
import type { DateOrder, ReadingRules } from '../model/mapping.ts';
import { shownPath } from '../identity/shown-path.ts';
import { splitDate } from '../time/parse-date.ts';
import { clockOffsetWords } from '../time/clock-offset.ts';
import { isKnownZone, ZoneClock } from '../time/zone-clock.ts';
import { asciiHead } from './ascii-head.ts';
import { AlignedSink } from './aligned-lines.ts';
import { CaseListReader } from './case-list-reader.ts';
import { asksForHeadings, chooseRules } from './choose-rules.ts';
import { ColumnWatch } from './column-watch.ts';
import { cutHead } from './cut-head.ts';
import { CodeSink } from './code-sink.ts';
import { CodeTableReader } from './code-table-reader.ts';
import { codePlan, tablesOf, type CodeTable } from './code-table.ts';
import { DateOrderEvidence } from './date-order.ts';
import { ByteNormalizer, CellDecoder, sniffEncoding, type TextEncodingPlan } from './decode-text.ts';
import { EntryReader } from './entry-reader.ts';
import { countLineEnds, LINES_BEFORE, linesAround, wholeLines, type FurtherLines, type HeadWatch } from './head-watch.ts';
import { PressureSink } from './joined-pressures.ts';
import { LongReader } from './long-reader.ts';
import { markManual } from './mark-manual.ts';
import { PhraseBook } from './phrase-book.ts';
import { orderWords, planTable, type PlanInput } from './plan-table.ts';
import type { ByteSource, ImportOptions } from './reader.ts';
import type { CaseReading, FileReading } from './reading.ts';
import { MAX_LISTED_REJECTS, RowAccount } from './row-account.ts';
import { RowSplitter, type RowSink, type RowView } from './row-splitter.ts';
import { datePartsOf } from './sample-table.ts';
import { StatedWords } from './stated-words.ts';
import { stepBackGuess } from './steps-back.ts';
import type { TableContext, TableReader } from './table-reader.ts';
import type { TablePlan } from './table-plan.ts';
import { TimeColumn } from './time-column.ts';
import { unmetColumnNotes } from './unmet-rules.ts';
import { valueFactFields, valueFactNotes, withValueFacts } from './value-facts.ts';
import { WatchedTimeColumn } from './watched-time-column.ts';
import { WideReader } from './wide-reader.ts';

/** So much of a file is looked at before it is decided how to read it. */
const HEAD_BYTES = 262_144;
/** A preview looks for dates that settle their order in so much of a file. */
const PREVIEW_DATE_BYTES = 4 << 20;
/** A file whose first line is longer than this is no table. */
const LONGEST_FIRST_LINE = 262_144;
const MAX_NOTES = 60;
/** A longer file is no list of codes. */
const MAX_CODE_TABLE_BYTES = 16_000_000;

const DELIMITER_NAMES: Readonly<Record<number, string>> = { 9: 'tab', 44: ',', 59: ';', 124: '|' };

/** How the reader cuts rows; 'papa' sends every record through Papa Parse. For the test that holds both equal. */
export type SplitWay = 'scan' | 'papa';

/** What a mapping cannot change about text that another reader made. */
export type FixedRules = Pick<ReadingRules, 'encoding' | 'delimiter'>;

function withFixed(rules: ReadingRules | null, fixed: FixedRules | null): ReadingRules | null {
  return fixed === null ? rules : { ...rules, ...fixed };
}

/** The first bytes of a file, and whether they are all of it. */
export interface Head {
  readonly bytes: Uint8Array;
  readonly isWhole: boolean;
}

/** Returns the first bytes of a file, at most 256 kB. */
export async function readHead(source: ByteSource, signal: AbortSignal | undefined): Promise<Head> {
  const parts: Uint8Array[] = [];
  let size = 0;
  let isWhole = true;
  for await (const chunk of source.open()) {
    signal?.throwIfAborted();
    if (chunk.length === 0) continue;
    const room = HEAD_BYTES - size;
    // A copy: the source may reuse its buffer for the next chunk.
    parts.push(chunk.slice(0, room));
    size += Math.min(chunk.length, room);
    if (chunk.length > room || (size === HEAD_BYTES && source.byteLength > HEAD_BYTES)) {
      isWhole = false;
      break;
    }
  }
  const bytes = new Uint8Array(size);
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  return { bytes, isWhole };
}

/** Returns the report of a file of which nothing is said yet. */
export function emptyReport(source: ByteSource, sha256: string): FileReport {
  return {
    file: source.relativePath,
    kind: 'unknown',
    encoding: '',
    delimiter: '',
    layout: '',
    rows_read: 0,
    rows_accepted: 0,
    rows_rejected: 0,
    rejected: [],
    notes: [],
    guesses: [],
    columns: [],
    cases: [],
    sha256,
    byte_length: source.byteLength,
    failure: null,
  };
}

/** Returns what is known of a file apart from its content. */
export function sourceOf(source: ByteSource, sha256: string, kind: SourceKind): FileReading['source'] {
  const slash = source.relativePath.lastIndexOf('/');
  return {
    relativePath: source.relativePath,
    folder: slash === -1 ? '' : source.relativePath.slice(0, slash),
    folderName: source.folderName,
    name: source.relativePath.slice(slash + 1),
    sha256,
    byteLength: source.byteLength,
    kind,
  };
}

/** Returns a sentence about a file with the file's name in it, so that it can stand alone. */
export function naming(source: ByteSource, message: string): string {
  const name = source.relativePath.slice(source.relativePath.lastIndexOf('/') + 1);
  return /^(?:This|The) file /.test(message) ? message.replace(/^(?:This|The) file/, () => name) : `${name}: ${message}`;
}

/** Returns the reading of a file that could not be read, with what is wrong and what to do. */
export function failed(source: ByteSource, sha256: string, encoding: string, message: string, line: number | null, remedy: string | null): FileReading {
  return {
    source: sourceOf(source, sha256, 'unknown'),
    clock: null,
    zone: { name: 'UTC', basis: 'none' },
    clockOffsetMs: 0,
    canSwapDayAndMonth: false,
    areKeysMasked: false,
    report: { ...emptyReport(source, sha256), encoding, failure: { message: naming(source, message), line, remedy } },
    rejectedRows: [],
    cases: [],
  };
}

/** Reads a file through once for its digest alone. */
export async function digestOf(source: ByteSource, options: ImportOptions): Promise<string> {
  if (options.head !== undefined) return '';
  const digest = options.createDigest();
  for await (const chunk of source.open()) {
    options.signal?.throwIfAborted();
    digest.update(chunk);
  }
  return digest.hex();
}

/** Returns the head as normalized bytes, so that planning sees what reading will see. */
function normalizedHead(head: Head, encoding: TextEncodingPlan): Uint8Array {
  const normalizer = new ByteNormalizer(encoding);
  const first = normalizer.push(head.bytes);
  if (!head.isWhole) return first;
  const rest = normalizer.finish();
  if (rest.length === 0) return first;
  const joined = new Uint8Array(first.length + rest.length);
  joined.set(first);
  joined.set(rest, first.length);
  return joined;
}

/** Pushes a whole file through a splitter. Aborts between chunks. */
async function pushAll(source: ByteSource, encoding: TextEncodingPlan, splitter: RowSplitter, each: (chunk: Uint8Array) => boolean, signal: AbortSignal | undefined): Promise<void> {
  const normalizer = new ByteNormalizer(encoding);
  for await (const chunk of source.open()) {
    signal?.throwIfAborted();
    if (chunk.length === 0) continue;
    splitter.push(normalizer.push(chunk));
    if (!each(chunk)) return;
  }
  signal?.throwIfAborted();
  splitter.push(normalizer.finish());
  splitter.finish();
}

/** Gathers every date of the time column of a whole file, until only one order is left. */
async function gatherDates(source: ByteSource, encoding: TextEncodingPlan, cellEncoding: 'utf-8' | 'windows-1252', plan: TablePlan, options: ImportOptions): Promise<{ evidence: DateOrderEvidence; hasTwelveHourClock: boolean }> {
  const evidence = new DateOrderEvidence();
  const decoder = new CellDecoder(cellEncoding);
  const columns = new Set<number>();
  if (plan.time !== null) columns.add(plan.time.column);
  if (plan.shape === 'case list') for (const column of plan.columns) if (column.profile.nStamp > 0) columns.add(column.index);
  let hasTwelveHourClock = false;
  let lastDate = '';
  const sink: RowSink = {
    row(row: RowView): void {
      if (row.line < plan.firstDataLine || evidence.isProven && evidence.needsOrder) return;
      for (const column of columns) {
        if (column >= row.n) continue;
        const start = row.trimmedStart(column);
        const end = row.trimmedEnd(column);
        if (end - start < 6 || end - start > 48) continue;
        const text = decoder.decode(row.buf, start, end);
        if (/[ap]\.?m?\.?$/i.test(text)) hasTwelveHourClock = true;
        const date = text.slice(0, 10);
        if (date === lastDate && columns.size === 1) continue;
        lastDate = date;
        const parts = datePartsOf(text);
        if (parts !== null) evidence.add(parts, text);
      }
    },
    broken(): void {
      // Reported when the rows are read.
    },
    blank(): void {
      // Carries no date.
    },
  };
  const splitter = splitterFor(plan, sink, cellEncoding, 'scan');
  let bytesSeen = 0;
  const isEnough = (chunk: Uint8Array): boolean => {
    bytesSeen += chunk.length;
    return (evidence.needsOrder && evidence.isProven) || (options.head !== undefined && bytesSeen >= PREVIEW_DATE_BYTES);
  };
  await pushAll(source, encoding, splitter, (chunk) => !isEnough(chunk), options.signal);
  return { evidence, hasTwelveHourClock };
}

function splitterFor(plan: TablePlan, sink: RowSink, cellEncoding: 'utf-8' | 'windows-1252', way: SplitWay): RowSplitter {
  const isAligned = plan.delimiter === -1;
  return new RowSplitter({ delimiter: plan.delimiter, quotes: !isAligned, way: isAligned ? 'scan' : way }, isAligned ? new AlignedSink(plan.spans, sink, cellEncoding) : sink);
}

const MONTHS: readonly string[] = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September', 'October', 'November', 'December'];

function dateInWords(text: string, order: DateOrder): string {
  const parts = splitDate(text);
  if (parts === null) return order;
  const [a = 0, b = 0, c = 0] = parts.numbers;
  const [day, month] = order === 'dmy' ? [a, b] : order === 'mdy' ? [b, a] : [c, b];
  return `${day} ${MONTHS[month - 1] ?? `month ${month}`}`;
}

/**
 * Returns one file read to its end: plain data and a report in which every row is accepted or rejected with a reason.
 * `fixed`: what is known of the text because it was made here, whatever a mapping says.
 * Bad content gives a report with `failure`; only aborting, an error of the source itself, or our own bug throws.
 */
export async function readSource(source: ByteSource, options: ImportOptions, way: SplitWay = 'scan', fixed: FixedRules | null = null): Promise<FileReading> {
  const { signal } = options;
  signal?.throwIfAborted();
  if (options.head !== undefined && options.head.file !== source.relativePath) return failed(source, '', '', '', null, null);
  const head = await readHead(source, signal);
  if (head.bytes.length === 0) {
    return failed(source, options.createDigest().hex(), '', 'The file is empty (0 bytes).', 1, 'Export it again; check that the export was finished.');
  }
  const shown = shownPath(source.relativePath, options);
  let chosen = chooseRules(options.mapping, source.relativePath, null, shown);
  let rules = withFixed(chosen?.rules ?? null, fixed);
  const sniffed = sniffEncoding(head.bytes, head.isWhole, rules?.encoding ?? null);
  if (!sniffed.ok) {
    const { message, line, remedy } = sniffed.failure;
    return failed(source, await digestOf(source, options), '', message, line ?? 1, remedy ?? null);
  }
  let encoding = sniffed.value;
  let bytes = normalizedHead(head, encoding);
  if (!bytes.subarray(0, LONGEST_FIRST_LINE).some((byte) => byte === 10 || byte === 13) && (!head.isWhole || bytes.length >= LONGEST_FIRST_LINE)) {
    return failed(source, await digestOf(source, options), '', 'The first line is longer than 256 kB: this is no table of rows.', 1, 'Export the data as CSV with one row per line.');
  }
  if (!bytes.some((byte) => byte > 32)) {
    return failed(source, await digestOf(source, options), '', 'The file holds only blanks.', 1, 'Export it again; check that the export was finished.');
  }
  const cellEncoding = new ByteNormalizer(encoding).cellEncoding;
  const { folder } = sourceOf(source, '', 'unknown');
  const codes: { found: Parameters<NonNullable<PlanInput['onCodes']>>[0] | null } = { found: null };
  const planOf = (given: ReadingRules | null): ReturnType<typeof planTable> => {
    options.head?.onHead({ bytes: head.isWhole ? bytes : wholeLines(bytes), isWhole: head.isWhole, encoding: encoding.label, cellEncoding });
    return planTable({
      head: bytes,
      isWhole: head.isWhole,
      cellEncoding,
      rules: given,
      keepIdentifiers: options.keepIdentifiers,
      codeTables: tablesOf(folder, options.codeTables ?? []).filter((table) => table.file !== source.relativePath),
      onCodes: (found) => {
        codes.found = found;
      },
    });
  };
  // A table that is not understood has headings too: it is the one for which a mapping is made.
  const headingsOf = (plan: ReturnType<typeof planTable>): readonly string[] | null => (plan.ok ? plan.value.headings : (cutHead(bytes, head.isWhole, cellEncoding, rules).block?.headings ?? null));
  let planned = planOf(rules);
  if (asksForHeadings(options.mapping)) {
    const byHeadings = chooseRules(options.mapping, source.relativePath, headingsOf(planned), shown);
    if (JSON.stringify(byHeadings) !== JSON.stringify(chosen)) {
      chosen = byHeadings;
      rules = withFixed(chosen?.rules ?? null, fixed);
      const again = sniffEncoding(head.bytes, head.isWhole, rules?.encoding ?? null);
      if (again.ok) {
        encoding = again.value;
        bytes = normalizedHead(head, encoding);
      }
      planned = planOf(rules);
    }
  }
  options.head?.onPlan(planned);
  const headings = headingsOf(planned) ?? [];
  const facts = { ...(chosen === null || chosen.name === '' ? {} : { mapping: chosen.name }), ...(headings.some((heading) => heading !== '') ? { headings } : {}) };
  let reading: FileReading;
  if (planned.ok) reading = await readPlanned(source, options, rules, encoding, planned.value, way, options.head === undefined ? null : await previewLines(source, encoding, bytes, head.isWhole, options.head));
  else {
    const noTable = noTableAtAll(bytes, head.isWhole);
    const { message, line, remedy } = noTable ?? planned.failure;
    // Without an encoding nobody is asked to lay out rows that there are none of.
    reading = failed(source, await digestOf(source, options), noTable === null ? encoding.label : '', message, line ?? null, remedy ?? null);
  }
  const { found } = codes;
  const own = { ...reading, ...(found === null || found.columns.length === 0 ? {} : { codeColumns: { file: source.relativePath, columns: found.columns } }), report: { ...reading.report, ...facts } };
  if (found === null || found.table === null || options.head !== undefined || (Number.isFinite(source.byteLength) && source.byteLength > MAX_CODE_TABLE_BYTES)) return own;
  const list = await readCodeTable(source, options, rules, encoding, found.table);
  if (list === null) return own;
  // That it is a list of codes counts only once another file uses it: then it is read again, among the lists.
  const isUsed = (options.codeTables ?? []).some((table) => table.file === source.relativePath);
  return isUsed ? { ...list.reading, codeTable: list.table, report: { ...list.reading.report, ...facts } } : { ...own, codeTable: list.table };
}

/** Returns what is wrong with a file whose beginning cannot be a table, whatever was looked for in it; null where it may be one. */
function noTableAtAll(bytes: Uint8Array, isWhole: boolean): Failure | null {
  if (asciiHead(bytes).trimStart().startsWith('<')) {
    return { code: 'not-text', message: 'This file is a web page or XML, not a text table.', line: 1, remedy: 'Open it in a spreadsheet program and save it as XLSX or CSV, and import that.' };
  }
  const lastLineAt = bytes.lastIndexOf(10) + 1;
  if (isWhole || bytes.length - lastLineAt < bytes.length / 2) return null;
  return { code: 'line-too-long', message: `Line ${countLineEnds(bytes) + 1} goes on for more than ${Math.floor((bytes.length - lastLineAt) / 1000)} kB: this is no row of a table.`, line: countLineEnds(bytes) + 1, remedy: 'Look at that line: a quote mark may be missing, or line ends were lost. Export the file again.' };
}

/** Returns a list of codes with its own reading, null when it holds none after all. */
async function readCodeTable(source: ByteSource, options: ImportOptions, rules: ReadingRules | null, encoding: TextEncodingPlan, plan: TablePlan): Promise<{ readonly table: CodeTable; readonly reading: FileReading } | null> {
  const own = codePlan(plan.columns);
  if (own === null) return null;
  const { cellEncoding } = new ByteNormalizer(encoding);
  const decoder = new CellDecoder(cellEncoding);
  const account = new RowAccount(source.relativePath, plan.columns, decoder);
  const context = { plan, time: null, account, watch: new ColumnWatch(plan.columns, decoder), decoder, rules, phrases: new PhraseBook(undefined), words: new StatedWords(null), keepIdentifiers: options.keepIdentifiers, shelf: undefined, list: null };
  const reader = new CodeTableReader(context, own);
  await pushAll(source, encoding, splitterFor(plan, reader, cellEncoding, 'scan'), () => true, options.signal);
  const blank = failed(source, await digestOf(source, options), encoding.label, '', null, null);
  const table = reader.table(source.relativePath, blank.source.folder);
  if (table.labels.length === 0) return null;
  const report: FileReport = {
    ...blank.report,
    delimiter: plan.delimiter === -1 ? 'blanks' : (DELIMITER_NAMES[plan.delimiter] ?? String.fromCharCode(plan.delimiter)),
    layout: 'code table',
    ...account.totals(),
    columns: reader.finish().columns,
    notes: [...layoutNotes(plan, encoding, account), `A list of ${table.labels.length} codes; it says what the codes of other files mean.`],
    failure: null,
  };
  return { table, reading: { ...blank, report, rejectedRows: account.rejectedRows } };
}

/** What a preview reads of a file: whole lines at its head, and those around a line further down. */
interface PreviewLines {
  readonly head: Uint8Array;
  readonly further: FurtherLines | null;
}

async function previewLines(source: ByteSource, encoding: TextEncodingPlan, bytes: Uint8Array, isWhole: boolean, watch: HeadWatch): Promise<PreviewLines> {
  const head = isWhole ? bytes : wholeLines(bytes);
  const nLines = isWhole || watch.atLine === null ? Infinity : countLineEnds(head);
  if (watch.atLine === null || watch.atLine <= nLines) return { head, further: null };
  // Lines that the head holds already are not read twice.
  const further = await linesAround(normalized(source, encoding), Math.max(watch.atLine - LINES_BEFORE, nLines + 1), watch.atLine);
  if (further !== null) watch.onFurther(further);
  return { head, further };
}

async function* normalized(source: ByteSource, encoding: TextEncodingPlan): AsyncGenerator<Uint8Array> {
  const normalizer = new ByteNormalizer(encoding);
  for await (const chunk of source.open()) yield normalizer.push(chunk);
  yield normalizer.finish();
}

/** Returns the time column of a plan; a preview hears of every time. */
function timeColumnOf(plan: TablePlan, zone: ZoneClock | null, decoder: CellDecoder, watch: HeadWatch | undefined): TimeColumn | null {
  if (plan.time === null) return null;
  return watch === undefined ? new TimeColumn(plan.time, zone, plan.decimal, decoder) : new WatchedTimeColumn(plan.time, zone, plan.decimal, decoder, watch);
}

/** `preview`: the lines to read instead of the whole source. */
async function readPlanned(source: ByteSource, options: ImportOptions, rules: ReadingRules | null, encoding: TextEncodingPlan, plan: TablePlan, way: SplitWay, preview: PreviewLines | null): Promise<FileReading> {
  const cellEncoding = new ByteNormalizer(encoding).cellEncoding;
  const notes: string[] = [];
  const guesses: Guess[] = [...plan.guesses];
  let canSwapDayAndMonth = false;
  if (plan.time !== null && plan.time.form === 'timestamp' && rules?.dateOrder === undefined && !plan.time.isOrderProven) {
    const { evidence, hasTwelveHourClock } = await gatherDates(source, encoding, cellEncoding, plan, options);
    const decision = evidence.decide({ hasTwelveHourClock });
    plan.time.order = decision.order;
    if (evidence.needsOrder) {
      const { example } = evidence;
      canSwapDayAndMonth = decision.certainty !== 'proven' && (decision.order === 'dmy' || decision.order === 'mdy') && decision.others.includes(decision.order === 'dmy' ? 'mdy' : 'dmy');
      guesses.push({
        field: 'dateOrder',
        taken: `Dates are read ${orderWords(decision.order)}: ${example} is ${dateInWords(example, decision.order)}.`,
        because: decision.because,
        certainty: decision.certainty,
        alternatives: decision.others.map((order) => ({ label: `Read them ${orderWords(order)}: ${example} is ${dateInWords(example, order)}`, rules: { dateOrder: order } })),
      });
    }
  }
  const zoneName = rules?.zone ?? options.zone;
  if (zoneName !== null && !isKnownZone(zoneName)) {
    return failed(source, await digestOf(source, options), encoding.label, `The time zone "${zoneName}" is not known.`, null, 'Use a name such as Europe/Berlin or UTC.');
  }
  const zone = zoneName === null ? null : new ZoneClock(zoneName);
  const decoder = new CellDecoder(cellEncoding);
  const account = new RowAccount(source.relativePath, plan.columns, decoder);
  const watch = new ColumnWatch(plan.columns, decoder);
  const time = timeColumnOf(plan, zone, decoder, options.head);
  const phrases = new PhraseBook(rules?.phrases);
  const words = new StatedWords(rules);
  const list = options.list === undefined ? null : { watch: options.list, table: options.list.onTable(plan) };
  const reader = readerFor({ list, plan, time, account, watch, decoder, rules, phrases, words, keepIdentifiers: options.keepIdentifiers, shelf: options.shelf });
  const digest = options.createDigest();
  let bytesDone = 0;
  const codes = plan.codes === null ? null : new CodeSink(plan.codes.column, plan.codes.labels, decoder, cellEncoding, plan.firstDataLine, reader);
  const inner = codes ?? reader;
  const splitter = splitterFor(plan, plan.pressures.length === 0 ? inner : new PressureSink(plan.pressures, plan.headings.length, plan.firstDataLine, inner), cellEncoding, way);
  if (preview === null) {
    await pushAll(
      source,
      encoding,
      splitter,
      (chunk) => {
        digest.update(chunk);
        bytesDone += chunk.length;
        options.onProgress?.({ stage: 'reading', file: source.relativePath, bytesDone, bytesTotal: source.byteLength });
        return true;
      },
      options.signal,
    );
  } else {
    splitter.push(preview.head);
    if (preview.further !== null) {
      splitter.leapTo(preview.further.line);
      splitter.push(preview.further.bytes);
    }
    splitter.finish();
  }
  const result = reader.finish();
  const putBack = time?.stepsBack.clocksPutBack(plan.shape === 'long') ?? null;
  if (putBack !== null) guesses.push(stepBackGuess(putBack));
  const sha256 = digest.hex();
  const kind = kindOf(plan, reader);
  const totals = account.totals();
  const clockOffsetMs = Math.round((rules?.clockOffsetS ?? 0) * 1000);
  const marked = withValueFacts(plan.shape === 'entries' ? markManual(result.cases, guesses) : result.cases, rules);
  const cases = marked.map((own): CaseReading => {
    const bornOnDay = watch.bornOnDay(own.caseKey);
    return bornOnDay === null ? own : { ...own, bornOnDay };
  });
  notes.push(...layoutNotes(plan, encoding, account), ...plan.notes, ...codeNotes(plan, codes?.nUnknown ?? 0), ...result.notes, ...phrases.notes(), ...words.notes(), ...unmetColumnNotes(rules, result.columns.map((column) => column.heading), plan.columns.length), ...caseNotes(result.cases), ...timeNotes(time, zone, zoneName, plan), ...valueFactNotes(cases, rules), ...clockOffsetNotes(clockOffsetMs, time), ...identifierNotes(plan));
  if (decoder.nAsUtf8 > 0) notes.push(`${countWords(decoder.nAsUtf8, 'cell is', 'cells are')} UTF-8 among single bytes and ${decoder.nAsUtf8 === 1 ? 'was' : 'were'} read so.`);
  if (decoder.nOtherEncoding > 0) notes.push(`${countWords(decoder.nOtherEncoding, 'cell is no valid UTF-8 and was', 'cells are no valid UTF-8 and were')} read as Windows-1252.`);
  if (totals.rows_rejected > MAX_LISTED_REJECTS) notes.push(`Only the first ${MAX_LISTED_REJECTS} of ${totals.rows_rejected} rejected rows are listed; all are counted.`);
  if (totals.rows_accepted === 0 && totals.rows_read > 0) notes.push('No row of this file could be used.');
  const caseColumn = plan.columns.find((column) => column.role === 'case');
  const offset = time === null || Number.isNaN(time.firstOffsetMin) ? null : time.firstOffsetMin;
  const report: FileReport = {
    file: source.relativePath,
    kind,
    encoding: encoding.label,
    delimiter: plan.delimiter === -1 ? 'blanks' : (DELIMITER_NAMES[plan.delimiter] ?? String.fromCharCode(plan.delimiter)),
    layout: plan.delimiter === -1 ? 'aligned' : plan.shape,
    ...totals,
    notes: notes.slice(0, MAX_NOTES),
    guesses: [...guesses, ...result.guesses],
    columns: result.columns,
    cases: [],
    ...phrases.report(),
    ...valueFactFields(cases, rules),
    withheld: watch.entries(),
    sha256,
    byte_length: source.byteLength,
    failure:
      totals.rows_read === 0
        ? { message: naming(source, 'The file has headings but no rows.'), line: plan.headingLines[0] ?? 1, remedy: 'Check that the export covers the time of the case.' }
        : totals.rows_accepted === 0
          ? { message: naming(source, totals.rows_read === 1 ? `Its only row could not be used (${totals.rejected[0]?.reason ?? ''}).` : `None of its ${totals.rows_read} rows could be used (${totals.rejected[0]?.reason ?? ''}).`), line: totals.rejected[0]?.first_line ?? null, remedy: 'See the rejected rows; say in a mapping how the columns are to be read.' }
          : null,
  };
  return {
    source: sourceOf(source, sha256, kind),
    clock: time === null ? null : time.clock,
    ...(plan.time?.asTimeOfDay === undefined ? {} : { asTimeOfDay: plan.time.asTimeOfDay }),
    zone: zoneName !== null ? { name: zoneName, basis: 'stated' } : offset !== null && time?.clock === 'absolute' ? { name: offsetName(offset), basis: 'offset' } : { name: 'UTC', basis: 'none' },
    clockOffsetMs,
    canSwapDayAndMonth,
    areKeysMasked: rules?.caseId === undefined && caseColumn?.handling === 'replaced by a code',
    identifiersSeen: watch.seen,
    ...(list === null ? {} : { listTable: list.table }),
    report,
    rejectedRows: account.rejectedRows,
    cases,
  };
}

/** Returns the name of a fixed offset from UTC in minutes: `UTC`, `+01:00`. */
export function offsetName(offsetMin: number): string {
  if (offsetMin === 0) return 'UTC';
  const size = Math.abs(offsetMin);
  return `${offsetMin < 0 ? '-' : '+'}${String(Math.floor(size / 60)).padStart(2, '0')}:${String(size % 60).padStart(2, '0')}`;
}

function readerFor(context: TableContext): TableReader {
  const { plan, time } = context;
  if (plan.shape === 'case list' || time === null) return new CaseListReader(context, time);
  if (plan.shape === 'wide') return new WideReader(context, time);
  if (plan.shape === 'long') return new LongReader(context, time);
  return new EntryReader(context, time);
}

function kindOf(plan: TablePlan, reader: TableReader): SourceKind {
  if (plan.shape === 'case list') return 'case list';
  if (plan.shape !== 'entries') return 'trends';
  if (!(reader instanceof EntryReader)) return 'unknown';
  return reader.nDrugs > 0 && reader.nDrugs >= reader.nEvents ? 'administrations' : 'events';
}

function layoutNotes(plan: TablePlan, encoding: TextEncodingPlan, account: RowAccount): string[] {
  const notes: string[] = [];
  if (encoding.note !== null) notes.push(encoding.note);
  if (plan.headingLines.length > 0) notes.push(`Headings: ${plan.headingLines.length === 1 ? 'line' : 'lines'} ${plan.headingLines.join(' and ')}${plan.unitLine === null ? '' : `, units: line ${plan.unitLine}`}.`);
  else if (plan.spans.length > 0) notes.push('The columns were found by the heading lines that the log repeats; these lines are listed among the rejected rows.');
  if (plan.preambleLines.length > 0) notes.push(`Not used, before the headings: ${plan.preambleLines.length === 1 ? 'line' : 'lines'} ${listed(plan.preambleLines)}.`);
  if (account.nBlank > 0) notes.push(`Blank lines: ${account.nBlank}.`);
  return notes;
}

function listed(lines: readonly number[]): string {
  const [first, ...rest] = lines;
  const last = rest.at(-1);
  return last === undefined ? String(first) : rest.length > 3 ? `${first} to ${last}` : lines.join(', ');
}

function caseNotes(cases: readonly CaseReading[]): string[] {
  const notes: string[] = [];
  let nDuplicates = 0;
  let nConflicts = 0;
  let first: number | null = null;
  for (const reading of cases) {
    nDuplicates += reading.nDuplicates;
    nConflicts += reading.nConflicts;
    if (reading.firstConflictLine !== null) first = Math.min(first ?? Infinity, reading.firstConflictLine);
  }
  if (nDuplicates > 0) notes.push(`${countWords(nDuplicates, 'row repeats an earlier row and was dropped as a duplicate', 'rows repeat an earlier row and were dropped as duplicates')}.`);
  if (nConflicts > 0) notes.push(`At ${countWords(nConflicts, 'instant', 'instants')} two different values stand for one quantity (first: line ${first ?? 0}); the first plausible one was kept.`);
  return notes;
}

function timeNotes(time: TimeColumn | null, zone: ZoneClock | null, zoneName: string | null, plan: TablePlan): string[] {
  if (time === null || plan.shape === 'case list') return [];
  const notes: string[] = [];
  if (time.nWithOffset > 0 && time.nLocal > 0) notes.push(`${countWords(time.nWithOffset, 'time carries', 'times carry')} an offset from UTC and ${countWords(time.nLocal, 'does', 'do')} not.`);
  if (time.clock === 'absolute' && time.nLocal > 0 && zoneName === null && time.nWithOffset === 0) notes.push('No time zone is stated; the times are taken as UTC so that results repeat. State the zone to show local time and to resolve daylight-saving changes.');
  if (zone !== null && zone.nTwice > 0) notes.push(`${countWords(zone.nTwice, 'local time occurs twice because clocks were put back; it was told apart by its', 'local times occur twice because clocks were put back; they were told apart by their')} order in the file.`);
  if (zone !== null && zone.nMissing > 0) notes.push(`${countWords(zone.nMissing, 'local time does not exist because clocks were put forward; it was', 'local times do not exist because clocks were put forward; they were')} read with the offset that held before.`);
  if (time.nMidnights > 0) notes.push(`The clock passes midnight ${time.nMidnights === 1 ? 'once' : `${time.nMidnights} times`}; the times after it are of the next day.`);
  return notes;
}

function codeNotes({ codes, columns }: TablePlan, nUnknown: number): string[] {
  if (codes === null) return [];
  const unknown = nUnknown === 0 ? '' : ` ${countWords(nUnknown, 'row has a code that it does not list, and keeps the code', 'rows have codes that it does not list, and keep the codes')}.`;
  return [`"${columns[codes.column]?.heading ?? ''}" holds codes; what they mean was taken from ${codes.file.slice(codes.file.lastIndexOf('/') + 1)}.${unknown}`];
}

function clockOffsetNotes(offsetMs: number, time: TimeColumn | null): string[] {
  if (offsetMs === 0) return [];
  return [time === null ? 'A clock offset was stated for this file, but it holds no times.' : `Its clock was set by hand: ${clockOffsetWords(offsetMs)}.`];
}

function identifierNotes(plan: TablePlan): string[] {
  const hidden = plan.columns.filter((column) => column.handling === 'left out').map((column) => `"${column.heading}"`);
  if (hidden.length === 0) return [];
  return [`Columns that identify persons were not kept: ${hidden.join(', ')}. They are also left out of the rejected rows.`];
}
