import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { buildFolderShelf } from '../../../../electron/host/folder-shelf.ts';
import type { LibraryShelf } from '../../../../electron/host/library-shelf.ts';
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

async function linesOf(shelf: LibraryShelf, group: string, number: string): Promise<string[]> {
  const found: string[] = [];
  for await (const some of shelf.journal('ledger').lines(group, number)) found.push(...some);
  return found;
}

const KINDS: readonly (readonly [string, () => { readonly reopen: Reopen }])[] = [
  ['a folder', () => ({ reopen: async () => buildFolderShelf(folder) })],
  ['an encrypted file', () => {
    const keys = drawKeys();
    return {
      async reopen() {
        const database = await openDatabase(join(folder, 'x.lacuna'), keys);
        checkShelf(database, { withLines: true });
        return buildDatabaseShelf(database);
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
    expect([await journal.groups(), await journal.read(GROUP), await linesOf(shelf, GROUP, '0001')]).toEqual([[], [], []]);
    await journal.append(OTHER, { lines: [], text: (count) => `none: ${count}` });
    await journal.append(GROUP, { lines: ['one', 'two é', ''], text: (count) => `lines: ${count}` });
    const many = Array.from({ length: 2500 }, (_, i) => `line ${i}`);
    await journal.append(GROUP, { lines: many, text: (count) => `lines: ${count}` });
    const again = await reopen();
    expect(await again.journal(name).groups()).toEqual([GROUP, OTHER]);
    expect(await again.journal(name).read(GROUP)).toEqual([{ number: '0001', text: 'lines: 3' }, { number: '0002', text: 'lines: 2500' }]);
    expect(await linesOf(again, GROUP, '0001')).toEqual(['one', 'two é', '']);
    expect(await linesOf(again, GROUP, '0002')).toEqual(many);
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
    expect(await linesOf(await reopen(), GROUP, '0001')).toEqual([]);
  });
});
