import { mkdtemp, readFile, readdir, rename, rm, truncate, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { SealedEntry } from '../../../../core/model/review.ts';
import { buildKeptReviews, sha256 } from '../../../../electron/host/kept-reviews.ts';
import { openFolderStore } from '../../../../electron/host/folder-case-store.ts';
import { runVerifyCall } from '../../../../electron/headless/verify-call.ts';
import type { VerifySummary } from '../../../../electron/headless/verify-call.ts';
import { createLibraryFile, readLibraryShelf } from '../../../../electron/store/library-file.ts';
import { openDatabase } from '../../../../electron/store/library-database.ts';
import type { LibraryDatabase } from '../../../../electron/store/library-database.ts';
import { unwrapKey } from '../../../../electron/store/library-key.ts';
import { moveFolder } from '../../../../electron/store/move-folder.ts';
import type { CaseStore } from '../../../../electron/host/case-store.ts';
import { CHEAP, PASSPHRASE } from '../../../builders/library-kinds.ts';

const [A, B, ACTS] = ['a'.repeat(32), 'b'.repeat(32), '0'.repeat(32)];

let folder = '';
let said: string[] = [];
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-verify-'));
  said = [];
  vi.stubEnv('LACUNA_PASSPHRASE', PASSPHRASE);
});
afterEach(async () => {
  vi.unstubAllEnvs();
  await rm(folder, { recursive: true, force: true });
});

/** Writes eight entries: of case a at places 1, 2, 4 and 7, of case b at 3 and 5, and acts at 6 and 8. */
async function fill(store: CaseStore): Promise<SealedEntry[]> {
  const stamp = { by: 'Ada', at: new Date('2031-03-04T10:00:00Z'), productVersion: '1.2.3' };
  const seen = { parametersDigest: 'cd'.repeat(32), parametersName: 'ours', productVersion: '1.2.3', inputDigests: ['ab'.repeat(32)] };
  const all: SealedEntry[] = [];
  for (const [i, caseKey] of [A, A, B, A, B, null, A, null].entries()) {
    all.push(...(await store.reviews.add(caseKey, stamp, () => [caseKey === null ? { kind: 'act', act: 'parameters changed', caseKey: null, detail: `change ${i}` } : { kind: 'flags', caseKey, caseId: 'K1', flags: ['worth discussing'], note: `note ${i}`, seen }])));
  }
  await store.close();
  return all;
}

const verify = (library: string, head?: string): Promise<VerifySummary> => runVerifyCall({ command: 'verify', library, head, json: true }, '1.2.3', (line) => said.push(line));
const kindsOf = ({ problems }: VerifySummary): string[] => [...new Set((problems ?? []).map(({ kind }) => kind))];

