import { chmod, copyFile, mkdir, mkdtemp, readFile, readdir, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { decodeCase } from '../../../../core/persist/case-bytes.ts';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
import type { CaseStore } from '../../../../electron/host/case-store.ts';
import { openFolderStore } from '../../../../electron/host/folder-case-store.ts';
import { placeLine } from '../../../../electron/store/case-seal.ts';
import { openDatabase } from '../../../../electron/store/library-database.ts';
import { backUp, listBackups } from '../../../../electron/store/library-backups.ts';
import { changePassphrase, createLibraryFile, isLibraryFile, openLibraryFile, stateOfLibraryFile } from '../../../../electron/store/library-file.ts';
import { unwrapKey } from '../../../../electron/store/library-key.ts';
import { moveFolder } from '../../../../electron/store/move-folder.ts';
import { restoreBackup } from '../../../../electron/store/restore-backup.ts';
import { CHEAP, PASSPHRASE } from '../../../builders/library-kinds.ts';
import { ROOT } from '../../../repo/source-files.ts';
import { bodyOf } from '../../../builders/stand-in-pool.ts';
import { buildCaseAnalysis, buildCaseRecord, buildChannel } from '../../../builders/stored-case.ts';

let folder = '';
let path = '';
let open: CaseStore[] = [];
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-file-'));
  path = join(folder, 'department.lacuna');
});
afterEach(async () => {
  for (const store of open) await store.close();
  open = [];
  await rm(folder, { recursive: true, force: true });
});
const kept = (store: CaseStore): CaseStore => {
  open.push(store);
  return store;
};
async function close(): Promise<void> {
  for (const store of open) await store.close();
  open = [];
}
const create = async (): Promise<CaseStore> => kept(await createLibraryFile(path, PASSPHRASE, CHEAP));
const reopen = async (passphrase = PASSPHRASE): Promise<CaseStore> => {
  await close();
  return kept(await openLibraryFile(path, passphrase, CHEAP));
};
const keysOf = async () => await unwrapKey(await readFile(`${path}.key`, 'utf8'), PASSPHRASE);
const record = (caseId: string, length = 20_000) => buildCaseRecord({ caseId, channels: [buildChannel(Array.from({ length }, (_, i) => 80 + ((i * 7) % 20)))] });
async function everyByte(): Promise<Buffer> {
  const names = (await readdir(folder, { recursive: true, withFileTypes: true })).filter((entry) => entry.isFile());
  return Buffer.concat(await Promise.all(names.map((entry) => readFile(join(entry.parentPath, entry.name)))));
}

