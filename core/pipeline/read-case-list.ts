import { countWords } from '../base/count-words.ts';
import { fail, ok, type Result } from '../base/result.ts';
import { foldedKey, otherWritings, writingDifferences } from '../identity/key-writings.ts';
import { caseCode } from '../identity/shown-path.ts';
import type { CaseListRequest, LibraryCase, ListColumnChoice, ListedRow, NearCase, ReadCaseList } from '../model/case-list.ts';
import type { DateOrder, Mapping, ReadingRules } from '../model/mapping.ts';
import { DateOrderEvidence } from '../readers/date-order.ts';
import { roleOfHeading } from '../readers/heading-words.ts';
import type { ListWatch } from '../readers/list-watch.ts';
import { identityOfHeading } from '../readers/place-identifiers.ts';
import { orderWords } from '../readers/plan-table.ts';
import { readFile } from '../readers/read-file.ts';
import type { ByteSource, ImportOptions } from '../readers/reader.ts';
import type { FileReading } from '../readers/reading.ts';
import { dateTextOf, datePartsOf, kindOfCell } from '../readers/sample-table.ts';
import type { ColumnPlan, TablePlan } from '../readers/table-plan.ts';
import { civilFromDays } from '../time/civil.ts';
import { parseDate } from '../time/parse-date.ts';

/** A longer list is refused: no library is held against it. */
const MOST_ROWS = 200_000;
/** From this share of different texts on, a column may tell cases apart. Common practice without source. */
const LEAST_DIFFERENT = 0.5;
/** Half of the filled cells are dates: a column of dates. */
const LEAST_DATES = 0.5;

/** The rows of one table of the list, as the file has them. They never leave this file. */
interface RawTable {
  readonly plan: TablePlan;
  readonly rows: { readonly line: number; readonly cells: readonly string[]; readonly caseIndex: number }[];
}

type ListOptions = Pick<ImportOptions, 'keepIdentifiers' | 'pseudonymOf' | 'createDigest' | 'signal'>;

/** The cases of the library by what a row may say. */
interface KnownCases {
  readonly ids: ReadonlySet<string>;
  readonly byFold: ReadonlyMap<string, readonly string[]>;
  readonly dateOf: ReadonlyMap<string, string | null>;
  /** Whether any case has a code for its name. */
  readonly hasCodes: boolean;
}

/**
 * Returns a list of cases, read by the same readers as everything else, with what each accepted row fits in the library. The
 * identifiers themselves stay here: rows hold a case's name or a code, made with the library's key.
 * Shape   rows in the order of the list; rowsRead = rowsAccepted + rowsRejected.
 * Errors  `no-list`, `no-identifier`, `no-column`, `list-too-long`, or why the file could not be read: each with a remedy. Rejects when
 *         aborted and when the source itself fails.
 */
