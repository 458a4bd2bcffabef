import type { DecimalMark } from '../model/mapping.ts';
import { splitDate, type DateParts } from '../time/parse-date.ts';
import { isFillerWord, isStatusWord, saysSensorLost } from './cell-words.ts';
import { CellDecoder } from './decode-text.ts';
import { RowSplitter, type RowView } from './row-splitter.ts';
import type { CellStatement } from './stated-words.ts';

/** One record of the first part of a file, as text. */
export interface SampleRow {
  readonly line: number;
  readonly cells: readonly string[];
}

/** How many cells are looked at per column to find out what it holds. */
const PROFILE_ROWS = 1200;
const MAX_DISTINCT = 400;

export type CellKind = 'empty' | 'number' | 'filler' | 'stamp' | 'date' | 'clock' | 'text';

const NUMBER = /^[+-\u2212]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d+)?$/i;
const GROUPED = /^[+-]?\d{1,3}(?:[.,'’ \u00a0\u202f]\d{3})+(?:[.,]\d+)?$/;
const MARKED = /^[*<>]?\s*[+-]?\d+(?:[.,]\d+)?\s*(?:[*?!#†+]+|[HL]|%|bpm|\/min|mmhg)$/i;
const CLOCK = /^\d{1,4}:\d{2}(?::\d{2}(?:[.,_:]\d+)?)?\s*(?:[ap]\.?(?:m\.?)?)?\s*(?:z|utc|gmt|[+-]\d{2}:?(?:\d{2})?)?$/i;
const STAMP = /^(.*?\d)(?:[T\s,_]+)(\d{1,2}(?::|h)\d{2}.*)$/;
const DOTTED_STAMP = /^(.*\d)[T ,]+\d{1,2}\.\d{2}(?:\.\d{2})?$/;
const COMPACT = /^(?:19|2\d)\d{6}[T _-]\d{4}(?:\d{2})?(?:\.\d+)?(?:z|[+-]\d{2}:?\d{2})?$/i;

/** Returns what kind of thing a cell holds, whatever the order of its date. */
export function kindOfCell(raw: string): CellKind {
  const text = raw.trim();
  if (text === '') return 'empty';
  const first = text.charCodeAt(0);
  const startsLikeNumber = first < 58 || first === 0x2212;
  if (startsLikeNumber && NUMBER.test(text)) return 'number';
  if (text.length > 48) return 'text';
  if (!/\d/.test(text)) return isFillerWord(text) ? 'filler' : 'text';
  if (text.includes(':') || /\d[ T]\d{1,2}[.h]\d{2}/.test(text) || COMPACT.test(text)) {
    if (CLOCK.test(text)) return 'clock';
    if (COMPACT.test(text)) return 'stamp';
    const stamp = STAMP.exec(text);
    const date = stamp?.[1];
    const clock = stamp?.[2];
    if (date !== undefined && clock !== undefined && splitDate(date.trim()) !== null && (CLOCK.test(clock.trim()) || /^\d{1,2}h\d{2}$/.test(clock))) return 'stamp';
    const dotted = DOTTED_STAMP.exec(text)?.[1];
    if (dotted !== undefined && splitDate(dotted.trim()) !== null) return 'stamp';
    return 'text';
  }
  if (GROUPED.test(text) || MARKED.test(text)) return 'number';
  if (splitDate(text) !== null) return 'date';
  return isFillerWord(text) ? 'filler' : 'text';
}

/** Returns the date in a stamp or date cell as written, without a clock time. */
export function dateTextOf(raw: string): string {
  const text = raw.trim();
  return (STAMP.exec(text)?.[1] ?? DOTTED_STAMP.exec(text)?.[1] ?? text).trim();
}

/** Returns the parts of the date in a stamp or date cell, null when it has none (or is written without separators). */
export function datePartsOf(raw: string): DateParts | null {
  return splitDate(dateTextOf(raw));
}

/** What the first rows of a column hold. */
export interface ColumnProfile {
  readonly nRows: number;
  readonly nEmpty: number;
  readonly nNumber: number;
  readonly nFiller: number;
  readonly nStamp: number;
  readonly nDate: number;
  readonly nClock: number;
  readonly nText: number;
  /** Text cells made of known status letters or words, and those that say that the sensor was lost. */
  readonly nStatus: number;
  /** Different non-empty texts with their counts, at most `MAX_DISTINCT`. */
  readonly distinct: ReadonlyMap<string, number>;
  readonly hasMoreDistinct: boolean;
  /** Numbers in order, decimal comma or point taken alike. */
  readonly numbers: readonly number[];
  /** Non-empty cells in order, at most 400. */
  readonly texts: readonly string[];
}

/** Returns the profile of column `index` over sample rows; `said` knows what a person stated about its cells. */
export function profileColumn(rows: readonly SampleRow[], index: number, said: CellStatement | null = null): ColumnProfile {
  const counts = { empty: 0, number: 0, filler: 0, stamp: 0, date: 0, clock: 0, text: 0 };
  const distinct = new Map<string, number>();
  let hasMoreDistinct = false;
  let nStatus = 0;
  const numbers: number[] = [];
  const texts: string[] = [];
  const step = Math.max(1, Math.floor(rows.length / PROFILE_ROWS));
  let nRows = 0;
  for (let r = 0; r < rows.length; r += step > 1 && r < 300 ? 1 : step) {
    const cell = rows[r]?.cells[index] ?? '';
    const text = cell.trim();
    nRows += 1;
    const kind = text !== '' && said?.takesText(text) === true ? 'filler' : kindOfCell(text);
    counts[kind] += 1;
    if (kind === 'empty') continue;
    if (kind === 'number') numbers.push(Number(text.replace('\u2212', '-').replace(/[^\d.,eE+-]/g, '').replace(',', '.')));
    if (kind === 'text' && (isStatusWord(text) || saysSensorLost(text))) nStatus += 1;
    const seen = distinct.get(text);
    if (seen !== undefined) distinct.set(text, seen + 1);
    else if (distinct.size < MAX_DISTINCT) distinct.set(text, 1);
    else hasMoreDistinct = true;
    if (texts.length < 400) texts.push(text);
  }
  return {
    nRows,
    nEmpty: counts.empty,
    nNumber: counts.number,
    nFiller: counts.filler,
    nStamp: counts.stamp,
    nDate: counts.date,
    nClock: counts.clock,
    nText: counts.text,
    nStatus,
    distinct,
    hasMoreDistinct,
    numbers,
    texts,
  };
}

/** Returns the records of the first bytes of a file cut with one delimiter (-1: whole lines), a cut last line left out. */
export function sampleRows(head: Uint8Array, isWhole: boolean, delimiter: number, encoding: 'utf-8' | 'windows-1252', maxRows = 4000): SampleRow[] {
  const rows: SampleRow[] = [];
  const decoder = new CellDecoder(encoding);
  const splitter = new RowSplitter(
    { delimiter, quotes: delimiter !== -1, way: 'scan' },
    {
      row(row: RowView): void {
        if (rows.length >= maxRows) return;
        const cells: string[] = [];
        for (let i = 0; i < row.n; i += 1) cells.push(decoder.decode(row.buf, row.starts[i] ?? 0, row.ends[i] ?? 0));
        rows.push({ line: row.line, cells });
      },
      broken(): void {
        // Broken lines are reported when the whole file is read; the sample only looks at good ones.
      },
      blank(): void {
        // Blank lines carry no evidence.
      },
    },
  );
  splitter.push(head);
  if (isWhole) splitter.finish();
  return rows;
}

export interface DelimiterChoice {
  /** Byte between cells, -1 when no delimiter makes a table. */
  readonly delimiter: number;
  readonly rows: readonly SampleRow[];
  /** Most frequent number of cells. */
  readonly width: number;
  readonly score: number;
}

const CANDIDATES: readonly number[] = [44, 59, 9, 124];

/**
 * Returns the most frequent number of cells among sample rows (the larger of two equally frequent), 0 without rows.
 * Lines of one cell are titles and notes where at least two rows have more: a list of one entry may have more title than table.
 */
export function modalWidth(rows: readonly SampleRow[]): number {
  const cut = rows.filter((row) => row.cells.length > 1);
  const counts = new Map<number, number>();
  for (const row of cut.length >= 2 ? cut : rows) counts.set(row.cells.length, (counts.get(row.cells.length) ?? 0) + 1);
  let best = 0;
  let bestCount = 0;
  for (const [width, count] of counts) {
    if (count > bestCount || (count === bestCount && width > best)) {
      best = width;
      bestCount = count;
    }
  }
  return best;
}

/**
 * Returns the delimiter that cuts the first rows into the most even table, judged by equal numbers of cells and by cells
 * that hold no other delimiter. (Papa Parse's own guess takes a `;` table with decimal commas for a comma table.)
 */
export function chooseDelimiter(head: Uint8Array, isWhole: boolean, encoding: 'utf-8' | 'windows-1252'): DelimiterChoice {
  let best: DelimiterChoice = { delimiter: -1, rows: [], width: 0, score: 0 };
  const evidence = head.length > 65_536 ? head.subarray(0, 65_536) : head;
  const isEvidenceWhole = isWhole && evidence.length === head.length;
  for (const delimiter of CANDIDATES) {
    if (!evidence.includes(delimiter)) continue;
    const rows = sampleRows(evidence, isEvidenceWhole, delimiter, encoding, 500);
    const width = modalWidth(rows);
    if (rows.length === 0 || width < 2) continue;
    let even = 0;
    let clean = 0;
    let cells = 0;
    for (const row of rows) {
      if (row.cells.length === width) even += 1;
      for (const cell of row.cells) {
        if (cell.trim() === '') continue;
        cells += 1;
        const others = delimiter === 44 ? /[;\t|]/ : delimiter === 59 ? /[\t|]/ : /[;|\t]/;
        if (!others.test(cell)) clean += 1;
      }
    }
    const evenShare = even / rows.length;
    const cleanShare = cells === 0 ? 0 : clean / cells;
    const score = evenShare * cleanShare * cleanShare * (1 + Math.log2(Math.min(width, 32)) / 20);
    if (score > best.score) best = { delimiter, rows, width, score };
  }
  if (best.delimiter === -1) return best;
  const rows = sampleRows(head, isWhole, best.delimiter, encoding);
  return { ...best, rows, width: modalWidth(rows) };
}

export interface DecimalChoice {
  readonly mark: DecimalMark;
  readonly nPoint: number;
  readonly nComma: number;
}

/** Returns the decimal mark that the numeric cells use. Cells such as `1,234` count for neither unless all are like that. */
export function chooseDecimal(rows: readonly SampleRow[], delimiter: number): DecimalChoice {
  let nPoint = 0;
  let nComma = 0;
  let nUnclear = 0;
  for (const row of rows.slice(0, 1500)) {
    for (const raw of row.cells) {
      const text = raw.trim();
      if (text === '' || text.length > 24) continue;
      if (/^[+-]?\d+\.\d+\*?$/.test(text)) nPoint += /^[+-]?[1-9]\d{0,2}\.\d{3}$/.test(text) ? 0.01 : 1;
      else if (/^[+-]?\d+,\d+\*?$/.test(text)) {
        if (/^[+-]?[1-9]\d{0,2},\d{3}$/.test(text)) nUnclear += 1;
        else nComma += 1;
      } else if (/^[+-]?\d{1,3}(?:\.\d{3})+,\d+$/.test(text)) nComma += 1;
      else if (/^[+-]?\d{1,3}(?:,\d{3})+\.\d+$/.test(text)) nPoint += 1;
    }
  }
  if (nComma > nPoint) return { mark: ',', nPoint, nComma };
  if (nPoint === 0 && nComma === 0 && nUnclear > 0 && delimiter !== 44) return { mark: ',', nPoint, nComma: nUnclear };
  return { mark: '.', nPoint, nComma };
}
