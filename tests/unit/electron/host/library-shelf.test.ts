import { createHash } from 'node:crypto';
import { mkdir, mkdtemp, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { clearJournal } from '../../../../electron/host/folder-journal.ts';
import { buildFolderShelf } from '../../../../electron/host/folder-shelf.ts';
import type { JournalName, LibraryShelf } from '../../../../electron/host/library-shelf.ts';
import { DOCUMENT_NAMES, JOURNAL_NAMES } from '../../../../electron/host/library-shelf.ts';
import { buildDatabaseShelf, checkShelf } from '../../../../electron/store/database-shelf.ts';
import { openDatabase } from '../../../../electron/store/library-database.ts';
import { drawKeys } from '../../../../electron/store/library-key.ts';

/** The shelf as a program that starts anew finds it. */
type Reopen = () => Promise<LibraryShelf>;

const GROUP = 'a'.repeat(32);
const OTHER = 'b'.repeat(32);

let folder = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-shelf-'));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

async function linesOf(shelf: LibraryShelf, name: JournalName, group: string, number: string): Promise<string[]> {
  const found: string[] = [];
  for await (const some of shelf.journal(name).lines(group, number)) found.push(...some);
  return found;
}

interface ShelfKind {
  readonly reopen: Reopen;
  /** Puts an entry in under a number, as if all before it had come in one by one. */
  readonly putAt: (name: JournalName, group: string, number: number, text: string) => Promise<void>;
}

const KINDS: readonly (readonly [string, () => ShelfKind])[] = [
  ['a folder', () => ({
    reopen: async () => buildFolderShelf(folder),
    async putAt(name, group, number, text) {
      await mkdir(join(folder, name, group), { recursive: true });
      await writeFile(join(folder, name, group, `${String(number).padStart(4, '0')}.json`), text);
    },
  })],
  ['an encrypted file', () => {
    const keys = drawKeys();
    return {
      async reopen() {
        const database = await openDatabase(join(folder, 'x.lacuna'), keys);
        checkShelf(database, { withLines: true });
        return buildDatabaseShelf(database);
      },
      async putAt(name, group, number, text) {
        const database = await openDatabase(join(folder, 'x.lacuna'), keys);
        const none = createHash('sha256').digest();
        database.run('INSERT INTO entries (journal, entry_group, number, is_prepared, text, lines_digest, seal) VALUES (?, ?, ?, 0, ?, ?, ?)', name, group, number, text, none, database.seal('entry', name, group, String(number), text, none));
        database.close();
      },
    };
  }],
];

describe.each(KINDS)('the shelf of a library that is %s', (_kind, build) => {
  test('keeps each document under its name, whole, until it is replaced', async () => {
    const { reopen } = build();
    for (const name of DOCUMENT_NAMES) {
      expect(await (await reopen()).document(name).read()).toBeNull();
      await (await reopen()).document(name).replace(`{"first":"${name} é 𝄞"}`);
      expect(await (await reopen()).document(name).read()).toBe(`{"first":"${name} é 𝄞"}`);
      await (await reopen()).document(name).replace('');
      expect(await (await reopen()).document(name).read()).toBe('');
    }
    for (const way of ['wayOut', 'wayBack'] as const) expect((await reopen()).document('mappings')[way]).toMatch(/^[A-Z].*[^.]$/);
  });

  test.each(JOURNAL_NAMES)('adds to the journal %s in the order in which it came, each entry with its lines', async (name) => {
    const { reopen } = build();
    const shelf = await reopen();
    const journal = shelf.journal(name);
    expect([await journal.groups(), await journal.read(GROUP), await linesOf(shelf, name, GROUP, '0001')]).toEqual([[], [], []]);
    await journal.append(OTHER, { lines: [], text: (count) => `none: ${count}` });
    await journal.append(GROUP, { lines: ['one', 'two é', ''], text: (count) => `lines: ${count}` });
    const many = Array.from({ length: 2500 }, (_, i) => `line ${i}`);
    await journal.append(GROUP, { lines: many, text: (count) => `lines: ${count}` });
    const again = await reopen();
    expect(await again.journal(name).groups()).toEqual([GROUP, OTHER]);
    expect(await again.journal(name).read(GROUP)).toEqual([{ number: '0001', text: 'lines: 3' }, { number: '0002', text: 'lines: 2500' }]);
    expect(await linesOf(again, name, GROUP, '0001')).toEqual(['one', 'two é', '']);
    expect(await linesOf(again, name, GROUP, '0002')).toEqual(many);
  });

  test('counts on beyond 9999 entries of a group, in the order of the numbers and not of their digits', async () => {
    const { reopen, putAt } = build();
    for (const number of [9998, 9999]) await putAt('reviews', GROUP, number, `entry ${number}`);
    const journal = (await reopen()).journal('reviews');
    for (const text of ['one more', 'and one']) await journal.append(GROUP, { lines: ['a line'], text: () => text });
    const prepared = await journal.prepare(GROUP, { lines: ['another'], text: () => 'beside' });
    expect(prepared.number).toBe('10002');
    await journal.discard(prepared);
    const again = await reopen();
    expect(await again.journal('reviews').read(GROUP)).toEqual([
      { number: '9998', text: 'entry 9998' }, { number: '9999', text: 'entry 9999' }, { number: '10000', text: 'one more' }, { number: '10001', text: 'and one' },
    ]);
    expect(await linesOf(again, 'reviews', GROUP, '10001')).toEqual(['a line']);
  });

  test('has nothing of an entry whose lines stop coming, or that was prepared and discarded', async () => {
    const { reopen } = build();
    const shelf = await reopen();
    const journal = shelf.journal('ledger');
    async function* broken(): AsyncGenerator<string> {
      yield 'one';
      throw new Error('the reading stopped');
    }
    await expect(journal.append(GROUP, { lines: broken(), text: () => 'never' })).rejects.toThrow('the reading stopped');
    const prepared = await journal.prepare(GROUP, { lines: ['x'], text: () => 'beside' });
    expect(await journal.read(GROUP)).toEqual([]);
    await journal.discard(prepared);
    await journal.append(GROUP, { lines: [], text: () => 'in' });
    expect((await (await reopen()).journal('ledger').read(GROUP)).map(({ text }) => text)).toEqual(['in']);
    expect(await linesOf(await reopen(), 'ledger', GROUP, '0001')).toEqual([]);
  });
});

test('what a killed program left in a journal is removed and every entry stays, also beyond 9999', async () => {
  const own = join(folder, 'reviews', GROUP);
  await mkdir(own, { recursive: true });
  const kept = ['10000.json', '10000.rows.gz', '9999.json'];
  for (const name of [...kept, '10001.rows.gz', '1000.rows.gz', '10002.prepared', '10001.json.0123456789ab.unfinished']) await writeFile(join(own, name), '');
  await clearJournal(join(folder, 'reviews'));
  expect((await readdir(own)).sort()).toEqual(kept);
});
