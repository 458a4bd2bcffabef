import type { Result } from '../base/result.ts';
import { MARK } from '../model/channel.ts';
import { FIRST_ROWS, type FilePreview, type PreviewColumn, type PreviewOutcome, type PreviewRow } from '../model/file-preview.ts';
import type { ColumnReport, Guess } from '../model/import-report.ts';
import type { ReadingRules } from '../model/mapping.ts';
import { QUANTITIES, QUANTITY_FACTS } from '../model/quantity.ts';
import { SITES } from '../model/site.ts';
import { splitAligned } from '../readers/aligned-lines.ts';
import { cutHead, type CutHead } from '../readers/cut-head.ts';
import { LINES_AFTER, LINES_BEFORE, type FurtherLines, type TableHead } from '../readers/head-watch.ts';
import { identityOfHeading } from '../readers/place-identifiers.ts';
import { columnRule } from '../readers/plan-table.ts';
import { readFile } from '../readers/read-file.ts';
import type { ByteSource, ImportOptions } from '../readers/reader.ts';
import type { FileReading, RawChannel } from '../readers/reading.ts';
import { kindOfCell, profileColumn, sampleRows, type SampleRow } from '../readers/sample-table.ts';
import type { TablePlan } from '../readers/table-plan.ts';

/** So many rows beside the first ones that have something to look at. */
const TELLING_ROWS = 60;
/** Of a very wide table fewer: this many cells from the start, so that a change shows at once, and never fewer rows than this share of the usual. */
const FIRST_CELLS = 8000;
const LEAST_SHARE = 0.2;
const MAX_COLUMNS = 256;
const MAX_CELL_LENGTH = 80;
const MAX_OUTCOMES = 40;
const MAX_EXAMPLES = 8;
const MAX_NAMES = 300;

const NO_DIGEST: ReturnType<ImportOptions['createDigest']> = { update: () => undefined, hex: () => '' };

/** What is asked of a preview. */
export interface PreviewRequest {
  /** The file, or the part of `source` where that is an archive or a workbook, as the import report names it. */
  readonly file: string;
  /** The zone of the whole import; one in the rules outweighs it. */
  readonly zone: string | null;
  readonly rules: ReadingRules;
  /** A line to be shown with those around it, beside the first rows; null for none. */
  readonly atLine: number | null;
}

/**
 * Returns what the first rows of a file become under given rules: they are read by the code that reads whole files, so that what is
 * shown here is what an import makes. Files of the same case may still settle an open date order or an open clock.
 * Errors   bad content is `failure`; rejects with the signal's reason when aborted, and with the source's own error.
 */
export async function previewFile(source: ByteSource, request: PreviewRequest, pseudonymOf: ImportOptions['pseudonymOf'], signal?: AbortSignal): Promise<FilePreview> {
  let head: TableHead | null = null;
  let planned: Result<TablePlan> | null = null;
  let further: FurtherLines | null = null;
  const times = new Map<number, number>();
  const readings = await readFile(source, {
    zone: request.zone,
    mapping: { schema: 'lacuna-mapping/1', name: '', files: [{ match: { path: request.file }, reading: request.rules }] },
    keepIdentifiers: false,
    pseudonymOf,
    createDigest: () => NO_DIGEST,
    ...(signal === undefined ? {} : { signal }),
    head: {
      file: request.file,
      atLine: request.atLine,
      onHead: (given) => (head = given),
      onPlan: (given) => (planned = given),
      onFurther: (given) => (further = given),
      onTime: (line, ms) => times.set(line, ms),
    },
  });
  const reading = readings.find(({ report }) => report.file === request.file) ?? readings[0];
  if (reading === undefined) return notThere(request.file);
  return describe(reading, request.rules, { head, further }, planned, times, request.atLine);
}

function notThere(file: string): FilePreview {
  return {
    ...EMPTY, file,
    failure: { message: 'This part of the file is no longer there.', line: null, remedy: 'Choose the files again and import them anew.' },
  };
}

const EMPTY: FilePreview = {
  file: '', layout: '', kind: 'unknown', encoding: '', delimiter: '', decimalMark: null, dateOrder: null, timeForm: null, clock: null, zone: { name: 'UTC', basis: 'none' }, headings: [], columns: [], rows: [],
  rowsRead: 0, rowsAccepted: 0, rowsRejected: 0, isWhole: true, guesses: [], notes: [], unknownPhrases: [], failure: null,
};