export async function readCaseList(source: ByteSource, request: CaseListRequest, library: readonly LibraryCase[], options: ListOptions): Promise<Result<ReadCaseList>> {
  const known = knownCases(library);
  // A list of one column has nothing between its cells that could be found.
  const cut = await readTables(source, {}, options);
  const delimiter = cut.every(({ raw }) => raw.rows.length === 0) ? ',' : undefined;
  const single = delimiter === undefined ? [] : await readTables(source, { delimiter }, options);
  const first = single.some(({ raw }) => raw.rows.length > 0) ? single : cut;
  const table = chooseTable(first, request.table, known, options);
  if (!table.ok) return table;
  const candidates = idCandidates(table.value.raw, known, options);
  const chosen = chooseId(candidates, table.value.raw.plan, request.idColumn, source.relativePath);
  if (!chosen.ok) return chosen;
  const planned = table.value.raw.plan.columns.find((column) => column.role === 'case');
  // Only the column that names the cases decides which rows are rejected for want of a name, so the file is read by it.
  const again = planned?.index === chosen.value.column.index ? first : await readTables(source, { delimiter, columns: { [chosen.value.choice.key]: { role: 'case' } } }, options);
  const own = again.find(({ name }) => name === table.value.name);
  if (own === undefined) return fail({ code: 'no-list', message: 'The list changed while it was read.', file: source.relativePath, remedy: 'Choose the file again.' });
  if (own.raw.rows.length > MOST_ROWS) {
    return fail({ code: 'list-too-long', message: `The list has ${own.raw.rows.length} rows; no more than ${MOST_ROWS} are held against a library.`, file: source.relativePath, remedy: 'Cut the list into parts, by year for example.' });
  }
  const keyed = rowsOf(own, chosen.value.column.index, known, options);
  const dates = readDates(own.raw, keyed, known, request.dateColumn);
  if (!dates.ok) return fail({ ...dates.failure, file: source.relativePath });
  const { report } = own.reading;
  const names = first.map(({ name }) => name);
  const notUsed = names.length > 1 ? [`${countWords(names.length - 1, 'other table of the file was', 'other tables of the file were')} not used.`] : [];
  return ok({
    file: report.container?.file ?? report.file,
    sha256: report.container?.sha256 ?? report.sha256,
    encoding: report.encoding,
    delimiter: report.delimiter,
    tables: names,
    table: own.name,
    idColumns: candidates.map(({ choice }) => choice),
    idColumn: chosen.value.choice.key,
    idBecause: chosen.value.because,
    dateColumns: dates.value.choices,
    dateColumn: dates.value.chosen,
    rowsRead: report.rows_read,
    rowsAccepted: report.rows_accepted,
    rowsRejected: report.rows_rejected,
    rejected: report.rejected,
    rejectedRows: own.reading.rejectedRows,
    notes: [...notUsed, ...dates.value.notes, ...report.notes],
    rows: keyed.map(({ row }, i) => ({ ...row, date: dates.value.texts[i] ?? null })),
  });
}

function knownCases(library: readonly LibraryCase[]): KnownCases {
  const byFold = new Map<string, string[]>();
  for (const { caseId } of library) {
    if (caseId === '') continue;
    const fold = foldedKey(caseId);
    byFold.set(fold, [...(byFold.get(fold) ?? []), caseId]);
  }
  return { ids: new Set(library.flatMap(({ caseId }) => (caseId === '' ? [] : [caseId]))), byFold, dateOf: new Map(library.map(({ caseId, date }) => [caseId, date])), hasCodes: library.some(({ caseId }) => /^case-[0-9a-z]{10}$/.test(caseId)) };
}

interface ReadTable {
  readonly name: string;
  readonly reading: FileReading;
  readonly raw: RawTable;
}

/** Reads every table of the file as a list of cases. */
async function readTables(source: ByteSource, rules: Pick<ReadingRules, 'columns' | 'delimiter'>, options: ListOptions): Promise<(ReadTable & { readonly failure: FileReading['report']['failure'] })[]> {
  const tables: RawTable[] = [];
  const watch: ListWatch = {
    onTable(plan) {
      tables.push({ plan, rows: [] });
      return tables.length - 1;
    },
    onRow(table, line, cells, caseIndex) {
      const own = tables[table];
      // One row more than is allowed tells that there are too many.
      if (own !== undefined && own.rows.length <= MOST_ROWS) own.rows.push({ line, cells, caseIndex });
    },
  };
  const reading: ReadingRules = { ...rules, kind: 'case list' };
  const mapping: Mapping = { schema: 'lacuna-mapping/1', name: 'list of cases', files: [{ match: {}, reading }] };
  const readings = await readFile(source, { zone: null, mapping, keepIdentifiers: options.keepIdentifiers, pseudonymOf: options.pseudonymOf, createDigest: options.createDigest, ...(options.signal === undefined ? {} : { signal: options.signal }), list: watch });
  const none: RawTable = { plan: EMPTY_PLAN, rows: [] };
  return readings.map((one) => ({ name: one.report.file.slice(one.report.file.lastIndexOf('/') + 1), reading: one, raw: tables[one.listTable ?? -1] ?? none, failure: one.report.failure }));
}

