import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import type { Cell } from '../../../../core/report/csv.ts';
import { csvText } from '../../../../core/report/csv.ts';

const text = (headings: readonly string[], ...rows: readonly Cell[][]): string => [...csvText(headings, rows)].join('');
const cell = (value: Cell): string => text(['x'], [value]).slice('x\r\n'.length, -'\r\n'.length);

describe('csvText', () => {
  it('ends every record with CRLF, the last too (RFC 4180 section 2, rules 1 and 2)', () => {
    expect(text(['a', 'b'], [1, 2], [3, 4])).toBe('a,b\r\n1,2\r\n3,4\r\n');
  });

  it('quotes fields with commas, quotes and line ends, and doubles the quotes (RFC 4180 section 2, rules 6 and 7)', () => {
    expect(cell('aaa,bbb')).toBe('"aaa,bbb"');
    expect(cell('b"bb')).toBe('"b""bb"');
    expect(cell('b\r\nbb')).toBe('"b\r\nbb"');
    expect(cell('plain text')).toBe('plain text');
  });

  it('writes nothing for what is not known, and never 0', () => {
    expect(cell(null)).toBe('');
    expect(cell(Number.NaN)).toBe('');
    expect(cell(0)).toBe('0');
    expect(cell(-0)).toBe('0');
  });

  it('writes truth values in words', () => {
    expect(text(['a', 'b'], [true, false])).toBe('a,b\r\nyes,no\r\n');
  });

  it.each(['=1+1', '=HYPERLINK("x")', '@SUM(A1)', '+cmd|x', '-2+3+cmd|x', '\tx'])('puts an apostrophe before text that a spreadsheet would run: %j', (value) => {
    expect(Papa.parse<string[]>(text(['x'], [value])).data[1]).toEqual([`'${value}`]);
  });

  it.each(['-5', '+3.2', '-12,97,98', '-1;97', 'a=b', "'quoted'", ''])('leaves other text as it is: %j', (value) => {
    expect(Papa.parse<string[]>(text(['x'], [value])).data[1]).toEqual([value]);
  });

  it('loses nothing by the apostrophe: text that already has one gets another', () => {
    expect(cell("'=1")).toBe("''=1");
  });

  it('leaves numbers alone, negative ones too', () => {
    expect(cell(-12.5)).toBe('-12.5');
  });

  it('is read back by another parser as it was written', () => {
    const rows = [['a,b', 'c"d', 'e\nf', ' g ', 'ü']];
    expect(Papa.parse<string[]>(text(['1', '2', '3', '4', '5'], ...rows), { newline: '\r\n', skipEmptyLines: true }).data.slice(1)).toEqual(rows);
  });
});
