import type { FileHandle } from 'node:fs/promises';
import * as fs from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { CaseBody } from '../../core/model/review.ts';
import type { CaseStore } from '../../electron/host/case-store.ts';
import { createLibraryFile, openLibraryFile, stateOfLibraryFile } from '../../electron/store/library-file.ts';
import { buildOwnLibraries } from '../../electron/store/own-libraries.ts';
import { restoreBackup } from '../../electron/store/restore-backup.ts';
import { CHEAP, LIBRARY_KINDS, PASSPHRASE } from '../builders/library-kinds.ts';
import { bodyOf } from '../builders/stand-in-pool.ts';
import { buildCaseAnalysis, buildCaseRecord } from '../builders/stored-case.ts';

/*
 * What the disk refuses, in both kinds of library: the system's own refusals are put in where the program asks the system, since no
 * test may fill the disk of whoever runs it.
 */
const refusal = vi.hoisted(() => ({ code: null as string | null, renamesLeft: Infinity }));
vi.mock(import('node:fs/promises'), async (original) => {
  const real = await original();
  const refuse = (): void => {
    if (refusal.code !== null) throw Object.assign(new Error(`${refusal.code}: refused`), { code: refusal.code, syscall: 'write' });
  };
  // A full disk still gives a file its name and refuses its content; one that may not be written refuses the name.
  const open = async (path: string, flags?: string, mode?: number): Promise<FileHandle> => {
    const isWritten = flags !== undefined && flags !== 'r';
    if (isWritten && refusal.code !== 'ENOSPC') refuse();
    const file = await real.open(path, flags, mode);
    const write = file.writeFile.bind(file);
    file.writeFile = async (...args) => {
      refuse();
      await write(...args);
    };
    return file;
  };
  const mkdir = async (path: string, options?: { recursive?: boolean; mode?: number }): Promise<string | undefined> => {
    if (refusal.code !== 'ENOSPC') refuse();
    return await real.mkdir(path, options);
  };
  const rename = async (from: string, to: string): Promise<void> => {
    if (refusal.renamesLeft === 0) throw Object.assign(new Error('EIO: refused'), { code: 'EIO', syscall: 'rename' });
    refusal.renamesLeft -= 1;
    await real.rename(from, to);
  };
  return { ...real, open: open as typeof real.open, mkdir: mkdir as typeof real.mkdir, rename: rename as typeof real.rename };
});
// The database writes by itself, past what is put in above: its own refusal, where a transaction is to be put on the disk.
vi.mock(import('libsql'), async (original) => {
  const { default: Real } = await original();
  const refuse = (): void => {
    if (refusal.code === 'ENOSPC') throw Object.assign(new Error('database or disk is full'), { code: 'SQLITE_FULL' });
  };
  class Refusing extends Real {
    override exec(sql: string): void {
      if (sql === 'COMMIT') refuse();
      super.exec(sql);
    }
    override prepare(sql: string): ReturnType<InstanceType<typeof Real>['prepare']> {
      const statement = super.prepare(sql);
      const run = statement.run.bind(statement);
      statement.run = (parameters) => {
        if (!this.inTransaction) refuse();
        return run(parameters);
      };
      return statement;
    }
  }
  return { default: Refusing };
});

let folder = '';
let stores: CaseStore[] = [];
beforeEach(async () => {
  folder = await fs.mkdtemp(join(tmpdir(), 'lacuna-troubles-'));
});
afterEach(async () => {
  refusal.code = null;
  for (const store of stores) await store.close();
  stores = [];
  await fs.rm(folder, { recursive: true, force: true });
});

