import { parquetWriteBuffer } from 'hyparquet-writer';
import type { Column } from './column.ts';
import type { Cell } from './csv.ts';

/** A table as it is written as Parquet: what its columns are, and the rows as cells in their order. */
export interface CellTable {
  readonly columns: readonly Pick<Column<never>, 'name' | 'meaning' | 'unit'>[];
  readonly rows: readonly (readonly Cell[])[];
}

type ColumnType = 'DOUBLE' | 'BOOLEAN' | 'STRING';

/**
 * Returns a table as the bytes of a Parquet file: numbers as DOUBLE, truth values as BOOLEAN, all else as text; every column may be null.
 * Shape   the same table gives the same bytes; values as in the CSV, but for the apostrophe that guards a spreadsheet. Meaning and unit of
 *         each column stand in the metadata of the file.
 * Missing null, NaN and '' are null. A column without any value is DOUBLE where it has a unit, else text.
 * Errors  throws where a column holds both text and numbers: our bug.
 */
export function parquetBytes({ columns, rows }: CellTable): Uint8Array<ArrayBuffer> {
  const columnData = columns.map((column, i) => {
    const data = rows.map((row) => present(row[i] ?? null));
    return { name: column.name, data, type: typeOf(column, data), nullable: true };
  });
  const kvMetadata = columns.map(({ name, meaning, unit }) => ({ key: `lacuna.${name}`, value: unit === '' ? meaning : `${meaning} [${unit}]` }));
  return new Uint8Array(parquetWriteBuffer({ columnData, kvMetadata, createdBy: 'lacuna' }));
}

function present(cell: Cell): Cell {
  if (cell === '' || (typeof cell === 'number' && Number.isNaN(cell))) return null;
  return cell === 0 ? 0 : cell; // no "-0", as in the CSV
}

function typeOf({ name, unit }: CellTable['columns'][number], cells: readonly Cell[]): ColumnType {
  const kinds = new Set(cells.flatMap((cell) => (cell === null ? [] : [typeof cell])));
  if (kinds.size > 1) throw new Error(`the column ${name} holds ${[...kinds].sort().join(' and ')}`);
  if (kinds.has('string')) return 'STRING';
  if (kinds.has('boolean')) return 'BOOLEAN';
  return kinds.has('number') || unit !== '' ? 'DOUBLE' : 'STRING';
}
