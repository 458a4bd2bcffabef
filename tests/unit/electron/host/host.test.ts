import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { CaseRecord } from '../../../../core/model/case.ts';
import { DEFAULT_COHORT_OPTIONS } from '../../../../core/model/cohort-options.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { decodeCase } from '../../../../core/persist/case-bytes.ts';
import { HOST_METHODS } from '../../../../core/protocol/host-api-schema.ts';
import type { HostEvent } from '../../../../core/protocol/host-api.ts';
import { answerCall } from '../../../../electron/host/call-gate.ts';
import type { CaseStore } from '../../../../electron/host/case-store.ts';
import { openFolderStore } from '../../../../electron/host/folder-case-store.ts';
import { createHost } from '../../../../electron/host/host.ts';
import type { Host } from '../../../../electron/host/host.ts';
import { bodyOf, buildStandInPool, deferred } from '../../../builders/stand-in-pool.ts';
import type { StandInPool } from '../../../builders/stand-in-pool.ts';
import { buildCaseRecord, buildChannel } from '../../../builders/stored-case.ts';

let folder = '';
let store: CaseStore;
let host: Host;
let events: HostEvent[] = [];

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-host-'));
  store = await openFolderStore(join(folder, 'library'));
});
afterEach(async () => {
  await host.close();
  await rm(folder, { recursive: true, force: true });
});

function start(pool: StandInPool): StandInPool {
  events = [];
  host = createHost({ store, productVersion: '1.2.3', door: 'browser', casesAtOnce: 2, samplesFolder: join(folder, 'samples'), startPool: () => pool });
  host.onEvent((event) => events.push(event));
  return pool;
}

async function staged(...paths: string[]): Promise<string> {
  const { importId } = await host.beginImport();
  for (const path of paths) await host.stageFile(importId, path, bodyOf(path));
  return importId;
}
const run = (importId: string, over: Partial<Parameters<Host['runImport']>[0]> = {}) => host.runImport({ importId, overrules: [], zone: null, mapping: null, ...over });
const caseIds = async () => (await host.listCases()).map((line) => line.caseId);

describe('the sample cases', () => {
  test('come in through an ordinary import when they are asked for, and leave nothing staged', async () => {
    const pool = start(buildStandInPool());
    await mkdir(join(folder, 'samples', 'K1'), { recursive: true });
    await writeFile(join(folder, 'samples', 'K1', 'trend.csv'), 'time,SpO2\n');
    const result = await host.importSamples();
    expect(pool.imports[0]!.files.map(({ relativePath, folderName }) => [relativePath, folderName])).toEqual([['K1/trend.csv', 'K1']]);
    expect(result.cases.map((line) => line.caseId)).toEqual(await caseIds());
    await expect(run(result.importId)).rejects.toMatchObject({ code: 'import-over' });
  });
});