const EMPTY_PLAN: TablePlan = { shape: 'case list', delimiter: 44, decimal: '.', columns: [], headings: [], headingLines: [], unitLine: null, firstDataLine: 1, preambleLines: [], time: null, guesses: [], notes: [], sample: [], spans: [], codes: null, pressures: [] };

/** Chooses the table that fits the library best, of equals the first with rows. */
function chooseTable(tables: Awaited<ReturnType<typeof readTables>>, wanted: string | null, known: KnownCases, options: ListOptions): Result<ReadTable> {
  const named = wanted === null ? tables : tables.filter(({ name }) => name === wanted);
  const usable = named.filter(({ raw }) => raw.rows.length > 0);
  const fitsOf = (table: ReadTable): number => Math.max(0, ...idCandidates(table.raw, known, options).map(({ choice }) => choice.fits));
  const ranked = usable.map((table) => ({ table, fits: fitsOf(table) })).sort((a, b) => b.fits - a.fits);
  const [best] = ranked;
  if (best !== undefined) return ok(best.table);
  const failed = (named[0] ?? tables[0])?.failure ?? null;
  if (wanted !== null && named.length === 0) return fail({ code: 'no-list', message: `The file holds no table “${wanted}”.`, remedy: `Choose one of: ${tables.map(({ name }) => name).join(', ')}.` });
  return fail({
    code: 'no-list',
    message: failed?.message ?? 'The file holds no rows of a table, so it is no list of cases.',
    line: failed?.line ?? 1,
    // What readers advise about mappings does not help here: a list has none.
    remedy: 'Save the list as CSV or as a workbook, one row for each case, with headings.',
    ...(tables[0] === undefined ? {} : { file: tables[0].reading.report.file }),
  });
}

interface IdCandidate {
  readonly column: ColumnPlan;
  readonly choice: ListColumnChoice;
}

/** The keys of columns: headings, or `column N` where two columns have the same one. */
function columnKey(column: ColumnPlan, columns: readonly ColumnPlan[]): string {
  return columns.filter(({ heading }) => heading.toLowerCase() === column.heading.toLowerCase()).length > 1 ? `column ${column.index + 1}` : column.heading;
}

/** Returns the columns that may tell cases apart, those that fit the library best first. */
function idCandidates({ plan, rows }: RawTable, known: KnownCases, options: ListOptions): IdCandidate[] {
  const candidates = plan.columns.flatMap((column): (IdCandidate & { readonly score: number })[] => {
    const role = roleOfHeading(column.heading);
    const identity = identityOfHeading(column.heading);
    if (identity === 'birth date' || identity === 'address' || identity === 'contact' || identity === 'age') return [];
    const texts = rows.map(({ cells }) => cells[column.index] ?? '').filter((text) => text !== '');
    if (texts.length === 0 || texts.some((text) => text.length > 60)) return [];
    const dates = texts.filter((text) => ['date', 'stamp', 'clock'].includes(kindOfCell(text))).length;
    if (dates >= texts.length * LEAST_DATES) return [];
    const isNamed = role === 'case' || role === 'patient' || identity === 'record number';
    if (!isNamed && (new Set(texts).size < texts.length * LEAST_DIFFERENT || texts.some((text) => /^\d+[.,]\d+$/.test(text)))) return [];
    const fits = texts.filter((text) => fittingCases(text, known, options).length > 0).length;
    const score = column.role === 'case' ? 4 : role === 'case' ? 3 : role === 'patient' ? 2 : isNamed ? 1 : 0;
    const isCoded = !options.keepIdentifiers && (identity !== null || column.handling === 'replaced by a code' || column.handling === 'left out');
    return [{ column, score, choice: { key: columnKey(column, plan.columns), heading: column.heading, filled: texts.length, fits, isCoded } }];
  });
  return candidates.sort((a, b) => b.choice.fits - a.choice.fits || b.score - a.score || a.column.index - b.column.index);
}