describe('a library that is a folder', () => {
  let root = '';
  let all: SealedEntry[] = [];
  beforeEach(async () => {
    root = join(folder, 'library');
    all = await fill(await openFolderStore(root));
  });
  const file = (group: string, number: number): string => join(root, 'reviews', group, `${String(number).padStart(4, '0')}.json`);
  const edit = async (path: string, change: (text: string) => string): Promise<void> => writeFile(path, change(await readFile(path, 'utf8')));
  const swap = async (one: string, other: string): Promise<void> => {
    const texts = [await readFile(one), await readFile(other)];
    await writeFile(one, texts[1]!);
    await writeFile(other, texts[0]!);
  };

  test('whose trail is as it was written passes, with a hash noted at any time, and is left as it is', async () => {
    const before = await readdir(root, { recursive: true });
    expect(await verify(root)).toEqual({ product_version: '1.2.3', library: 'library', entries: 8, head: all[7]!.hash, problems: [], exit_code: 0 });
    expect(said.join(' ')).toContain(all[7]!.hash);
    expect((await verify(root, all[2]!.hash)).exit_code).toBe(0);
    expect(await readdir(root, { recursive: true })).toEqual(before);
  });

  const TAMPERINGS: readonly (readonly [string, () => Promise<void>, string[]])[] = [
    ['a note was changed', () => edit(file(A, 2), (text) => text.replace('note 1', 'note X')), ['altered']],
    ['a blank was put in', () => edit(file(A, 2), (text) => text.replace('"entry":{', '"entry":{ ')), ['altered']],
    ['an entry was changed and its hash made anew', () => edit(file(A, 2), (text) => {
      const own = text.slice(text.indexOf('"entry":') + 8, -1).replace('note 1', 'note X');
      return `{"schema":"lacuna-trail/1","hash":"${sha256(own)}","entry":${own}}`;
    }), ['altered']],
    ['what is around an entry was changed', () => edit(file(B, 1), (text) => text.replace('lacuna-trail/1', 'lacuna-trail/2')), ['unreadable']],
    ['the last entry was cut short', () => truncate(file(ACTS, 2), 100), ['unreadable']],
    ['an entry was emptied', () => writeFile(file(A, 1), ''), ['unreadable']],
    ['an entry was deleted', () => rm(file(A, 2)), ['missing']],
    ['the last entry was deleted', () => rm(file(ACTS, 2)), ['cut off']],
    ['all acts were deleted', () => rm(join(root, 'reviews', ACTS), { recursive: true }), ['missing', 'cut off']],
    ['everything was deleted', () => rm(join(root, 'reviews'), { recursive: true }), ['cut off']],
    ['two entries of a case were swapped', () => swap(file(A, 2), file(A, 3)), ['out of order']],
    ['entries of two cases were swapped', () => swap(file(A, 1), file(B, 1)), ['out of order']],
    ['an entry was renamed', () => rename(file(A, 4), file(A, 9)), ['out of order']],
    ['an entry was put in twice', async () => writeFile(file(A, 5), await readFile(file(A, 4))), ['out of order']],
    ['a case was given to another', () => rename(join(root, 'reviews', B), join(root, 'reviews', 'c'.repeat(32))), ['out of order']],
    ['the note of the end was damaged', () => writeFile(join(root, 'trail-head.json'), '{'), ['cut off']],
    ['the note of the end was deleted', () => rm(join(root, 'trail-head.json')), ['cut off']],
    ['the note of the end names another entry', () => edit(join(root, 'trail-head.json'), (text) => text.replace(/(?<="hash":")./, (digit) => (digit === '0' ? '1' : '0'))), ['altered']],
  ];
  test.each(TAMPERINGS)('is found out where %s', async (_what, tamper, kinds) => {
    await tamper();
    const found = await verify(root);
    expect([found.exit_code, kindsOf(found)]).toEqual([1, kinds]);
    expect(said).toHaveLength(found.problems!.length + 1);
    expect(said[0]).toMatch(/^entry \d+: /);
  });

  test('is found out whichever single byte of an entry was changed', async () => {
    const paths = (await readdir(join(root, 'reviews'), { recursive: true })).filter((name) => name.endsWith('.json')).map((name) => join(root, 'reviews', name));
    let draw = 7; // a plain generator, so that the same bytes are tried every time
    const drawn = (below: number): number => (draw = (draw * 48_271) % 2_147_483_647) % below;
    for (let i = 0; i < 60; i += 1) {
      const path = paths[drawn(paths.length)]!;
      const whole = await readFile(path);
      const changed = Buffer.from(whole);
      const at = drawn(whole.length);
      changed[at] = whole[at]! ^ (1 << drawn(8));
      await writeFile(path, changed);
      expect((await verify(root)).exit_code, `byte ${at} of ${path}`).toBe(1);
      await writeFile(path, whole);
    }
    expect((await verify(root)).exit_code).toBe(0);
  });

  test('whose end was cut off with its note is found out by a hash that was noted apart', async () => {
    await rm(file(ACTS, 2));
    await writeFile(join(root, 'trail-head.json'), `${JSON.stringify({ schema: 'lacuna-trail-head/1', head: { place: 7, hash: all[6]!.hash } })}\n`);
    expect((await verify(root)).exit_code).toBe(0); // nobody can see it from the library alone
    expect(kindsOf(await verify(root, all[7]!.hash))).toEqual(['head not found']);
  });

  test('that a program has open, or that is none, is not looked at', async () => {
    const store = await openFolderStore(root);
    expect(await verify(root)).toMatchObject({ exit_code: 2, problems: null });
    expect(said[0]).toContain('already open');
    await store.close();
    expect((await verify(folder)).exit_code).toBe(2);
    expect(said[1]).toContain('is no library of this program');
    expect((await verify(join(folder, 'nothing.lacuna'))).exit_code).toBe(2);
  });
});

describe('a library that is one encrypted file', () => {
  let path = '';
  let all: SealedEntry[] = [];
  beforeEach(async () => {
    path = join(folder, 'x.lacuna');
    all = await fill(await createLibraryFile(path, PASSPHRASE, CHEAP));
  });
  /** Does to the file what somebody can do who has it, its key and the passphrase. */
  async function withKey(tamper: (database: LibraryDatabase) => void): Promise<void> {
    const database = await openDatabase(path, await unwrapKey(await readFile(`${path}.key`, 'utf8'), PASSPHRASE));
    for (const trigger of ['entries_stay', 'entries_are_not_changed']) database.run(`DROP TRIGGER ${trigger}`);
    tamper(database);
    database.close();
  }
  const textOf = (database: LibraryDatabase, group: string, number: number): string => database.get('SELECT text FROM entries WHERE journal = ? AND entry_group = ? AND number = ?', 'reviews', group, number)!.text('text');
  function put(database: LibraryDatabase, group: string, number: number, text: string, seals = true): void {
    const digest = database.get('SELECT lines_digest FROM entries WHERE journal = ? AND entry_group = ? AND number = ?', 'reviews', group, number)!.bytes('lines_digest');
    if (!seals) database.run('UPDATE entries SET text = ? WHERE journal = ? AND entry_group = ? AND number = ?', text, 'reviews', group, number);
    else database.run('UPDATE entries SET text = ?, seal = ? WHERE journal = ? AND entry_group = ? AND number = ?', text, database.seal('entry', 'reviews', group, String(number), text, digest), 'reviews', group, number);
  }
  const drop = (database: LibraryDatabase, group: string, number: number): void => void database.run('DELETE FROM entries WHERE journal = ? AND entry_group = ? AND number = ?', 'reviews', group, number);

  test('passes as it was written', async () => {
    expect(await verify(path)).toEqual({ product_version: '1.2.3', library: 'x', entries: 8, head: all[7]!.hash, problems: [], exit_code: 0 });
  });

  test('is read from a copy where nobody can write to its disk, which leaves nothing behind; without room for one it says what to do', async () => {
    const temporary = await mkdtemp(join(tmpdir(), 'lacuna-temporary-'));
    for (const name of ['TMPDIR', 'TEMP', 'TMP']) vi.stubEnv(name, temporary);
    // The write-ahead files of the library that the test filled may go at any time, once its connection is let go.
    const lying = async (): Promise<string[]> => (await readdir(folder)).filter((name) => !/-(?:wal|shm)$/.test(name));
    const before = await lying();
    const writeAhead = (await readdir(folder)).filter((name) => !before.includes(name));
    const added = async (): Promise<string[]> => (await readdir(folder)).filter((name) => !before.includes(name) && !writeAhead.includes(name));
    const seen: string[][] = [];
    const check = await readLibraryShelf(path, PASSPHRASE, async (shelf) => {
      seen.push(await lying(), await added(), (await readdir(temporary)).map((name) => name.slice(0, 12)));
      return await buildKeptReviews(shelf.journal('reviews'), shelf.document('trail-head')).check(null);
    }, async () => true);
    expect(check).toEqual({ entries: 8, head: all[7]!.hash, problems: [] });
    // No lock, no write-ahead file: the place was only read.
    expect(seen).toEqual([before, [], ['lacuna-copy-']]);
    const full = Object.assign(new Error('no space'), { code: 'ENOSPC' });
    await expect(readLibraryShelf(path, PASSPHRASE, () => Promise.reject(full), async () => true)).rejects.toThrow(expect.objectContaining({ code: 'disk-full' }));
    await expect(readLibraryShelf(path, 'another passphrase of four', async () => null, async () => true)).rejects.toMatchObject({ code: 'passphrase-wrong' });
    expect([await lying(), await added(), await readdir(temporary)]).toEqual([before, [], []]);
    await rm(temporary, { recursive: true });
  });

  test('passes when it was made of a folder, whose trail it goes on with', async () => {
    const root = join(folder, 'library');
    const own = await fill(await openFolderStore(root));
    const moved = join(folder, 'moved.lacuna');
    await moveFolder(root, moved, PASSPHRASE, CHEAP);
    expect(await verify(moved, own[0]!.hash)).toMatchObject({ entries: 8, head: own[7]!.hash, problems: [], exit_code: 0 });
  });

  const TAMPERINGS: readonly (readonly [string, (database: LibraryDatabase) => void, string[]])[] = [
    ['a note was changed', (database) => put(database, A, 2, textOf(database, A, 2).replace('note 1', 'note X')), ['altered']],
    ['a note was changed and the seal was not made anew', (database) => put(database, A, 2, textOf(database, A, 2).replace('note 1', 'note X'), false), ['unreadable']],
    ['an entry was deleted', (database) => drop(database, A, 2), ['missing']],
    ['the last entry was deleted', (database) => drop(database, ACTS, 2), ['cut off']],
    ['an entry was hidden as one that is not yet in', (database) => database.run('UPDATE entries SET is_prepared = 1 WHERE journal = ? AND entry_group = ? AND number = ?', 'reviews', B, 1), ['missing']],
    ['two entries were swapped', (database) => {
      const [one, other] = [textOf(database, A, 2), textOf(database, A, 3)];
      put(database, A, 2, other);
      put(database, A, 3, one);
    }, ['out of order']],
    ['the last entry was cut short', (database) => put(database, ACTS, 2, textOf(database, ACTS, 2).slice(0, 100)), ['unreadable']],
  ];
  test.each(TAMPERINGS)('is found out where %s by somebody who has the key', async (_what, tamper, kinds) => {
    await withKey(tamper);
    const found = await verify(path);
    expect([found.exit_code, kindsOf(found)]).toEqual([1, kinds]);
  });

  test('is damaged where bytes of the file were changed, and closed without its passphrase', async () => {
    vi.stubEnv('LACUNA_PASSPHRASE', 'another passphrase of four');
    expect((await verify(path)).exit_code).toBe(2);
    vi.stubEnv('LACUNA_PASSPHRASE', PASSPHRASE);
    const bytes = await readFile(path);
    bytes.fill(0x55, 4096); // all pages but the first
    await writeFile(path, bytes);
    expect(await verify(path)).toMatchObject({ exit_code: 1, problems: null });
  });
});