describe('an import', () => {
  test('stores every case with its analysis, tells how far it is, and names the folders', async () => {
    const pool = start(buildStandInPool());
    const importId = await staged('B/y.csv', 'A/x.csv');
    const result = await run(importId, { zone: 'Europe/Oslo' });
    expect(pool.imports[0]!.options).toEqual({ zone: 'Europe/Oslo', mapping: null, keepIdentifiers: false, pseudonymKey: store.settings.pseudonymKey });
    expect(pool.imports[0]!.files.map(({ relativePath, folderName }) => [relativePath, folderName])).toEqual([['A/x.csv', 'A'], ['B/y.csv', 'B']]);
    expect(result.cases.map((line) => [line.caseId, line.dropouts])).toEqual([['A', 1], ['B', 1]]);
    expect(result.replaced).toEqual([]);
    expect(await caseIds()).toEqual(['A', 'B']);
    const decoded = decodeCase(await host.openCase(result.cases[0]!.caseKey));
    expect(decoded.ok && decoded.value.analysis?.caseId).toBe('A');
    expect(events.at(-1)).toEqual({ kind: 'library-changed' });
    expect(events).toContainEqual({ kind: 'import-progress', importId, stage: 'writing', file: 'B', bytesDone: 2, bytesTotal: 2 });
  });

  test('of loose files gives them one folder name together', async () => {
    const pool = start(buildStandInPool());
    await run(await staged('trends.csv', 'drugs.csv'));
    expect(pool.imports[0]!.files.map((file) => file.folderName)).toEqual(['drugs', 'drugs']);
  });

  test('of what the library holds already stores nothing a second time and says where it is', async () => {
    start(buildStandInPool());
    const first = await run(await staged('A/x.csv'));
    const result = await run(await staged('A/x.csv', 'B/x.csv'));
    const [held] = first.cases;
    expect(result.unchanged[0]).toEqual({ caseId: 'A', heldBy: { caseKey: held!.caseKey, caseId: 'A' } });
    expect(result.unchanged[1]).toMatchObject({ caseId: 'B', heldBy: { caseId: 'A' } }); // its stand-in file has the same digest and content
    expect(result.cases.map((line) => line.caseId)).toEqual(['A']);
    expect([result.changed, result.replaced]).toEqual([[], []]);
    expect(await caseIds()).toEqual(['A']);
  });

  test('that is run again with other readings takes back what its first run stored', async () => {
    let names: readonly string[] = ['old'];
    const pool = start(buildStandInPool({ read: async () => names.map((caseId) => buildCaseRecord({ caseId, attributes: { run: String(pool.imports.length) } })) }));
    await host.endImport({ importId: await staged('x.csv').then(async (id) => (await run(id), id)) });
    names = ['old', 'wrong'];
    const importId = await staged('x.csv');
    const { changed } = await run(importId);
    expect(changed.map((one) => one.caseId)).toEqual(['old']);
    await host.decideChanges({ importId, decisions: [{ caseKey: changed[0]!.caseKey, decision: 'replace', storeAs: null }] });
    names = ['right'];
    const overrules = [{ file: 'x.csv', rules: { dateOrder: 'dmy' as const } }];
    const mapping = { schema: 'lacuna-mapping/1' as const, name: 'house', files: [{ match: {}, reading: { zone: 'UTC' } }] };
    const again = await run(importId, { overrules, mapping });
    expect(again.changed).toEqual([]);
    expect(pool.imports.at(-1)!.options.mapping).toEqual({ ...mapping, files: [{ match: { path: 'x.csv' }, reading: { dateOrder: 'dmy' }, name: '' }, ...mapping.files] });
    expect(await caseIds()).toEqual(['old', 'right']);
    const old = (await host.listCases()).find((line) => line.caseId === 'old')!;
    const decoded = decodeCase(await host.openCase(old.caseKey));
    expect(decoded.ok && decoded.value.record.attributes).toEqual({ run: '1' });
  });

  test('that is cancelled leaves the library as it was', async () => {
    const reading = deferred<void>();
    start(buildStandInPool({
      read: (_files, _options, hooks) =>
        new Promise((_resolve, reject) => {
          hooks?.signal?.addEventListener('abort', () => reject(hooks.signal!.reason));
          reading.resolve();
        }),
    }));
    const importId = await staged('A/x.csv');
    const running = run(importId);
    await reading.promise;
    await expect(run(importId)).rejects.toMatchObject({ code: 'import-running' });
    expect(await host.cancelImport({ importId })).toEqual({ cancelled: true });
    await expect(running).rejects.toMatchObject({ code: 'cancelled' });
    expect(await caseIds()).toEqual([]);
    expect(await host.cancelImport({ importId })).toEqual({ cancelled: false });
  });

  test('of nothing, or one that is over, is refused with a remedy', async () => {
    start(buildStandInPool());
    const importId = await staged();
    await expect(run(importId)).rejects.toMatchObject({ code: 'nothing-staged' });
    await host.endImport({ importId });
    await expect(run(importId)).rejects.toMatchObject({ code: 'import-over', remedy: expect.stringContaining('again') as string });
    await expect(host.stageFile(importId, 'a.csv', bodyOf('x'))).rejects.toMatchObject({ code: 'import-over' });
  });

  test('carries at most a thousand rejected rows and says when it cut', async () => {
    start(buildStandInPool({ rejectedRows: Array.from({ length: 1001 }, (_, i) => ({ file: 'a', line: i, reason: 'r', row: '' })) }));
    const result = await run(await staged('A/x.csv'));
    expect(result.rejectedRows).toHaveLength(1000);
    expect(result.rejectedRowsCut).toBe(true);
  });

  test('keeps the other cases when the analysis of one is lost, and says so', async () => {
    start(buildStandInPool({
      analyze: async (record) => {
        if (record.caseId === 'A') throw new Error('worker died');
        return (await import('../../../builders/stored-case.ts')).buildCaseAnalysis(undefined, { caseId: record.caseId });
      },
    }));
    const result = await run(await staged('A/x.csv', 'B/x.csv'));
    expect(result.cases.map((line) => line.problem === null)).toEqual([false, true]);
    expect(events.filter((event) => event.kind === 'worker-lost')).toHaveLength(1);
  });
});

