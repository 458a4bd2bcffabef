import { mkdir, mkdtemp, readFile, readdir, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { FailureError } from '../../../../core/protocol/failure-error.ts';
import { HOST_METHODS } from '../../../../core/protocol/host-api-schema.ts';
import type { HostEvent } from '../../../../core/protocol/host-api.ts';
import { answerCall } from '../../../../electron/host/call-gate.ts';
import { openFolderStore } from '../../../../electron/host/folder-case-store.ts';
import { createHost } from '../../../../electron/host/host.ts';
import { DESK_METHODS } from '../../../../electron/host/no-library-desk.ts';
import type { KeptKey, KeyStore } from '../../../../electron/store/key-store.ts';
import { noKeyStore } from '../../../../electron/store/key-store.ts';
import { createLibraryFile, openLibraryFile } from '../../../../electron/store/library-file.ts';
import type { LibraryDesk } from '../../../../electron/store/library-desk.ts';
import { createLibraryDesk } from '../../../../electron/store/library-desk.ts';
import { buildOwnLibraries } from '../../../../electron/store/own-libraries.ts';
import { CHEAP, PASSPHRASE } from '../../../builders/library-kinds.ts';
import { bodyOf, buildStandInPool, deferred } from '../../../builders/stand-in-pool.ts';
import { buildCaseRecord } from '../../../builders/stored-case.ts';

const OTHER = 'another one of some length';

let folder = '';
let desks: LibraryDesk[] = [];
let holdUp: Promise<void> | null = null;
let events: HostEvent['kind'][] = [];
let day = 1;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-desk-'));
  [holdUp, events, desks, day] = [null, [], [], 1];
});
afterEach(async () => {
  for (const desk of desks) await desk.close();
  await rm(folder, { recursive: true, force: true });
});

interface Asked {
  readonly first?: { readonly name: string; readonly form: 'folder' | 'encrypted' };
  readonly lockAfterMinutes?: number | null;
  readonly keyStore?: KeyStore;
  readonly patienceMs?: number;
}

async function startDesk({ first, lockAfterMinutes = null, keyStore = noKeyStore('none here'), patienceMs }: Asked = {}): Promise<LibraryDesk> {
  const own = buildOwnLibraries(folder);
  const named = first ?? (await own.lastUsed()) ?? { name: 'library', form: 'folder' };
  const now = (): Date => new Date(Date.UTC(2031, 0, day, 6));
  const desk = createLibraryDesk({
    productVersion: '1', door: 'browser', own, lockAfterMinutes, keyStore, now, patienceMs,
    first: { ...named, path: own.pathOf(named), isOwn: true },
    fileOptions: { ...CHEAP, now },
    startOver: async (store) => createHost({ store, productVersion: '1', door: 'browser', casesAtOnce: 1, samplesFolder: folder, startPool: () => buildStandInPool({ read: async () => { await holdUp; return [buildCaseRecord({ caseId: 'A' })]; } }) }),
  });
  desk.onEvent(({ kind }) => events.push(kind));
  await desk.begin();
  desks.push(desk);
  return desk;
}

async function closeAll(): Promise<void> {
  for (const desk of desks) await desk.close();
  desks = [];
}

async function makeEncrypted(name: string): Promise<void> {
  await (await createLibraryFile(join(folder, `${name}.lacuna`), PASSPHRASE, CHEAP)).close();
}

async function importA(desk: LibraryDesk): Promise<void> {
  const { importId } = await desk.beginImport();
  await desk.stageFile(importId, 'A/a.csv', bodyOf('x'));
  await desk.runImport({ importId, overrules: [], zone: null, mapping: null });
  await desk.endImport({ importId });
}

const idsOf = async (desk: LibraryDesk): Promise<string[]> => (await desk.listCases()).map(({ caseId }) => caseId);
const ask = async (desk: LibraryDesk, method: string, args: unknown = null) => await answerCall(desk, method, args, () => undefined);