/** The bytes that a preview was made of. */
interface Looked {
  readonly head: TableHead | null;
  readonly further: FurtherLines | null;
}

function describe(reading: FileReading, rules: ReadingRules, looked: Looked, planned: Result<TablePlan> | null, times: ReadonlyMap<number, number>, atLine: number | null): FilePreview {
  const { report } = reading;
  const { head } = looked;
  const plan = planned !== null && planned.ok ? planned.value : null;
  const cut = plan === null && planned !== null && head !== null ? cutHead(head.bytes, head.isWhole, head.cellEncoding, rules) : null;
  const columns = plan !== null ? planColumns(plan, reading, rules) : cut !== null ? cutColumns(cut, rules) : namesOf(report.columns, reading, rules);
  const base: FilePreview = {
    ...EMPTY,
    file: report.file,
    layout: report.layout,
    kind: report.kind,
    encoding: report.encoding,
    delimiter: report.delimiter !== '' ? report.delimiter : cut !== null && cut.delimiter > 0 ? String.fromCharCode(cut.delimiter) : '',
    decimalMark: plan?.decimal ?? null,
    dateOrder: plan?.time?.form === 'timestamp' && report.guesses.some((guess) => guess.field === 'dateOrder') ? plan.time.order : (rules.dateOrder ?? null),
    timeForm: plan?.time?.form ?? null,
    clock: reading.clock,
    zone: reading.zone,
    headings: plan?.headings ?? cut?.block?.headings ?? [],
    columns,
    rowsRead: report.rows_read,
    rowsAccepted: report.rows_accepted,
    rowsRejected: report.rows_rejected,
    isWhole: head?.isWhole ?? true,
    guesses: report.guesses,
    notes: report.notes,
    unknownPhrases: (report.unknown_phrases ?? []).map(({ text, kind, count, first_line }) => ({ text, kind, count, firstLine: first_line })),
    ...(report.withheld === undefined ? {} : { withheld: report.withheld }),
    failure: report.failure,
  };
  const sample = plan !== null ? planRows(plan, looked) : cut !== null ? cut.rows : textRows(head);
  return { ...base, rows: previewRows(sample, base, reading, plan, cut, times, atLine) };
}

/** Returns the rows of a planned table as text, headings and what stands before them included. */
function planRows(plan: TablePlan, { head, further }: Looked): readonly SampleRow[] {
  if (head === null) return [];
  const rows = sampleRows(head.bytes, head.isWhole, plan.delimiter, head.cellEncoding);
  if (further !== null) rows.push(...sampleRows(further.bytes, true, plan.delimiter, head.cellEncoding).map((row) => ({ ...row, line: row.line + further.line - 1 })));
  return plan.delimiter !== -1 ? rows : rows.map((row) => ({ line: row.line, cells: splitAligned(row.cells[0] ?? '', plan.spans) }));
}

