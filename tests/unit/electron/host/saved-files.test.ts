import { createHash } from 'node:crypto';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { unzipSync } from 'fflate';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { DEFAULT_COHORT_OPTIONS } from '../../../../core/model/cohort-options.ts';
import type { ReleaseAnswer } from '../../../../core/model/release.ts';
import type { ReportDocument } from '../../../../core/model/report-document.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { HOST_METHODS } from '../../../../core/protocol/host-api-schema.ts';
import type { CaseStore } from '../../../../electron/host/case-store.ts';
import { createHost, type Host } from '../../../../electron/host/host.ts';
import { savedDetail } from '../../../../electron/host/saved-detail.ts';
import { LIBRARY_KINDS } from '../../../builders/library-kinds.ts';
import { keepAll } from '../../../builders/saved-bundle.ts';
import { buildStandInPool } from '../../../builders/stand-in-pool.ts';
import { buildCaseRecord } from '../../../builders/stored-case.ts';
import { buildSampleStory } from '../../../builders/sample-story.ts';

const NAME = 'Quillfeather';
const DOCUMENT: ReportDocument = { title: 'Case sheet', subtitle: '', language: 'en', header: '', footer: '', paper: 'A4', isDense: true, blocks: [{ kind: 'paragraph', tone: 'plain', text: `Told by ${NAME} at 14:32 on 3 March 2031.` }] };
const ANSWERS: readonly ReleaseAnswer[] = [
  { kind: 'name', text: NAME, decision: 'replace', with: 'the nurse' }, { kind: 'clock time', text: '14:32', decision: 'leave out', with: '' }, { kind: 'date', text: '3 March 2031', decision: 'keep', with: '' },
];
const JOB = 'ab'.repeat(16);

let folder = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-releases-'));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

