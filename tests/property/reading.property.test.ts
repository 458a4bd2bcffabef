import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { assembleCases, importFiles } from '../../core/pipeline/import-files.ts';
import { readSource } from '../../core/readers/read-source.ts';
import type { FileReading } from '../../core/readers/reading.ts';
import { memorySource, plainImport } from '../builders/byte-source.ts';

/*
 * Invariants of reading, over generated tables in every layout with generated trouble in them.
 * fast-check prints the seed of a failure.
 */

interface Table {
  readonly text: string;
  readonly delimiter: string;
}

const cell = fc.oneof(
  { weight: 12, arbitrary: fc.integer({ min: 80, max: 100 }).map(String) },
  { weight: 3, arbitrary: fc.double({ min: 0, max: 120, noNaN: true }).map((v) => v.toFixed(2)) },
  { weight: 2, arbitrary: fc.constantFrom('', '-', '---', '?', 'NaN', '#N/A', '0', '-1', '127', '32767', '-327.67') },
  { weight: 1, arbitrary: fc.constantFrom('97*', 'abc', '=1+1', 'sensor off', '97 %', '1e2', '+96', ' 95 ', '007', '1234567890123456', '.5', '5.') },
  { weight: 1, arbitrary: fc.constantFrom('"97"', '"9""7"', '"two\nlines"', '"open', 'in"side', '"x"y', '""') },
);

const junk = fc.constantFrom('', '   ', 'Mean,97', 'a note', ',,,', '"', '"never closed, 12', 'time,SpO2,HR,PI', 'x,y,z,1,2,3,4,5,6,7', '\u0000\u0000', 'é,ü,ß', '2031-03-04 08:00:00,1,2,3,4,5,6');

const lineEnd = fc.constantFrom('\n', '\r\n', '\r');

function stamp(second: number): string {
  return `2031-03-04 ${String(8 + Math.floor(second / 3600)).padStart(2, '0')}:${String(Math.floor(second / 60) % 60).padStart(2, '0')}:${String(second % 60).padStart(2, '0')}`;
}

const wide: fc.Arbitrary<Table> = fc
  .record({
    rows: fc.array(fc.oneof({ weight: 9, arbitrary: fc.tuple(cell, cell, cell) }, { weight: 1, arbitrary: junk }), { minLength: 3, maxLength: 40 }),
    delimiter: fc.constantFrom(',', ';', '\t', '|'),
    end: lineEnd,
    extra: fc.constantFrom('', ',note', ',status'),
  })
  .map(({ rows, delimiter, end, extra }) => {
    const lines = [`time,SpO2,HR,PI${extra}`, '2031-03-04 07:59:00,97,60,1.5', '2031-03-04 07:59:30,96,61,1.4'];
    for (const [i, row] of rows.entries()) lines.push(typeof row === 'string' ? row : [stamp(i * 10), ...row].join(','));
    return { text: lines.join(end).replaceAll(',', delimiter) + end, delimiter };
  });

const long: fc.Arbitrary<Table> = fc
  .record({
    rows: fc.array(fc.oneof({ weight: 9, arbitrary: fc.tuple(fc.constantFrom('SpO2', 'HR', 'PI', 'Flow X', 'phenylephrine', 'Event'), cell) }, { weight: 1, arbitrary: junk }), { minLength: 3, maxLength: 50 }),
    delimiter: fc.constantFrom(',', ';', '\t'),
    end: lineEnd,
  })
  .map(({ rows, delimiter, end }) => {
    const lines = ['time,name,value', '2031-03-04 07:59:00,SpO2,97', '2031-03-04 07:59:00,HR,60', '2031-03-04 07:59:30,SpO2,96'];
    for (const [i, row] of rows.entries()) lines.push(typeof row === 'string' ? row : [stamp(i * 5), ...row].join(','));
    return { text: lines.join(end).replaceAll(',', delimiter) + end, delimiter };
  });

const entries: fc.Arbitrary<Table> = fc
  .record({
    rows: fc.array(fc.oneof(fc.constantFrom('phenylephrine 100 mcg IV', 'arms tucked', '"head down, steep"', 'ephedrine 6 mg', '', '"open', 'note, with comma', 'x2'), junk), { minLength: 2, maxLength: 20 }),
    end: lineEnd,
  })
  .map(({ rows, end }) => ({ text: ['time,event', '2031-03-04 08:00:00,arms tucked', ...rows.map((row, i) => `${stamp(i * 60)},${row}`)].join(end) + end, delimiter: ',' }));

const table = fc.oneof(wide, long, entries);

function options(): ReturnType<typeof plainImport> {
  return plainImport();
}