describe('a locked library', () => {
  test('is locked as soon as what is being answered is over, when that does not take long', async () => {
    await makeEncrypted('x');
    const desk = await startDesk({ first: { name: 'x', form: 'encrypted' } });
    await desk.unlockLibrary({ passphrase: PASSPHRASE });
    const reading = deferred<void>();
    holdUp = reading.promise;
    const { importId } = await desk.beginImport();
    await desk.stageFile(importId, 'A/a.csv', bodyOf('x'));
    const run = desk.runImport({ importId, overrules: [], zone: null, mapping: null });
    const locking = desk.lockLibrary();
    reading.resolve();
    expect((await run).cases.map(({ caseId }) => caseId)).toEqual(['A']);
    expect(await locking).toEqual({ locked: true });
  });

  test('answers nothing but the calls of the desk, and opens only with its passphrase', async () => {
    await makeEncrypted('x');
    const desk = await startDesk({ first: { name: 'x', form: 'encrypted' } });
    for (const method of Object.keys(HOST_METHODS)) {
      if (DESK_METHODS.some((one) => one === method)) continue;
      await expect((desk[method as 'listCases'] as (args: unknown) => Promise<unknown>)({})).rejects.toMatchObject({ code: 'library-locked' });
    }
    await expect(desk.openCase('a'.repeat(32))).rejects.toMatchObject({ code: 'library-locked' });
    expect(await ask(desk, 'describe')).toEqual({ ok: true, value: { productVersion: '1', door: 'browser', libraryName: 'x', lock: { isLocked: true, afterMinutes: 10 } } });
    for (const [method, args] of [['setLockAfter', { minutes: 5 }], ['keepKey', { isKept: true }], ['backUpNow', null], ['changePassphrase', { before: PASSPHRASE, after: OTHER }]] as const) expect(await ask(desk, method, args)).toMatchObject({ ok: false, failure: { code: 'library-locked' } });
    expect(await ask(desk, 'unlockLibrary', { passphrase: 'not this one, no' })).toMatchObject({ ok: false, failure: { code: 'passphrase-wrong' } });
    expect(await ask(desk, 'unlockLibrary', { passphrase: PASSPHRASE })).toEqual({ ok: true, value: { unlocked: true } });
    expect(await ask(desk, 'listCases')).toEqual({ ok: true, value: [] });
  });

  test('is closed when it is locked, the page is told, and locking is refused while something is being written', async () => {
    await makeEncrypted('x');
    const desk = await startDesk({ first: { name: 'x', form: 'encrypted' }, patienceMs: 0 });
    await desk.unlockLibrary({ passphrase: PASSPHRASE });
    const reading = deferred<void>();
    holdUp = reading.promise;
    const run = importA(desk);
    await expect.poll(() => desk.lockLibrary().then(() => 'locked', (error: unknown) => (error as FailureError).code), { timeout: 20_000 }).toBe('library-busy');
    for (const change of [() => desk.createLibrary({ name: 'y', form: 'folder', passphrase: null }), () => desk.openOtherLibrary({ name: 'x', form: 'encrypted' })]) await expect(change()).rejects.toMatchObject({ code: 'library-busy' });
    reading.resolve();
    await run;
    expect(await desk.lockLibrary()).toEqual({ locked: true });
    expect(events.at(-1)).toBe('library-locked');
    await expect(desk.listCases()).rejects.toMatchObject({ code: 'library-locked' });
    // Closed: another program could open it now.
    await (await openLibraryFile(join(folder, 'x.lacuna'), PASSPHRASE, CHEAP)).close();
    await desk.unlockLibrary({ passphrase: PASSPHRASE });
    expect(await idsOf(desk)).toEqual(['A']);
  });

  test('is locked after the minutes that are kept in it, unless the program was started with others', async () => {
    await makeEncrypted('x');
    const first = { name: 'x', form: 'encrypted' } as const;
    const desk = await startDesk({ first });
    await desk.unlockLibrary({ passphrase: PASSPHRASE });
    expect(await ask(desk, 'setLockAfter', { minutes: 1500 })).toMatchObject({ ok: false, failure: { code: 'bad-call' } });
    await desk.setLockAfter({ minutes: 3 });
    expect(events).toContain('lock-changed');
    expect((await desk.describe()).lock).toEqual({ isLocked: false, afterMinutes: 3 });
    await closeAll();
    const again = await startDesk({ first, lockAfterMinutes: 0 });
    await again.unlockLibrary({ passphrase: PASSPHRASE });
    expect((await again.describe()).lock?.afterMinutes).toBe(0);
    expect((await again.describeLibrary()).lockAfter).toEqual({ minutes: 0, isOverruled: true });
  });
});

