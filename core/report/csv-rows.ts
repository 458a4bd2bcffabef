import type { ColumnType } from './column.ts';
import type { Cell } from './csv.ts';

/**
 * Reads our own tables back, record by record, in whatever pieces the text comes: RFC 4180 as `csv.ts` writes it, each record ended by CRLF.
 * Errors  throws for a text that `csv.ts` does not write: our bug, or a file that somebody changed.
 */
export class CsvRows {
  #rest = '';

  /** Returns the records that are whole once `text` has come too, as raw cells. */
  *push(text: string): Generator<string[]> {
    this.#rest += text;
    let start = 0;
    let cells: string[] = [];
    let at = 0;
    while (at < this.#rest.length) {
      const read = readCell(this.#rest, at);
      if (read === null) break;
      cells.push(read.text);
      at = read.next;
      if (!read.isLast) continue;
      yield cells;
      cells = [];
      start = at;
    }
    this.#rest = this.#rest.slice(start);
  }

  /** What came of a record that is not whole yet. */
  get rest(): string {
    return this.#rest;
  }

  /** Ends the text. Errors throws where a record is not whole. */
  end(): void {
    if (this.#rest !== '') throw new Error('the table ends within a record');
  }
}

/** Returns the cell that begins at a place, and where the next one begins; null where its end has not come yet. */
function readCell(text: string, at: number): { readonly text: string; readonly next: number; readonly isLast: boolean } | null {
  let end = at;
  let cell: string;
  if (text[at] === '"') {
    end = at + 1;
    for (;;) {
      end = text.indexOf('"', end);
      if (end < 0 || end + 1 >= text.length) return null;
      if (text[end + 1] !== '"') break;
      end += 2;
    }
    cell = text.slice(at + 1, end).replaceAll('""', '"');
    end += 1;
  } else {
    while (end < text.length && text[end] !== ',' && text[end] !== '\r') end++;
    if (end >= text.length) return null;
    cell = text.slice(at, end);
  }
  if (text[end] === ',') return { text: cell, next: end + 1, isLast: false };
  if (end + 1 >= text.length) return null;
  if (text[end] === '\r' && text[end + 1] === '\n') return { text: cell, next: end + 2, isLast: true };
  throw new Error(`a cell of the table is followed by ${JSON.stringify(text.slice(end, end + 2))}`);
}

/** Text before which `csv.ts` put one apostrophe. */
const GUARDED = /^'+[=+\-@\t\r]/u;

/**
 * Returns what a raw cell holds.
 * Missing '' is null.
 * Errors  throws for a number, or a yes or no, that is none.
 */
export function cellOf(raw: string, type: ColumnType): Cell {
  if (raw === '') return null;
  if (type === 'text') return GUARDED.test(raw) ? raw.slice(1) : raw;
  if (type === 'number') {
    const value = Number(raw);
    if (Number.isNaN(value)) throw new Error(`${JSON.stringify(raw)} is no number`);
    return value;
  }
  if (raw !== 'yes' && raw !== 'no') throw new Error(`${JSON.stringify(raw)} is neither yes nor no`);
  return raw === 'yes';
}
