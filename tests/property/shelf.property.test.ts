import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import { planCases } from '../../core/pipeline/plan-cases.ts';
import { importFiles, readFile } from '../../core/pipeline/import-files.ts';
import { buildPlannedCase } from '../../core/pipeline/build-planned-case.ts';
import { completeReports } from '../../core/pipeline/complete-reports.ts';
import { encodeCase } from '../../core/persist/case-bytes.ts';
import type { ByteSource, ImportOutcome } from '../../core/readers/reader.ts';
import type { FileReading } from '../../core/readers/reading.ts';
import { fromShelf, openShelf, rejectedRowsOf } from '../../core/worker/shelf-file.ts';
import { memorySource, plainImport } from '../builders/byte-source.ts';

/*
 * An import that puts away what it reads gives what one gives that holds everything in memory, however little it may hold:
 * tables of several cases whose rows stand in any order, repeat and contradict one another, beside drugs and events in other files.
 */

const folder = mkdtempSync(join(tmpdir(), 'lacuna-shelf-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const stamp = (second: number): string => `2031-03-04 ${String(8 + Math.floor(second / 3600)).padStart(2, '0')}:${String(Math.floor(second / 60) % 60).padStart(2, '0')}:${String(second % 60).padStart(2, '0')}`;
const caseId = fc.constantFrom('K1', 'K2', 'K3', 'MRN 20311234');
const value = fc.oneof({ weight: 8, arbitrary: fc.integer({ min: 60, max: 100 }).map(String) }, { weight: 2, arbitrary: fc.constantFrom('', '---', '0', '32767', 'sensor off', '12345678') });

const longTable = fc
  .array(fc.tuple(fc.integer({ min: 0, max: 400 }), caseId, fc.constantFrom('SpO2 finger', 'SpO2 ear', 'HR', 'Pulse', 'Phenylephrine', 'Event', 'Flow X'), value), { minLength: 4, maxLength: 900 })
  .map((rows) => ['Time,Case,Parameter,Value', ...rows.map(([second, own, name, text]) => `${stamp(second)},${own},${name},${text}`)].join('\n'));

const wideTable = fc
  .array(fc.tuple(fc.integer({ min: 0, max: 400 }), caseId, value, value), { minLength: 4, maxLength: 700 })
  .map((rows) => ['Time,Case,SpO2 (%),HR,Note', ...rows.map(([second, own, a, b]) => `${stamp(second)},${own},${a},${b},${second % 50 === 0 ? `asked Dr ${own}` : ''}`)].join('\n'));

const events = fc
  .array(fc.tuple(fc.integer({ min: 0, max: 400 }), caseId), { maxLength: 20 })
  .map((rows) => ['Time,Case,Event', ...rows.map(([second, own]) => `${stamp(second)},${own},Head down 20 degrees`)].join('\n'));

/** Reads, plans and builds as the workers do, each file with a shelf that holds `heldBytes` of growing columns. */
async function throughShelves(sources: readonly ByteSource[], heldBytes: number): Promise<ImportOutcome> {
  const readings: FileReading[] = [];
  const paths: string[] = [];
  for (const [i, source] of sources.entries()) {
    const path = join(folder, `${i}.shelf`);
    const shelf = openShelf({ path, heldBytes }, () => undefined);
    // As they cross to the host and back.
    const own = structuredClone(await readFile(source, { ...plainImport(), shelf }));
    shelf.close();
    readings.push(...own);
    paths.push(...own.map(() => path));
  }
  const plan = planCases(readings);
  const built = [];
  for (const planned of plan.cases) {
    const parts = await Promise.all(planned.parts.map(async ({ file, reading }) => ({ file: readings[file]!, reading: await fromShelf(paths[file]!, readings[file]!.cases[reading]!) })));
    built.push(buildPlannedCase(planned, parts));
  }
  const rows = await Promise.all(readings.map((reading, i) => rejectedRowsOf(paths[i]!, reading)));
  const cases = built.map(({ record }) => record).sort((a, b) => (a.caseId < b.caseId ? -1 : 1));
  return { cases, files: completeReports(readings, plan, built), rejectedRows: rows.flat() };
}

describe('what is put away while a file is read', () => {
  it('comes back as it would have stayed, whatever may be held', async () => {
    await fc.assert(
      fc.asyncProperty(fc.oneof(longTable, wideTable), events, fc.constantFrom(1, 5000, 60_000, Infinity), async (table, log, heldBytes) => {
        const sources = [memorySource('f/table.csv', new TextEncoder().encode(table), 777), memorySource('f/log.csv', new TextEncoder().encode(log))];
        const whole = await importFiles(sources, plainImport());
        const shelved = await throughShelves(sources, heldBytes);
        expect(shelved.files).toEqual(whole.files);
        expect(shelved.rejectedRows).toEqual(whole.rejectedRows);
        expect(shelved.cases.map(({ caseId: id }) => id)).toEqual(whole.cases.map(({ caseId: id }) => id));
        for (const [i, record] of shelved.cases.entries()) expect(Buffer.compare(encodeCase(record, null), encodeCase(whole.cases[i]!, null)), record.caseId).toBe(0);
      }),
      { numRuns: 60 },
    );
  }, 240_000);
});
