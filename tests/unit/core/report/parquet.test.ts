import { parquetMetadata, parquetReadObjects, parquetSchema } from 'hyparquet';
import { describe, expect, test } from 'vitest';
import type { Cell } from '../../../../core/report/csv.ts';
import { ParquetTable, type ParquetColumn } from '../../../../core/report/parquet.ts';

/* Read back with hyparquet 1.31.5, a reader that the writer does not contain. */
const COLUMNS: readonly ParquetColumn[] = [
  { name: 'case_id', meaning: 'the case', unit: '', type: 'text' },
  { name: 'lost_mid_s', meaning: 'time lost', unit: 's', type: 'number' },
  { name: 'is_open', meaning: 'not over', unit: '', type: 'yes or no' },
  { name: 'never_s', meaning: 'nothing at all', unit: 's', type: 'number' },
  { name: 'note', meaning: 'nothing at all', unit: '', type: 'text' },
];
const ROWS: readonly (readonly Cell[])[] = [['007', 12.345, true, null, ''], ['Ж "a", b', -0, false, NaN, null], ['=1+1', null, null, null, '']];

function parquet(columns: readonly ParquetColumn[], rows: readonly (readonly Cell[])[]): Uint8Array<ArrayBuffer> {
  const table = new ParquetTable(columns);
  for (const row of rows) table.add(row);
  return table.finish();
}

describe('a table as Parquet', () => {
  test('holds what the cells hold, missing as null, text that a spreadsheet would run as it is', async () => {
    const rows = await parquetReadObjects({ file: parquet(COLUMNS, ROWS).buffer });
    expect(rows).toEqual([
      { case_id: '007', lost_mid_s: 12.345, is_open: true, never_s: null, note: null },
      { case_id: 'Ж "a", b', lost_mid_s: 0, is_open: false, never_s: null, note: null },
      { case_id: '=1+1', lost_mid_s: null, is_open: null, never_s: null, note: null },
    ]);
    expect(Object.is(rows[1]?.['lost_mid_s'], 0)).toBe(true);
  });

  test('numbers are doubles, names of columns and their meaning are in the file', () => {
    const metadata = parquetMetadata(parquet(COLUMNS, ROWS).buffer);
    const types = parquetSchema(metadata).children.map(({ element }) => [element.name, element.type, element.converted_type ?? null, element.repetition_type]);
    expect(types).toEqual([
      ['case_id', 'BYTE_ARRAY', 'UTF8', 'OPTIONAL'], ['lost_mid_s', 'DOUBLE', null, 'OPTIONAL'], ['is_open', 'BOOLEAN', null, 'OPTIONAL'], ['never_s', 'DOUBLE', null, 'OPTIONAL'], ['note', 'BYTE_ARRAY', 'UTF8', 'OPTIONAL'],
    ]);
    expect(metadata.key_value_metadata?.find(({ key }) => key === 'lacuna.lost_mid_s')?.value).toBe('time lost [s]');
    expect(metadata.created_by).toBe('lacuna');
  });

  test('a table without rows is a file with its columns, of the same types as one with rows', async () => {
    const bytes = parquet(COLUMNS, []);
    expect(await parquetReadObjects({ file: bytes.buffer })).toEqual([]);
    const types = (file: ArrayBuffer) => parquetSchema(parquetMetadata(file)).children.map(({ element }) => [element.name, element.type, element.converted_type]);
    expect(types(bytes.buffer)).toEqual(types(parquet(COLUMNS, ROWS).buffer));
  });

  test('the same table gives the same bytes', () => {
    expect(Buffer.compare(parquet(COLUMNS, ROWS), parquet(COLUMNS, ROWS))).toBe(0);
  });

  test('more rows than one group holds all come back, in their order', async () => {
    const count = 45_000;
    const columns = COLUMNS.slice(0, 3);
    const rows = Array.from({ length: count }, (_, i): Cell[] => [`case ${i % 7}`, i / 8, i % 2 === 0]);
    const bytes = parquet(columns, rows);
    expect(parquetMetadata(bytes.buffer).row_groups.map(({ num_rows }) => Number(num_rows))).toEqual([20_000, 20_000, 5_000]);
    const read = await parquetReadObjects({ file: bytes.buffer });
    expect(read).toHaveLength(count);
    expect(read.every(({ lost_mid_s }, i) => lost_mid_s === i / 8)).toBe(true);
  });

  test('a cell that is not of the type of its column is refused, and a row of another length', () => {
    expect(() => parquet(COLUMNS.slice(0, 1), [[1]])).toThrow('the column case_id holds number, and is stated to hold string');
    expect(() => parquet(COLUMNS, [['a']])).toThrow('a row has 1 cells for 5 columns');
  });
});
