import { chmod, mkdtemp, readFile, readdir, rm, stat, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout } from 'node:timers/promises';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { CaseStore } from '../../../../electron/host/case-store.ts';
import { openFolderStore } from '../../../../electron/host/folder-case-store.ts';
import { lockLibrary } from '../../../../electron/host/library-lock.ts';
import { buildCaseAnalysis, buildCaseRecord } from '../../../builders/stored-case.ts';
import { bodyOf } from '../../../builders/stand-in-pool.ts';

let folder = '';
let open: CaseStore[] = [];
beforeEach(async () => {
  folder = join(await mkdtemp(join(tmpdir(), 'lacuna-store-')), 'library');
});
afterEach(async () => {
  for (const store of open) await store.close();
  open = [];
  await rm(join(folder, '..'), { recursive: true, force: true });
});
async function openStore(): Promise<CaseStore> {
  const store = await openFolderStore(folder);
  open.push(store);
  return store;
}
async function reopen(store: CaseStore): Promise<CaseStore> {
  await store.close();
  open = open.filter((one) => one !== store);
  return openStore();
}
const caseFiles = async () => (await readdir(join(folder, 'cases'))).sort();

describe('a case', () => {
  test('of the same name takes the place of the earlier one', async () => {
    const store = await openStore();
    const first = await store.save(buildCaseRecord({ caseId: 'A' }), null);
    const second = await store.save(buildCaseRecord({ caseId: 'A' }), buildCaseAnalysis());
    expect(second.caseKey).toBe(first.caseKey);
    expect(store.list()).toEqual([second]);
    expect(await caseFiles()).toHaveLength(1);
  });

  test('leaves no word of its name in the file system, and two libraries name it differently', async () => {
    const store = await openStore();
    const { caseKey } = await store.save(buildCaseRecord({ caseId: 'Meyer-Anna-1950' }), null);
    for (const name of await readdir(folder, { recursive: true })) expect(name.toLowerCase()).not.toMatch(/meyer|anna|1950/);
    const other = await openFolderStore(join(folder, '..', 'other'));
    expect(other.keyOf('Meyer-Anna-1950')).not.toBe(caseKey);
    await other.close();
  });

  test.skipIf(process.platform === 'win32')('is readable by its owner only', async () => {
    const store = await openStore();
    await store.save(buildCaseRecord(), null);
    expect((await stat(folder)).mode & 0o077).toBe(0);
    for (const name of await caseFiles()) expect((await stat(join(folder, 'cases', name))).mode & 0o077).toBe(0);
  });
});

describe('after a crash', () => {
  test('files that were being written are cleared away, and the whole ones stay', async () => {
    let store = await openStore();
    const saved = await store.save(buildCaseRecord(), null);
    await writeFile(join(folder, 'cases', `${saved.caseKey}.case.0123456789ab.unfinished`), 'half');
    await writeFile(join(folder, 'library.json.0123456789ab.unfinished'), 'half');
    store = await reopen(store);
    expect(await caseFiles()).toEqual([`${saved.caseKey}.case`]);
    expect((await readdir(folder)).filter((name) => name.endsWith('.unfinished'))).toEqual([]);
    expect(store.list()).toEqual([saved]);
  });

  test('a damaged case is listed with its problem, and importing it again repairs it', async () => {
    let store = await openStore();
    const good = await store.save(buildCaseRecord({ caseId: 'good' }), buildCaseAnalysis());
    const bad = await store.save(buildCaseRecord({ caseId: 'bad' }), buildCaseAnalysis());
    const path = join(folder, 'cases', `${bad.caseKey}.case`);
    const bytes = await readFile(path);
    await writeFile(path, bytes.subarray(0, bytes.length - 7));
    store = await reopen(store);
    const [unreadable, whole] = store.list();
    expect(unreadable).toMatchObject({ caseKey: bad.caseKey, caseId: '', problem: expect.stringMatching(/damaged: it is cut short.*Import the original/) as string });
    expect(whole).toEqual(good);
    expect((await store.save(buildCaseRecord({ caseId: 'bad' }), buildCaseAnalysis())).caseKey).toBe(bad.caseKey);
    expect(store.list().map((line) => line.problem)).toEqual([null, null]);
  });

  test('a spoiled or stale index costs nothing: it is a cache', async () => {
    let store = await openStore();
    const saved = await store.save(buildCaseRecord(), buildCaseAnalysis());
    await store.close();
    open = [];
    for (const text of ['', '{"schema":', '{"schema":"lacuna-index/1","cases":{}}']) {
      await writeFile(join(folder, 'index.json'), text);
      store = await openStore();
      expect(store.list()).toEqual([saved]);
      await store.close();
      open = [];
    }
    const index = (await readFile(join(folder, 'index.json'), 'utf8')).replace('"dropouts":1', '"dropouts":7');
    await writeFile(join(folder, 'index.json'), index);
    await utimes(join(folder, 'cases', `${saved.caseKey}.case`), new Date(), new Date());
    store = await openStore();
    expect(store.list()[0]!.dropouts).toBe(1);
  });

  test('the cases are found again by their names when the library file is lost', async () => {
    let store = await openStore();
    const saved = await store.save(buildCaseRecord({ caseId: 'A' }), null);
    await store.close();
    open = [];
    await rm(join(folder, 'library.json'));
    store = await openStore();
    expect(store.keyOf('A')).toBe(saved.caseKey);
    expect(!store.settings.samplesOffered).toBe(false);
  });

  test('what a later version wrote, or what cannot be read, of the library itself is left as it is', async () => {
    const store = await openStore();
    await store.save(buildCaseRecord({ caseId: 'A' }), null);
    await store.close();
    open = [];
    const text = await readFile(join(folder, 'library.json'), 'utf8');
    for (const [wrong, code] of [[text.replace('lacuna-library/1', 'lacuna-library/2'), 'library-newer'], [text.slice(0, 40), 'library-facts-damaged']] as const) {
      await writeFile(join(folder, 'library.json'), wrong);
      await expect(openStore()).rejects.toMatchObject({ code, remedy: expect.any(String) as string });
      expect(await readFile(join(folder, 'library.json'), 'utf8')).toBe(wrong);
    }
    await writeFile(join(folder, 'library.json'), text);
    expect((await openStore()).list()).toHaveLength(1);
  });

  test('staged files of an import that is not over are removed at the next start', async () => {
    let store = await openStore();
    const staging = await store.openStaging({ isResumable: true });
    await staging.stage('a/x.csv', bodyOf('1'));
    const left = staging.files[0]!.path;
    await store.close();
    open = [];
    await writeFile(left, 'left behind').catch(() => undefined);
    store = await openStore();
    expect(await readdir(join(folder, 'incoming'))).toEqual([]);
    expect(store.stagingOf(staging.importId)).toBeNull();
  });
});