describe('the desk', () => {
  test('begins with a folder that nobody has decided about; what is said of it is kept', async () => {
    const desk = await startDesk();
    expect(await ask(desk, 'describeLibrary')).toEqual({ ok: true, value: { open: { name: 'library', form: 'folder' }, isOwn: true, others: [], lockAfter: null, keyKeeping: { kind: 'none', why: 'A folder has no key.' }, keptAside: [], isUndecided: true } });
    await desk.stayWithFolder();
    await closeAll();
    expect((await (await startDesk()).describeLibrary()).isUndecided).toBe(false);
    for (const method of ['lockLibrary', 'listBackups', 'backUpNow', 'setLockAfter', 'restoreBackup', 'changePassphrase', 'keepKey'] as const) await expect((desks[0]![method] as (args: unknown) => Promise<unknown>)({ at: '' })).rejects.toMatchObject({ code: 'not-encrypted' });
  });

  test('makes an encrypted library and goes on with it, also at the next start', async () => {
    const desk = await startDesk();
    await expect(desk.createLibrary({ name: 'ward', form: 'encrypted', passphrase: 'short' })).rejects.toMatchObject({ code: 'passphrase-short' });
    await expect(desk.createLibrary({ name: 'library', form: 'folder', passphrase: null })).rejects.toMatchObject({ code: 'library-there' });
    for (const name of ['', '../out', 'a/b', 'a\\b', '.hidden', 'CON', 'ends.', 'x.lacuna', 'a'.repeat(61), 'bad\u0000']) await expect(desk.createLibrary({ name, form: 'encrypted', passphrase: PASSPHRASE })).rejects.toMatchObject({ code: 'bad-name' });
    expect((await readdir(folder)).sort()).toEqual(['library']);
    await desk.createLibrary({ name: 'Ward 2031', form: 'encrypted', passphrase: PASSPHRASE });
    expect(events.at(-1)).toBe('library-locked'); // the page begins anew
    expect(await desk.describe()).toMatchObject({ libraryName: 'Ward 2031', lock: { isLocked: false } });
    await importA(desk);
    await (await openFolderStore(join(folder, 'library'))).close(); // the folder is free
    await closeAll();
    const again = await startDesk();
    expect(await again.describe()).toMatchObject({ libraryName: 'Ward 2031', lock: { isLocked: true } });
    expect((await again.describeLibrary()).others).toEqual([{ name: 'library', form: 'folder' }]);
    await again.unlockLibrary({ passphrase: PASSPHRASE });
    expect(await idsOf(again)).toEqual(['A']);
    await expect(again.createLibrary({ name: 'ward 2031', form: 'encrypted', passphrase: PASSPHRASE })).rejects.toMatchObject({ code: 'library-there' });
    await expect(again.moveLibrary({ name: 'z', passphrase: PASSPHRASE })).rejects.toMatchObject({ code: 'not-a-folder' });
  });

  test('makes another folder, and goes back and forth between libraries; each has its own cases', async () => {
    const desk = await startDesk();
    await importA(desk);
    await desk.createLibrary({ name: 'second', form: 'folder', passphrase: null });
    expect(await idsOf(desk)).toEqual([]);
    expect(await desk.openOtherLibrary({ name: 'library', form: 'folder' })).toEqual({ isLocked: false });
    expect(await idsOf(desk)).toEqual(['A']);
    await expect(desk.openOtherLibrary({ name: 'gone', form: 'encrypted' })).rejects.toMatchObject({ code: 'library-missing' });
    await expect(desk.openOtherLibrary({ name: '../x', form: 'folder' })).rejects.toMatchObject({ code: 'bad-name' });
    expect(await idsOf(desk)).toEqual(['A']);
  });

  test('moves the open folder into an encrypted library and goes on with it; the folder stays', async () => {
    const desk = await startDesk();
    await importA(desk);
    await expect(desk.moveLibrary({ name: 'library', passphrase: 'short' })).rejects.toMatchObject({ code: 'passphrase-short' });
    expect(await idsOf(desk)).toEqual(['A']);
    expect(await desk.moveLibrary({ name: 'library', passphrase: PASSPHRASE })).toEqual({ cases: 1 });
    expect(await desk.describe()).toMatchObject({ libraryName: 'library', lock: { isLocked: false } });
    expect(await idsOf(desk)).toEqual(['A']);
    expect((await desk.describeLibrary()).others).toEqual([{ name: 'library', form: 'folder' }]);
    expect((await stat(join(folder, 'library', 'library.json'))).isFile()).toBe(true);
  });

  test('a move that fails leaves the folder open as it was', async () => {
    const desk = await startDesk();
    await importA(desk);
    await mkdir(join(folder, 'taken.lacuna')); // a folder lies where the file is to come
    await expect(desk.moveLibrary({ name: 'taken', passphrase: PASSPHRASE })).rejects.toBeInstanceOf(Error);
    expect(await idsOf(desk)).toEqual(['A']);
    expect(await desk.describe()).toMatchObject({ libraryName: 'library', lock: null });
    await makeEncrypted('there');
    await expect(desk.moveLibrary({ name: 'there', passphrase: PASSPHRASE })).rejects.toMatchObject({ code: 'library-there' });
    expect(await idsOf(desk)).toEqual(['A']);
  });

  test('stays with the open library where the disk does not take which one the next start is to open', async () => {
    const desk = await startDesk();
    await importA(desk);
    await mkdir(join(folder, 'last-library.json')); // a folder lies where the note is to come
    const refused = { code: 'library-unwritable' };
    await expect(desk.createLibrary({ name: 'x', form: 'encrypted', passphrase: PASSPHRASE })).rejects.toMatchObject(refused);
    await expect(desk.openOtherLibrary({ name: 'x', form: 'encrypted' })).rejects.toMatchObject(refused);
    await expect(desk.moveLibrary({ name: 'y', passphrase: PASSPHRASE })).rejects.toMatchObject(refused);
    expect(events).not.toContain('library-locked');
    expect(await idsOf(desk)).toEqual(['A']);
    expect((await desk.describeLibrary()).others.map(({ name }) => name)).toEqual(['x', 'y']); // whole and closed: they can be opened later
    await rm(join(folder, 'last-library.json'), { recursive: true });
    await desk.openOtherLibrary({ name: 'y', form: 'encrypted' });
    await desk.unlockLibrary({ passphrase: PASSPHRASE });
    expect(await idsOf(desk)).toEqual(['A']);
  });

  test('gives the open library another passphrase; a wrong one changes nothing', async () => {
    await makeEncrypted('x');
    const desk = await startDesk({ first: { name: 'x', form: 'encrypted' } });
    await desk.unlockLibrary({ passphrase: PASSPHRASE });
    await expect(desk.changePassphrase({ before: 'not this one, no', after: OTHER })).rejects.toMatchObject({ code: 'passphrase-wrong' });
    await expect(desk.changePassphrase({ before: PASSPHRASE, after: 'short' })).rejects.toMatchObject({ code: 'passphrase-short' });
    await desk.changePassphrase({ before: PASSPHRASE, after: OTHER });
    await desk.lockLibrary();
    await expect(desk.unlockLibrary({ passphrase: PASSPHRASE })).rejects.toMatchObject({ code: 'passphrase-wrong' });
    await desk.unlockLibrary({ passphrase: OTHER });
  });

  test('backs up, and puts a backup in the place of the open library, which keeps its passphrase of today', async () => {
    const desk = await startDesk();
    await desk.createLibrary({ name: 'x', form: 'encrypted', passphrase: PASSPHRASE });
    day = 2;
    const empty = await desk.backUpNow();
    expect(empty).toMatchObject({ at: '2031-01-02T06:00:00Z', cases: 0 });
    await importA(desk);
    day = 3;
    expect(await desk.backUpNow()).toMatchObject({ cases: 1 });
    expect((await desk.backUpNow()).at).toBe('2031-01-03T06:00:01Z'); // none that is there is written over
    await desk.changePassphrase({ before: PASSPHRASE, after: OTHER });
    const { at, byteLength } = (await desk.listBackups()).at(-1)!;
    expect(byteLength).toBeGreaterThan(4096);
    expect(await desk.restoreBackup({ at, passphrase: null })).toEqual({ cases: 0, keptAs: 'x.lacuna.before-2031-01-03T06-00-00Z' });
    expect(events.at(-1)).toBe('library-locked');
    expect(await idsOf(desk)).toEqual([]);
    expect((await desk.describeLibrary()).keptAside).toEqual([{ name: 'x.lacuna.before-2031-01-03T06-00-00Z', at: '2031-01-03T06:00:00Z', byteLength: expect.any(Number) as number }]);
    await desk.lockLibrary();
    await desk.unlockLibrary({ passphrase: OTHER });
    await expect(desk.restoreBackup({ at: '2001-01-01T00:00:00Z', passphrase: null })).rejects.toMatchObject({ code: 'backup-missing' });
    expect(await idsOf(desk)).toEqual([]);
  });

  test('does not put a damaged backup in the place of the open library, nor one of another library', async () => {
    const desk = await startDesk();
    await desk.createLibrary({ name: 'x', form: 'encrypted', passphrase: PASSPHRASE });
    await importA(desk);
    const { at } = await desk.backUpNow();
    const path = join(folder, 'x.lacuna.backups', `${at.replaceAll(':', '-')}.lacuna`);
    const bytes = await readFile(path);
    await writeFile(path, Buffer.from(bytes).fill(0x5a, 4096, 8192));
    events = [];
    await expect(desk.restoreBackup({ at, passphrase: null })).rejects.toMatchObject({ code: 'backup-unusable' });
    expect(events).not.toContain('library-locked'); // the page keeps what it shows, with the reason
    expect(await idsOf(desk)).toEqual(['A']);
    expect((await readdir(folder)).filter((name) => /\.coming|before/.test(name))).toEqual([]);
  });

  test('puts a backup in the place of a library that is damaged, with the passphrase', async () => {
    const desk = await startDesk();
    await desk.createLibrary({ name: 'x', form: 'encrypted', passphrase: PASSPHRASE });
    await importA(desk);
    const { at } = await desk.backUpNow();
    await desk.lockLibrary();
    const file = join(folder, 'x.lacuna');
    await writeFile(file, (await readFile(file)).fill(0x5a, 0, 8192));
    await expect(desk.unlockLibrary({ passphrase: PASSPHRASE })).rejects.toMatchObject({ code: 'library-damaged' });
    await expect(desk.restoreBackup({ at, passphrase: 'not this one, no' })).rejects.toMatchObject({ code: 'passphrase-wrong' });
    expect(await desk.restoreBackup({ at, passphrase: PASSPHRASE })).toMatchObject({ cases: 1 });
    expect(await idsOf(desk)).toEqual(['A']);
  });
});

