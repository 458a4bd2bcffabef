import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { strFromU8, unzipSync } from 'fflate';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { DEFAULT_COHORT_OPTIONS } from '../../../../core/model/cohort-options.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { isAsked } from '../../../../core/model/release.ts';
import type { ReportDocument } from '../../../../core/model/report-document.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { HOST_METHODS } from '../../../../core/protocol/host-api-schema.ts';
import { openFolderStore } from '../../../../electron/host/folder-case-store.ts';
import { createHost, type Host } from '../../../../electron/host/host.ts';
import { savedBundle } from '../../../builders/saved-bundle.ts';
import { buildStandInPool } from '../../../builders/stand-in-pool.ts';
import { buildTwoSensorCase } from '../../../builders/two-sensor-case.ts';

const jobId = 'ab'.repeat(16);
const OPTIONS = { ...DEFAULT_COHORT_OPTIONS, draws: 100, dropouts: 'both' } as const;
const WISHES = { header: '', paper: 'A4', relativeTime: false } as const;
const NOBODY = { by: null, blinded: false };
const MOTION = { verdict: 'motion', certainty: 'probable', note: 'said Mrs Example', correctedBounds: null } as const;

let folder = '';
let host: Host;
let keys: Readonly<Record<string, string>> = {};

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-reports-'));
  const store = await openFolderStore(join(folder, 'library'));
  for (const record of [buildTwoSensorCase('L-1', [60, 72], [200, 206]), buildTwoSensorCase('L-2', [90, 120], [10, 10])]) await store.save(record, analyzeCase(record, DEFAULT_PARAMETERS, '1.2.3'));
  host = createHost({ store, productVersion: '1.2.3', door: 'browser', casesAtOnce: 2, samplesFolder: folder, startPool: () => buildStandInPool({}) });
  keys = Object.fromEntries((await host.listCases()).map(({ caseId, caseKey }) => [caseId, caseKey]));
});
afterEach(async () => {
  await host.close();
  await rm(folder, { recursive: true, force: true });
});

/** Two readers, both blinded, on every dropout of a case: 3 of 3 alike in L-1 and L-2. */
async function readByTwo(caseId: string, readers: readonly string[] = ['A. Reader', 'B. Reader']): Promise<void> {
  const caseKey = keys[caseId] ?? '';
  const { dropouts } = await host.readReview({ caseKey, by: null, blinded: false });
  for (const by of readers) for (const { dropoutId } of dropouts) await host.giveVerdict({ caseKey, dropoutId, by, judgement: MOTION, blinded: true });
}

async function bundle(over: Partial<Parameters<Host['researchBundle']>[0]> = {}): Promise<Readonly<Record<string, string>>> {
  const args = HOST_METHODS.researchBundle.args.parse({ jobId, caseKeys: null, options: OPTIONS, relativeTime: false, robustness: false, withReviews: true, ...over });
  const made = HOST_METHODS.researchBundle.reply.parse(await host.researchBundle(args));
  const files = unzipSync(await savedBundle(host, made.bundleId));
  expect(Object.keys(files).sort()).toEqual([...made.files].sort());
  return Object.fromEntries(Object.entries(files).map(([name, bytes]) => [name, strFromU8(bytes, true)]));
}

const wordsOf = ({ blocks }: ReportDocument): string => JSON.stringify(blocks);

test('a bundle holds what readers said under codes, without their free text, and the same library gives the same bytes', async () => {
  await readByTwo('L-1');
  const files = await bundle();
  const rows = (files['tables/reviews.csv'] ?? '').trim().split('\r\n').map((row) => row.split(','));
  const at = (name: string): number => rows[0]?.indexOf(name) ?? -1;
  expect(rows).toHaveLength(1 + 4);
  const readers = new Set(rows.slice(1).map((row) => row[at('reader')]));
  expect(readers.size).toBe(2);
  for (const reader of readers) expect(reader).toMatch(/^reader-[0-9a-z]{10}$/);
  expect(new Set(rows.slice(1).map((row) => row[at('verdict')]))).toEqual(new Set(['motion']));
  for (const [name, text] of Object.entries(files)) for (const said of ['A. Reader', 'B. Reader', 'Mrs Example']) expect(`${name}: ${String(text.includes(said))}`).toBe(`${name}: false`);
  expect(files['tables/dropouts.csv']).toContain(',confirmed,motion,');
  expect(files['tables/cohort-burden.csv']).toContain('not refuted');
  expect(files['methods.md']).toContain('Reviews are those of the library that the cases come from');
  expect(JSON.parse(files['parameters.json'] ?? '')).toMatchObject({ library_reviews: { entries: 4, last: expect.stringMatching(/^[0-9a-f]{64}$/) as string } });
  expect(await bundle()).toEqual(files);
});

