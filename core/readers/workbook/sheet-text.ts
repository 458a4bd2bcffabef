import { BrokenContainer } from '../archive/broken-container.ts';
import { dateText } from './date-serial.ts';
import { isTrue, MAX_TEXT_CHARS, unescaped, type WorkbookParts } from './workbook-parts.ts';
import { SAVE_ANEW, XmlReader, type XmlSink } from './xml-reader.ts';

/** Source: the limits of the format as its makers publish them, from memory. */
const MAX_ROWS = 1_048_576;
const MAX_COLUMNS = 16_384;
/** Rows are filled up with empty cells to the width of those before them, so that they are as even as those of a text; not beyond this. */
const MAX_FILL = 512;

/** What was met in a sheet besides its values, for the notes of its report. */
export interface SheetFacts {
  cells: number;
  formulas: number;
  emptyFormulas: number;
  firstEmptyFormula: number;
  errors: number;
  firstError: number;
  percent: number;
  readonly percentColumns: Set<string>;
  hiddenRows: number;
  /** Cells whose line breaks or tabs were taken as blanks. */
  breaks: number;
  dates: number;
  bytes: number;
  /** The sheet was read to its end. */
  isWhole: boolean;
}

function noFacts(): SheetFacts {
  return { cells: 0, formulas: 0, emptyFormulas: 0, firstEmptyFormula: 0, errors: 0, firstError: 0, percent: 0, percentColumns: new Set(), hiddenRows: 0, breaks: 0, dates: 0, bytes: 0, isWhole: false };
}

/**
 * Turns the cells of a sheet into tab-separated text in UTF-8 whose line numbers are the sheet's row numbers.
 * Numbers are written with a decimal point, dates year first, formulas as the value stored with them, percent as shown (0.97 as 97).
 * Source  ECMA-376 part 1, sections 18.3.1.4 (c), 18.3.1.73 (row), 18.18.11 (cell types).
 */
export class SheetText implements XmlSink {
  readonly facts = noFacts();
  private readonly xml: XmlReader;
  private readonly encoder = new TextEncoder();
  private out: string[] = [];
  private row = 0;
  /** The row so far, and how many cells it has. */
  private line = '';
  private filled = 0;
  private width = 0;
  private column = -1;
  private type = 'n';
  private style = 0;
  private value = '';
  private hasFormula = false;
  private hasValue = false;
  private gathers = false;
  private phonetic = 0;
  private isInData = false;
  private isInRow = false;
  private isInCell = false;

  constructor(private readonly book: Pick<WorkbookParts, 'is1904' | 'strings' | 'kinds'>) {
    this.xml = new XmlReader('The sheet', this);
  }

  /** Returns the text of the rows that are complete after these bytes, stretch by stretch. Errors: throws BrokenContainer with the row it had come to. */
  *push(bytes: Uint8Array): Generator<Uint8Array> {
    yield* this.rowsOf(this.xml.push(bytes));
  }

  /** Returns what is left after the last byte. */
  *finish(): Generator<Uint8Array> {
    yield* this.rowsOf(this.xml.finish());
    this.facts.isWhole = true;
  }

  private *rowsOf(steps: Generator<undefined>): Generator<Uint8Array> {
    for (let isDone = false; !isDone; ) {
      try {
        isDone = steps.next().done === true;
      } catch (error) {
        if (error instanceof BrokenContainer) throw new BrokenContainer(error.message, error.remedy, Math.max(1, this.row));
        throw error;
      }
      if (this.out.length > 0) yield this.taken();
    }
  }

  private taken(): Uint8Array {
    const bytes = this.encoder.encode(this.out.join(''));
    this.out = [];
    this.facts.bytes += bytes.length;
    return bytes;
  }

  open(name: string, attributes: Readonly<Record<string, string>>): void {
    if (name === 'sheetData') this.isInData = true;
    if (!this.isInData) return;
    switch (name) {
      case 'row':
        this.startRow(attributes);
        break;
      case 'c':
        this.startCell(attributes);
        break;
      case 'f':
        this.hasFormula = true;
        break;
      case 'v':
        this.gathers = true;
        this.hasValue = true;
        break;
      case 't':
        this.gathers = this.phonetic === 0;
        this.hasValue = true;
        break;
      case 'rPh':
        this.phonetic += 1;
        break;
      default:
        break;
    }
  }

  text(text: string): void {
    if (!this.gathers) return;
    this.value += text;
    if (this.value.length > MAX_TEXT_CHARS) throw this.damaged('the text of a cell is too long for one');
  }

  close(name: string): void {
    if (!this.isInData) return;
    switch (name) {
      case 'sheetData':
        this.isInData = false;
        break;
      case 'row':
        this.endRow();
        break;
      case 'c':
        this.endCell();
        break;
      case 'v':
      case 't':
        this.gathers = false;
        break;
      case 'rPh':
        this.phonetic -= 1;
        break;
      default:
        break;
    }
  }