describe('an encrypted library', () => {
  test('on a stolen disk says nothing of its cases, while it is open and after, and no file name does', async () => {
    const store = await create();
    await store.save({ ...record('Meyer-Anna-1950'), attributes: { note: 'difficult airway' } }, buildCaseAnalysis());
    await store.mappings.save({ schema: 'lacuna-mapping/1', name: 'secret house', files: [] }, false);
    for (const when of ['open', 'closed']) {
      const bytes = await everyByte();
      for (const word of ['Meyer', 'Anna', 'airway', 'secret house', 'lacuna-mapping', 'trends.csv', 'SQLite']) expect(bytes.includes(word), `${word}, ${when}`).toBe(false);
      expect((await readdir(folder, { recursive: true })).join(' ')).not.toMatch(/meyer|anna/i);
      await close();
    }
  });

  test('does not open with another passphrase, and says plainly that a forgotten one is for ever', async () => {
    await create();
    await close();
    await expect(openLibraryFile(path, `${PASSPHRASE}!`)).rejects.toMatchObject({ code: 'passphrase-wrong', remedy: expect.stringContaining('cannot be replaced or reset by anyone') as string });
    expect((await reopen()).list()).toEqual([]);
  });

  test('takes another passphrase without being written anew; the earlier one opens it no more', async () => {
    const store = await create();
    await store.save(record('A'), null);
    await close();
    const before = await readFile(path);
    await changePassphrase(path, PASSPHRASE, 'another one of some length', CHEAP);
    expect((await readFile(path)).equals(before)).toBe(true);
    await expect(openLibraryFile(path, PASSPHRASE)).rejects.toMatchObject({ code: 'passphrase-wrong' });
    expect((await reopen('another one of some length')).list().map(({ caseId }) => caseId)).toEqual(['A']);
    await close();
    await expect(changePassphrase(path, PASSPHRASE, 'never comes to be used', CHEAP)).rejects.toMatchObject({ code: 'passphrase-wrong' });
    await expect(changePassphrase(path, 'another one of some length', 'short', CHEAP)).rejects.toMatchObject({ code: 'passphrase-short' });
    await reopen('another one of some length');
  });

  test.skipIf(process.platform === 'win32')('on a shared computer is for its owner only', async () => {
    const store = await create();
    await store.save(record('A'), null);
    await (await store.openStaging({ isResumable: true })).stage('a.csv', bodyOf('x'));
    const looked: string[] = [];
    for (const entry of await readdir(folder, { recursive: true, withFileTypes: true })) {
      // The first backup is being read through meanwhile: what the database keeps beside it comes and goes.
      const found = await stat(join(entry.parentPath, entry.name)).catch((error: NodeJS.ErrnoException) => {
        if (error.code === 'ENOENT' && /-(?:shm|wal)$/.test(entry.name)) return null;
        throw error;
      });
      if (found === null) continue;
      expect(found.mode & 0o077, entry.name).toBe(0);
      looked.push(entry.name);
    }
    expect(looked).toContain('department.lacuna');
    expect(looked).toContain('department.lacuna.key');
  });

  test('leaves no staged file of a program that was killed, and no case of its import', async () => {
    const store = await create();
    const staging = await store.openStaging({ isResumable: true });
    await staging.stage('a.csv', bodyOf('left behind'));
    const left = staging.files[0]!.path;
    await close();
    await mkdir(join(left, '..'), { recursive: true });
    await writeFile(left, 'left behind');
    const again = await reopen();
    await expect(stat(left)).rejects.toMatchObject({ code: 'ENOENT' });
    expect(again.stagingOf(staging.importId)).toBeNull();
  });

  test('is known by its ending or because it is a file; a folder stays a folder', async () => {
    expect([await isLibraryFile(path), await isLibraryFile(join(folder, 'library')), await isLibraryFile(folder)]).toEqual([true, false, false]);
    expect(await stateOfLibraryFile(path)).toBe('new');
    await create();
    expect(await stateOfLibraryFile(path)).toBe('locked');
    await expect(createLibraryFile(path, PASSPHRASE, CHEAP)).rejects.toMatchObject({ code: 'library-in-use' });
    await close();
    await expect(createLibraryFile(path, PASSPHRASE, CHEAP)).rejects.toMatchObject({ code: 'library-there' });
    await mkdir(join(folder, 'old.lacuna'));
    expect(await isLibraryFile(join(folder, 'old.lacuna'))).toBe(false);
  });

  test('whose making was cut short is made anew; one that lacks a part is not', async () => {
    await writeFile(`${path}.unfinished`, '');
    await writeFile(path, 'half');
    expect(await stateOfLibraryFile(path)).toBe('new');
    await (await create()).save(record('A'), null);
    await close();
    const key = await readFile(`${path}.key`);
    await rm(`${path}.key`);
    await expect(openLibraryFile(path, PASSPHRASE)).rejects.toMatchObject({ code: 'library-incomplete', message: expect.stringContaining('department.lacuna.key') as string });
    await expect(createLibraryFile(path, PASSPHRASE, CHEAP)).rejects.toMatchObject({ code: 'library-incomplete' });
    await writeFile(`${path}.key`, key);
    expect((await reopen()).list()).toHaveLength(1);
    await close();
    await rm(path);
    await expect(openLibraryFile(path, PASSPHRASE)).rejects.toMatchObject({ code: 'library-incomplete', remedy: expect.stringContaining('backups') as string });
    await rm(`${path}.key`);
    await expect(openLibraryFile(path, PASSPHRASE)).rejects.toMatchObject({ code: 'library-missing' });
  });
});

/** Runs `look` over the file while the library is closed. */
async function inFile<T>(look: (database: Awaited<ReturnType<typeof openDatabase>>) => T): Promise<T> {
  await close();
  const database = await openDatabase(path, await keysOf());
  try {
    return look(database);
  } finally {
    database.close();
  }
}