/** Returns the lines of a file whose lines are its entries; none of one that is no text, or whose entries hold more than what is read of them (a patient's name). */
function textRows(head: TableHead | null): readonly SampleRow[] {
  if (head === null || head.bytes.includes(0)) return [];
  const text = new TextDecoder(head.cellEncoding).decode(head.bytes);
  if (/^\s*[{[<]/.test(text)) return [];
  return text
    .split(/\r\n|\n|\r/)
    .map((text, i) => ({ line: i + 1, cells: [text] }));
}

function planColumns(plan: TablePlan, reading: FileReading, rules: ReadingRules): PreviewColumn[] {
  const { report } = reading;
  const own = plan.columns.slice(0, MAX_COLUMNS).map((column): PreviewColumn => {
    const same = plan.columns.filter((other) => other.heading === column.heading);
    const channel = channelOf(reading, column.heading, plan.shape === 'wide', same.filter((other) => other.role === 'value').indexOf(column));
    const isPerson = column.role === 'identifier' || (column.role === 'case' && reading.areKeysMasked);
    const guess = guessOn(report.guesses, column.heading);
    const isStated = columnRule(column, rules) !== undefined;
    const isUnknown = column.role === 'value' && column.quantity === 'other';
    return {
      index: column.index,
      heading: column.heading,
      key: same.length > 1 ? `column ${column.index + 1}` : column.heading,
      role: column.role,
      readAs: report.columns[column.index]?.readAs ?? '',
      quantity: channel?.quantity ?? (column.role === 'value' ? column.quantity : null),
      site: channel === null ? (column.role === 'value' && column.quantity !== null && QUANTITY_FACTS[column.quantity].ofSensor ? column.site : null) : channel.site,
      sensor: channel?.sensor ?? column.sensor,
      unit: channel?.unit ?? column.unit,
      certainty: isStated ? 'stated' : (guess?.certainty ?? (isUnknown || column.role === 'ignore' || column.role === 'attribute' ? 'unknown' : 'known')),
      because: isStated ? '' : (guess?.because ?? column.because),
      examples: isPerson ? [] : examplesOf(column.profile.distinct),
      isWithheld: isPerson,
    };
  });
  return [...own, ...namesOf(report.columns.slice(plan.columns.length), reading, rules)];
}

/** Returns the columns of a table that was not understood. */
function cutColumns(cut: CutHead, rules: ReadingRules): PreviewColumn[] {
  if (cut.delimiter === -1) return [];
  const data = cut.rows.slice(cut.block?.firstDataIndex ?? 0);
  return Array.from({ length: Math.min(cut.width, MAX_COLUMNS) }, (_, index): PreviewColumn => {
    const named = cut.block?.headings[index] ?? '';
    const heading = named === '' ? `column ${index + 1}` : named;
    const stated = columnRule({ heading, index }, rules);
    const identity = identityOfHeading(named);
    const isPerson = stated?.identifier === 'leave out' || (stated?.identifier !== 'keep' && identity !== null && identity !== 'age');
    return {
      index,
      heading,
      key: named !== '' && (cut.block?.headings.filter((other) => other === named).length ?? 0) > 1 ? `column ${index + 1}` : heading,
      role: '',
      readAs: 'not understood yet',
      quantity: stated?.quantity ?? null,
      site: stated?.site ?? null,
      sensor: stated?.sensor ?? '',
      unit: stated?.unit ?? cut.block?.units[index] ?? '',
      certainty: stated === undefined ? 'unknown' : 'stated',
      because: '',
      examples: isPerson ? [] : examplesOf(profileColumn(data, index).distinct),
      isWithheld: isPerson,
    };
  });
}

/** Returns the names of measurements that stand in rows instead of headings, and those of files without columns. */
function namesOf(columns: readonly ColumnReport[], reading: FileReading, rules: ReadingRules): PreviewColumn[] {
  return columns.slice(0, MAX_NAMES).map((column): PreviewColumn => {
    const channel = channelOf(reading, column.heading, false);
    const guess = guessOn(reading.report.guesses, column.heading);
    const isStated = columnRule({ heading: column.heading, index: -2 }, rules) !== undefined;
    const quantity = channel?.quantity ?? QUANTITIES.find((name) => name === column.quantity) ?? null;
    return {
      index: -1,
      heading: column.heading,
      key: column.heading,
      role: 'name',
      readAs: column.readAs,
      quantity,
      site: channel?.site ?? SITES.find((name) => name === column.site) ?? null,
      sensor: channel?.sensor ?? '',
      unit: channel?.unit ?? '',
      certainty: isStated ? 'stated' : (guess?.certainty ?? (quantity === 'other' || column.readAs.startsWith('not used') ? 'unknown' : 'known')),
      because: isStated ? '' : (guess?.because ?? ''),
      examples: channel === null ? [] : [...channel.value].filter((value) => !Number.isNaN(value)).slice(0, MAX_EXAMPLES).map(String),
      isWithheld: false,
    };
  });
}

function guessOn(guesses: readonly Guess[], heading: string): Guess | undefined {
  return guesses.find((guess) => guess.field === `columns.${heading}`);
}

/** Returns a channel of a heading or name; of several columns with one heading that of number `nth`. */
function channelOf(reading: FileReading, label: string, isWide: boolean, nth = 0): RawChannel | null {
  for (const { channels } of reading.cases) {
    const found = channels.filter((channel) => channel.label === label && (!isWide || channel.layout === 'wide'));
    const own = found[Math.max(0, nth)] ?? found[0];
    if (own !== undefined) return own;
  }
  return null;
}

/** Returns the most frequent texts of a column; of numbers half as many, so that words among them are seen however rare they are. */
function examplesOf(distinct: ReadonlyMap<string, number>): string[] {
  const sorted = [...distinct].sort((a, b) => b[1] - a[1]).map(([text]) => text);
  const words = sorted.filter((text) => kindOfCell(text) !== 'number');
  const numbers = sorted.filter((text) => kindOfCell(text) === 'number').slice(0, words.length === 0 ? MAX_EXAMPLES : MAX_EXAMPLES / 2);
  return [...numbers, ...words].slice(0, MAX_EXAMPLES).map(cutText);
}

function cutText(text: string): string {
  return text.length > MAX_CELL_LENGTH ? `${text.slice(0, MAX_CELL_LENGTH)}…` : text;
}

/** Returns the lines of which something was read, and those that a person may want to see: rejected, flagged, a filler, words not known. */
function linesOf(reading: FileReading): { readonly used: ReadonlySet<number>; readonly telling: ReadonlySet<number> } {
  const used = new Set<number>();
  const telling = new Set<number>();
  for (const { line } of reading.rejectedRows) telling.add(line);
  for (const { channels, events, drugs } of reading.cases) {
    for (const { line, mark } of channels) {
      for (let i = 0; i < line.length; i += 1) {
        used.add(line[i] ?? 0);
        if (((mark[i] ?? 0) & (MARK.flagged | MARK.sentinel)) !== 0) telling.add(line[i] ?? 0);
      }
    }
    for (const { line, inn, flags } of drugs) (inn === null || flags.length > 0 ? telling : used).add(line);
    for (const { line, kind } of events) (kind === 'note' ? telling : used).add(line);
  }
  for (const line of telling) used.add(line);
  return { used, telling };
}

/** Returns what the wanted lines of a file became. */
function outcomesOf(reading: FileReading, plan: TablePlan | null, wanted: ReadonlySet<number>): ReadonlyMap<number, PreviewOutcome[]> {
  const byLine = new Map<number, PreviewOutcome[]>();
  const add = (line: number, outcome: PreviewOutcome): void => {
    const own = byLine.get(line);
    if (own === undefined) byLine.set(line, [outcome]);
    else own.push(outcome);
  };
  for (const { line, reason } of reading.rejectedRows) if (wanted.has(line)) add(line, { kind: 'rejected', reason });
  const columnsOf = (label: string): readonly number[] => (plan?.shape === 'wide' ? plan.columns.filter((column) => column.heading === label && column.role === 'value').map((column) => column.index) : []);
  for (const { channels, events, drugs } of reading.cases) {
    const nSame = new Map<string, number>();
    for (const channel of channels) {
      const { quantity, site, sensor, unit } = channel;
      // Of columns with one heading the channels come in their order.
      const nth = nSame.get(channel.label) ?? 0;
      nSame.set(channel.label, nth + 1);
      const columns = columnsOf(channel.label);
      const column = columns[nth % Math.max(1, columns.length)] ?? -1;
      for (let i = 0; i < channel.line.length; i += 1) {
        const line = channel.line[i] ?? 0;
        if (!wanted.has(line)) continue;
        const value = channel.value[i] ?? NaN;
        const mark = channel.mark[i] ?? 0;
        const isFlagged = (mark & MARK.flagged) !== 0;
        if (Number.isNaN(value)) add(line, { kind: 'missing', column, quantity, site, sensor, why: (mark & MARK.sentinel) !== 0 ? 'filler' : 'empty', isFlagged });
        else add(line, { kind: 'value', column, quantity, site, sensor, unit, value, isFlagged, isConverted: (mark & MARK.converted) !== 0 });
      }
    }
    for (const { line, inn, isVasopressor, form, amount, unit, route, flags, text } of drugs) {
      if (wanted.has(line)) add(line, { kind: 'drug', inn, isVasopressor, form, amount, unit, route, flags, text: cutText(text) });
    }
    for (const { line, kind, term, phase, site, text } of events) {
      if (wanted.has(line)) add(line, { kind: 'event', event: kind, term, phase, site, text: cutText(text) });
    }
  }
  return byLine;
}

/** Returns the lines to show: the first ones, then further ones that have something to look at, and those around `atLine`. */
function chooseLines(sample: readonly SampleRow[], reading: FileReading, isTable: boolean, atLine: number | null): SampleRow[] {
  const { used, telling } = linesOf(reading);
  const known = new Set(sample.map(({ line }) => line));
  const textOf = new Map(reading.rejectedRows.map((rejected) => [rejected.line, rejected.row]));
  // Lines that could not be cut into cells, and those of files that are no text.
  const others = [...used].filter((line) => !known.has(line)).map((line) => ({ line, cells: [textOf.get(line) ?? ''] }));
  const lines = [...(isTable ? sample : sample.filter(({ line }) => used.has(line))), ...others].sort((a, b) => a.line - b.line);
  const share = Math.min(1, Math.max(LEAST_SHARE, FIRST_CELLS / (FIRST_ROWS * Math.max(1, ...lines.slice(0, FIRST_ROWS).map(({ cells }) => cells.length)))));
  let nTelling = 0;
  return lines.filter(({ line }, i) => {
    if (i < FIRST_ROWS * share || (atLine !== null && line >= atLine - LINES_BEFORE && line <= atLine + LINES_AFTER)) return true;
    if (!telling.has(line) || nTelling >= TELLING_ROWS * share) return false;
    nTelling += 1;
    return true;
  });
}

function previewRows(sample: readonly SampleRow[], preview: FilePreview, reading: FileReading, plan: TablePlan | null, cut: CutHead | null, times: ReadonlyMap<number, number>, atLine: number | null): PreviewRow[] {
  const isTable = plan !== null || cut !== null;
  const lines = chooseLines(sample, reading, isTable, atLine);
  const wanted = new Set(lines.map(({ line }) => line));
  const byLine = outcomesOf(reading, plan, wanted);
  const timesOfLines = plan === null ? entryTimes(reading, wanted) : times;
  const headingLines = new Set(plan?.headingLines ?? cut?.block?.headingLines ?? []);
  const unitLine = plan?.unitLine ?? cut?.block?.unitLine ?? null;
  const firstDataLine = plan?.firstDataLine ?? (cut === null || cut.block === null ? 1 : (cut.rows[cut.block.firstDataIndex]?.line ?? 1));
  const withheld = new Set(preview.columns.flatMap((column) => (column.isWithheld ? [column.index] : [])));
  return lines.map(({ line, cells }): PreviewRow => {
    const part = headingLines.has(line) ? 'headings' : line === unitLine ? 'units' : isTable && line < firstDataLine ? 'preamble' : 'row';
    const time = timesOfLines.get(line);
    const own = part === 'row' ? (byLine.get(line) ?? [unusedRow(plan, cells, preview)]) : [];
    return {
      line,
      part,
      cells: cells.slice(0, MAX_COLUMNS).map((cell, i) => (withheld.has(i) && part === 'row' && cell.trim() !== '' ? null : cutText(cell))),
      timeMs: time === undefined || Number.isNaN(time) ? null : time + reading.clockOffsetMs,
      becomes: own.length <= MAX_OUTCOMES ? own : [...own.slice(0, MAX_OUTCOMES), { kind: 'nothing', why: `and ${own.length - MAX_OUTCOMES} more from this line` }],
    };
  });
}

/** Says of an accepted row of which nothing is left why that is so. */
function unusedRow(plan: TablePlan | null, cells: readonly string[], preview: FilePreview): PreviewOutcome {
  if (plan === null) return { kind: 'nothing', why: 'nothing yet' };
  if (plan.shape === 'case list') return { kind: 'facts' };
  const name = plan.columns.find((column) => column.role === 'name');
  if (plan.shape === 'long' && name !== undefined) {
    const named = (cells[name.index] ?? '').replace(/\s+/g, ' ').trim();
    const readAs = preview.columns.find((column) => column.index === -1 && column.heading === named)?.readAs ?? '';
    if (readAs !== '' && (readAs.startsWith('not used') || readAs === 'status of the sensor')) return { kind: 'nothing', why: readAs };
  }
  return { kind: 'nothing', why: 'says nothing that another row of the same instant does not say, or nothing that is kept' };
}

/** Returns the times of entries of files whose rows have no time column. */
function entryTimes(reading: FileReading, wanted: ReadonlySet<number>): Map<number, number> {
  const times = new Map<number, number>();
  const take = (line: number, ms: number): void => {
    if (wanted.has(line) && !times.has(line)) times.set(line, ms);
  };
  for (const { channels, events, drugs } of reading.cases) {
    for (const { line, tMs } of channels) for (let i = 0; i < line.length; i += 1) take(line[i] ?? 0, tMs[i] ?? NaN);
    for (const { line, tMs } of [...events, ...drugs]) take(line, tMs);
  }
  return times;
}