describe('parameters', () => {
  const ours = { ...DEFAULT_PARAMETERS, name: 'ours', minDurationS: 60 };

  test('that are saved are used for every stored case and for later imports', async () => {
    const pool = start(buildStandInPool());
    await run(await staged('A/x.csv', 'B/x.csv'));
    const lines = await host.saveParameters({ parameters: ours });
    expect(lines.map((line) => line.caseId)).toEqual(['A', 'B']);
    expect(pool.analyzed.slice(2).map((one) => [one.caseId, one.parameters.name]).sort()).toEqual([['A', 'ours'], ['B', 'ours']]);
    expect(await host.getParameters()).toEqual(ours);
    await run(await staged('C/x.csv'));
    expect(pool.analyzed.at(-1)!.parameters).toEqual(ours);
    const decoded = decodeCase(await host.openCase(lines[0]!.caseKey));
    expect(decoded.ok && decoded.value.analysis?.parameters.name).toBe('ours');
  });

  test('that are only tried change nothing that is stored', async () => {
    const pool = start(buildStandInPool());
    const { cases } = await run(await staged('A/x.csv'));
    expect((await host.analyze({ caseKey: cases[0]!.caseKey, parameters: ours })).parameters).toEqual(ours);
    const analyses = vi.spyOn(pool, 'analyze');
    await host.analyze({ caseKey: cases[0]!.caseKey, parameters: ours, untilMs: -1 });
    // Before the first row nothing had been recorded.
    expect(analyses.mock.calls[0]![0]).toMatchObject({ channels: [], events: [], drugs: [] });
    const decoded = decodeCase(await host.openCase(cases[0]!.caseKey));
    expect(decoded.ok && decoded.value.analysis?.parameters).toEqual(DEFAULT_PARAMETERS);
  });

  test('whose analyses were interrupted are finished at the next start', async () => {
    start(buildStandInPool());
    await run(await staged('A/x.csv'));
    await store.settings.saveParameters(ours); // as if the program had ended right after
    await host.close();
    store = await openFolderStore(join(folder, 'library'));
    const pool = start(buildStandInPool());
    await host.finishReanalysis();
    expect(pool.analyzed).toMatchObject([{ caseId: 'A', parameters: { name: 'ours' } }]);
    expect(store.settings.reanalysisPending).toBe(false);
  });
});

describe('a clock of a stored case', () => {
  const stored = async (pool: StandInPool) => {
    start(pool);
    const { cases } = await run(await staged('A/x.csv'));
    return cases[0]!.caseKey;
  };
  const offsetsOf = async (caseKey: string) => {
    const decoded = decodeCase(await host.openCase(caseKey));
    return decoded.ok ? decoded.value.record.sources.map((source) => source.clockOffsetMs) : [];
  };

  test('is set, analysed with the library\'s parameters and stored; set back, the stored bytes are what they were', async () => {
    const pool = buildStandInPool();
    const caseKey = await stored(pool);
    const before = await host.openCase(caseKey);
    expect(await host.setClockOffset({ caseKey, sourceIndex: 0, offsetMs: 84_000, isProposal: false })).toMatchObject({ caseKey, caseId: 'A', dropouts: 1 });
    expect(await offsetsOf(caseKey)).toEqual([84_000]);
    expect(pool.analyzed.at(-1)).toEqual({ caseId: 'A', parameters: await host.getParameters() });
    expect(events.at(-1)).toEqual({ kind: 'library-changed' });
    await host.setClockOffset({ caseKey, sourceIndex: 0, offsetMs: 0, isProposal: false });
    expect(await host.openCase(caseKey)).toEqual(before);
  });

  test('may be tried: the analysis comes, the stored case stays', async () => {
    const caseKey = await stored(buildStandInPool());
    const before = await host.openCase(caseKey);
    expect((await host.tryClockOffset({ caseKey, sourceIndex: 0, offsetMs: 5000 })).caseId).toBe('A');
    expect(await host.openCase(caseKey)).toEqual(before);
  });

  test('that cannot be set says why, and the case stays as it is; so it does when the analysis is lost', async () => {
    const pool = buildStandInPool({ analyze: async () => { throw new Error('lost'); } });
    const caseKey = await stored(pool);
    const before = await host.openCase(caseKey);
    await expect(host.setClockOffset({ caseKey, sourceIndex: 0, offsetMs: 1, isProposal: false })).rejects.toThrow('lost');
    expect(await host.openCase(caseKey)).toEqual(before);
    pool.setClockOffset = async () => ({ ok: false, failure: { code: 'case-without-parts', message: 'no', remedy: 'import again' } });
    await expect(host.setClockOffset({ caseKey, sourceIndex: 0, offsetMs: 1, isProposal: false })).rejects.toMatchObject({ code: 'case-without-parts' });
    expect(await host.openCase(caseKey)).toEqual(before);
  });
});

