import type { Cell } from './csv.ts';
import { csvText } from './csv.ts';

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

/** Yields `rows` as CSV text under the headings of `columns`. */
export function tableText<Row>(columns: readonly Column<Row>[], rows: Iterable<Row>): Generator<string> {
  return csvText(
    columns.map((column) => column.name),
    cellsOf(columns, rows),
  );
}

function* cellsOf<Row>(columns: readonly Column<Row>[], rows: Iterable<Row>): Generator<Cell[]> {
  for (const row of rows) yield columns.map((column) => column.cell(row));
}
