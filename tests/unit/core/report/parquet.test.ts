import { parquetMetadata, parquetReadObjects, parquetSchema } from 'hyparquet';
import { describe, expect, test } from 'vitest';
import { parquetBytes } from '../../../../core/report/parquet.ts';

/* Read back with hyparquet 1.31.5, a reader that the writer does not contain. */
const TABLE = {
  columns: [
    { name: 'case_id', meaning: 'the case', unit: '' },
    { name: 'lost_mid_s', meaning: 'time lost', unit: 's' },
    { name: 'is_open', meaning: 'not over', unit: '' },
    { name: 'never_s', meaning: 'nothing at all', unit: 's' },
    { name: 'note', meaning: 'nothing at all', unit: '' },
  ],
  rows: [['007', 12.345, true, null, ''], ['Ж "a", b', -0, false, NaN, null], ['=1+1', null, null, null, '']],
} as const;

describe('a table as Parquet', () => {
  test('holds what the cells hold, missing as null, text that a spreadsheet would run as it is', async () => {
    const bytes = parquetBytes(TABLE);
    const rows = await parquetReadObjects({ file: bytes.buffer });
    expect(rows).toEqual([
      { case_id: '007', lost_mid_s: 12.345, is_open: true, never_s: null, note: null },
      { case_id: 'Ж "a", b', lost_mid_s: 0, is_open: false, never_s: null, note: null },
      { case_id: '=1+1', lost_mid_s: null, is_open: null, never_s: null, note: null },
    ]);
    expect(Object.is(rows[1]?.['lost_mid_s'], 0)).toBe(true);
  });

  test('numbers are doubles, names of columns and their meaning are in the file', () => {
    const metadata = parquetMetadata(parquetBytes(TABLE).buffer);
    const types = parquetSchema(metadata).children.map(({ element }) => [element.name, element.type, element.converted_type ?? null, element.repetition_type]);
    expect(types).toEqual([
      ['case_id', 'BYTE_ARRAY', 'UTF8', 'OPTIONAL'], ['lost_mid_s', 'DOUBLE', null, 'OPTIONAL'], ['is_open', 'BOOLEAN', null, 'OPTIONAL'], ['never_s', 'DOUBLE', null, 'OPTIONAL'], ['note', 'BYTE_ARRAY', 'UTF8', 'OPTIONAL'],
    ]);
    expect(metadata.key_value_metadata?.find(({ key }) => key === 'lacuna.lost_mid_s')?.value).toBe('time lost [s]');
    expect(metadata.created_by).toBe('lacuna');
  });

  test('a table without rows is a file with its columns', async () => {
    const bytes = parquetBytes({ ...TABLE, rows: [] });
    expect(await parquetReadObjects({ file: bytes.buffer })).toEqual([]);
    expect(parquetMetadata(bytes.buffer).schema).toHaveLength(6);
  });

  test('the same table gives the same bytes', () => {
    expect(Buffer.compare(parquetBytes(TABLE), parquetBytes(TABLE))).toBe(0);
  });

  test('a column of text and numbers is refused', () => {
    expect(() => parquetBytes({ columns: [{ name: 'x', meaning: '', unit: '' }], rows: [['a'], [1]] })).toThrow('the column x holds number and string');
  });
});