  private startRow(attributes: Readonly<Record<string, string>>): void {
    const stated = attributes['r'];
    const row = stated === undefined ? this.row + 1 : Number(stated);
    if (this.isInRow) throw this.damaged('one of its rows stands inside another');
    if (!Number.isInteger(row) || row <= this.row || row > MAX_ROWS) throw this.damaged('its rows are not in order');
    if (row - this.row > 1) this.out.push('\n'.repeat(row - this.row - 1));
    this.row = row;
    this.isInRow = true;
    this.line = '';
    this.filled = 0;
    this.column = -1;
    if (isTrue(attributes['hidden'])) this.facts.hiddenRows += 1;
  }

  private startCell(attributes: Readonly<Record<string, string>>): void {
    const reference = attributes['r'];
    const column = reference === undefined ? this.column + 1 : columnOf(reference);
    if (!this.isInRow || this.isInCell) throw this.damaged('one of its cells stands in no row');
    if (column <= this.column || column >= MAX_COLUMNS) throw this.damaged('the cells of a row are not in order');
    this.column = column;
    this.isInCell = true;
    this.type = attributes['t'] ?? 'n';
    this.style = Number(attributes['s'] ?? 0);
    this.value = '';
    this.hasFormula = false;
    this.hasValue = false;
  }

  private endCell(): void {
    const { facts } = this;
    this.isInCell = false;
    if (this.hasFormula) {
      facts.formulas += 1;
      if (!this.hasValue || (this.value === '' && this.type !== 'str')) {
        facts.emptyFormulas += 1;
        if (facts.firstEmptyFormula === 0) facts.firstEmptyFormula = this.row;
      }
    }
    const text = this.cellText();
    if (text === '') return;
    facts.cells += 1;
    this.line += '\t'.repeat(this.filled === 0 ? this.column : this.column - this.filled + 1) + text;
    this.filled = this.column + 1;
  }

  /** Returns the text of the cell just read. */
  private cellText(): string {
    const { facts, value } = this;
    switch (this.type) {
      case 's': {
        if (value === '') return '';
        const text = this.book.strings[Number(value)];
        if (text === undefined) throw this.damaged('a cell points to a text that is not there');
        return this.oneLine(text);
      }
      case 'str':
      case 'inlineStr':
        return this.oneLine(unescaped(value));
      case 'b':
        return value === '' ? '' : isTrue(value.trim()) ? 'TRUE' : 'FALSE';
      case 'e':
        facts.errors += 1;
        if (facts.firstError === 0) facts.firstError = this.row;
        return this.oneLine(value);
      case 'd':
        return this.oneLine(value);
      default:
        return this.numberText(value.trim());
    }
  }

  private numberText(text: string): string {
    const number = text === '' ? NaN : Number(text);
    if (!Number.isFinite(number)) return this.oneLine(text);
    const kind = this.book.kinds[this.style] ?? 'number';
    if (kind === 'number') return String(number);
    if (kind === 'percent') {
      this.facts.percent += 1;
      this.facts.percentColumns.add(columnLetters(this.column));
      // Fifteen digits are what a spreadsheet keeps of a number; the product of two doubles may show more.
      return String(Number((number * 100).toPrecision(15)));
    }
    const date = dateText(number, kind, this.book.is1904);
    if (date === null) return String(number);
    this.facts.dates += 1;
    return date;
  }

  /** Returns text as one cell of a line: no breaks, and a quote mark at its start doubled within quotes. */
  private oneLine(text: string): string {
    let line = text;
    if (/[\t\r\n]/.test(text)) {
      this.facts.breaks += 1;
      line = text.replace(/[\t\r\n]+/g, ' ');
    }
    return line.startsWith('"') ? `"${line.replaceAll('"', '""')}"` : line;
  }

  private endRow(): void {
    this.isInRow = false;
    if (this.filled > 0) {
      this.width = Math.max(this.width, Math.min(this.filled, MAX_FILL));
      this.line += '\t'.repeat(Math.max(0, this.width - this.filled));
    }
    this.out.push(this.line, '\n');
  }

  private damaged(what: string): BrokenContainer {
    return new BrokenContainer(`The sheet is damaged: ${what}.`, SAVE_ANEW);
  }
}

/** Returns the column of a reference such as `AB12`, from 0; `MAX_COLUMNS` when it is none. */
function columnOf(reference: string): number {
  let column = 0;
  for (let i = 0; i < reference.length && i < 4; i += 1) {
    const code = reference.charCodeAt(i) & ~32;
    if (code < 65 || code > 90) break;
    column = column * 26 + (code - 64);
  }
  return column === 0 ? MAX_COLUMNS : column - 1;
}

/** Returns the letters of a column, from 0: A, B … AA. */
function columnLetters(column: number): string {
  let letters = '';
  for (let rest = column; rest >= 0; rest = Math.floor(rest / 26) - 1) letters = String.fromCharCode(65 + (rest % 26)) + letters;
  return letters;
}
