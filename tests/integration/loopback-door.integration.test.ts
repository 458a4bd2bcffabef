import { mkdtemp, rm } from 'node:fs/promises';
import { request } from 'node:http';
import type { IncomingHttpHeaders } from 'node:http';
import { connect } from 'node:net';
import { networkInterfaces, tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { FilePreview } from '../../core/model/file-preview.ts';
import type { KnownTerms } from '../../core/model/known-terms.ts';
import type { Mapping } from '../../core/model/mapping.ts';
import { DEFAULT_COHORT_OPTIONS } from '../../core/model/cohort-options.ts';
import type { CohortResults } from '../../core/model/cohort-results.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { CaseReview, ReviewState, SealedEntry, TrailCheck } from '../../core/model/review.ts';
import type { SiteCohort } from '../../core/model/site-cohort.ts';
import type { SiteDetail } from '../../core/model/site-detail.ts';
import type { UnitFunnel } from '../../core/model/unit-funnel.ts';
import { decodeCase } from '../../core/persist/case-bytes.ts';
import type { LedgerImport, LedgerLine } from '../../core/model/ledger.ts';
import { DEFAULT_NEXT_STUDY, type PlannedStudy } from '../../core/model/next-study.ts';
import { HOST_METHODS, hostEventSchema } from '../../core/protocol/host-api-schema.ts';
import type { CaseSummary, ComparedChange, HostEvent, ImportResult, QualityAnswer } from '../../core/protocol/host-api.ts';
import type { Host } from '../../electron/host/host.ts';
import { startHost } from '../../electron/host/start-host.ts';
import { startServer } from '../../electron/loopback/server.ts';
import type { RunningServer } from '../../electron/loopback/server.ts';

const ROOT = new URL('../../', import.meta.url);
let folder = '';
let host: Host;
let server: RunningServer;
let port = 0;
let cookie = '';
const bugs: unknown[] = [];

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-door-'));
  const started = await startHost({ libraryFolder: join(folder, 'library'), door: 'browser', root: ROOT }, (error) => bugs.push(error));
  host = started.host;
  server = await startServer({ host, pageFolder: fileURLToPath(new URL('dist/page/', ROOT)), port: 0, reportBug: (error) => bugs.push(error) });
  port = Number(new URL(server.address).port);
  const first = await send('GET', new URL(server.address).pathname + new URL(server.address).search);
  expect(first.status).toBe(303);
  expect(first.headers.location).toBe('/');
  cookie = String(first.headers['set-cookie']?.[0]).split(';')[0]!;
});
afterAll(async () => {
  await server.close();
  await host.close();
  await rm(folder, { recursive: true, force: true });
});

interface Reply {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly body: Buffer;
}

/** A request as the page's browser sends it; `headers` overrule. */
function send(method: string, path: string, body: string | Uint8Array = '', headers: Record<string, string> = {}): Promise<Reply> {
  return new Promise((resolve, reject) => {
    const own = { host: `127.0.0.1:${port}`, ...(method === 'GET' ? {} : { 'origin': `http://127.0.0.1:${port}`, 'content-type': 'application/json' }), cookie, ...headers };
    const sent = request({ host: '127.0.0.1', port, method, path, headers: own, setHost: false }, (response) => {
      const chunks: Buffer[] = [];
      response.on('data', (chunk: Buffer) => chunks.push(chunk));
      response.on('end', () => resolve({ status: response.statusCode ?? 0, headers: response.headers, body: Buffer.concat(chunks) }));
      response.on('error', reject);
    });
    sent.on('error', reject);
    sent.end(method === 'GET' ? undefined : body);
  });
}

async function call<T>(method: keyof typeof HOST_METHODS, args: unknown = null): Promise<T> {
  const reply = await send('POST', `/api/${method}`, JSON.stringify(args));
  expect(reply.status).toBe(200);
  const envelope = JSON.parse(reply.body.toString()) as { ok: boolean; value: T; failure: unknown };
  if (!envelope.ok) throw Object.assign(new Error('failure'), envelope.failure);
  return HOST_METHODS[method].reply.parse(envelope.value) as T;
}

