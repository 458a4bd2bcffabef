import fc from 'fast-check';
import { gzipSync } from 'node:zlib';
import { zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import type { CaseRecord } from '../../core/model/case.ts';
import type { ImportOutcome } from '../../core/readers/reader.ts';
import { importTexts } from '../builders/import-text.ts';
import { serialOf, workbookBytes, type SheetCell } from '../builders/workbook-bytes.ts';

/* The same table as text, as a sheet, in a zip archive and as gzip gives the same case and the same account of its rows. */

interface Cell {
  readonly text: string;
  readonly sheet: SheetCell;
}

const plain = (text: string): Cell => ({ text, sheet: text });
const number = (value: number): Cell => ({ text: String(value), sheet: value });

const value: fc.Arbitrary<Cell> = fc.oneof(
  { weight: 10, arbitrary: fc.integer({ min: 80, max: 100 }).map(number) },
  { weight: 3, arbitrary: fc.integer({ min: 1, max: 9999 }).map((v) => number(v / 100)) },
  { weight: 2, arbitrary: fc.constantFrom('-', '---', '?', '#N/A', '97*', 'abc', '=1+1', 'sensor off', '95', '1,5', 'a; b', 'say "97"', '"97"', "it's").map(plain) },
  { weight: 1, arbitrary: fc.constantFrom(0, -1, 127, 32767, -327.67, 1e-7, 123456789012).map(number) },
  { weight: 1, arbitrary: fc.constant<Cell>({ text: '', sheet: null }) },
);

const row = fc.tuple(value, value, value);

function stampOf(second: number): Cell {
  const iso = new Date(Date.UTC(2031, 2, 4, 8) + second * 1000).toISOString().slice(0, 19);
  return { text: iso, sheet: { serial: serialOf(iso), as: 'ownDateTime' } };
}

const table = fc.record({ rows: fc.array(fc.oneof({ weight: 9, arbitrary: row }, { weight: 1, arbitrary: fc.constant(null) }), { minLength: 1, maxLength: 40 }), stepS: fc.constantFrom(1, 10, 60), repeatsHeading: fc.boolean() }).map(({ rows, stepS, repeatsHeading }) => {
  const heading = ['Time', 'SpO2', 'HR', 'PI'].map(plain);
  const first = [stampOf(-2 * stepS), number(97), number(60), number(1.5)];
  const second = [stampOf(-stepS), number(96), number(61), number(1.4)];
  const all: (readonly Cell[] | null)[] = [heading, first, second, ...rows.map((own, i) => (own === null ? null : [stampOf(i * stepS), ...own]))];
  if (repeatsHeading) all.push(heading);
  return all;
});

function asText(rows: readonly (readonly Cell[] | null)[]): string {
  const quoted = (text: string): string => (/[",;\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
  return `${rows.map((own) => (own ?? []).map((cell) => quoted(cell.text)).join(',')).join('\n')}\n`;
}

function asWorkbook(rows: readonly (readonly Cell[] | null)[]): Uint8Array {
  return workbookBytes([{ name: 'Sheet', rows: rows.map((own) => (own === null ? null : own.map((cell) => cell.sheet))) }]);
}

/** What a case says apart from the names of its files. */
function content({ sources, ...record }: CaseRecord): unknown {
  return { ...record, sources: sources.map((source) => source.kind) };
}

function account({ cases, files, rejectedRows }: ImportOutcome): unknown {
  return {
    cases: cases.map(content),
    rows: files.map(({ kind, layout, rows_read, rows_accepted, rows_rejected, rejected, columns, cases: ids, guesses }) => ({ kind, layout, rows_read, rows_accepted, rows_rejected, rejected, columns, ids, guesses })),
    rejected: rejectedRows.map(({ line, reason }) => ({ line, reason })),
  };
}

describe('one table in several carriers', () => {
  it('as a sheet gives the case that it gives as text', async () => {
    await fc.assert(
      fc.asyncProperty(table, async (rows) => {
        const text = await importTexts({ 'case-a/table.csv': asText(rows) });
        const sheet = await importTexts({ 'case-a/table.csv': asWorkbook(rows) });
        expect(account(sheet)).toEqual(account(text));
      }),
      { numRuns: 150 },
    );
  });

  it('in an archive and as gzip gives the case and the bytes that it gives by itself', async () => {
    await fc.assert(
      fc.asyncProperty(table, async (rows) => {
        const bytes = new TextEncoder().encode(asText(rows));
        const text = await importTexts({ 'case-a/table.csv': bytes });
        for (const packed of [zipSync({ 'any/name': bytes }), new Uint8Array(gzipSync(bytes))]) {
          const own = await importTexts({ 'case-a/table.csv': packed });
          expect(own.files[0]?.sha256).toBe(text.files[0]?.sha256);
          if (packed[0] === 0x1f) expect(account(own)).toEqual(account(text));
          else expect(own.cases.map((record) => record.channels)).toEqual(text.cases.map((record) => record.channels));
        }
      }),
      { numRuns: 80 },
    );
  });
});
