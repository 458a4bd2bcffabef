import type { FileHandle } from 'node:fs/promises';
import * as fs from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { CaseStore } from '../../electron/host/case-store.ts';
import { LIBRARY_KINDS } from '../builders/library-kinds.ts';
import { bodyOf } from '../builders/stand-in-pool.ts';
import { buildCaseRecord } from '../builders/stored-case.ts';

/*
 * What the disk refuses, in both kinds of library: the system's own refusals are put in where the program asks the system, since no
 * test may fill the disk of whoever runs it.
 */
const refusal = vi.hoisted(() => ({ code: null as string | null }));
vi.mock(import('node:fs/promises'), async (original) => {
  const real = await original();
  const refuse = (): void => {
    if (refusal.code !== null) throw Object.assign(new Error(`${refusal.code}: refused`), { code: refusal.code, syscall: 'write' });
  };
  const open = async (path: string, flags?: string, mode?: number): Promise<FileHandle> => {
    if (flags !== undefined && flags !== 'r') refuse();
    return await real.open(path, flags, mode);
  };
  const mkdir = async (path: string, options?: { recursive?: boolean; mode?: number }): Promise<string | undefined> => {
    refuse();
    return await real.mkdir(path, options);
  };
  return { ...real, open: open as typeof real.open, mkdir: mkdir as typeof real.mkdir };
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
