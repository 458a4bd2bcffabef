/** What one cell of an output table holds. null: not defined or not known, written as an empty cell, never as 0. */
export type Cell = string | number | boolean | null;

/**
 * Yields a table as RFC 4180 text, one record at a time, each ended by CRLF, the heading record first.
 * Missing null and NaN give an empty cell.
 * Source  RFC 4180 section 2; the apostrophe: docs/decisions/0020-output-tables.md.
 */
export function* csvText(headings: readonly string[], rows: Iterable<readonly Cell[]>): Generator<string> {
  yield csvRecord(headings);
  for (const row of rows) yield csvRecord(row);
}

/** Returns one record of such a text. */
export function csvRecord(cells: readonly Cell[]): string {
  return `${cells.map(cellText).join(',')}\r\n`;
}

function cellText(cell: Cell): string {
  if (cell === null) return '';
  if (typeof cell === 'number') return Number.isNaN(cell) ? '' : String(cell === 0 ? 0 : cell); // no "-0"
  if (typeof cell === 'boolean') return cell ? 'yes' : 'no';
  const text = guarded(cell);
  return /[",\r\n]/u.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

/** Text that a spreadsheet would take for a formula, with any apostrophes of its own before it. */
const FORMULA_START = /^'*[=+\-@\t\r]/u;
/** Signed numbers and rows of them: nothing in them can call a function. */
const NUMBERS_ONLY = /^[+-][\d.,;: ]*$/u;

/** Returns `text` with one apostrophe before it where a spreadsheet would run it; taking one apostrophe off gives it back. */
function guarded(text: string): string {
  return FORMULA_START.test(text) && !NUMBERS_ONLY.test(text) ? `'${text}` : text;
}
