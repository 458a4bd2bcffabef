import { mkdir, mkdtemp, readFile, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { sourceDigests } from '../../../../core/model/source-digests.ts';
import { decodeCase, encodeCase } from '../../../../core/persist/case-bytes.ts';
import { summarizeCase } from '../../../../core/protocol/case-summary.ts';
import type { CaseStore, StagingArea } from '../../../../electron/host/case-store.ts';
import type { ReadyCase } from '../../../../electron/host/import-work.ts';
import { LIBRARY_KINDS } from '../../../builders/library-kinds.ts';
import { bodyOf } from '../../../builders/stand-in-pool.ts';
import { buildCaseAnalysis, buildCaseRecord, buildChannel } from '../../../builders/stored-case.ts';

describe.each(LIBRARY_KINDS)('a library that is $kind', ({ open }) => {
  let folder = '';
  let store: CaseStore;
  beforeEach(async () => {
    folder = await mkdtemp(join(tmpdir(), 'lacuna-contract-'));
    store = await open(join(folder, 'library'));
  });
  afterEach(async () => {
    await store.close();
    await rm(folder, { recursive: true, force: true });
  });
  async function reopen(): Promise<void> {
    await store.close();
    store = await open(join(folder, 'library'));
  }
  async function valuesOf(caseId: string): Promise<number[]> {
    const decoded = decodeCase(await store.readBytes(store.keyOf(caseId)));
    if (!decoded.ok) throw new Error(decoded.failure.message);
    return [...decoded.value.record.channels[0]!.value];
  }
  async function prepare(staging: StagingArea, caseId: string, values: readonly number[]): Promise<ReadyCase> {
    const record = buildCaseRecord({ caseId, channels: [buildChannel(values)] });
    return await staging.prepare({ bytes: encodeCase(record, null), summary: summarizeCase(store.keyOf(caseId), record, null), digests: sourceDigests(record), remarks: { notes: [], asTimeOfDay: [], agedBy: null } });
  }

  test('has a case after closing and opening, with its line', async () => {
    const saved = await store.save(buildCaseRecord({ caseId: 'A' }), buildCaseAnalysis());
    expect(saved).toMatchObject({ caseId: 'A', sites: ['finger'], date: '2030-03-17', dropouts: 1, lostMidMs: 30_000, longestMidMs: 30_000, monitoredMs: 600_000, shareMid: 0.05, intervalMs: 1000, channels: 1, findings: 1, sourceNames: ['trends.csv'], problem: null });
    await reopen();
    expect(store.list()).toEqual([saved]);
    expect(decodeCase(await store.readBytes(saved.caseKey))).toEqual({ ok: true, value: { record: buildCaseRecord({ caseId: 'A' }), analysis: buildCaseAnalysis() } });
    expect(store.casesFrom(sourceDigests(buildCaseRecord({ caseId: 'A' })))).toEqual([saved.caseKey]);
  });

  test('puts a case of the same name in the place of the earlier one, and counts its changes', async () => {
    const first = await store.save(buildCaseRecord({ caseId: 'A' }), null);
    const before = store.revisionOf(first.caseKey);
    const second = await store.save(buildCaseRecord({ caseId: 'A' }), buildCaseAnalysis());
    expect(second.caseKey).toBe(first.caseKey);
    expect(store.list()).toEqual([second]);
    expect(store.revisionOf(first.caseKey)).not.toBe(before);
  });

  test('names the content of a case by a stamp that outlives a start and changes with the case', async () => {
    const { caseKey } = await store.save(buildCaseRecord({ caseId: 'A' }), null);
    const before = store.stampOf(caseKey);
    expect(before).toEqual(expect.any(String));
    await reopen();
    expect(store.stampOf(caseKey)).toBe(before);
    await store.save(buildCaseRecord({ caseId: 'A' }), buildCaseAnalysis());
    expect(store.stampOf(caseKey)).not.toBe(before);
    await store.remove(caseKey);
    expect(store.stampOf(caseKey)).toBeNull();
  });

  test('keeps after how many idle minutes it is locked, and that it may stay a folder', async () => {
    expect([store.settings.lockAfterMinutes, store.settings.staysFolder]).toEqual([10, false]);
    const { pseudonymKey } = store.settings;
    await store.settings.change({ lockAfterMinutes: 3 });
    await store.settings.change({ staysFolder: true });
    await reopen();
    expect([store.settings.lockAfterMinutes, store.settings.staysFolder, store.settings.pseudonymKey]).toEqual([3, true, pseudonymKey]);
  });

  /** Leaves the library as a program that is killed does: `left` is what lies in its folder of imports then. */
  async function killedWith(importId: string, left: Readonly<Record<string, string>>): Promise<void> {
    await store.close();
    const incoming = join(folder, ...(await readdir(folder)).includes('library.key') ? ['library.incoming'] : ['library', 'incoming']);
    await mkdir(join(incoming, importId), { recursive: true });
    for (const [name, text] of Object.entries(left)) await writeFile(join(incoming, importId, name), text);
    store = await open(join(folder, 'library'));
  }
  const begun = (importId: string) => ({ schema: 'lacuna-ledger/1' as const, importId, at: '2031-04-01T08:00:00.000Z', productVersion: '1', run: 1, kind: 'begun' as const, files: [], corrects: null });

  test('says at the next start that an import was cut short and its files were removed, until a person has read it', async () => {
    const [cut, chosen, over] = ['a', 'b', 'c'].map((letter) => letter.repeat(32)) as [string, string, string];
    await store.ledger.append(begun(cut));
    await store.ledger.append(begun(over));
    const { corrects: _none, ...base } = begun(over);
    await store.ledger.append({ ...base, kind: 'run', zone: null, mapping: null, overrules: [], overruled: [], files: [], cases: [], looseName: '' });
    await killedWith(cut, { '000001.input': 'abc', '000002.input': 'de', 'plan.json': '{}' });
    await killedWith(chosen, { '000001.input': 'abc' });
    await killedWith(over, { '000001.input': 'abc' }); // it went through: nothing was lost
    await killedWith('d'.repeat(32), {}); // nothing was chosen
    expect(await store.removedImports.list()).toMatchObject([{ importId: cut, files: 2, byteLength: 5, wasReading: true }, { importId: chosen, files: 1, wasReading: false }]);
    expect(Date.now() - Date.parse((await store.removedImports.list())[0]!.lastSignAt)).toBeLessThan(3_600_000);
    await reopen();
    expect(await store.removedImports.list()).toHaveLength(2);
    await store.removedImports.forget();
    await reopen();
    expect(await store.removedImports.list()).toEqual([]);
  });

  test('says of a case that is gone that it is', async () => {
    const { caseKey } = await store.save(buildCaseRecord(), null);
    expect(await store.remove(caseKey)).toBe(true);
    expect(await store.remove(caseKey)).toBe(false);
    expect(store.list()).toEqual([]);
    await expect(store.readBytes(caseKey)).rejects.toMatchObject({ code: 'case-missing' });
    await expect(store.readBytes('../../../../etc/passwd')).rejects.toMatchObject({ code: 'case-missing' });
    await reopen();
    expect(store.list()).toEqual([]);
  });

  test('keeps cases of many sizes to the last byte', async () => {
    const lengths = [0, 1, 8000, 8192, 50_000];
    for (const length of lengths) await store.save(buildCaseRecord({ caseId: `n${length}`, channels: [buildChannel(Array.from({ length }, (_, i) => i % 101))] }), null);
    await reopen();
    for (const length of lengths) expect(await valuesOf(`n${length}`)).toEqual(Array.from({ length }, (_, i) => i % 101));
  });

  test('has the default parameters until others are saved, which mark the cases as waiting', async () => {
    expect(await store.settings.readParameters()).toEqual(DEFAULT_PARAMETERS);
    await store.settings.saveParameters({ ...DEFAULT_PARAMETERS, name: 'ours', minDurationS: 60 });
    await reopen();
    expect(await store.settings.readParameters()).toMatchObject({ name: 'ours', minDurationS: 60 });
    expect(store.settings.reanalysisPending).toBe(true);
    await store.endReanalysis();
    await store.settings.change({ samplesOffered: true });
    await reopen();
    expect([store.settings.reanalysisPending, !store.settings.samplesOffered]).toEqual([false, false]);
  });

  test('tells a second program that it is open', async () => {
    await expect(open(join(folder, 'library'))).rejects.toMatchObject({ code: 'library-in-use', message: expect.stringContaining('already open') as string, remedy: expect.stringContaining('--library') as string });
  });

  test.each(['/etc/passwd', '../up.csv', 'a/../../up.csv', 'C:\\x.csv', '\\\\server\\x', '', '.', 'a\u0000b', `${'x'.repeat(5000)}.csv`])('refuses to stage the path %j', async (path) => {
    const staging = await store.openStaging({ isResumable: true });
    await expect(staging.stage(path, bodyOf('x'))).rejects.toMatchObject({ code: 'bad-path' });
    expect(staging.files).toEqual([]);
  });

  /** Runs `attempt` while the folder that imports are kept in is gone. */
  async function withoutFolderOfImports(attempt: () => Promise<void>): Promise<void> {
    const gone = (await readdir(folder, { recursive: true })).filter((name) => name.endsWith('incoming')).map((name) => join(folder, name));
    for (const path of gone) await rm(path, { recursive: true });
    await attempt();
    for (const path of gone) await mkdir(path);
  }

  test('an import into a library whose folder cannot be written says so, and is no error of the program', () =>
    withoutFolderOfImports(async () => {
      await expect(store.openStaging({ isResumable: true })).rejects.toMatchObject({ code: 'library-unwritable', remedy: expect.stringContaining('may be written') as string });
    }));

  test('an import that loses its folder while a file comes in says so too', async () => {
    const staging = await store.openStaging({ isResumable: true });
    await withoutFolderOfImports(async () => {
      await expect(staging.stage('a.csv', bodyOf('x'))).rejects.toMatchObject({ code: 'library-unwritable' });
    });
  });

  test('stages files as they came and removes them when the import ends', async () => {
    const staging = await store.openStaging({ isResumable: true });
    await staging.stage('Meyer/day 1\\trends.csv', bodyOf('time,', 'SpO2\n'));
    await staging.stage('other.csv', bodyOf('x'));
    const [first, other] = staging.files;
    expect(first).toMatchObject({ relativePath: 'Meyer/day 1/trends.csv', byteLength: 10 });
    expect(await readFile(first!.path, 'utf8')).toBe('time,SpO2\n');
    await staging.keepOnly(new Map([['other.csv', 'renamed.csv']]));
    expect(staging.files.map(({ relativePath }) => relativePath)).toEqual(['renamed.csv']);
    expect(await store.endStaging(staging.importId)).toBe(true);
    expect(await store.endStaging(staging.importId)).toBe(false);
    await expect(readFile(other!.path)).rejects.toMatchObject({ code: 'ENOENT' });
  });

  test('takes the cases of an import in together with its entry, and a later run of it takes back what it does not give any more', async () => {
    await store.save(buildCaseRecord({ caseId: 'A', channels: [buildChannel([1])] }), null);
    const staging = await store.openStaging({ isResumable: true });
    const base = { schema: 'lacuna-ledger/1' as const, importId: staging.importId, at: '2031-04-01T08:00:00.000Z', productVersion: '1' };
    const entry = await store.ledger.prepare({ ...base, run: 1, kind: 'begun', files: [], corrects: null });
    expect((await store.ledger.read(staging.importId)).entries).toEqual([]);
    const put = [await prepare(staging, 'A', [2]), await prepare(staging, 'B', [3])];
    expect(Buffer.from(await staging.readReady(store.keyOf('B'))).length).toBeGreaterThan(0);
    expect([...(await store.publish(staging, { put, takeBack: [], entry }, {}))]).toEqual([store.keyOf('A')]);
    expect([await valuesOf('A'), await valuesOf('B')]).toEqual([[2], [3]]);
    expect((await store.ledger.read(staging.importId)).entries).toMatchObject([{ kind: 'begun' }]);
    expect(decodeCase(await staging.readAside(store.keyOf('A')))).toMatchObject({ ok: true, value: { record: { channels: [{ value: new Float64Array([1]) }] } } });
    await store.publish(staging, { put: [await prepare(staging, 'C', [4])], takeBack: [store.keyOf('A'), store.keyOf('B')] }, {});
    expect([await valuesOf('A'), await valuesOf('C'), store.list().map(({ caseId }) => caseId)]).toEqual([[1], [4], ['A', 'C']]);
    await store.endStaging(staging.importId);
    await reopen();
    expect([await valuesOf('A'), store.list().map(({ caseId }) => caseId)]).toEqual([[1], ['A', 'C']]);
  });

  test('changes nothing for a publication that is stopped before it begins', async () => {
    const staging = await store.openStaging({ isResumable: true });
    const put = [await prepare(staging, 'A', [2])];
    await expect(store.publish(staging, { put, takeBack: [] }, { signal: AbortSignal.abort(new Error('stopped')) })).rejects.toThrow('stopped');
    expect(store.list()).toEqual([]);
    await reopen();
    expect(store.list()).toEqual([]);
  });

  test('keeps what lies on its shelf', async () => {
    const ours = { ...DEFAULT_PARAMETERS, name: 'ours' };
    await store.parameterSets.save(ours);
    const mark = { markId: '1'.repeat(32), clock: 'absolute', startMs: 5000, endMs: 9000, text: 'see the chart' } as const;
    await store.marks.keep('a'.repeat(32), mark);
    await store.lanes.keep({ lanes: [{ laneName: 'rate', isShown: false, heightPx: 90 }] });
    await store.mappings.save({ schema: 'lacuna-mapping/1', name: 'house', files: [] }, false);
    await reopen();
    expect(await store.parameterSets.list()).toEqual([ours]);
    expect(await store.marks.list('a'.repeat(32))).toEqual([mark]);
    expect(await store.lanes.read()).toEqual({ lanes: [{ laneName: 'rate', isShown: false, heightPx: 90 }] });
    expect((await store.mappings.list()).map(({ name }) => name)).toEqual(['house']);
    expect([await store.protocols.list(), await store.qualityCharts.list(), await store.interruptedRuns()]).toEqual([[], [], []]);
  });
});