function read(text: string, way: 'scan' | 'papa' = 'scan', piece = 65_536, path = 'c/t.csv'): Promise<FileReading> {
  return readSource(memorySource(path, new TextEncoder().encode(text), piece), options(), way);
}

/** Lines that hold anything but blanks, counted apart from the product's splitter. */
function nonBlankLines(text: string): number {
  return text.split(/\r\n|\r|\n/).filter((line) => [...line].some((char) => char.charCodeAt(0) > 32)).length;
}

describe('reading', () => {
  it('accounts for every row: accepted + rejected = read, reasons add up, listed rows have rising lines', async () => {
    await fc.assert(
      fc.asyncProperty(table, async ({ text }) => {
        const { report, rejectedRows } = await read(text);
        expect(report.rows_read).toBe(report.rows_accepted + report.rows_rejected);
        expect(report.rejected.reduce((sum, group) => sum + group.count, 0)).toBe(report.rows_rejected);
        expect(rejectedRows).toHaveLength(report.rows_rejected);
        for (let i = 1; i < rejectedRows.length; i += 1) expect(rejectedRows[i]?.line ?? 0).toBeGreaterThan(rejectedRows[i - 1]?.line ?? 0);
        // Never more rows than lines below the heading, and none lost: only quoted line breaks join lines.
        const below = nonBlankLines(text) - 1;
        expect(report.rows_read).toBeLessThanOrEqual(below);
        if (report.failure === null && !text.includes('two\nlines') && !text.includes('"open') && !text.includes('"never') && !/[,;\t|]"[,;\t|\r\n]/.test(text) && !/(^|[\r\n])"/.test(text)) expect(report.rows_read).toBe(below);
      }),
      { numRuns: 150 },
    );
  });

  it('is the same whether records are cut from bytes or by Papa Parse', async () => {
    await fc.assert(
      fc.asyncProperty(table, async ({ text }) => {
        expect(await read(text, 'papa')).toEqual(await read(text, 'scan'));
      }),
      { numRuns: 150 },
    );
  });

  it('is the same wherever the chunks are cut', async () => {
    await fc.assert(
      fc.asyncProperty(table, fc.integer({ min: 1, max: 97 }), async ({ text }, piece) => {
        expect(await read(text, 'scan', piece)).toEqual(await read(text));
      }),
      { numRuns: 150 },
    );
  });

  it('gives channels whose times strictly rise and whose arrays have one length', async () => {
    await fc.assert(
      fc.asyncProperty(table, async ({ text }) => {
        const { cases } = await importFiles([memorySource('c/t.csv', new TextEncoder().encode(text))], options());
        for (const record of cases) {
          const ids = record.channels.map((channel) => channel.channelId);
          expect(new Set(ids).size).toBe(ids.length);
          for (const channel of record.channels) {
            expect([channel.value.length, channel.mark.length, channel.line.length]).toEqual([channel.tMs.length, channel.tMs.length, channel.tMs.length]);
            for (let i = 1; i < channel.tMs.length; i += 1) expect((channel.tMs[i] ?? 0) > (channel.tMs[i - 1] ?? 0)).toBe(true);
          }
        }
      }),
      { numRuns: 80 },
    );
  });

  it('never throws on any bytes', async () => {
    await fc.assert(
      fc.asyncProperty(fc.oneof(fc.uint8Array({ maxLength: 2000 }), fc.string({ maxLength: 500, unit: 'binary' }).map((text) => new TextEncoder().encode(text))), async (bytes) => {
        const { report } = await readSource(memorySource('c/x.bin', bytes), options());
        expect(report.rows_read).toBe(report.rows_accepted + report.rows_rejected);
      }),
      { numRuns: 300 },
    );
  });

  it('puts cases together alike whatever the order in which files were read', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(table, { minLength: 2, maxLength: 5 }), fc.array(fc.nat(), { minLength: 5, maxLength: 5 }), async (tables, keys) => {
        const readings: FileReading[] = [];
        for (const [i, own] of tables.entries()) readings.push(await read(own.text, 'scan', 65_536, `${i % 2 === 0 ? 'a' : 'b'}/t${i}.csv`));
        const order = readings.map((_, i) => i).sort((a, b) => (keys[a] ?? 0) - (keys[b] ?? 0) || a - b);
        const straight = assembleCases(readings, options());
        const shuffled = assembleCases(
          order.map((i) => readings[i] as FileReading),
          options(),
        );
        expect(shuffled.cases).toEqual(straight.cases);
        expect([...shuffled.files].sort((a, b) => (a.file < b.file ? -1 : 1))).toEqual([...straight.files].sort((a, b) => (a.file < b.file ? -1 : 1)));
      }),
      { numRuns: 40 },
    );
  });
});