function chooseId(candidates: readonly IdCandidate[], plan: TablePlan, wanted: string | null, file: string): Result<IdCandidate & { readonly because: string }> {
  if (wanted !== null) {
    const column = plan.columns.find((one) => columnKey(one, plan.columns) === wanted || one.heading === wanted || `column ${one.index + 1}` === wanted);
    if (column === undefined) return fail({ code: 'no-column', message: `The list has no column “${wanted}”.`, file, line: plan.headingLines[0] ?? 1, remedy: `Name one of its columns: ${plan.columns.map((one) => one.heading).join(', ')}.` });
    const known = candidates.find((one) => one.column.index === column.index);
    return ok({ ...(known ?? { column, choice: { key: columnKey(column, plan.columns), heading: column.heading, filled: 0, fits: 0, isCoded: false } }), because: 'it was chosen' });
  }
  const [best] = candidates;
  const isNamed = best !== undefined && (best.column.role === 'case' || roleOfHeading(best.column.heading) !== null || identityOfHeading(best.column.heading) !== null);
  if (best === undefined || (best.choice.fits === 0 && !isNamed)) {
    return fail({ code: 'no-identifier', message: 'It cannot be told which column of the list names the cases: no heading says so, and none of the texts is that of a case of the library.', file, line: plan.headingLines[0] ?? 1, remedy: 'Choose the column that names the cases.' });
  }
  return ok({ ...best, because: best.choice.fits > 0 ? `${countWords(best.choice.fits, 'of its texts names a case', 'of its texts name cases')} of the library` : 'its heading says so; none of its texts is that of a case of the library' });
}

/** Returns the cases of the library that have just this identifier, or a code made of it. */
function fittingCases(text: string, { ids }: KnownCases, options: ListOptions): string[] {
  return [...new Set([text, caseCode(text, options)])].filter((id) => ids.has(id));
}

/** Returns the cases whose identifier, or the number behind whose code, may be this one in another writing. */
function nearCases(text: string, { ids, byFold, hasCodes }: KnownCases, options: ListOptions): NearCase[] {
  const near = new Map<string, NearCase>();
  for (const caseId of byFold.get(foldedKey(text)) ?? []) near.set(caseId, { caseId, differs: writingDifferences(text, caseId) });
  // Making codes takes its time: only where one could be met.
  for (const writing of hasCodes ? otherWritings(text) : []) {
    const caseId = caseCode(writing, options);
    if (ids.has(caseId) && !near.has(caseId)) near.set(caseId, { caseId, differs: writingDifferences(text, writing) });
  }
  return [...near.values()];
}

interface KeyedRow {
  readonly row: ListedRow;
  readonly cells: readonly string[];
}

function rowsOf({ reading, raw }: ReadTable, column: number, known: KnownCases, options: ListOptions): KeyedRow[] {
  const firstOf = new Map<string, number>();
  const firstLike = new Map<string, { readonly line: number; readonly text: string }>();
  const fits = new Map<string, Pick<ListedRow, 'exact' | 'near'>>();
  return raw.rows.map(({ line, cells, caseIndex }): KeyedRow => {
    const text = cells[column] ?? '';
    const fold = foldedKey(text);
    const like = firstLike.get(fold);
    if (like === undefined) firstLike.set(fold, { line, text });
    const firstLine = firstOf.get(text) ?? line;
    firstOf.set(text, firstLine);
    let found = fits.get(text);
    if (found === undefined) {
      const exact = fittingCases(text, known, options);
      found = { exact, near: exact.length > 0 ? [] : nearCases(text, known, options) };
      fits.set(text, found);
    }
    const key = reading.cases[caseIndex]?.caseKey ?? '';
    return { cells, row: { line, key, date: null, firstLine, likeLine: like !== undefined && like.text !== text ? like.line : null, ...found } };
  });
}

interface ReadDates {
  readonly choices: readonly ListColumnChoice[];
  readonly chosen: string | null;
  readonly texts: readonly (string | null)[];
  readonly notes: readonly string[];
}