describe('a key that is kept by the system', () => {
  function buildKeyStore(): KeyStore & { readonly kept: Map<string, KeptKey> } {
    const kept = new Map<string, KeptKey>();
    return { kept, whyNot: async () => null, read: async (id) => kept.get(id) ?? null, keep: async (id, key) => void kept.set(id, key), forget: async (id) => void kept.delete(id) };
  }

  test('opens the library at the next start, not after it was locked, and is forgotten when asked or when the passphrase changes', async () => {
    const keyStore = buildKeyStore();
    await makeEncrypted('x');
    const first = { name: 'x', form: 'encrypted' } as const;
    let desk = await startDesk({ first, keyStore });
    await desk.unlockLibrary({ passphrase: PASSPHRASE });
    expect((await desk.describeLibrary()).keyKeeping).toEqual({ kind: 'offered', isKept: false });
    await desk.keepKey({ isKept: true });
    expect((await desk.describeLibrary()).keyKeeping).toEqual({ kind: 'offered', isKept: true });
    for (const [id, { dataKey }] of keyStore.kept) {
      expect(id).not.toContain('x.lacuna');
      expect(Buffer.from(dataKey).toString('utf8')).not.toContain(PASSPHRASE);
    }
    await closeAll();
    desk = await startDesk({ first, keyStore });
    expect((await desk.describe()).lock?.isLocked).toBe(false);
    await desk.lockLibrary();
    expect((await desk.describe()).lock?.isLocked).toBe(true);
    await desk.unlockLibrary({ passphrase: PASSPHRASE });
    await desk.changePassphrase({ before: PASSPHRASE, after: OTHER });
    expect(keyStore.kept.size).toBe(0);
    await desk.keepKey({ isKept: true });
    await desk.keepKey({ isKept: false });
    await closeAll();
    expect((await (await startDesk({ first, keyStore })).describe()).lock?.isLocked).toBe(true);
  });

  test('is not used for another library that lies in the same place', async () => {
    const keyStore = buildKeyStore();
    await makeEncrypted('x');
    const first = { name: 'x', form: 'encrypted' } as const;
    const desk = await startDesk({ first, keyStore });
    await desk.unlockLibrary({ passphrase: PASSPHRASE });
    await desk.keepKey({ isKept: true });
    await closeAll();
    for (const ending of ['', '.key']) await rm(join(folder, `x.lacuna${ending}`));
    await makeEncrypted('x');
    expect((await (await startDesk({ first, keyStore })).describe()).lock?.isLocked).toBe(true);
    expect(keyStore.kept.size).toBe(0);
  });

  test('is refused where there is no key store, with the reason', async () => {
    await makeEncrypted('x');
    const desk = await startDesk({ first: { name: 'x', form: 'encrypted' } });
    await desk.unlockLibrary({ passphrase: PASSPHRASE });
    expect((await desk.describeLibrary()).keyKeeping).toEqual({ kind: 'none', why: 'none here' });
    await expect(desk.keepKey({ isKept: true })).rejects.toMatchObject({ code: 'no-key-store', message: 'none here' });
  });
});

test('a file that says which library was last that is damaged, or names one that is gone, stops nothing', async () => {
  const own = buildOwnLibraries(folder);
  expect(await own.lastUsed()).toBeNull();
  await own.setLastUsed({ name: 'x', form: 'encrypted' });
  expect(await own.lastUsed()).toEqual({ name: 'x', form: 'encrypted' });
  expect(await own.isThere({ name: 'x', form: 'encrypted' })).toBe(false);
  for (const text of ['', '{', '{"schema":"lacuna-last-library/1","name":"../x","form":"folder"}', '{"schema":"lacuna-last-library/2","name":"x","form":"folder"}']) {
    await writeFile(join(folder, 'last-library.json'), text);
    expect(await own.lastUsed()).toBeNull();
  }
});