const TRENDS = ['time,SpO2 finger (%),HR', ...Array.from({ length: 600 }, (_, i) => `2031-03-04 08:${String(Math.floor(i / 60)).padStart(2, '0')}:${String(i % 60).padStart(2, '0')},${i >= 200 && i < 290 ? '' : 97},70`)].join('\n');

describe('the whole way through the browser door', () => {
  test('a folder is imported, opened, analysed otherwise, and removed', async () => {
    const events = listen();
    const { importId } = await call<{ importId: string }>('beginImport');
    const put = await send('PUT', `/bytes/stage/${importId}?path=${encodeURIComponent('Fall 1/tränds.csv')}`, TRENDS, { 'content-type': 'application/octet-stream' });
    expect(JSON.parse(put.body.toString())).toEqual({ ok: true, value: { byteLength: Buffer.byteLength(TRENDS) } });
    await send('PUT', `/bytes/stage/${importId}?path=${encodeURIComponent('Fall 1/photo.bin')}`, new Uint8Array([137, 80, 78, 71, 0, 1, 2]), { 'content-type': 'application/octet-stream' });

    const result = await call<ImportResult>('runImport', { importId, overrules: [], zone: null, mapping: null });
    expect(result.files.map((file) => [file.file, file.failure === null && file.rows_accepted > 0])).toEqual([['Fall 1/photo.bin', false], ['Fall 1/tränds.csv', true]]);
    const trends = result.files[1]!;
    expect(trends.rows_read).toBe(600);
    expect(trends.rows_read).toBe(trends.rows_accepted + trends.rows_rejected);
    expect(result.cases).toHaveLength(1);
    // 90 rows of one second without a value: 89 to 91 s lost (analysis-spec, section 5).
    expect(result.cases[0]).toMatchObject({ caseId: 'Fall 1', sites: ['finger'], date: '2031-03-04', dropouts: 1, lostLowMs: 89_000, lostMidMs: 90_000, lostHighMs: 91_000, problem: null });

    const { caseKey } = result.cases[0]!;
    const bytes = await send('GET', `/bytes/case/${caseKey}`);
    expect(bytes.headers['cache-control']).toBe('no-store');
    const decoded = decodeCase(bytes.body);
    if (!decoded.ok) throw new Error(decoded.failure.message);
    expect(decoded.value.record.channels.find((channel) => channel.quantity === 'spo2')?.tMs).toHaveLength(600);

    const longer = await call<{ sites: { totals: { count: number } }[] }>('analyze', { caseKey, parameters: { ...DEFAULT_PARAMETERS, minDurationS: 120 } });
    expect(longer.sites[0]!.totals.count).toBe(0);
    const saved = await call<CaseSummary[]>('saveParameters', { parameters: { ...DEFAULT_PARAMETERS, name: 'two minutes', minDurationS: 120 } });
    expect(saved[0]).toMatchObject({ caseKey, dropouts: 0 });
    await call('saveParameters', { parameters: DEFAULT_PARAMETERS });

    const detail = await call<SiteDetail>('siteDetail', { caseKey, parameters: DEFAULT_PARAMETERS });
    expect(detail.sensors.map((sensor) => [sensor.siteKey, sensor.spans.map((span) => span.state)])).toEqual([['finger', ['information', 'lost', 'information']]]);
    expect(await call<SiteCohort>('compareSites', { jobId: 'ab'.repeat(16), caseKeys: [caseKey] })).toMatchObject({ cases: 1, leftOut: [], pairs: [], sensors: [{ siteKey: 'finger', cases: 1 }] });
    expect(await call<QualityAnswer<UnitFunnel>>('unitFunnel', { jobId: 'cd'.repeat(16), request: { by: { kind: 'site' }, lossOf: 'dropouts', longerThanS: 30, doubtfulLost: false, firstDate: null, lastDate: null, choice: [] } })).toMatchObject({ answer: { units: [{ name: null, cases: 1 }] }, leftOut: [] });
    expect(await call('cancelComparison', { jobId: 'ab'.repeat(16) })).toEqual({ cancelled: false });
    expect(await call<CohortResults>('cohort', { jobId: 'ab'.repeat(16), caseKeys: null, options: DEFAULT_COHORT_OPTIONS })).toMatchObject({ flow: { units: 1 }, burden: { cases: [{ place: 'finger', dropouts: 1 }, { place: 'case' }] } });
    expect(await call('cancelCohort', { jobId: 'ab'.repeat(16) })).toEqual({ cancelled: false });

    const options = { ...DEFAULT_NEXT_STUDY, firstKey: 'finger', secondKey: 'toe' };
    expect(await call<PlannedStudy>('planStudy', { jobId: 'ef'.repeat(16), caseKeys: [caseKey], options })).toMatchObject({ cases: 1, study: { reason: 'too few patients', sizes: [] } });
    expect(await call('listProtocols', null)).toEqual([]);

    expect(await call('proposeClockOffsets', { caseKey })).toEqual([]);
    expect((await call<{ sites: { totals: { count: number } }[] }>('tryClockOffset', { caseKey, sourceIndex: 0, offsetMs: 60_000 })).sites[0]!.totals.count).toBe(1);
    expect(await call('setClockOffset', { caseKey, sourceIndex: 0, offsetMs: 3_600_000, isProposal: false })).toMatchObject({ caseKey, dropouts: 1 });
    await call('setClockOffset', { caseKey, sourceIndex: 0, offsetMs: 0, isProposal: false });
    expect((await send('GET', `/bytes/case/${caseKey}`)).body.equals(bytes.body)).toBe(true);

    const mark = { markId: 'cd'.repeat(16), clock: 'elapsed', startMs: 5000, endMs: null, text: 'look again' };
    expect(await call('keepMark', { caseKey, mark })).toEqual([mark]);
    expect(await call('listMarks', { caseKey })).toEqual([mark]);
    expect(await call('keepMark', { caseKey, mark: { ...mark, text: 'look again with Dr Quillfeather' } })).toHaveLength(1);
    expect(await call('listShownMarks', { caseKey })).toEqual([{ ...mark, text: 'look again with […]' }]);
    expect(await call('removeMark', { caseKey, markId: mark.markId })).toEqual([]);
    const story = { storyId: 'ef'.repeat(16), revision: 0, title: 'Cold hands', question: '', minutesPerCase: 12, hidesLater: false, moments: [] };
    expect(await call('keepStory', { story })).toEqual([{ ...story, revision: 1 }]);
    expect(await call('listStories')).toEqual([{ ...story, revision: 1 }]);
    expect(await call('removeStory', { storyId: story.storyId })).toEqual([]);
    const choice = { lanes: [{ laneName: 'rate', isShown: false, heightPx: null }] };
    expect(await call('getLanes', null)).toEqual({ lanes: [] });
    expect(await call('saveLanes', { choice })).toEqual(choice);

    await call('endImport', { importId });
    expect(await call('removeCase', { caseKey })).toEqual({ removed: true });
    expect(await call('listCases')).toEqual([]);
    const seen = await events.stop();
    expect(seen.map((event) => event.kind)).toContain('library-changed');
    expect(seen.some((event) => event.kind === 'import-progress' && event.importId === importId && event.stage === 'writing')).toBe(true);
    expect(bugs).toEqual([]);
  });

  test('a file that is not understood is tried out under rules, read with them, and the rules serve the next file of its shape', async () => {
    const table = (first: number): string => ['Stunde,Kanal 7,Kanal 8', ...Array.from({ length: 300 }, (_, i) => `08:${String(Math.floor(i / 60)).padStart(2, '0')}:${String(i % 60).padStart(2, '0')},${i >= first && i < first + 60 ? '' : 97},70`)].join('\n');
    const { importId } = await call<{ importId: string }>('beginImport');
    await send('PUT', `/bytes/stage/${importId}?path=${encodeURIComponent('Saal 4/werte.csv')}`, table(100), { 'content-type': 'application/octet-stream' });
    expect(await call('readBefore', { importId })).toEqual([]);
    const before = await call<ImportResult>('runImport', { importId, overrules: [], zone: null, mapping: null });
    expect(before.files[0]).toMatchObject({ headings: ['Stunde', 'Kanal 7', 'Kanal 8'], failure: { line: 1 } });
    expect(before.cases).toEqual([]);

    const rules = { columns: { 'Kanal 7': { quantity: 'spo2', site: 'ear lobe' } } };
    const shown = await call<FilePreview>('previewFile', { importId, file: 'Saal 4/werte.csv', zone: null, rules: {}, atLine: null });
    expect(shown).toMatchObject({ failure: { line: 1 }, headings: ['Stunde', 'Kanal 7', 'Kanal 8'] });
    expect(shown.rows[1]!.cells).toEqual(['08:00:00', '97', '70']);
    const tried = await call<FilePreview>('previewFile', { importId, file: 'Saal 4/werte.csv', zone: null, rules, atLine: null });
    expect(tried.rows[1]).toMatchObject({ line: 2, timeMs: 8 * 3_600_000, becomes: expect.arrayContaining([expect.objectContaining({ kind: 'value', quantity: 'spo2', site: 'ear lobe', value: 97 })]) });
    const after = await call<ImportResult>('runImport', { importId, overrules: [{ file: 'Saal 4/werte.csv', rules }], zone: null, mapping: null });
    expect(after.cases[0]).toMatchObject({ caseId: 'Saal 4', sites: ['ear lobe'], dropouts: 1 });
    expect(after.files[0]!.mapping).toBeUndefined();
    await call('endImport', { importId });

    const mapping = await call<Mapping>('readMapping', { text: JSON.stringify({ schema: 'lacuna-mapping/1', name: 'Saal', files: [{ match: { headings: ['Stunde', 'Kanal 7'] }, reading: rules }] }) });
    expect(await call('saveMapping', { mapping, replace: false })).toEqual([mapping]);
    expect(await call('listMappings')).toEqual([mapping]);
    const second = await call<{ importId: string }>('beginImport');
    await send('PUT', `/bytes/stage/${second.importId}?path=${encodeURIComponent('Saal 5/anders.csv')}`, table(200), { 'content-type': 'application/octet-stream' });
    const mapped = await call<ImportResult>('runImport', { importId: second.importId, overrules: [], zone: null, mapping });
    expect(mapped.files[0]).toMatchObject({ mapping: 'Saal', failure: null });
    expect(mapped.cases[0]).toMatchObject({ caseId: 'Saal 5', sites: ['ear lobe'], dropouts: 1 });
    await call('endImport', { importId: second.importId });
    await call('renameMapping', { name: 'Saal', to: 'Saal 4 und 5' });
    expect(await call('removeMapping', { name: 'Saal 4 und 5' })).toEqual([]);
    const terms = await call<KnownTerms>('listKnownTerms');
    expect(terms.drugs).toContainEqual({ inn: 'norepinephrine', isVasopressor: true });
    expect(terms.events).toContainEqual({ kind: 'position', term: 'arms tucked' });
    for (const { caseKey } of [...after.cases, ...mapped.cases]) await call('removeCase', { caseKey });
    expect(bugs).toEqual([]);
  });

  test('a dropout is reviewed: the verdict goes through other parameters, a clock that is set and an updated export, blinded, and the trail holds all of it', async () => {
    const events = listen();
    const stage = async (text: string): Promise<ImportResult> => {
      const { importId } = await call<{ importId: string }>('beginImport');
      await send('PUT', `/bytes/stage/${importId}?path=${encodeURIComponent('Reviewed/trends.csv')}`, text, { 'content-type': 'application/octet-stream' });
      return await call<ImportResult>('runImport', { importId, overrules: [], zone: null, mapping: null });
    };
    const rows = (lostFrom: number): string => TRENDS.split('\n').map((line, i) => (i === 0 ? line : line.replace(/,(97)?,70$/, `,${i >= lostFrom && i < 291 ? '' : 96},71`))).join('\n');
    const first = await stage(rows(201));
    const { caseKey } = first.cases[0]!;
    await call('endImport', { importId: first.importId });
    const before = await call<CaseReview>('readReview', { caseKey, by: 'Ada', blinded: true });
    expect(before.dropouts.map(({ outcome }) => outcome)).toEqual(['not reviewed']);
    const { dropoutId } = before.dropouts[0]!;
    const given = { caseKey, dropoutId, judgement: { verdict: 'low perfusion', certainty: 'probable', note: 'cold hands', correctedBounds: null } };
    expect((await call<CaseReview>('giveVerdict', { ...given, by: 'Ada', blinded: true })).dropouts[0]).toMatchObject({ outcome: 'confirmed', verdicts: [{ state: 'same', sawAnother: false }] });

    const blinded = await send('POST', '/api/readReview', JSON.stringify({ caseKey, by: 'Bo', blinded: true }));
    expect(blinded.body.toString()).not.toMatch(/low perfusion|cold hands/);
    expect((await send('POST', '/api/giveVerdict', JSON.stringify({ ...given, by: 'Bo', blinded: true, judgement: { verdict: 'cannot tell', certainty: null, note: '', correctedBounds: null } }))).body.toString()).not.toMatch(/low perfusion|cold hands/);
    await expect(call('giveVerdict', { ...given, by: '', blinded: true })).rejects.toMatchObject({ code: 'no-reader' });

    // Two minutes and more: the dropout of 90 s is none any more, and its verdicts wait.
    await call('saveParameters', { parameters: { ...DEFAULT_PARAMETERS, minDurationS: 120 }, by: 'Ada' });
    expect(await call<CaseReview>('readReview', { caseKey, by: null, blinded: false })).toMatchObject({ dropouts: [], without: [{ by: 'Ada' }, { by: 'Bo' }] });
    await call('saveParameters', { parameters: DEFAULT_PARAMETERS, by: 'Ada' });
    await call('setClockOffset', { caseKey, sourceIndex: 0, offsetMs: 3_600_000, isProposal: false });
    expect((await call<CaseReview>('readReview', { caseKey, by: null, blinded: false })).dropouts[0]!.verdicts.map(({ state }) => state)).toEqual(['same', 'same']);
    await call('setClockOffset', { caseKey, sourceIndex: 0, offsetMs: 0, isProposal: false });

    const updated = await stage(rows(191));
    expect((await call<ComparedChange>('compareChange', { importId: updated.importId, caseKey })).reviews).toEqual({ verdicts: 2, same: 0, moved: 2, split: 0, joined: 0, withoutDropout: 0 });
    await call('decideChanges', { importId: updated.importId, decisions: [{ caseKey, decision: 'replace', storeAs: null }], by: 'Ada' });
    await call('endImport', { importId: updated.importId });
    expect((await call<CaseReview>('readReview', { caseKey, by: null, blinded: false })).dropouts[0]).toMatchObject({ outcome: 'disputed', verdicts: [{ state: 'moved', sawAnother: true }, { state: 'moved', sawAnother: true }] });
    expect((await call<ReviewState[]>('listReviewStates')).find((one) => one.caseKey === caseKey)).toMatchObject({ dropouts: 1, disputed: 1, readers: 2 });
    expect((await call<{ queue: unknown[] }>('reviewQueue', { jobId: 'ab'.repeat(16), caseKeys: [caseKey], order: { kind: 'worst first' }, by: 'Ada' })).queue).toMatchObject([{ caseId: 'Reviewed', isRead: true, lostMs: { low: 99_000, mid: 100_000, high: 101_000 } }]);

    await call('removeCase', { caseKey, by: 'Ada' });
    const trail = await call<{ entries: SealedEntry[]; total: number }>('listTrail', { before: null, limit: 100, by: null, blinded: false });
    const own = trail.entries.flatMap(({ entry }) => (entry.kind === 'act' ? [`${entry.act} by ${entry.by}`] : [entry.kind])).reverse().slice(-8);
    expect(own).toEqual([
      'verdict', 'verdict', 'parameters changed by Ada', 'parameters changed by Ada', 'clock set by this computer', 'clock set by this computer', 'case replaced by Ada', 'case removed by Ada',
    ]);
    const check = await call<TrailCheck>('checkTrail', { head: trail.entries.at(-1)!.hash });
    expect(check).toEqual({ entries: trail.total, head: trail.entries[0]!.hash, problems: [] });
    const seen = await events.stop();
    expect(seen.filter((event) => event.kind === 'reviews-changed').length).toBe(8);
    expect(JSON.stringify(seen)).not.toMatch(/low perfusion|cold hands/);
  });

  test('a file is read twice, then changed, decided about, and looked up in the ledger', async () => {
    const takeIn = async (text: string, path = 'Fall 2/trends.csv'): Promise<ImportResult> => {
      const { importId } = await call<{ importId: string }>('beginImport');
      await send('PUT', `/bytes/stage/${importId}?path=${encodeURIComponent(path)}`, text, { 'content-type': 'application/octet-stream' });
      return await call<ImportResult>('runImport', { importId, overrules: [], zone: null, mapping: null });
    };
    const broken = TRENDS.replace('2031-03-04 08:01:00', 'no time at all');
    const first = await takeIn(broken);
    expect(first).toMatchObject({ unchanged: [], changed: [], earlier: [] });
    const second = await takeIn(broken, 'another name.csv');
    expect(second).toMatchObject({ unchanged: [{ caseId: 'another name', heldBy: { caseId: 'Fall 2' } }], changed: [], earlier: [{ reading: { importId: first.importId, caseIds: ['Fall 2'] } }] });

    const third = await takeIn(TRENDS);
    const [change] = third.changed;
    expect(change).toMatchObject({ caseId: 'Fall 2', rows: { added: 2, removed: 0, changed: 0 }, decision: null }); // one row of two channels
    expect(await call('compareChange', { importId: third.importId, caseKey: change!.caseKey })).toMatchObject({ isSame: false, sources: { same: 0 } });
    const decided = await call<{ changed: { decision: string }[] }>('decideChanges', { importId: third.importId, decisions: [{ caseKey: change!.caseKey, decision: 'replace', storeAs: null }] });
    expect(decided.changed).toMatchObject([{ decision: 'replace' }]);

    const lines = await call<LedgerLine[]>('listLedger');
    expect(lines.find((line) => line.importId === third.importId)).toMatchObject({ state: 'complete', rowsRead: 600, rowsAccepted: 600, casesStored: 1 });
    const opened = await call<LedgerImport>('openLedger', { importId: first.importId, run: null });
    expect(opened.run).toMatchObject({ rowsKept: 1, files: [{ rows_read: 600, rows_accepted: 599, rows_rejected: 1 }] });
    const [group] = opened.run!.files[0]!.rejected;
    expect(await call('ledgerRows', { importId: first.importId, run: 1, file: 'Fall 2/trends.csv', reason: group!.reason, from: 0 })).toMatchObject({ kept: 1, rows: [{ line: 62 }] });

    const { importId } = await call<{ importId: string }>('beginImport');
    await send('PUT', `/bytes/stage/${importId}?path=x.csv`, broken, { 'content-type': 'application/octet-stream' });
    expect(await call('matchStaged', { importId, place: { importId: first.importId, run: 1 } })).toMatchObject({ matched: ['Fall 2/trends.csv'], foreign: [], missing: [] });
    for (const id of [importId, first.importId, second.importId, third.importId]) await call('endImport', { importId: id });
    await call('removeCase', { caseKey: change!.caseKey });
    expect(bugs).toEqual([]);
  });

  test('the page and its files come with the policy, and nothing else is there', async () => {
    const page = await send('GET', '/');
    expect(page.status).toBe(200);
    const html = page.body.toString();
    expect(html).toContain('<div id="root">');
    expect(html).not.toMatch(/<script(?![^>]*\bsrc=)|<style|\bon\w+=|\bstyle=/);
    const assets = [...html.matchAll(/(?:src|href)="\.?(\/[^"]+)"/g)].map((match) => match[1]!);
    expect(assets.length).toBeGreaterThan(1);
    for (const path of ['/', ...assets]) {
      const { status, headers } = await send('GET', path);
      expect(status, path).toBe(200);
      expect(headers['content-security-policy']).toContain("default-src 'none'");
      expect(headers['x-content-type-options']).toBe('nosniff');
      expect(headers).not.toHaveProperty('access-control-allow-origin');
    }
    for (const path of ['/../package.json', '/%2e%2e/package.json', '/assets/../../package.json', '/package.json', '/etc/passwd', '/api/listCases', '/page.stamp']) expect((await send('GET', path)).status, path).toBe(404);
  });
});