test('a library of form 1 is brought forward once: its lines are sealed and its cases and entries stay as they were', async () => {
  for (const ending of ['', '.key']) await copyFile(join(ROOT, `tests/fixtures/stored-libraries/form-1.lacuna${ending}`), `${path}${ending}`);
  const { default: Libsql } = await import('libsql');
  const raw = new Libsql(path, { encryptionCipher: 'aes256cbc', encryptionKey: (await keysOf()).database });
  expect(raw.pragma('user_version')).toEqual([{ user_version: 1 }]);
  expect(() => raw.prepare('SELECT seal FROM cases')).toThrow(/no such column/);
  raw.close();
  kept(await openLibraryFile(path, PASSPHRASE, CHEAP));
  const found = await inFile((database) => [database.get('PRAGMA user_version')?.integer('user_version'), database.all('SELECT seal FROM cases').map((row) => row.bytes('seal').length), database.all(`SELECT name FROM sqlite_master WHERE name = 'unsealed_cases'`)]);
  expect(found).toEqual([2, [32], []]);
  expect((await reopen()).list()).toMatchObject([{ caseId: 'A', dropouts: 1, problem: null }]);
});

test('a library of form 1, as the program of that time wrote it, opens with everything in it', async () => {
  for (const ending of ['', '.key']) await copyFile(join(ROOT, `tests/fixtures/stored-libraries/form-1.lacuna${ending}`), `${path}${ending}`);
  const store = kept(await openLibraryFile(path, PASSPHRASE, CHEAP));
  expect(store.list()).toMatchObject([{ caseId: 'A', dropouts: 1, problem: null }]);
  expect(decodeCase(await store.readBytes(store.keyOf('A')))).toMatchObject({ ok: true, value: { record: { caseId: 'A' } } });
  expect([(await store.settings.readParameters()).name, (await store.mappings.list())[0]?.name]).toEqual(['of form 1', 'house']);
  expect((await store.ledger.rejectedRows({ importId: 'a'.repeat(32), run: 1 }, { file: 'a.csv', reason: 'no time', from: 0, limit: 9 })).rows).toEqual([{ line: 3, row: 'x' }]);
});

