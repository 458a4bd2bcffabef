import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import { RowSplitter, type RowView } from '../../core/readers/row-splitter.ts';
import { importText, valuesOf } from '../builders/import-text.ts';

/*
 * What Papa Parse 5.7.1 does that a reader of clinical exports must not pass on. Each trap is shown first as the library has it,
 * then as the product has it. Source: house-style section 2, and the library itself.
 */

/** Returns the rows and broken lines that the product's splitter makes of a text. */
function split(text: string, way: 'scan' | 'papa' = 'scan'): { rows: { line: number; cells: string[] }[]; broken: { line: number; problem: string }[] } {
  const rows: { line: number; cells: string[] }[] = [];
  const broken: { line: number; problem: string }[] = [];
  const decoder = new TextDecoder();
  const splitter = new RowSplitter(
    { delimiter: 44, quotes: true, way },
    {
      row: (row: RowView) => rows.push({ line: row.line, cells: Array.from({ length: row.n }, (_, i) => decoder.decode(row.buf.slice(row.starts[i], row.ends[i]))) }),
      broken: (line, problem) => broken.push({ line, problem }),
      blank: () => undefined,
    },
  );
  splitter.push(new TextEncoder().encode(text));
  splitter.finish();
  return { rows, broken };
}

describe('a quote that is never closed', () => {
  const text = 'a,b,c\n10:00:00,97,60\n10:00:10,"96,61\n10:00:20,95,62\n10:00:30,94,63\n';

  it('swallows the rest of the file in Papa Parse', () => {
    const parsed = Papa.parse<string[]>(text, { delimiter: ',', newline: '\n' });
    expect(parsed.data).toHaveLength(3);
    expect(parsed.data[2]?.[1]).toContain('10:00:30');
  });

  it('costs its own line only in the product', () => {
    const { rows, broken } = split(text);
    expect(broken).toEqual([{ line: 3, problem: 'quote mark not closed' }]);
    expect(rows.map((row) => row.line)).toEqual([1, 2, 4, 5]);
  });

  it('is told from a later quote that would close it over whole records', () => {
    const { rows, broken } = split('a,b,c\n10:00:00,97,60\n10:00:10,"96,61\n10:00:20,95,62\n10:00:30,94",63\n10:00:40,93,64\n');
    expect(broken).toEqual([{ line: 3, problem: 'quote mark not closed' }]);
    expect(rows.map((row) => row.line)).toEqual([1, 2, 4, 5, 6]);
  });

  it('is reported with its line and reason in the import', async () => {
    const { report, channel } = await importText('time,SpO2,HR\n2031-03-04 10:00:00,97,60\n2031-03-04 10:00:10,"96,61\n2031-03-04 10:00:20,95,62\n');
    expect(report.rejected).toEqual([{ reason: 'a quote mark is opened and not closed on this line', count: 1, first_line: 3 }]);
    expect(valuesOf(channel('spo2'))).toEqual([97, 95]);
  });
});

describe('a semicolon table with decimal commas', () => {
  const text = 'Time;SpO2\n04.03.2031 08:00:00;97,5\n04.03.2031 08:00:10;96,0\n';

  it('is cut at commas by Papa Parse’s own guess', () => {
    expect(Papa.parse(text).meta.delimiter).toBe(',');
  });

  it('is cut at semicolons by the product', async () => {
    const { report, channel } = await importText(text);
    expect(report.delimiter).toBe(';');
    expect(valuesOf(channel('spo2'))).toEqual([97.5, 96]);
  });
});

describe('row numbers', () => {
  const text = 'a,b\n1,"two\nlines"\n\n3,4\n5\n';

  it('are not line numbers in Papa Parse', () => {
    const parsed = Papa.parse<string[]>(text, { header: true, skipEmptyLines: true, delimiter: ',' });
    const error = parsed.errors.find((own) => own.code === 'TooFewFields');
    expect(error?.row).toBe(2); // the record stands on line 6
  });

  it('are physical lines in the product, after quoted line breaks, blank lines, CR, LF and CRLF alike', () => {
    expect(split(text).rows.map((row) => row.line)).toEqual([1, 2, 5, 6]);
    expect(split(text.replaceAll('\n', '\r\n')).rows.map((row) => row.line)).toEqual([1, 2, 5, 6]);
    expect(split(text.replaceAll('\n', '\r')).rows.map((row) => row.line)).toEqual([1, 2, 5, 6]);
  });
});

describe('what the product leaves to Papa Parse', () => {
  it.each([
    ['doubled quotes', 'a,"say ""97""",b', ['a', 'say "97"', 'b']],
    ['line breaks in a cell', 'a,"x\ny",b', ['a', 'x\ny', 'b']],
    ['CRLF in a cell', 'a,"x\r\ny",b', ['a', 'x\r\ny', 'b']],
    ['delimiters in a cell', 'a,"x,y",b', ['a', 'x,y', 'b']],
    ['an empty quoted cell', 'a,"",b', ['a', '', 'b']],
    ['a quote in the middle of a cell is itself', 'a,5" tube,b', ['a', '5" tube', 'b']],
    ['blanks behind a closing quote', 'a,"x" ,b', ['a', 'x', 'b']],
    ['high bytes come back unchanged', 'a,"µg ""π""",b', ['a', 'µg "π"', 'b']],
  ])('%s: one record of these cells, whichever way it goes', (_, text, cells) => {
    expect(Papa.parse<string[]>(text, { delimiter: ',', newline: '\n' }).data).toEqual([cells]);
    expect(split(text).rows.map((row) => row.cells)).toEqual([cells]);
    expect(split(text, 'papa').rows.map((row) => row.cells)).toEqual([cells]);
  });

  it('a character behind a closing quote breaks the line in both', () => {
    expect(Papa.parse('a,"x"y,b', { delimiter: ',', newline: '\n' }).errors.some((error) => error.type === 'Quotes')).toBe(true);
    expect(split('a,"x"y,b\nc,d,e\n')).toEqual({ rows: [{ line: 2, cells: ['c', 'd', 'e'] }], broken: [{ line: 1, problem: 'quote mark out of place' }] });
  });
});

describe('memory', () => {
  it('Papa Parse makes a string of every cell; the product keeps one chunk and one record, whatever the length of the file', () => {
    let rows = 0;
    let largest = 0;
    const splitter = new RowSplitter(
      { delimiter: 44, quotes: true, way: 'scan' },
      {
        row: (row) => {
          rows += 1;
          largest = Math.max(largest, row.buf.length);
        },
        broken: () => undefined,
        blank: () => undefined,
      },
    );
    const chunk = new TextEncoder().encode('2031-03-04 10:00:00,97,60\n'.repeat(2520) + '2031-03-04 10:');
    const rest = new TextEncoder().encode('00:00,97,60\n');
    for (let i = 0; i < 200; i += 1) {
      splitter.push(chunk);
      splitter.push(rest);
    }
    splitter.finish();
    expect(rows).toBe(200 * 2521);
    expect(largest).toBeLessThan(chunk.length * 2);
  });
});