test('a removed case is gone, and a second removal says so', async () => {
  start(buildStandInPool());
  const { cases } = await run(await staged('A/x.csv'));
  expect(await host.removeCase({ caseKey: cases[0]!.caseKey })).toEqual({ removed: true });
  expect(await host.removeCase({ caseKey: cases[0]!.caseKey })).toEqual({ removed: false });
  await expect(host.openCase(cases[0]!.caseKey)).rejects.toMatchObject({ code: 'case-missing' });
  await expect(host.analyze({ caseKey: cases[0]!.caseKey, parameters: DEFAULT_PARAMETERS })).rejects.toMatchObject({ code: 'case-missing' });
});

test('closing disposes the workers and frees the library', async () => {
  const pool = start(buildStandInPool());
  await host.close();
  expect(pool.isDisposed).toBe(true);
  store = await openFolderStore(join(folder, 'library'));
  start(buildStandInPool());
});

describe('the gate before the host', () => {
  const bugs: unknown[] = [];
  const ask = (method: string, args: unknown) => answerCall(host, method, args, (error) => bugs.push(error));

  test('answers every call of the schema and nothing else', async () => {
    start(buildStandInPool());
    expect(await ask('describe', null)).toEqual({ ok: true, value: { productVersion: '1.2.3', door: 'browser', libraryName: 'library', lock: null } });
    for (const method of ['close', 'stageFile', 'openCase', 'onEvent', 'finishReanalysis', 'constructor', '__proto__', 'toString', '']) {
      expect(await ask(method, null)).toMatchObject({ ok: false, failure: { code: 'unknown-call' } });
    }
    expect(Object.keys(HOST_METHODS).sort()).toEqual(
      [
        'actionsText',
        'addAction',
        'agreementTexts',
        'analyze',
        'backUpNow',
        'beginImport',
        'cancelActionWork',
        'cancelCohort',
        'cancelComparison',
        'cancelImport',
        'cancelQualityWork',
        'cancelReportWork', 'cancelReviewWork',
        'cancelStudy',
        'caseListText',
        'caseSheet', 'caseSheets',
        'changePassphrase',
        'checkTrail',
        'cohort',
        'compareChange',
        'compareSites',
        'confirmedFigures',
        'createLibrary',
        'decideChanges',
        'departmentReport', 'describe',
        'describeLibrary',
        'drawQualityChart',
        'editAction',
        'editQualityChart',
        'endImport',
        'fixProtocol',
        'flagCase',
        'forgetRemovedImports',
        'getLanes',
        'getParameters',
        'getReportSetting',
        'giveConsensus',
        'giveVerdict',
        'groupingColumns',
        'importSamples',
        'inspectReviews',
        'interruptedImports',
        'keepKey',
        'keepMark',
        'keepStory',
        'ledgerRows',
        'listActions',
        'listBackups',
        'listBundle',
        'listCases',
        'listDisagreements',
        'listKnownTerms',
        'listLedger',
        'listMappings',
        'listMarks',
        'listParameterSets',
        'listProtocols',
        'listQualityCharts',
        'listRelease',
        'listReviewStates',
        'listShownMarks',
        'listStories',
        'listTrail',
        'lockLibrary',
        'makeQualityChart',
        'markCaseRead',
        'matchStaged',
        'measureAgain',
        'moveLibrary',
        'nextStudyText',
        'openLedger',
        'openOtherLibrary',
        'placeVerdict',
        'planStudy',
        'prepareRobustness',
        'previewFile',
        'proposeClockOffsets',
        'proposeQualityChart',
        'protocolText',
        'readBefore',
        'readMapping',
        'readParameterSet',
        'readReview',
        'receiveReviews',
        'reconcileCaseList',
        'removeCase',
        'removeMapping',
        'removeMark',
        'removeParameterSet',
        'removeQualityChart',
        'removeStory',
        'removedImports',
        'renameMapping',
        'researchBundle', 'restoreBackup',
        'resumeImport',
        'revealCase',
        'reviewAgreement',
        'reviewExchange',
        'reviewQueue',
        'reviewsOutlook',
        'runImport',
        'saveLanes',
        'saveMapping',
        'saveParameterSet',
        'saveParameters',
        'saveReportSetting',
        'setClockOffset',
        'setLockAfter',
        'settleReviewConflict',
        'shareDefinitions',
        'siteDetail',
        'stayWithFolder',
        'storyDeck',
        'takeDefinitions',
        'takeVerdictBack',
        'tryClockOffset',
        'unitFunnel',
        'unlockLibrary',
        'writeBundle',
        'writeDeck',
        'writeReport',
        'writeReviews', 'writeSheets',
      ],
    );
  });

  test.each([
    ['describe', {}],
    ['removeCase', null],
    ['removeCase', { caseKey: '../../x' }],
    ['removeCase', { caseKey: '0'.repeat(32), more: 1 }],
    ['saveParameters', { parameters: { ...DEFAULT_PARAMETERS, minDurationS: -1 } }],
    ['saveParameters', { parameters: { ...DEFAULT_PARAMETERS, minDurationS: 'thirty' } }],
    ['runImport', { importId: '0'.repeat(32), overrules: [], zone: null }],
    ['setClockOffset', { caseKey: '0'.repeat(32), sourceIndex: 0, offsetMs: 1000 }],
    ['setClockOffset', { caseKey: '0'.repeat(32), sourceIndex: -1, offsetMs: 1000, isProposal: false }],
    ['tryClockOffset', { caseKey: '0'.repeat(32), sourceIndex: 0, offsetMs: 32_000_000_000 }],
  ])('refuses %s with %j before the host sees it', async (method, args) => {
    start(buildStandInPool());
    expect(await ask(method, args)).toMatchObject({ ok: false, failure: { code: 'bad-call' } });
  });

  test('tells a failure whole, and of our own errors nothing but that there was one', async () => {
    start(buildStandInPool({ read: async () => { throw new TypeError('secret path /x/y'); } }));
    const importId = await staged('a.csv');
    expect(await ask('removeCase', { caseKey: '0'.repeat(32) })).toEqual({ ok: true, value: { removed: false } });
    const reply = await ask('runImport', { importId, overrules: [], zone: null, mapping: null });
    expect(reply).toMatchObject({ ok: false, failure: { code: 'internal' } });
    expect(JSON.stringify(reply)).not.toContain('secret');
    expect(String(bugs.at(-1))).toContain('secret path');
  });
});

