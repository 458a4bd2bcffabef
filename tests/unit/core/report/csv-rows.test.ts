import fc from 'fast-check';
import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import { csvRecord, type Cell } from '../../../../core/report/csv.ts';
import { cellOf, CsvRows } from '../../../../core/report/csv-rows.ts';

function readAll(pieces: readonly string[]): string[][] {
  const reader = new CsvRows();
  const rows = pieces.flatMap((piece) => [...reader.push(piece)]);
  reader.end();
  return rows;
}

const text = fc.string({ unit: 'grapheme', maxLength: 12 });
const awkward = fc.constantFrom('', '"', ',', '\r\n', '\n', '=1+1', "'=1", "''@x", '-5', '+', "'", 'a"b', 'Ж,ю');
const rows = fc.array(fc.tuple(fc.oneof(text, awkward), fc.oneof(fc.double({ noNaN: true }), fc.constant(null)), fc.oneof(fc.boolean(), fc.constant(null))), { maxLength: 20 });

describe('reading our own tables back', () => {
  it('gives what was written, cut wherever it may be (property), but -0 as 0 and empty text as nothing', () => {
    fc.assert(
      fc.property(rows, fc.array(fc.nat(400), { maxLength: 6 }), (table, cuts) => {
        const whole = table.map((cells) => csvRecord(cells)).join('');
        const places = [0, ...cuts.map((cut) => Math.min(cut, whole.length)).sort((a, b) => a - b), whole.length];
        const pieces = places.slice(1).map((to, i) => whole.slice(places[i] ?? 0, to));
        const read = readAll(pieces).map(([a = '', b = '', c = '']): Cell[] => [cellOf(a, 'text'), cellOf(b, 'number'), cellOf(c, 'yes or no')]);
        expect(read).toEqual(table.map(([a, b, c]) => [a === '' ? null : a, b === 0 ? 0 : b, c]));
      }),
    );
  });

  it('splits records as Papa Parse 5.7.1 does', () => {
    fc.assert(
      fc.property(rows, (table) => {
        const whole = table.map((cells) => csvRecord(cells)).join('');
        expect(readAll([whole])).toEqual(whole === '' ? [] : Papa.parse<string[]>(whole.slice(0, -2), { newline: '\r\n', delimiter: ',' }).data);
      }),
    );
  });

  it('refuses what our tables never hold', () => {
    expect(() => readAll(['a,"b"c\r\n'])).toThrow('is followed by');
    expect(() => readAll(['a,b'])).toThrow('ends within a record');
    expect(() => readAll(['a\rb\r\n'])).toThrow('is followed by');
    expect(() => cellOf('many', 'number')).toThrow('no number');
    expect(() => cellOf('true', 'yes or no')).toThrow('neither yes nor no');
  });
});