describe('what can go wrong with the file', () => {
  test('a library of a later version is left as it is', async () => {
    await create();
    await close();
    const { default: Libsql } = await import('libsql');
    const raw = new Libsql(path, { encryptionCipher: 'aes256cbc', encryptionKey: (await keysOf()).database });
    raw.pragma('user_version = 99');
    raw.pragma('wal_checkpoint(TRUNCATE)');
    raw.close();
    await expect(openLibraryFile(path, PASSPHRASE)).rejects.toMatchObject({ code: 'library-newer', remedy: expect.stringContaining('nothing was changed') as string });
  });

  test('a damaged page never gives a wrong byte: the case says that it is damaged, or the library before it opens', async () => {
    const store = await create();
    for (const [i, caseId] of ['A', 'B', 'C'].entries()) await store.save(record(caseId, 15_000 + i), buildCaseAnalysis());
    const lines = store.list();
    const whole = new Map<string, Uint8Array>();
    for (const { caseKey } of lines) whole.set(caseKey, await store.readBytes(caseKey));
    await close();
    const bytes = await readFile(path);
    const seen = { library: 0, case: 0, unharmed: 0 };
    for (let eighth = 0; eighth < 8; eighth += 1) {
      const damaged = Buffer.from(bytes);
      const at = Math.floor((bytes.length * eighth) / 8 / 4096) * 4096;
      damaged.fill(0x5a, at, at + 4096);
      await writeFile(path, damaged);
      const opened = await openLibraryFile(path, PASSPHRASE, CHEAP).catch((error: unknown) => error as FailureError);
      if (opened instanceof FailureError) {
        expect(opened).toMatchObject({ code: 'library-damaged', remedy: expect.stringContaining('backups') as string });
        seen.library += 1;
        continue;
      }
      kept(opened);
      expect(opened.list()).toEqual(lines);
      for (const [caseKey, was] of whole) {
        const read = await opened.readBytes(caseKey).catch((error: unknown) => error as FailureError);
        if (read instanceof FailureError) {
          expect(read.remedy).toContain('backups');
          await opened.refresh(caseKey);
          expect(opened.lineOf(caseKey)).toMatchObject({ caseId: '', problem: expect.stringContaining('damaged') as string });
          seen.case += 1;
        } else {
          expect(Buffer.from(read).equals(was)).toBe(true);
          seen.unharmed += 1;
        }
      }
      await close();
    }
    expect(seen.library).toBeGreaterThan(0);
    expect(seen.case).toBeGreaterThan(0);
    expect(seen.unharmed).toBeGreaterThan(0);
  });

  test('what somebody changed in the file who has no seal is found', async () => {
    const store = await create();
    await store.settings.saveParameters({ ...DEFAULT_PARAMETERS, name: 'ours' });
    await close();
    const database = await openDatabase(path, await keysOf());
    database.run(`UPDATE documents SET text = replace(text, 'ours', 'bent') WHERE name = 'parameters'`);
    database.close();
    await expect(openLibraryFile(path, PASSPHRASE)).rejects.toMatchObject({ code: 'library-damaged' });
  });

  test('a line of the list that was changed, or a case that lies under the key of another, is said to be changed and is not opened', async () => {
    const store = await create();
    const [a, b, c] = [await store.save(record('A'), null), await store.save(record('B'), null), await store.save(record('C'), null)];
    await inFile((database) => {
      database.run(`UPDATE cases SET summary = replace(summary, '"dropouts":0', '"dropouts":4') WHERE case_key = ?`, a.caseKey);
      const bodyOfC = database.get('SELECT body_id FROM cases WHERE case_key = ?', c.caseKey)!.integer('body_id');
      database.run('UPDATE cases SET body_id = ? WHERE case_key = ?', bodyOfC, b.caseKey);
    });
    const again = await reopen();
    for (const { caseKey } of [a, b]) {
      expect(again.lineOf(caseKey)).toMatchObject({ caseId: '', problem: expect.stringContaining('not as it was written') as string });
      await expect(again.readBytes(caseKey)).rejects.toMatchObject({ code: 'case-unreadable' });
      await again.refresh(caseKey);
      expect(again.lineOf(caseKey)).toMatchObject({ problem: expect.stringContaining('not as it was written') as string });
    }
    expect(again.lineOf(c.caseKey)).toEqual(c);
  });

  test('a line that an earlier program wrote is made anew from the case at one start and not at the next', async () => {
    const store = await create();
    const { caseKey } = await store.save(record('A'), buildCaseAnalysis());
    const expected = store.list();
    // A summary without a field that today's has, with the seal that its program gave it.
    await inFile((database) => {
      const row = database.get('SELECT body_id, summary, digests FROM cases')!;
      const { doubtfulLost: _gone, ...old } = JSON.parse(row.text('summary')) as Record<string, unknown>;
      placeLine(database, caseKey, row.integer('body_id'), JSON.stringify(old), row.text('digests'));
    });
    expect((await reopen()).list()).toEqual(expected);
    expect(await inFile((database) => JSON.parse(database.get('SELECT summary FROM cases')!.text('summary')) as unknown)).toEqual(expected[0]);
    expect((await reopen()).list()).toEqual(expected);
  });

  test('lines of an entry that were changed are found when they are read, and no backup is made of them', async () => {
    const store = await create();
    const base = { schema: 'lacuna-ledger/1' as const, importId: 'a'.repeat(32), at: '2031-04-01T08:00:00.000Z', productVersion: '1', run: 1 };
    await store.ledger.append({ ...base, kind: 'run', zone: null, mapping: null, overrules: [], overruled: [], files: [], cases: [], looseName: '' }, [{ file: 'a.csv', line: 3, reason: 'no time', row: 'x' }]);
    await close();
    const keys = await keysOf();
    const database = await openDatabase(path, keys);
    database.run('DROP TRIGGER entry_lines_are_not_changed');
    database.run('UPDATE entry_lines SET packed = zeroblob(9)');
    await expect(backUp({ file: path, database, keys }, new Date(Date.UTC(2033, 0, 1)))).rejects.toMatchObject({ code: 'library-damaged' });
    database.close();
    await expect((await reopen()).ledger.rejectedRows({ importId: base.importId, run: 1 }, { file: 'a.csv', reason: 'no time', from: 0, limit: 9 })).rejects.toMatchObject({ code: 'library-damaged' });
  });

  test('entries of a journal can neither be changed nor taken away', async () => {
    const store = await create();
    await store.ledger.append({ schema: 'lacuna-ledger/1', importId: 'a'.repeat(32), at: '2031-04-01T08:00:00.000Z', productVersion: '1', run: 1, kind: 'begun', files: [], corrects: null });
    await close();
    const database = await openDatabase(path, await keysOf());
    for (const change of ['DELETE FROM entries', `UPDATE entries SET text = 'x'`, 'UPDATE entries SET number = 7']) expect(() => database.run(change)).toThrow(/never/);
    database.close();
  });

  test.skipIf(process.platform === 'win32' || process.getuid?.() === 0)('a folder that may not be written', async () => {
    await create();
    await close();
    await chmod(folder, 0o500);
    await expect(openLibraryFile(path, PASSPHRASE)).rejects.toMatchObject({ code: 'library-unusable', remedy: expect.stringContaining('writable') as string });
    await chmod(folder, 0o700);
  });

  test('a full disk refuses the case and leaves what was there', async () => {
    const store = await create();
    const before = await store.save(record('A', 10), null);
    await close();
    const database = await openDatabase(path, await keysOf());
    // As many pages as there are: the same refusal as that of a disk.
    const pages = (await stat(path)).size / 4096;
    database.run(`PRAGMA max_page_count = ${pages + 2}`);
    expect(() => database.transaction(() => {
      for (let i = 0; i < 50; i += 1) database.run('INSERT INTO bodies (byte_length, seal) VALUES (?, ?)', 1, new Uint8Array(4000));
    })).toThrow(expect.objectContaining({ code: 'disk-full', message: expect.stringContaining('unchanged') as string }));
    database.close();
    expect((await reopen()).list()).toEqual([before]);
  });
});