describe.each(LIBRARY_KINDS)('a library that is $kind', ({ open }) => {
  const path = (): string => join(folder, 'library');
  async function kept(): Promise<CaseStore> {
    const store = await open(path());
    stores.push(store);
    return store;
  }
  async function close(): Promise<void> {
    for (const store of stores) await store.close();
    stores = [];
  }

  test('in a folder that may not be written does not open, says so, and is as it was', async () => {
    const before = await (await kept()).save(buildCaseRecord({ caseId: 'A' }), null);
    await close();
    for (const code of ['EACCES', 'EROFS']) {
      refusal.code = code;
      await expect(kept()).rejects.toMatchObject({ code: expect.stringMatching(/^library-un(?:usable|writable)$/) as string, message: expect.stringContaining(code) as string, remedy: expect.stringMatching(/rights|may be written/) as string });
    }
    refusal.code = null;
    expect((await kept()).list()).toEqual([before]);
  });

  test('on a full disk refuses a case, a verdict and a setting, keeps what was there whole, and takes them when there is room', async () => {
    const store = await kept();
    const full = { code: 'disk-full', message: expect.stringContaining('unchanged') as string, remedy: expect.stringContaining('Make room') as string };
    const before = await store.save(buildCaseRecord({ caseId: 'A' }), null);
    const bytes = await store.readBytes(before.caseKey);
    const verdict = (note: string): Promise<unknown> => store.reviews.add(before.caseKey, { by: 'Ada', at: new Date(0), productVersion: '1' }, () => [flagged(before.caseKey, note)]);
    await verdict('there');
    refusal.code = 'ENOSPC';
    await expect(store.save(buildCaseRecord({ caseId: 'A' }), buildCaseAnalysis())).rejects.toMatchObject(full);
    await expect(store.save(buildCaseRecord({ caseId: 'B' }), null)).rejects.toMatchObject(full);
    await expect(verdict('refused')).rejects.toMatchObject(full);
    await expect(store.settings.change({ lockAfterMinutes: 3 })).rejects.toMatchObject(full);
    expect(store.list()).toEqual([before]);
    expect(Buffer.from(await store.readBytes(before.caseKey)).equals(bytes)).toBe(true);
    expect(store.settings.lockAfterMinutes).toBe(10); // it says what is kept, not what was wished
    refusal.code = null;
    expect((await fs.readdir(folder, { recursive: true })).filter((name) => name.includes('unfinished'))).toEqual([]);
    await verdict('taken');
    await Promise.all([store.settings.change({ lockAfterMinutes: 3 }), store.settings.change({ staysFolder: true })]);
    const second = await store.save(buildCaseRecord({ caseId: 'B' }), null);
    await close();
    const again = await kept();
    expect(again.list()).toEqual([before, second]);
    expect([again.settings.lockAfterMinutes, again.settings.staysFolder]).toEqual([3, true]);
    expect((await again.reviews.ofCase(before.caseKey)).map(({ entry }) => entry.kind === 'flags' && entry.note)).toEqual(['there', 'taken']);
    expect((await again.reviews.check(null)).problems).toEqual([]);
  });

  test('is not made or opened on a full disk, says so, and leaves nothing in the way of the next try', async () => {
    refusal.code = 'ENOSPC';
    await expect(kept()).rejects.toMatchObject({ code: 'disk-full' });
    expect(await fs.readdir(folder)).toEqual([]);
    refusal.code = null;
    const before = await (await kept()).save(buildCaseRecord({ caseId: 'A' }), null);
    await close();
    refusal.code = 'ENOSPC';
    await expect(kept()).rejects.toMatchObject({ code: 'disk-full', remedy: expect.stringContaining('Make room') as string });
    refusal.code = null;
    expect((await kept()).list()).toEqual([before]); // no lock without content is left, which would be believed for a minute
  });

  test('takes no file on a full disk, and says which', async () => {
    const store = await kept();
    const staging = await store.openStaging({ isResumable: true });
    refusal.code = 'ENOSPC';
    await expect(staging.stage('a/x.csv', bodyOf('1'))).rejects.toMatchObject({ code: 'disk-full', message: expect.stringContaining('a/x.csv') as string, remedy: expect.stringContaining('Make room') as string });
    refusal.code = null;
    expect(staging.files).toEqual([]);
    await staging.stage('a/x.csv', bodyOf('1'));
    expect(staging.files).toHaveLength(1);
  });

  test('is not opened by a second program, which is told who has it', async () => {
    const store = await kept();
    await expect(open(path())).rejects.toMatchObject({ code: 'library-in-use', message: expect.stringContaining(`process ${process.pid}`) as string, remedy: expect.stringContaining('close it first') as string });
    await store.save(buildCaseRecord({ caseId: 'A' }), null); // the first one goes on
    expect(store.list()).toHaveLength(1);
  });
});

test('a backup that is put in the place of a library, cut short at any step, leaves the library as it was or comes in whole at the next opening', async () => {
  const path = join(folder, 'x.lacuna');
  const open = async (at: string): Promise<string[]> => {
    const store = await openLibraryFile(at, PASSPHRASE, CHEAP);
    const names = store.list().map(({ caseId }) => caseId);
    await store.close();
    return names;
  };
  const made = await createLibraryFile(path, PASSPHRASE, CHEAP);
  await made.save(buildCaseRecord({ caseId: 'A' }), null);
  const backup = await made.backUpNow(new Date('2031-01-01T06:00:00Z'));
  await made.save(buildCaseRecord({ caseId: 'B' }), null);
  await made.close();
  const whole = await fs.readdir(folder);
  const outcomes: string[] = [];
  for (let steps = 0; outcomes.at(-1) !== 'done'; steps += 1) {
    for (const name of await fs.readdir(folder)) if (name.startsWith('x.lacuna.before') || name.endsWith('.restoring')) throw new Error(`${name} was left by the round before`);
    refusal.renamesLeft = steps;
    const done = await restoreBackup(path, backup.path, PASSPHRASE, new Date('2031-01-02T06:00:00Z')).then(() => true, () => false);
    refusal.renamesLeft = Infinity;
    const wasBegun = (await fs.readdir(folder)).includes('x.lacuna.restoring');
    expect(await stateOfLibraryFile(path)).toBe('locked'); // never taken for one that is not there
    expect((await buildOwnLibraries(folder).list()).filter(({ name }) => name === 'x')).toEqual([{ name: 'x', form: 'encrypted' }]);
    expect(await open(path)).toEqual(done || wasBegun ? ['A'] : ['A', 'B']);
    outcomes.push(done ? 'done' : wasBegun ? 'finished by the next opening' : 'as it was');
    if (!done && !wasBegun) {
      expect(await fs.readdir(folder)).toEqual(whole);
      continue;
    }
    const aside = join(folder, 'x.lacuna.before-2031-01-02T06-00-00Z');
    expect(await open(aside)).toEqual(['A', 'B']);
    // Back to where the round began: what was kept aside is the library again.
    for (const name of await fs.readdir(folder)) if (/^x\.lacuna(-wal|-shm|\.key)?$/.test(name) || name.startsWith('x.lacuna.before') && /\.(backups|incoming|lock)$/.test(name)) await fs.rm(join(folder, name), { recursive: true, force: true });
    for (const name of await fs.readdir(folder)) if (name.startsWith('x.lacuna.before')) await fs.rename(join(folder, name), join(folder, name.replace(/\.before-[^.]*?Z/, '')));
  }
  expect(outcomes.filter((one) => one === 'as it was').length).toBeGreaterThan(0);
  expect(outcomes.filter((one) => one === 'finished by the next opening').length).toBeGreaterThanOrEqual(3);
});

function flagged(caseKey: string, note: string): CaseBody {
  return { kind: 'flags', caseKey, caseId: 'A', flags: [], note, seen: { parametersDigest: '0'.repeat(64), parametersName: 'default', productVersion: '1', inputDigests: [] } };
}