/** Reads the date of each row from the column whose dates are those of the library, else from the one that the plan takes for the time. */
function readDates({ plan }: RawTable, rows: readonly KeyedRow[], known: KnownCases, wanted: string | null): Result<ReadDates> {
  const candidates = plan.columns.flatMap((column) => {
    const identity = identityOfHeading(column.heading);
    if (identity !== null || column.identity === 'birth date') return [];
    const texts = rows.map(({ cells }) => cells[column.index] ?? '');
    const filled = texts.filter((text) => text !== '').length;
    const dated = texts.filter((text) => text !== '' && ['date', 'stamp'].includes(kindOfCell(text))).length;
    if (filled === 0 || dated < filled * LEAST_DATES) return [];
    const read = inBestOrder(texts, rows, known);
    return [{ column, ...read, choice: { key: columnKey(column, plan.columns), heading: column.heading, filled, fits: read.fits, isCoded: false } }];
  });
  const score = (column: ColumnPlan): number => (plan.time?.column === column.index ? 2 : 0) + (/op|surg|ana?e|narkose|case|date|datum/i.test(column.heading) ? 1 : 0);
  candidates.sort((a, b) => b.fits - a.fits || score(b.column) - score(a.column) || a.column.index - b.column.index);
  const named = wanted === null ? candidates[0] : candidates.find(({ choice }) => choice.key === wanted || choice.heading === wanted);
  if (wanted !== null && named === undefined) {
    return fail({ code: 'no-column', message: `The list has no column of dates “${wanted}”.`, line: plan.headingLines[0] ?? 1, remedy: candidates.length === 0 ? 'Leave the date out: none of its columns holds dates.' : `Choose one of: ${candidates.map(({ choice }) => choice.key).join(', ')}.` });
  }
  const choices = candidates.map(({ choice }) => choice);
  if (named === undefined) return ok({ choices, chosen: null, texts: rows.map(() => null), notes: ['The list has no column of dates, so dates were not compared.'] });
  return ok({ choices, chosen: named.choice.key, texts: named.dates, notes: named.notes });
}

/** Returns the dates of a column, in the order of day and month that its cells prove; where they prove none, in the one that fits the library. */
function inBestOrder(texts: readonly string[], rows: readonly KeyedRow[], known: KnownCases): { readonly dates: (string | null)[]; readonly fits: number; readonly notes: string[] } {
  const evidence = new DateOrderEvidence();
  for (const text of texts) {
    const parts = datePartsOf(text);
    if (parts !== null) evidence.add(parts, text);
  }
  const decision = evidence.decide({ hasTwelveHourClock: texts.some((text) => /[ap]\.?m\.?$/i.test(text)) });
  const readings = [decision.order, ...decision.others].map((order: DateOrder) => {
    const dates = texts.map((text) => isoDate(text, order));
    const fits = dates.filter((date, i) => date !== null && (rows[i]?.row.exact ?? []).some((caseId) => known.dateOf.get(caseId) === date)).length;
    return { order, dates, fits };
  });
  const best = readings.reduce((a, b) => (b.fits > a.fits ? b : a));
  const unread = best.dates.filter((date, i) => date === null && texts[i] !== '').length;
  const notes = [
    ...(decision.others.length > 0 ? [`Dates such as ${evidence.example} are read ${orderWords(best.order)}${best.fits > 0 ? `: so ${countWords(best.fits, 'of them is that', 'of them are those')} of the library` : ', which nothing in the list proves'}.`] : []),
    ...(unread > 0 ? [`${countWords(unread, 'date could', 'dates could')} not be read.`] : []),
  ];
  return { dates: best.dates, fits: best.fits, notes };
}

function isoDate(text: string, order: DateOrder): string | null {
  if (text === '') return null;
  const days = parseDate(dateTextOf(text), order);
  if (Number.isNaN(days)) return null;
  const { year, month, day } = civilFromDays(days);
  return `${String(year).padStart(4, '0')}-${String(month).padStart(2, '0')}-${String(day).padStart(2, '0')}`;
}