describe('backups', () => {
  const at = (day: number): Date => new Date(Date.UTC(2031, 0, day, 6));
  const library = async () => ({ file: path, keys: await keysOf() });

  test('are made at the first start of a day, opened and read through, and can be put in the place of a library', async () => {
    const store = kept(await createLibraryFile(path, PASSPHRASE, { ...CHEAP, now: () => at(1) }));
    await store.save(record('A'), buildCaseAnalysis());
    await close();
    kept(await openLibraryFile(path, PASSPHRASE, { ...CHEAP, now: () => at(2) }));
    await close();
    kept(await openLibraryFile(path, PASSPHRASE, { ...CHEAP, now: () => at(2) }));
    await close();
    const backups = await listBackups(path);
    expect(backups.map((backup) => backup.at)).toEqual(['2031-01-02T06:00:00Z', '2031-01-01T06:00:00Z']);
    const later = kept(await openLibraryFile(path, PASSPHRASE, { ...CHEAP, now: () => at(2) }));
    await later.save(record('B'), null);
    await close();
    await expect(restoreBackup(path, backups[0]!.path, 'wrong wrong wrong', at(3))).rejects.toMatchObject({ code: 'passphrase-wrong' });
    await expect(restoreBackup(path, join(folder, 'none.lacuna'), PASSPHRASE, at(3))).rejects.toMatchObject({ code: 'backup-missing' });
    expect((await reopen()).list()).toHaveLength(2);
    await close();
    const restored = await restoreBackup(path, backups[0]!.path, PASSPHRASE, at(3));
    expect(restored).toEqual({ cases: 1, aside: `${path}.before-2031-01-03T06-00-00Z` });
    expect((await reopen()).list().map(({ caseId }) => caseId)).toEqual(['A']);
    await close();
    const aside = kept(await openLibraryFile(restored.aside, PASSPHRASE, CHEAP));
    expect(aside.list().map(({ caseId }) => caseId)).toEqual(['A', 'B']);
  });

  test('are kept of the last seven days and of each month; a half one is removed', async () => {
    await create();
    await close();
    const database = await openDatabase(path, await keysOf());
    await rm(`${path}.backups`, { recursive: true, force: true });
    await mkdir(`${path}.backups`);
    await writeFile(join(`${path}.backups`, '2030-12-31T06-00-00Z.lacuna'), 'half: its key file never came');
    for (const day of [1, 2, 3, 4, 5, 6, 7, 8, 9, 9.2, 40]) await backUp({ ...(await library()), database }, new Date(Date.UTC(2031, 0, 1, 6) + (day - 1) * 86_400_000));
    expect((await listBackups(path)).map((backup) => backup.at.slice(0, 13))).toEqual(['2031-02-09T06', '2031-01-09T10', '2031-01-08T06', '2031-01-07T06', '2031-01-06T06', '2031-01-05T06', '2031-01-04T06']);
    expect((await readdir(`${path}.backups`)).filter((name) => !/Z\.lacuna(\.key)?$/.test(name))).toEqual([]);
    database.close();
  });

  test('are not made of a damaged library, of which none is removed either', async () => {
    const store = await create();
    await store.save(record('A'), null);
    await close();
    const database = await openDatabase(path, await keysOf());
    const before = await listBackups(path);
    database.run('UPDATE chunks SET bytes = zeroblob(length(bytes)) WHERE place = 1');
    await expect(backUp({ ...(await library()), database }, at(6))).rejects.toMatchObject({ code: 'case-unreadable' });
    expect(await listBackups(path)).toEqual(before);
    database.close();
  });
});

