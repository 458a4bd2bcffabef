import { ByteWriter, ParquetWriter, schemaFromColumnData } from 'hyparquet-writer';
import type { ColumnType, DescribedColumn } from './column.ts';
import type { Cell } from './csv.ts';

/** What of a column a Parquet file states. */
export type ParquetColumn = Pick<DescribedColumn, 'name' | 'meaning' | 'unit' | 'type'>;

const TYPES = { text: 'STRING', number: 'DOUBLE', 'yes or no': 'BOOLEAN' } as const satisfies Readonly<Record<ColumnType, string>>;
const KINDS = { text: 'string', number: 'number', 'yes or no': 'boolean' } as const satisfies Readonly<Record<ColumnType, string>>;

/** Rows that are encoded together: what is not encoded yet is all that memory holds as cells. */
const ROWS_OF_GROUP = 20_000;

/**
 * A table that becomes a Parquet file row by row: numbers as DOUBLE, yes and no as BOOLEAN, all else as text; every column may be null.
 * Shape   the same rows give the same bytes, in however many pieces they come. Values as in the CSV, but for the apostrophe that guards a
 *         spreadsheet. Meaning and unit of each column stand in the metadata of the file.
 * Missing null, NaN and '' are null.
 * Errors  throws for a cell that is not of the type of its column: our bug.
 */
export class ParquetTable {
  readonly #columns: readonly ParquetColumn[];
  readonly #bytes = new ByteWriter();
  readonly #writer: ParquetWriter;
  #group: Cell[][];
  #rows = 0;

  constructor(columns: readonly ParquetColumn[]) {
    this.#columns = columns;
    this.#group = columns.map(() => []);
    this.#writer = new ParquetWriter({
      writer: this.#bytes,
      schema: schemaFromColumnData({ columnData: columns.map(({ name, type }) => ({ name, data: [], type: TYPES[type], nullable: true })) }),
      kvMetadata: columns.map(({ name, meaning, unit }) => ({ key: `lacuna.${name}`, value: unit === '' ? meaning : `${meaning} [${unit}]` })),
      createdBy: 'lacuna',
    });
  }

  /** Adds a row. */
  add(cells: readonly Cell[]): void {
    if (cells.length !== this.#columns.length) throw new Error(`a row has ${cells.length} cells for ${this.#columns.length} columns`);
    for (const [i, column] of this.#columns.entries()) this.#group[i]?.push(checked(cells[i] ?? null, column));
    this.#rows += 1;
    if (this.#rows === ROWS_OF_GROUP) this.#encode();
  }

  /** Returns the file. Nothing can be added afterwards. */
  finish(): Uint8Array<ArrayBuffer> {
    this.#encode();
    void this.#writer.finish(); // a writer into memory is done at once
    return new Uint8Array(this.#bytes.getBuffer());
  }

  #encode(): void {
    if (this.#rows === 0) return;
    const columnData = this.#columns.map(({ name }, i) => ({ name, data: this.#group[i] ?? [] }));
    void this.#writer.write({ columnData, rowGroupSize: ROWS_OF_GROUP });
    this.#group = this.#columns.map(() => []);
    this.#rows = 0;
  }
}

function checked(cell: Cell, { name, type }: ParquetColumn): Cell {
  if (cell === null || cell === '' || (typeof cell === 'number' && Number.isNaN(cell))) return null;
  if (typeof cell !== KINDS[type]) throw new Error(`the column ${name} holds ${typeof cell}, and is stated to hold ${KINDS[type]}`);
  return cell === 0 ? 0 : cell; // no "-0", as in the CSV
}
