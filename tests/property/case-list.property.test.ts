import fc from 'fast-check';
import { expect, test } from 'vitest';
import { reconcileCaseList } from '../../core/cohort/case-list.ts';
import type { ListDecision } from '../../core/model/case-list.ts';
import { readCaseList } from '../../core/pipeline/read-case-list.ts';
import { memorySource, plainImport } from '../builders/byte-source.ts';
import { buildLibraryCase } from '../builders/library-case.ts';

/** Names that differ in writing alone as often as not. */
const NAME = fc.constantFrom('A7', 'a7', 'A-7', 'A007', 'A 07', 'B1', 'b-1', 'B01', 'C-12', 'C12', 'c 12', 'D-2031-4', 'D 2031 04');
const DATE = fc.constantFrom('2031-03-04', '2031-03-05', '2031-05-17');
const ROW = fc.record({ name: fc.oneof({ weight: 8, arbitrary: NAME }, fc.constant('')), date: fc.oneof(DATE, fc.constant('')) });
const SIGN = fc.constantFrom(',', ';', '\t', '|');

/** The text as files carry it: UTF-8 with and without a mark, UTF-16. */
function bytesOf(text: string, encoding: 'utf-8' | 'utf-8 with mark' | 'utf-16le'): Uint8Array {
  if (encoding === 'utf-16le') return Buffer.from(`\ufeff${text}`, 'utf16le');
  return new TextEncoder().encode(encoding === 'utf-8' ? text : `\ufeff${text}`);
}

test('whatever is listed: every row has one state, every case one row at most, and nothing is matched in silence', async () => {
  await fc.assert(
    fc.asyncProperty(
      fc.array(ROW, { minLength: 2, maxLength: 14 }), SIGN, fc.constantFrom('utf-8' as const, 'utf-8 with mark' as const, 'utf-16le' as const), fc.uniqueArray(NAME, { minLength: 1, maxLength: 8 }), fc.infiniteStream(fc.nat(3)),
      async (rows, sign, encoding, names, chances) => {
        const library = names.map((name, i) => buildLibraryCase(name, { date: ['2031-03-04', '2031-03-05', null][i % 3] ?? null }));
        const text = [`Case${sign}Date${sign}Service`, ...rows.map(({ name, date }) => [name, date, 'General'].join(sign))].join('\r\n');
        const read = await readCaseList(memorySource('list.csv', bytesOf(text, encoding)), { table: null, idColumn: 'Case', dateColumn: null }, library, plainImport());
        if (!read.ok) throw new Error(read.failure.message);
        const { rowsRead, rowsAccepted, rowsRejected } = read.value;
        expect([rowsRead, rowsAccepted + rowsRejected]).toEqual([rows.length, rows.length]);
        expect(rowsRejected).toBe(rows.filter(({ name }) => name === '').length);
        const open = reconcileCaseList(read.value, library, []);
        const decisions = open.rows.flatMap(({ line, state, proposals }): ListDecision[] => (state === 'to be decided' ? [{ line, caseKey: proposals[chances.next().value ?? 0]?.caseKey ?? null }] : []));
        for (const [result, said] of [[open, []], [reconcileCaseList(read.value, library, decisions), decisions]] as const) {
          expect(result.rows.map(({ line }) => line)).toEqual(rows.map((_, i) => i + 2));
          const keys = result.rows.flatMap(({ caseKey }) => (caseKey === null ? [] : [caseKey]));
          expect(new Set(keys).size).toBe(keys.length);
          for (const row of result.rows) {
            if (row.caseKey === null) continue;
            const given = rows[row.line - 2]!;
            const isPlain = row.caseId === given.name && (given.date === '' || row.caseDate === null || row.caseDate === given.date);
            // What does not fit plainly was decided by a person.
            expect(isPlain || said.some(({ line, caseKey }) => line === row.line && caseKey === row.caseKey)).toBe(true);
            expect(row.decision === 'accepted').toBe(!isPlain || row.proposals.length > 0);
          }
          const missing = result.cases.filter(({ state }) => state === 'not in the list').map(({ caseKey }) => caseKey);
          const proposed = new Set(result.rows.flatMap(({ state, proposals }) => (state === 'to be decided' ? proposals.map(({ caseKey }) => caseKey) : [])));
          for (const { caseKey } of library) expect([keys.includes(caseKey), proposed.has(caseKey), missing.includes(caseKey)].filter(Boolean).length).toBeGreaterThan(0);
          expect(missing.some((key) => keys.includes(key))).toBe(false);
        }
      },
    ),
    { numRuns: 60 },
  );
});