describe('a stranger at the door', () => {
  const other = networkInterfaces()['eth0']?.find((one) => one.family === 'IPv4')?.address;

  test.skipIf(other === undefined)('finds no server on the machine’s address in the network', async () => {
    await expect(new Promise((resolve, reject) => connect(port, other!).on('connect', resolve).on('error', reject))).rejects.toMatchObject({ code: 'ECONNREFUSED' });
  });

  test.each([
    ['without the cookie', { cookie: '' }, 403],
    ['with a guessed cookie', { cookie: 'lacuna-1=x' }, 403],
    ['from a page of another site', { origin: 'https://evil.example' }, 403],
    ['from a sandboxed page', { origin: 'null' }, 403],
    ['under a name that was bent to 127.0.0.1', { host: 'evil.example' }, 421],
  ])('gets nothing %s', async (_name, headers, status) => {
    for (const [method, path] of [['GET', '/'], ['GET', '/events'], ['POST', '/api/listCases'], ['PUT', '/bytes/stage/00?path=a'], ['GET', `/bytes/case/${'0'.repeat(32)}`]] as const) {
      const reply = await send(method, path, 'null', headers);
      expect(reply.status, path).toBe(status);
      expect(reply.body.toString()).toMatch(/^Refused/);
    }
  });

  test('cannot use an entry twice', async () => {
    const { pathname, search } = new URL(server.issueEntry());
    expect((await send('GET', pathname + search, '', { cookie: '' })).status).toBe(303);
    expect((await send('GET', pathname + search, '', { cookie: '' })).status).toBe(403);
  });

  test('gets plain answers to calls that are none', async () => {
    expect((await send('POST', '/api/listCases', '{"a":')).status).toBe(400);
    expect((await send('POST', '/api/listCases', 'null', { 'content-type': 'text/plain' })).status).toBe(415);
    expect((await send('POST', '/api/listCases', ' '.repeat(33 << 20)).catch(() => ({ status: 413 }))).status).toBe(413);
    expect(JSON.parse((await send('POST', '/api/constructor', 'null')).body.toString())).toMatchObject({ ok: false, failure: { code: 'unknown-call' } });
    expect(JSON.parse((await send('GET', '/bytes/case/..%2f..%2fx')).body.toString())).toMatchObject({ ok: false, failure: { code: 'bad-key' } });
    const { importId } = await call<{ importId: string }>('beginImport');
    expect(JSON.parse((await send('PUT', `/bytes/stage/${importId}?path=../x`, 'x')).body.toString())).toMatchObject({ ok: false, failure: { code: 'bad-path' } });
    await call('endImport', { importId });
  });
});

/** Collects the events of the stream until it is stopped. */
function listen(): { stop(): Promise<HostEvent[]> } {
  let text = '';
  const sent = request({ host: '127.0.0.1', port, path: '/events', headers: { host: `127.0.0.1:${port}`, cookie }, setHost: false }, (response) => {
    response.on('data', (chunk: Buffer) => (text += chunk.toString()));
    response.on('error', () => undefined); // cut off by stop()
  });
  sent.on('error', () => undefined);
  sent.end();
  return {
    async stop() {
      sent.destroy();
      return [...text.matchAll(/^data: (.*)$/gm)].map((match) => hostEventSchema.parse(JSON.parse(match[1]!)));
    },
  };
}