describe('parameters', () => {
  test('that cannot be read are said to be damaged, not replaced in silence', async () => {
    const store = await openStore();
    await writeFile(join(folder, 'parameters.json'), '{"minDurationS": "thirty"}');
    await expect(store.settings.readParameters()).rejects.toMatchObject({ code: 'parameters-damaged' });
  });
});

describe('a second program', () => {
  test('takes over the lock of one that died, of one that fell silent, and one that was cut short', async () => {
    let store = await openStore();
    await store.close();
    open = [];
    const lock = join(folder, 'lock');
    const { hostname } = await import('node:os');
    await writeFile(lock, JSON.stringify({ pid: 2 ** 22 + 1, machine: hostname(), nonce: 'dead' }));
    store = await openStore();
    await store.close();
    open = [];
    for (const text of [JSON.stringify({ pid: 1, machine: 'another machine', nonce: 'x' }), '{"pi']) {
      await writeFile(lock, text);
      await expect(openFolderStore(folder)).rejects.toMatchObject({ code: 'library-in-use' });
      const old = new Date(Date.now() - 120_000);
      await utimes(lock, old, old);
      store = await openStore();
      await store.close();
      open = [];
    }
  });

  test('waits for the next sign of one that runs on this machine and was silent, as after the computer slept', async () => {
    const lock = join(folder, '..', 'lock');
    const { hostname } = await import('node:os');
    const holder = JSON.stringify({ pid: process.pid, machine: hostname(), nonce: 'asleep' });
    const old = new Date(Date.now() - 3_600_000);
    await writeFile(lock, holder);
    await utimes(lock, old, old);
    const woken = lockLibrary(lock, 'x', 400);
    await setTimeout(100); // it has looked, and waits
    await utimes(lock, new Date(), new Date());
    await expect(woken).rejects.toMatchObject({ code: 'library-in-use' });
    await utimes(lock, old, old); // now the number belongs to another program, which gives no sign
    await (await lockLibrary(lock, 'x', 20)).release();
    expect(await readdir(join(folder, '..'))).not.toContain('lock');
  });

  test('does not get the library by a lock that is released by the wrong hand', async () => {
    const store = await openStore();
    await writeFile(join(folder, 'lock'), JSON.stringify({ pid: process.pid, machine: 'm', nonce: 'not ours' }));
    await store.close();
    open = [];
    expect(JSON.parse(await readFile(join(folder, 'lock'), 'utf8'))).toMatchObject({ nonce: 'not ours' });
  });
});

describe('a folder that cannot be a library', () => {
  test('is told with a remedy', async () => {
    await writeFile(join(folder, '..', 'file'), '');
    await expect(openFolderStore(join(folder, '..', 'file'))).rejects.toMatchObject({ code: 'library-unusable', remedy: expect.stringContaining('--library') as string });
  });

  test.skipIf(process.platform === 'win32' || process.getuid?.() === 0)('because it may not be written, too', async () => {
    await chmod(join(folder, '..'), 0o500);
    await expect(openFolderStore(folder)).rejects.toMatchObject({ code: 'library-unusable' });
    await chmod(join(folder, '..'), 0o700);
  });
});

describe('staging', () => {
  test('keeps the structure of the chosen folder in the report and its names out of the disk', async () => {
    const store = await openStore();
    const staging = await store.openStaging({ isResumable: true });
    expect(await staging.stage('Meyer/day 1\\trends.csv', bodyOf('time,', 'SpO2\n'))).toEqual({ byteLength: 10 });
    expect(staging.files[0]).toMatchObject({ relativePath: 'Meyer/day 1/trends.csv', byteLength: 10 });
    expect(await readFile(staging.files[0]!.path, 'utf8')).toBe('time,SpO2\n');
    expect((await readdir(folder, { recursive: true })).join(' ')).not.toMatch(/Meyer|trends/);
    await staging.stage('Meyer/day 1/trends.csv', bodyOf('again'));
    expect(staging.files).toHaveLength(1);
    expect(await readFile(staging.files[0]!.path, 'utf8')).toBe('again');
    expect(await store.endStaging(staging.importId)).toBe(true);
    expect(await readdir(join(folder, 'incoming'))).toEqual([]);
  });

  test('leaves nothing of a file whose bytes stop coming', async () => {
    const store = await openStore();
    const staging = await store.openStaging({ isResumable: true });
    async function* broken() {
      yield new Uint8Array(10);
      throw new Error('connection lost');
    }
    await expect(staging.stage('a.csv', broken())).rejects.toThrow('connection lost');
    expect(staging.files).toEqual([]);
    expect(await readdir(join(folder, 'incoming', staging.importId))).toEqual([]);
  });
});
