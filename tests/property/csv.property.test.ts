import fc from 'fast-check';
import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import { csvText } from '../../core/report/csv.ts';

/** What a reader of the tables does to get the text of the input back: one apostrophe off, where the rule put one. */
function unguarded(text: string): string {
  return /^'+[=+\-@\t\r]/u.test(text) ? text.slice(1) : text;
}

const anyText = fc.oneof(
  fc.string({ unit: 'grapheme' }),
  fc.string({ unit: fc.constantFrom(...`'"=+-@,;\t\r\n 0a`), maxLength: 12 }),
);

describe('CSV text', () => {
  it('comes back from another parser as it went in, whatever the text', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(anyText, anyText), { minLength: 1, maxLength: 20 }), (rows) => {
        const text = [...csvText(['a', 'b'], rows)].join('');
        // The delimiter and line end are stated: guessing them is not under test.
        const parsed = Papa.parse<string[]>(text, { delimiter: ',', newline: '\r\n' });
        expect(parsed.errors).toEqual([]);
        expect(parsed.data.slice(1, -1).map((row) => row.map(unguarded))).toEqual(rows);
      }),
    );
  });

  it('begins no cell with a character that a spreadsheet runs, numbers and their rows aside', () => {
    fc.assert(
      fc.property(anyText, (value) => {
        const text = [...csvText(['a'], [[value]])].join('');
        const cell = Papa.parse<string[]>(text, { delimiter: ',', newline: '\r\n' }).data[1]?.[0] ?? '';
        if (/^[=+\-@\t\r]/u.test(cell)) expect(cell).toMatch(/^[+-][\d.,;: ]*$/u);
      }),
    );
  });

  it('gives every finite number back', () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (value) => {
        const cell = [...csvText(['a'], [[value]])][1]?.trimEnd() ?? '';
        expect(Number(cell)).toBe(value === 0 ? 0 : value);
      }),
    );
  });
});