describe.each(LIBRARY_KINDS)('what leaves a library that is $kind', ({ open }) => {
  let store: CaseStore;
  let host: Host;
  beforeEach(async () => {
    store = await open(join(folder, 'library.lacuna'));
    for (const caseId of ['C-1', 'C-2']) await store.save(buildCaseRecord({ caseId }), null);
    host = createHost({
      store, productVersion: '1.2.3', door: 'browser', casesAtOnce: 2, samplesFolder: folder, now: () => new Date(Date.UTC(2031, 2, 4)),
      startPool: () => buildStandInPool({ analyze: (record, parameters) => Promise.resolve(analyzeCase(record, parameters, 'test')) }),
    });
  });
  afterEach(() => host.close());

  const acts = async () => (await host.listTrail({ before: null, limit: 20, by: null, blinded: false })).entries.map(({ entry }) => (entry.kind === 'act' ? `${entry.by}: ${entry.act}: ${entry.detail}` : entry.kind));
  const digestOf = (base64: string): string => createHash('sha256').update(Buffer.from(base64, 'base64')).digest('hex');

  test('a report is in the trail: what, of which case, how many words, the digest of its bytes, and no word of it', async () => {
    const [{ caseKey } = { caseKey: '' }] = await host.listCases();
    const written = await host.writeReport({ document: DOCUMENT, answers: ANSWERS, form: 'html', fileName: 'case-sheet', caseKeys: [caseKey], by: 'Reader One' });
    // By hand: Case, sheet, Told, by, the, nurse, at, on and the date are in the file; the name and the clock time are not.
    const [act, ...none] = await acts();
    expect(none).toEqual([]);
    expect(act).toBe(`Reader One: file written out: case sheet, html; 1 case: ${caseKey.slice(0, 12)}; 11 words listed, 3 asked about, 1 kept, 1 replaced, 1 left out; sha-256 ${digestOf(written.base64)}`);
    const { entries } = await host.listTrail({ before: null, limit: 1, by: null, blinded: false });
    expect(entries[0]?.entry).toMatchObject({ caseKey, at: '2031-03-04T00:00:00.000Z' });
    expect(JSON.stringify(entries)).not.toMatch(new RegExp(`${NAME}|the nurse|14:32|C-1`));
    expect((await host.checkTrail({ head: null })).problems).toEqual([]);
  });

  test('what is refused leaves no entry, and a trail that cannot be written lets nothing out', async () => {
    await expect(host.writeReport({ document: DOCUMENT, answers: [], form: 'html', fileName: 'case-sheet' })).rejects.toMatchObject({ code: 'release-open' });
    expect(await acts()).toEqual([]);
    store.reviews.add = () => Promise.reject(new Error('disk'));
    await expect(host.writeReport({ document: DOCUMENT, answers: ANSWERS, form: 'html', fileName: 'case-sheet' })).rejects.toThrow('disk');
  });

  test('slides name their story by its id, and the cases of it', async () => {
    const keys = (await host.listCases()).map(({ caseKey }) => caseKey);
    const story = buildSampleStory([], { title: `The day of ${NAME}`, revision: 0 });
    await store.stories.keep(story);
    await host.writeDeck({ deck: { title: 'Slides', language: 'en', header: '', footer: '', slides: [] }, answers: [], form: 'html', picture: 0, storyId: story.storyId });
    expect((await acts())[0]).toMatch(new RegExp(`^this computer: file written out: slides of story ${story.storyId.slice(0, 8)}, html; .* words listed, 0 asked about`));
    expect(keys).toHaveLength(2);
    expect(JSON.stringify(await host.listTrail({ before: null, limit: 5, by: null, blinded: false }))).not.toContain(NAME);
  });

  test('a bundle stays with the host until each of its words is kept, leaves as it was made, and another one takes its place', async () => {
    const options = { ...DEFAULT_COHORT_OPTIONS, draws: 100 };
    const made = HOST_METHODS.researchBundle.reply.parse(await host.researchBundle({ jobId: JOB, caseKeys: null, options, relativeTime: false, robustness: false, withReviews: false }));
    const { bundleId } = made;
    expect(JSON.stringify(made)).not.toContain('base64');
    const list = HOST_METHODS.listBundle.reply.parse(await host.listBundle({ bundleId, answers: [] }));
    expect(list.isKeepOnly).toBe(true);
    expect(list.tokens.filter(({ kind }) => kind === 'identifier').map(({ text }) => text)).toEqual(expect.arrayContaining(['C-1', 'C-2']));
    await expect(host.writeBundle({ bundleId, answers: [] })).rejects.toMatchObject({ code: 'release-open', remedy: expect.stringContaining('make the bundle anew') as unknown });
    expect(await acts()).toEqual([]);
    const answers = keepAll(list);
    const written = await host.writeBundle({ bundleId, answers, by: 'Reader One' });
    expect(Object.keys(unzipSync(Buffer.from(written.base64, 'base64'))).sort()).toEqual([...made.files].sort());
    expect(Buffer.from(written.base64, 'base64')).toHaveLength(made.byteLength);
    expect((await acts())[0]).toMatch(new RegExp(`^Reader One: file written out: research bundle, zip; 2 cases: .*; ${list.tokens.length} words listed, ${list.open} asked about, ${list.open} kept, 0 replaced, 0 left out; sha-256 ${digestOf(written.base64)}$`));
    const other = await host.researchBundle({ jobId: JOB, caseKeys: null, options, relativeTime: true, robustness: false, withReviews: false });
    await expect(host.listBundle({ bundleId, answers: [] })).rejects.toMatchObject({ code: 'bundle-gone' });
    expect((await host.listBundle({ bundleId: other.bundleId, answers: [] })).open).toBeLessThan(list.open);
  }, 60_000);
});

test('of very many cases the trail says their number and the digest of their keys, the same in any order', () => {
  const keys = Array.from({ length: 30 }, (_, i) => String(i).padStart(32, '0'));
  const saved = { what: 'research bundle, zip', tally: { listed: 1, asked: 0, kept: 0, replaced: 0, leftOut: 0 }, bytes: new Uint8Array() };
  expect(savedDetail({ ...saved, caseKeys: keys })).toBe(savedDetail({ ...saved, caseKeys: [...keys].reverse() }));
  expect(savedDetail({ ...saved, caseKeys: keys })).toMatch(/30 cases, digest of their keys [0-9a-f]{12};/);
  expect(savedDetail({ ...saved, caseKeys: null })).toContain('cases not named');
});