describe('the comparison of sites', () => {
  const job = 'ab'.repeat(16);
  const twoSites = (caseId: string): CaseRecord => {
    const values = Array.from({ length: 120 }, (_, i) => (i >= 40 && i < 80 ? Number.NaN : 97));
    return buildCaseRecord({ caseId, channels: [buildChannel(values), buildChannel(values.map(() => 96), { channelId: 'spo2@ear lobe', site: 'ear lobe' })] });
  };
  const filled = async (over: Parameters<typeof buildStandInPool>[0] = {}) => {
    const pool = start(buildStandInPool({ read: async (files) => files.map((file) => twoSites(file.folderName)), analyze: async (record, parameters) => analyzeCase(record, parameters, 'test'), ...over }));
    const { cases } = await run(await staged('A/x.csv', 'B/x.csv', 'C/x.csv'));
    return { pool, keys: cases.map((line) => line.caseKey) };
  };

  test('compares each chosen case once, tells how far it is, and keeps what a case gave until the case changes', async () => {
    const { pool, keys } = await filled();
    const first = await host.compareSites({ jobId: job, caseKeys: [...keys, keys[0]!] });
    expect(first).toMatchObject({ cases: 3, leftOut: [], parameters: DEFAULT_PARAMETERS, pairs: [{ firstKey: 'finger', secondKey: 'ear lobe', cases: 3, firstCovered: { share: { mid: 1 } } }] });
    expect(first.pairs[0]!.rows.map((row) => row.caseId)).toEqual(['A', 'B', 'C']);
    expect(events.filter((event) => event.kind === 'comparison-progress').at(-1)).toEqual({ kind: 'comparison-progress', jobId: job, done: 3, total: 3 });
    expect(await host.compareSites({ jobId: job, caseKeys: keys })).toEqual(first);
    expect(pool.figured).toHaveLength(3);
    await store.save(buildCaseRecord({ caseId: 'B' }), null); // a case that changes
    await host.compareSites({ jobId: job, caseKeys: keys });
    expect([pool.figured.slice(0, 3).sort(), pool.figured.slice(3)]).toEqual([[...keys].sort(), [keys[1]!]]); // two at a time: which of them is first does not matter
    await host.saveParameters({ parameters: { ...DEFAULT_PARAMETERS, lagSwingPoints: 3 } });
    expect((await host.compareSites({ jobId: job, caseKeys: keys })).parameters.lagSwingPoints).toBe(3);
    expect(pool.figured).toHaveLength(7);
  });

  test('leaves out what cannot be read, with the reason', async () => {
    const { keys } = await filled();
    await writeFile(join(folder, 'library', 'cases', `${keys[1]!}.case`), 'gone');
    const cohort = await host.compareSites({ jobId: job, caseKeys: [...keys, 'cd'.repeat(16)] });
    expect(cohort.cases).toBe(2);
    expect(cohort.leftOut).toHaveLength(2);
    expect(cohort.leftOut).toContainEqual({ caseKey: keys[1], caseId: 'B', reason: 'This is not a stored case of this program.' });
    expect(cohort.leftOut).toContainEqual({ caseKey: 'cd'.repeat(16), caseId: '', reason: 'This case is no longer in the library.' });
  });

  test('can be cancelled between two cases, and started again', async () => {
    const gate = deferred<undefined>();
    const begun = deferred<undefined>();
    const { pool, keys } = await filled({
      beforeFigures: async () => {
        begun.resolve(undefined);
        await gate.promise;
      },
    });
    const comparing = host.compareSites({ jobId: job, caseKeys: keys });
    const outcome = expect(comparing).rejects.toMatchObject({ code: 'cancelled' });
    await begun.promise;
    await expect(host.compareSites({ jobId: job, caseKeys: keys })).rejects.toMatchObject({ code: 'comparison-running' });
    expect(await host.cancelComparison({ jobId: job })).toEqual({ cancelled: true });
    gate.resolve(undefined);
    await outcome;
    expect(pool.figured.length).toBeLessThan(3); // two at once, the third was never begun
    expect(await host.cancelComparison({ jobId: job })).toEqual({ cancelled: false });
    expect((await host.compareSites({ jobId: job, caseKeys: keys })).cases).toBe(3);
  });

  test('shows the sensors of one case over time, or says what is wrong with it', async () => {
    const { keys } = await filled();
    const detail = await host.siteDetail({ caseKey: keys[0]!, parameters: DEFAULT_PARAMETERS });
    expect(detail.pairs[0]!.spans.map((span) => span.state)).toEqual(['both', 'only second', 'both']);
    await expect(host.siteDetail({ caseKey: 'cd'.repeat(16), parameters: DEFAULT_PARAMETERS })).rejects.toMatchObject({ code: 'case-missing' });
    await writeFile(join(folder, 'library', 'cases', `${keys[1]!}.case`), 'gone');
    await expect(host.siteDetail({ caseKey: keys[1]!, parameters: DEFAULT_PARAMETERS })).rejects.toMatchObject({ code: 'case-foreign' });
  });
});