test('sheets of several cases come in the order of their names, each as one alone, with what may be seen; what cannot be read is told', async () => {
  await readByTwo('L-1');
  const view = { by: 'C. Reader', blinded: false };
  const args = HOST_METHODS.caseSheets.args.parse({ jobId, caseKeys: [keys['L-2'], keys['L-1'], keys['L-2'], 'ef'.repeat(16)], wishes: WISHES, view });
  const { sheets, leftOut } = HOST_METHODS.caseSheets.reply.parse(await host.caseSheets(args));
  expect(sheets.map(({ caseId, pages, notInFont }) => [caseId, pages, notInFont])).toEqual([['L-1', 1, ''], ['L-2', 1, '']]);
  for (const { caseKey, document } of sheets) expect(document).toEqual((await host.caseSheet({ caseKey, parameters: await host.getParameters(), wishes: WISHES, view })).document);
  expect(wordsOf(sheets[0]!.document)).toContain('confirmed: motion, probable (2 readers)');
  expect(leftOut).toEqual([{ caseId: '', reason: expect.any(String) as string }]);
  // That a reader was shown what others said is noted; who reads blinded is shown nothing of it.
  expect((await host.readReview({ caseKey: keys['L-1'] ?? '', by: 'C. Reader', blinded: true })).hidden).toEqual([]);
  const [blinded] = (await host.caseSheets({ ...args, view: { by: 'D. Reader', blinded: true } })).sheets;
  expect(wordsOf(blinded!.document)).not.toContain('confirmed: motion');
  await expect(host.caseSheets({ ...args, caseKeys: Array.from({ length: 101 }, (_, i) => i.toString(16).padStart(16, '0')) })).rejects.toMatchObject({ code: 'too-many-sheets' });

  const written = { sheets: { title: 'Case sheets of 2 cases', documents: sheets.map(({ document }) => document) }, fileName: 'case-sheets' };
  await expect(host.writeSheets({ ...written, answers: [], form: 'pdf' })).rejects.toMatchObject({ code: 'release-open' });
  const list = await host.listRelease({ content: { kind: 'sheets', sheets: written.sheets }, answers: [] });
  const asked = list.tokens.filter(({ kind }) => isAsked(kind));
  expect(asked.find(({ text }) => text === 'L')).toMatchObject({ kind: 'unknown word', place: 'sheet 1: line below the title', count: 2 });
  const answers = asked.map(({ kind, text }) => ({ kind, text, decision: 'replace' as const, with: 'Case' }));
  const html = HOST_METHODS.writeSheets.reply.parse(await host.writeSheets(HOST_METHODS.writeSheets.args.parse({ ...written, answers, form: 'html' })));
  const text = Buffer.from(html.base64, 'base64').toString('utf8');
  expect([html.fileName, text.match(/<section class="sheet"/g)?.length, text.includes('L-1')]).toEqual(['case-sheets.html', 2, false]);
});

test('without reviews nothing in a bundle is of readers, whatever losses were asked for', async () => {
  await readByTwo('L-1');
  const files = await bundle({ withReviews: false });
  expect(Object.keys(files)).not.toContain('tables/reviews.csv');
  expect((files['tables/dropouts.csv'] ?? '').split('\r\n')[0]).not.toContain('verdict');
  expect(JSON.parse(files['parameters.json'] ?? '')).not.toHaveProperty('library_reviews');
  expect(files['tables/cohort-burden.csv']).not.toContain('confirmed');
});

test('a department report says how far two readers agree over its own cases, as far as who makes it may see', async () => {
  const report = async (caseKeys: readonly string[] | null, view: { readonly by: string | null; readonly blinded: boolean }, dropouts: 'computed' | 'both' = 'both') =>
    wordsOf(HOST_METHODS.departmentReport.reply.parse(await host.departmentReport(HOST_METHODS.departmentReport.args.parse({ jobId, caseKeys, options: { ...OPTIONS, dropouts }, wishes: WISHES, view }))).document);
  await readByTwo('L-1');
  await readByTwo('L-2', ['A. Reader']);
  const open = await report(null, NOBODY);
  expect(open).toContain('What readers said');
  expect(open).toContain('How far two readers agree, both blinded');
  expect(open).not.toContain('A. Reader');
  expect(open).not.toContain('is hidden from the reader');
  // Nobody read the other case twice.
  expect(await report([keys['L-2'] ?? ''], NOBODY)).toContain('No two readers have read a loss in common');
  // What others said stays hidden from one who has not read it.
  const blinded = await report(null, { by: 'C. Reader', blinded: true });
  expect(blinded).toContain('What others said of 2 cases is hidden from the reader who made this report');
  expect(blinded).not.toContain('How far two readers agree');
  expect(await report(null, NOBODY, 'computed')).not.toContain('What readers said');
});
