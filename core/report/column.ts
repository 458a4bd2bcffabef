import type { Cell } from './csv.ts';
import { csvRecord } from './csv.ts';

/**
 * One column of an output table: what is written and what the data dictionary says about it come from here,
 * so neither can be without the other.
 */
export type Column<Row> = ColumnHead & ColumnCells<Row>;

interface ColumnHead {
  readonly name: string;
  readonly meaning: string;
  /** UCUM; '' for text, and for numbers that have none. */
  readonly unit: string;
  /** How it is computed, or where it comes from. */
  readonly how: string;
}

/** What the cells of a column hold; every one may be empty. Text where nothing is said: the compiler holds the cells to it. */
type ColumnCells<Row> =
  | { readonly type?: 'text' | undefined; readonly cell: (row: Row) => string | null }
  | { readonly type: 'number'; readonly cell: (row: Row) => number | null }
  | { readonly type: 'yes or no'; readonly cell: (row: Row) => boolean | null };

/** What a column holds, as the dictionary and the Parquet files state it. */
export type ColumnType = 'text' | 'number' | 'yes or no';

/** A column as it is described, whatever its rows are. */
export interface DescribedColumn extends ColumnHead {
  readonly type: ColumnType;
}

/** Returns what is said of columns. */
export function describedColumns<Row>(columns: readonly Column<Row>[]): DescribedColumn[] {
  return columns.map(({ name, meaning, unit, how, type }) => ({ name, meaning, unit, how, type: type ?? 'text' }));
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