describe('cohorts', () => {
  const job = 'ab'.repeat(16);
  const withLoss = (caseId: string): CaseRecord => buildCaseRecord({ caseId, channels: [buildChannel(Array.from({ length: 900 }, (_, i) => (i >= 40 && i < 80 ? Number.NaN : 97)))] });
  const filled = async (over: Parameters<typeof buildStandInPool>[0] = {}) => {
    const pool = start(buildStandInPool({ read: async (files) => files.map((file) => withLoss(file.folderName)), analyze: async (record, parameters) => analyzeCase(record, parameters, 'test'), ...over }));
    const { cases } = await run(await staged('A/x.csv', 'B/x.csv', 'C/x.csv'));
    return { pool, keys: cases.map((line) => line.caseKey) };
  };
  const options = { ...DEFAULT_COHORT_OPTIONS, draws: 200 };
  const share = (results: Awaited<ReturnType<typeof host.cohort>>) => results.burden.rows.find(({ scope, place }) => scope === 'all' && place === 'finger')?.primary;

  test('works out the library or a part of it, tells how far it is, and keeps what a case gave until the case changes', async () => {
    const { pool, keys } = await filled();
    const all = await host.cohort({ jobId: job, caseKeys: null, options });
    expect(all).toMatchObject({ parameters: DEFAULT_PARAMETERS, options, flow: { steps: [{ step: 'imported', cases: 3 }, {}, {}, { step: 'analysed', cases: 3 }] } });
    expect(share(all)).toMatchObject({ cases: 3, dropouts: 3, lostMs: { mid: 120_000 } });
    const told = events.flatMap((event) => (event.kind === 'cohort-progress' ? [event] : []));
    expect([told.some(({ stage, done, total }) => stage === 'reading' && done === 3 && total === 3), told.at(-1)?.stage, told.at(-1)?.done]).toEqual([true, 'working out', told.at(-1)?.total]);
    expect(await host.cohort({ jobId: job, caseKeys: [...keys].reverse(), options })).toEqual(all);
    expect(pool.figured).toHaveLength(3);
    await store.save(withLoss('B'), null); // a case that changes
    expect(share(await host.cohort({ jobId: job, caseKeys: [keys[1]!], options }))).toMatchObject({ cases: 1 });
    expect(pool.figured.slice(3)).toEqual([keys[1]!]);
    await host.saveParameters({ parameters: { ...DEFAULT_PARAMETERS, minDurationS: 60 } });
    expect(share(await host.cohort({ jobId: job, caseKeys: null, options }))).toMatchObject({ cases: 3, dropouts: 0 });
    expect(pool.figured).toHaveLength(7);
  });

  test('what cannot be read stands in the flow with the reason', async () => {
    const { keys } = await filled();
    await writeFile(join(folder, 'library', 'cases', `${keys[1]!}.case`), 'gone');
    const { flow } = await host.cohort({ jobId: job, caseKeys: [...keys, 'cd'.repeat(16)], options });
    expect(flow.steps.map(({ cases }) => cases)).toEqual([4, 2, 2, 2]);
    expect(flow.steps[1]!.leftOut).toContainEqual({ reason: 'This is not a stored case of this program.', cases: [{ caseKey: keys[1], caseId: 'B' }] });
    expect(flow.steps[1]!.leftOut).toContainEqual({ reason: 'This case is no longer in the library.', cases: [{ caseKey: 'cd'.repeat(16), caseId: '' }] });
  });

  test('can be cancelled between two cases, and started again', async () => {
    const gate = deferred<undefined>();
    const begun = deferred<undefined>();
    const { pool, keys } = await filled({
      beforeFigures: async () => {
        begun.resolve(undefined);
        await gate.promise;
      },
    });
    const outcome = expect(host.cohort({ jobId: job, caseKeys: keys, options })).rejects.toMatchObject({ code: 'cancelled' });
    await begun.promise;
    await expect(host.cohort({ jobId: job, caseKeys: keys, options })).rejects.toMatchObject({ code: 'cohort-running' });
    expect(await host.cancelCohort({ jobId: job })).toEqual({ cancelled: true });
    gate.resolve(undefined);
    await outcome;
    expect(pool.figured.length).toBeLessThan(3); // two at once, the third was never begun
    expect(await host.cancelCohort({ jobId: job })).toEqual({ cancelled: false });
    expect(share(await host.cohort({ jobId: job, caseKeys: keys, options }))).toMatchObject({ cases: 3 });
  });
});