describe('a folder library moved into a file', () => {
  test('has every case, document and entry, and the folder stays as it is', async () => {
    const from = await openFolderStore(join(folder, 'old'));
    const a = await from.save(record('A'), buildCaseAnalysis());
    const b = await from.save(record('B', 100), null);
    await from.settings.saveParameters({ ...DEFAULT_PARAMETERS, name: 'ours' });
    await from.mappings.save({ schema: 'lacuna-mapping/1', name: 'house', files: [] }, false);
    const base = { schema: 'lacuna-ledger/1' as const, importId: 'a'.repeat(32), at: '2031-04-01T08:00:00.000Z', productVersion: '1', run: 1 };
    await from.ledger.append({ ...base, kind: 'begun', files: [], corrects: null });
    await from.ledger.append({ ...base, kind: 'run', zone: null, mapping: null, overrules: [], overruled: [], files: [], cases: [], looseName: '' }, [{ file: 'a.csv', line: 3, reason: 'no time', row: 'x' }]);
    const lines = from.list();
    const bytes = await from.readBytes(a.caseKey);
    const { pseudonymKey } = from.settings;
    await from.close();
    expect(await moveFolder(join(folder, 'old'), path, PASSPHRASE, CHEAP)).toEqual({ cases: 2, documents: 3, entries: 2 });
    const store = await reopen();
    expect(store.list()).toEqual(lines);
    expect([store.keyOf('A'), store.keyOf('B'), store.settings.pseudonymKey]).toEqual([a.caseKey, b.caseKey, pseudonymKey]);
    expect(Buffer.from(await store.readBytes(a.caseKey)).equals(bytes)).toBe(true);
    expect([(await store.settings.readParameters()).name, (await store.mappings.list())[0]?.name, store.settings.reanalysisPending]).toEqual(['ours', 'house', true]);
    expect((await store.ledger.rejectedRows({ importId: base.importId, run: 1 }, { file: 'a.csv', reason: 'no time', from: 0, limit: 9 })).rows).toEqual([{ line: 3, row: 'x' }]);
    const folderAgain = await openFolderStore(join(folder, 'old'));
    expect(folderAgain.list()).toEqual(lines);
    await folderAgain.close();
  });

  test('that is open elsewhere, or whose new file is there already, is not moved, and no file stays', async () => {
    const from = await openFolderStore(join(folder, 'old'));
    await expect(moveFolder(join(folder, 'old'), path, PASSPHRASE, CHEAP)).rejects.toMatchObject({ code: 'library-in-use' });
    await from.close();
    await expect(moveFolder(join(folder, 'old'), path, 'short', CHEAP)).rejects.toMatchObject({ code: 'passphrase-short' });
    expect(await stateOfLibraryFile(path)).toBe('new');
    await create();
    await close();
    await expect(moveFolder(join(folder, 'old'), path, PASSPHRASE, CHEAP)).rejects.toMatchObject({ code: 'library-there' });
  });
});
