/* What readers said goes into the tables of a run without a window: the worked example of docs/metrics/confirmed.md, through real files and workers. */
import { spawn } from 'node:child_process';
import { generateKeyPairSync, sign } from 'node:crypto';
import { cp, mkdtemp, readFile, rm, mkdir, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Papa from 'papaparse';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import type { CaseRecord } from '../../core/model/case.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { FourInstants } from '../../core/model/analysis.ts';
import type { CaseBody, ReviewBasis, Verdict } from '../../core/model/review.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { caseFingerprint } from '../../core/review/case-fingerprint.ts';
import { anchorAt, reviewBasisOf } from '../../core/review/review-basis.ts';
import { reviewsFileContent, reviewsFileText, signedText } from '../../core/review/reviews-file.ts';
import { openFolderStore } from '../../electron/host/folder-case-store.ts';
import { createHost } from '../../electron/host/host.ts';
import { SIGNATURES } from '../../electron/host/review-key.ts';
import { importTexts } from '../builders/import-text.ts';
import { sha256, trailOf } from '../builders/sent-reviews.ts';
import { buildStandInPool } from '../builders/stand-in-pool.ts';

let programFolder: string;
let top: string;
beforeAll(async () => {
  programFolder = await mkdtemp(join(tmpdir(), 'lacuna-program-'));
  for (const part of ['headless', 'worker']) await cp(fileURLToPath(new URL(`../../dist/${part}`, import.meta.url)), join(programFolder, part), { recursive: true });
  await writeFile(join(programFolder, 'package.json'), '{ "type": "module" }');
});
afterAll(() => rm(programFolder, { recursive: true, force: true }));
beforeEach(async () => {
  top = await mkdtemp(join(tmpdir(), 'lacuna-reviews-'));
});
afterEach(() => rm(top, { recursive: true, force: true }));

/** Runs the program; `said`: all that it says, on either way out. */
function lacuna(...args: string[]): Promise<{ readonly code: number | null; readonly stderr: string; readonly said: string }> {
  const child = spawn(process.execPath, [join(programFolder, 'headless/main.js'), ...args], { cwd: top });
  let stderr = '';
  let said = '';
  child.stderr.on('data', (chunk: Buffer) => {
    stderr += chunk.toString();
    said += chunk.toString();
  });
  child.stdout.on('data', (chunk: Buffer) => (said += chunk.toString()));
  return new Promise((resolve) => child.on('close', (code) => resolve({ code, stderr, said })));
}

async function table(folder: string, name: string): Promise<Record<string, string>[]> {
  return Papa.parse<Record<string, string>>(await readFile(join(top, folder, name), 'utf8'), { header: true, skipEmptyLines: true }).data;
}

const FINGER = [[600, 650], [1200, 1290], [2000, 2030]] as const;
const EAR = [[1180, 1240], [2400, 2450]] as const;

/** The invented hour; `shift` makes another case of it: the values are others. */
function exported(shift = 0): string {
  const cell = (losses: readonly (readonly [number, number])[], s: number): string => (losses.some(([from, to]) => s >= from && s <= to) ? '' : String(96 + shift + ((s / 10) % 3)));
  return ['seconds,SpO2 finger,SpO2 ear lobe,HR', ...Array.from({ length: 361 }, (_, i) => `${i * 10},${cell(FINGER, i * 10)},${cell(EAR, i * 10)},${60 + (i % 20)}`)].join('\n');
}

async function recordOf(folder: string, text: string): Promise<CaseRecord> {
  const { cases } = await importTexts({ [`${folder}/trends.csv`]: text });
  return cases[0]!;
}

function verdict(basis: ReviewBasis, dropoutId: string, given: Verdict, correctedBounds: FourInstants | null = null): CaseBody {
  return {
    kind: 'verdict', caseKey: basis.caseKey, caseId: basis.caseId, anchor: anchorAt(basis, dropoutId)!, seen: basis.seen, role: 'reading', isBlinded: true, supersedes: null, settles: [],
    judgement: { verdict: given, certainty: given === 'cannot tell' ? null : 'probable', note: given === 'no loss' ? 'cuff of Mrs Example' : '', correctedBounds },
  };
}

/** Writes what one library says of cases as a file that it signs. */
async function reviewsFile(path: string, library: string, cases: readonly { readonly caseKey: string; readonly record: CaseRecord; readonly said: (basis: ReviewBasis) => readonly CaseBody[] }[], changed = (text: string) => text): Promise<void> {
  const { publicKey, privateKey } = generateKeyPairSync('ed25519');
  const x = Buffer.from(publicKey.export({ format: 'jwk' }).x ?? '', 'base64url').toString('hex');
  const trail = trailOf(library, cases.flatMap(({ caseKey, record, said }) => said(reviewBasisOf(caseKey, record, analyzeCase(record, DEFAULT_PARAMETERS, '0.0.0-test'), sha256)).map((body) => ({ by: 'A. Reader', body }))));
  const lines = cases.map(({ caseKey, record }) => [caseKey, { caseKey, caseId: record.caseId, inputDigests: record.sources.map((source) => source.sha256), contentFingerprint: caseFingerprint(record, sha256) }] as const);
  const content = reviewsFileContent({ trail, cases: new Map(lines), notes: 'included', writtenAt: '2031-03-06T08:00:00.000Z', productVersion: '0.0.0-test', sender: { publicKey: x, fingerprint: SIGNATURES.fingerprintOf(x) } }, sha256);
  await writeFile(join(top, path), changed(reviewsFileText(content, sign(null, Buffer.from(signedText(content), 'utf8'), privateKey).toString('hex'))));
}

const said = (basis: ReviewBasis): readonly CaseBody[] => [
  verdict(basis, 'finger@600000', 'cannot tell'),
  verdict(basis, 'finger@600000', 'low perfusion'),
  verdict(basis, 'finger@1200000', 'motion', { lastGoodMs: 1_210_000, firstLostMs: 1_220_000, lastLostMs: 1_290_000, firstGoodMs: 1_300_000 }),
  verdict(basis, 'finger@2000000', 'no loss'),
  verdict(basis, 'ear lobe@1180000', 'motion'),
];

async function givenCases(): Promise<void> {
  for (const [folder, text] of [['K1', exported()], ['K2', exported(1)]] as const) {
    await mkdir(join(top, 'in', folder), { recursive: true });
    await writeFile(join(top, 'in', folder, 'trends.csv'), text);
  }
  const gone = await recordOf('K9', exported(2));
  await reviewsFile('said.lacuna-reviews', 'one', [
    { caseKey: 'a'.repeat(32), record: await recordOf('K1', exported()), said },
    { caseKey: 'b'.repeat(32), record: gone, said: (basis) => [verdict(basis, 'finger@600000', 'motion')] },
  ]);
}

test('tables carry verdicts and confirmed figures; what does not match is listed; without reviews the bytes are as before', async () => {
  await givenCases();
  expect(await lacuna('analyse', 'in', '--out', 'plain')).toMatchObject({ code: 0 });
  const run = await lacuna('analyse', 'in', '--out', 'out', '--reviews', 'said.lacuna-reviews');
  expect(run).toMatchObject({ code: 0 });
  expect(run.stderr).toContain('1 entries of the reviews are about cases that were not read');
  for (const name of ['links.csv', 'exposures.csv', 'dropouts-doubtful-lost.csv', 'low-spo2.csv']) expect(await readFile(join(top, 'out', name), 'utf8'), name).toBe(await readFile(join(top, 'plain', name), 'utf8'));
  // What stood before stands as it was: columns are only added at the end.
  const [plain, more] = await Promise.all([table('plain', 'dropouts.csv'), table('out', 'dropouts.csv')]);
  expect(more.map((row) => Object.fromEntries(Object.entries(row).slice(0, Object.keys(plain[0]!).length)))).toEqual(plain);
  expect(await readFile(join(top, 'plain', 'dropouts.csv'), 'utf8')).not.toContain('review');

  const own = more.filter(({ case_id, site }) => case_id === 'K1' && site !== 'case');
  expect(own.map(({ site, dropout, review, verdict: name, certainty, readers, anchor_state, corrected_first_lost_s, confirmed_lost_mid_s }) => [site, dropout, review, name, certainty, readers, anchor_state, corrected_first_lost_s, confirmed_lost_mid_s])).toEqual([
    ['finger', '1', 'confirmed', 'low perfusion', 'probable', 'A. Reader', 'same', '', '60'],
    ['finger', '2', 'confirmed', 'motion', 'probable', 'A. Reader', 'same', '1220', '80'],
    ['finger', '3', 'refuted', 'no loss', 'probable', 'A. Reader', 'same', '', ''],
    ['ear lobe', '1', 'confirmed', 'motion', 'probable', 'A. Reader', 'same', '', '70'],
    ['ear lobe', '2', 'not reviewed', '', '', '', '', '', ''],
  ]);
  const cases = await table('out', 'cases.csv');
  const figures = (caseId: string) => cases.filter(({ case_id }) => case_id === caseId).map((row) => [row['site'], row['dropouts'], row['lost_mid_s'], row['confirmed_dropouts'], row['confirmed_lost_mid_s'], row['confirmed_share_mid'], row['not_refuted_lost_mid_s'], row['review_not_reviewed']]);
  expect(figures('K1')).toEqual([
    ['finger', '3', '200', '2', '140', String(Number((140 / 3600).toPrecision(6))), '140', '0'],
    ['ear lobe', '2', '130', '1', '70', String(Number((70 / 3600).toPrecision(6))), '130', '1'],
    ['case', '1', '50', '1', '30', String(Number((30 / 3600).toPrecision(6))), '30', '1'],
  ]);
  expect(figures('K2')[0]).toEqual(['finger', '3', '200', '0', '0', '0', '200', '3']);

  const entries = await table('out', 'reviews.csv');
  expect(entries.map(({ case_id, matched, kind, standing, dropout, verdict: name, note }) => [case_id, matched, kind, standing, dropout, name, note])).toEqual([
    ['K1', 'yes', 'verdict', 'superseded', '', 'cannot tell', ''],
    ['K1', 'yes', 'verdict', 'in force', '1', 'low perfusion', ''],
    ['K1', 'yes', 'verdict', 'in force', '2', 'motion', ''],
    ['K1', 'yes', 'verdict', 'in force', '3', 'no loss', ''],
    ['K1', 'yes', 'verdict', 'in force', '1', 'motion', ''],
    ['K9', 'no', 'verdict', 'not matched', '', 'motion', ''],
  ]);
  const dictionary = await readFile(join(top, 'out', 'data-dictionary.md'), 'utf8');
  for (const column of [...Object.keys(more[0]!), ...Object.keys(cases[0]!), ...Object.keys(entries[0]!)]) expect(dictionary, column).toContain(`| \`${column}\` |`);
  expect(JSON.parse(await readFile(join(top, 'out', 'parameters.json'), 'utf8'))).toMatchObject({ reviews: [{ file: 'said.lacuna-reviews', entries: 6 }] });

  // Free text is written only where identifiers are; and a run without reviews takes their table away.
  await lacuna('analyse', 'in', '--out', 'out', '--keep-identifiers', '--reviews', 'said.lacuna-reviews');
  expect((await table('out', 'reviews.csv')).map(({ note }) => note)).toContain('cuff of Mrs Example');
  await lacuna('analyse', 'in', '--out', 'out');
  await expect(readFile(join(top, 'out', 'reviews.csv'))).rejects.toThrow('ENOENT');
});

test('a cohort on computed, confirmed, and both side by side; two runs give the same bytes', async () => {
  await givenCases();
  const cohort = (out: string, ...more: string[]) => lacuna('cohort', 'in', '--out', out, '--draws', '100', '--reviews', 'said.lacuna-reviews', ...more);
  expect(await cohort('both', '--dropouts', 'both')).toMatchObject({ code: 0 });
  const finger = (await table('both', 'cohort-burden.csv')).filter(({ scope, site }) => scope === 'all' && site === 'finger');
  expect(finger.map(({ dropouts_of, doubtful_lost, dropouts, lost_mid_s, review_not_reviewed }) => [dropouts_of, doubtful_lost, dropouts, lost_mid_s, review_not_reviewed])).toEqual([
    ['computed', 'no', '6', '400', '3'],
    ['computed', 'yes', '6', '400', '3'],
    ['confirmed', 'no', '2', '140', '3'],
    ['not refuted', 'no', '5', '340', '3'],
  ]);
  expect(await cohort('confirmed', '--dropouts', 'confirmed')).toMatchObject({ code: 0 });
  expect((await table('confirmed', 'cohort-restoration.csv')).every(({ dropouts_of }) => dropouts_of === 'confirmed')).toBe(true);
  // A plan is made from the same dropouts: of 0.0389 and 0 at the finger, 0.0194 and 0 at the ear.
  await writeFile(join(top, 'plan.json'), JSON.stringify({ firstKey: 'finger', secondKey: 'ear lobe', sizes: [10], draws: 100 }));
  await cohort('plan', '--dropouts', 'confirmed', '--next-study', 'plan.json');
  await cohort('plan-computed', '--next-study', 'plan.json');
  expect(await readFile(join(top, 'plan', 'next-study.csv'), 'utf8')).not.toBe(await readFile(join(top, 'plan-computed', 'next-study.csv'), 'utf8'));
  const methods = await readFile(join(top, 'confirmed', 'methods.md'), 'utf8');
  expect(methods).toContain('Of 10 computed dropouts in the analysed cases 3 are confirmed (1 with corrected bounds, 0 of these too short to count), 1 refuted, 0 cannot be told, 0 disputed between readers, 6 not reviewed');
  expect(methods).toContain('Every figure is of confirmed dropouts');
  const dictionary = await readFile(join(top, 'both', 'cohort-dictionary.md'), 'utf8');
  for (const column of Object.keys(finger[0]!)) expect(dictionary, column).toContain(`| \`${column}\` |`);
  await cohort('again', '--dropouts', 'both', '--workers', '1');
  for (const name of ['cohort-burden.csv', 'cohort-cases.csv', 'reviews.csv', 'methods.md']) expect(await readFile(join(top, 'again', name), 'utf8'), name).toBe(await readFile(join(top, 'both', name), 'utf8'));
});

test('what is wrong with reviews is said, and nothing is written', async () => {
  await givenCases();
  expect(await lacuna('cohort', 'in', '--out', 'out', '--dropouts', 'confirmed')).toMatchObject({ code: 2, stderr: expect.stringContaining('--dropouts confirmed needs --reviews') as string });
  expect(await lacuna('analyse', 'in', '--out', 'out', '--reviews', 'nothing.lacuna-reviews')).toMatchObject({ code: 2, stderr: expect.stringContaining('The reviews file cannot be read (ENOENT): nothing.lacuna-reviews') as string });
  await reviewsFile('altered.lacuna-reviews', 'one', [{ caseKey: 'a'.repeat(32), record: await recordOf('K1', exported()), said }], (text) => text.replace('"motion"', '"no loss"'));
  expect(await lacuna('analyse', 'in', '--out', 'out', '--reviews', 'altered.lacuna-reviews')).toMatchObject({ code: 2, stderr: expect.stringContaining('The signature of the file does not fit its content') as string });
  await expect(readFile(join(top, 'out', 'cases.csv'))).rejects.toThrow('ENOENT');
});

test('a case that a reader flagged is left out of a cohort and counted in its flow', async () => {
  await givenCases();
  const record = await recordOf('K1', exported());
  await reviewsFile('flags.lacuna-reviews', 'one', [{ caseKey: 'a'.repeat(32), record, said: ({ caseKey, caseId, seen }) => [{ kind: 'flags', caseKey, caseId, flags: ['exclude from figures'], note: '', seen }] }]);
  expect(await lacuna('cohort', 'in', '--out', 'out', '--draws', '100', '--reviews', 'flags.lacuna-reviews')).toMatchObject({ code: 0 });
  expect(await table('out', 'cohort-flow.csv')).toContainEqual(expect.objectContaining({ step: 'usable', cases: '1', left_out_because: 'flagged by a reader: exclude from figures', case_ids: 'K1' }));
});

/** Makes a library that is a folder with the case of an invented hour under `name`, on which one reader has said something, blinded. */
async function libraryOf(folder: string, name: string, by: string, verdicts: Readonly<Record<string, Verdict>>): Promise<void> {
  const store = await openFolderStore(join(top, folder));
  const record = await recordOf(name, exported());
  const { caseKey } = await store.save(record, analyzeCase(record, DEFAULT_PARAMETERS, '0.0.0-test'));
  const host = createHost({ store, productVersion: '0.0.0-test', door: 'browser', samplesFolder: top, casesAtOnce: 1, startPool: () => buildStandInPool({}) });
  for (const [dropoutId, given] of Object.entries(verdicts)) await host.giveVerdict({ caseKey, dropoutId, by, blinded: true, judgement: { verdict: given, certainty: 'probable', note: 'seen in the room', correctedBounds: null } });
  await host.close();
}

test('reviews leave one library, come into another once their sender is confirmed, and how far readers agree is said, without a window', async () => {
  await libraryOf('east', 'east-1', 'Ada', { 'finger@600000': 'motion', 'finger@1200000': 'motion', 'ear lobe@1180000': 'low perfusion' });
  await libraryOf('west', 'west-9', 'Ben', { 'finger@600000': 'motion', 'finger@1200000': 'no loss' });
  const sent = await lacuna('library', 'reviews', 'east', '--out', 'sent.json', '--by', 'Ada', '--without-notes');
  expect(sent).toMatchObject({ code: 0, said: expect.stringMatching(/3 verdicts in 3 entries of 1 cases.*\(Ada\)[^]*3 notes are left out/) as string });
  expect(await readFile(join(top, 'sent.json'), 'utf8')).not.toContain('seen in the room');
  const fingerprint = /goes: ([0-9a-f ]+)/.exec(sent.said)?.[1]?.trim() ?? '';
  expect(fingerprint.replaceAll(' ', '')).toMatch(/^[0-9a-f]{64}$/);
  expect(await lacuna('library', 'reviews', 'east', '--out', 'sent.json', '--by', 'Ada')).toMatchObject({ code: 1, said: expect.stringContaining('sent.json is there already') as string });

  const receive = (...more: string[]) => lacuna('library', 'receive', 'west', 'sent.json', '--by', 'Ben', ...more);
  expect(await receive()).toMatchObject({ code: 1, said: expect.stringMatching(new RegExp(`${fingerprint}, which nobody has confirmed here yet[^]*Nothing was taken`)) as string });
  expect(await receive('--confirm', 'ab'.repeat(32))).toMatchObject({ code: 1, said: expect.stringContaining('the fingerprint that was compared is another') as string });
  expect(await receive('--confirm', fingerprint, '--label', 'the east wing')).toMatchObject({ code: 0, said: expect.stringContaining('3 entries are new, 0 were here already. 1 of 1 cases are in this library.') as string });
  expect(await receive()).toMatchObject({ code: 0, said: expect.stringMatching(/known as “the east wing”[^]*0 entries are new, 3 were here already/) as string });

  const agreed = await lacuna('library', 'agreement', 'west', '--out', 'agreed', '--draws', '100');
  expect(agreed).toMatchObject({ code: 0, said: expect.stringContaining('Ada (received from the east wing) and Ben: 2 dropouts of 1 cases read by both, blinded; 0 more not blinded') as string });
  // By hand: of two dropouts one agrees; loss against no loss once of two.
  const rows = await table('agreed', 'agreement.csv');
  expect(rows.filter(({ figure }) => figure === 'percent agreement').map(({ scale, estimate, dropouts, cases }) => [scale, estimate, dropouts, cases])).toEqual([
    ['kind of verdict', '0.5', '2', '1'], ['loss, no loss or cannot tell', '0.5', '2', '1'], ['loss or no loss', '0.5', '2', '1'],
  ]);
  const pairs = (await table('agreed', 'verdict-table.csv')).filter(({ scale, dropouts }) => scale === 'loss or no loss' && dropouts !== '0');
  expect(pairs.map(({ first_verdict, second_verdict, dropouts }) => [first_verdict, second_verdict, dropouts])).toEqual([['loss', 'loss', '1'], ['loss', 'no loss', '1']]);
  const dictionary = await readFile(join(top, 'agreed', 'agreement-dictionary.md'), 'utf8');
  for (const column of Object.keys(rows[0]!)) expect(dictionary, column).toContain(`| \`${column}\` |`);

  await writeFile(join(top, 'altered.json'), (await readFile(join(top, 'sent.json'), 'utf8')).replace('"motion"', '"no loss"'));
  expect(await lacuna('library', 'receive', 'west', 'altered.json', '--by', 'Ben')).toMatchObject({ code: 1, said: expect.stringContaining('The signature of the file does not fit its content') as string });
  expect(await lacuna('library', 'agreement', 'nowhere', '--out', 'out')).toMatchObject({ code: 1, said: expect.stringContaining('There is no library nowhere') as string });
  expect(await lacuna('verify', 'west')).toMatchObject({ code: 0 });
});

test('case sheets and the department report carry verdicts and no reader’s name; a bundle has them, and verifies with the same reviews only', async () => {
  await givenCases();
  const reviews = ['--reviews', 'said.lacuna-reviews'];
  expect(await lacuna('report', 'case', 'in', '--out', 'sheets', ...reviews)).toMatchObject({ code: 0 });
  const sheet = await readFile(join(top, 'sheets', 'case-sheet-001.html'), 'utf8');
  for (const said of ['confirmed: low perfusion, probable (1 reader)', 'confirmed: motion, probable (1 reader, bounds corrected)', 'refuted: no loss, probable (1 reader)', 'not reviewed', 'Of 5 computed losses 3 confirmed (1 with corrected bounds), 1 refuted, 1 not reviewed; 1 reader.', 'finger, confirmed']) expect(sheet).toContain(said);
  expect(sheet).not.toContain('A. Reader');
  expect(sheet).not.toContain('Mrs Example');

  expect(await lacuna('report', 'department', 'in', '--out', 'dept', '--draws', '100', ...reviews)).toMatchObject({ code: 0 });
  const report = (await readFile(join(top, 'dept', 'department-report.html'), 'utf8')).replaceAll('\u00a0', ' ');
  for (const said of ['What readers said', 'Of 10 computed losses 3 confirmed (1 with corrected bounds), 1 refuted, 6 not reviewed', 'Computed and confirmed losses side by side', 'No two readers have read a loss in common']) expect(report).toContain(said);
  // The figures of cohort-burden.csv above: 400 s computed, 140 s confirmed, 340 s not refuted at the finger.
  const rows = [...report.matchAll(/<tr><th scope="row">finger<\/th><td(?: class="short")?>(computed|confirmed|not refuted)<\/td><td class="end">(\d+)<\/td><td class="end">([^<]*)<\/td>/g)].map(([, of, number, lost]) => [of, number, lost]);
  expect(rows).toEqual([['computed', '6', '6 min 40 s'], ['confirmed', '2', '2 min 20 s'], ['not refuted', '5', '5 min 40 s']]);
  expect(report).not.toContain('A. Reader');

  expect(await lacuna('bundle', 'in', '--out', 'bundle', '--draws', '100', '--dropouts', 'both', ...reviews)).toMatchObject({ code: 0 });
  const said = await table('bundle/tables', 'reviews.csv');
  expect(said.map(({ verdict: name }) => name)).toContain('low perfusion');
  // Codes stand for readers in what is handed over.
  expect(new Set(said.map(({ reader }) => reader?.replace(/[0-9a-z]{10}$/, 'CODE')))).toEqual(new Set(['reader-CODE']));
  const without = await lacuna('bundle', 'verify', 'bundle', '--inputs', 'in');
  expect(without).toMatchObject({ code: 1, stderr: expect.stringContaining('said.lacuna-reviews is missing: the bundle was made with it. Name it with --reviews.') as string });
  expect(await lacuna('bundle', 'verify', 'bundle', '--inputs', 'in', ...reviews)).toMatchObject({ code: 0 });
});
