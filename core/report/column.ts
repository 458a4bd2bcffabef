import type { Cell } from './csv.ts';
import { csvRecord } from './csv.ts';

/**
 * One column of an output table: what is written and what the data dictionary says about it come from here,
 * so neither can be without the other.
 */
export interface Column<Row> {
  readonly name: string;
  readonly meaning: string;
  /** '' for text. */
  readonly unit: string;
  /** How it is computed, or where it comes from. */
  readonly how: string;
  readonly cell: (row: Row) => Cell;
}

/** Returns `rows` as CSV text without the headings. */
export function rowsText<Row>(columns: readonly Column<Row>[], rows: Iterable<Row>): string {
  let text = '';
  for (const cells of cellsOf(columns, rows)) text += csvRecord(cells);
  return text;
}

/** Returns the headings of `columns` as the first record of a CSV text. */
export function headingText<Row>(columns: readonly Column<Row>[]): string {
  return csvRecord(columns.map((column) => column.name));
}

function* cellsOf<Row>(columns: readonly Column<Row>[], rows: Iterable<Row>): Generator<Cell[]> {
  for (const row of rows) yield columns.map((column) => column.cell(row));
}
