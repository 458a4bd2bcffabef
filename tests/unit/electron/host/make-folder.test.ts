import { existsSync } from 'node:fs';
import { mkdtemp, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { makeFolder } from '../../../../electron/host/make-folder.ts';

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-make-'));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

test('makes what is missing with the mode asked for, and tells the topmost folder made', async () => {
  expect(await makeFolder(join(folder, 'a', 'b', 'c'), 0o700)).toBe(join(folder, 'a'));
  expect((await stat(join(folder, 'a', 'b', 'c'))).mode & 0o777).toBe(0o700);
  expect(await makeFolder(join(folder, 'a', 'b'))).toBeUndefined();
});

test('a file in the way is an error', async () => {
  await writeFile(join(folder, 'file'), '');
  await expect(makeFolder(join(folder, 'file'))).rejects.toMatchObject({ code: 'ENOTDIR' });
  await expect(makeFolder(join(folder, 'file', 'below'))).rejects.toMatchObject({ code: 'ENOTDIR' });
});

// A run with an output folder below /proc once never ended: Node's recursive mkdir goes round for ever there.
test.skipIf(!existsSync('/proc/self'))('ends where the file system cannot hold folders', async () => {
  await expect(makeFolder('/proc/lacuna/out')).rejects.toMatchObject({ code: 'ENOENT' });
});
