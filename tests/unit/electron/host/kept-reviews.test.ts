import { chmod, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { EntryBody } from '../../../../core/model/review.ts';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
import { buildFolderShelf } from '../../../../electron/host/folder-shelf.ts';
import { buildKeptReviews } from '../../../../electron/host/kept-reviews.ts';
import type { LibraryJournal, LibraryShelf } from '../../../../electron/host/library-shelf.ts';
import type { ReviewTrail } from '../../../../electron/host/review-trail.ts';

const [A, B] = ['a'.repeat(32), 'b'.repeat(32)];
const SEEN = { parametersDigest: 'cd'.repeat(32), parametersName: 'ours', productVersion: '1.2.3', inputDigests: ['ab'.repeat(32)] };
const STAMP = { by: 'Ada', at: new Date('2031-03-04T10:00:00Z'), productVersion: '1.2.3' };

let folder = '';
let shelf: LibraryShelf;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-trail-'));
  shelf = buildFolderShelf(folder);
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const flags = (caseKey: string, note: string): EntryBody => ({ kind: 'flags', caseKey, caseId: 'K1', flags: [], note, seen: SEEN });
const open = (journal: LibraryJournal = shelf.journal('reviews')): ReviewTrail => buildKeptReviews(journal, shelf.document('trail-head'));
const add = (trail: ReviewTrail, caseKey: string, ...notes: string[]) => trail.add(caseKey, STAMP, () => notes.map((note) => flags(caseKey, note)));
const notesOf = async (trail: ReviewTrail, caseKey: string): Promise<string[]> => (await trail.ofCase(caseKey)).flatMap(({ entry }) => (entry.kind === 'flags' ? [entry.note] : []));
const problems = async (trail: ReviewTrail): Promise<string[]> => (await trail.check(null)).problems.map(({ kind, place }) => `${kind} ${place}`);
const file = (group: string, number: number): string => join(folder, 'reviews', group, `000${number}.json`);

/** A journal whose disk refuses the entries that `refuses` names, some of them after they have been written all the same. */
function refusing(refuses: (text: string) => 'before' | 'after' | null): LibraryJournal {
  const journal = shelf.journal('reviews');
  const full = new FailureError({ code: 'disk-full', message: 'The disk that holds the library is full.', remedy: 'Make room.' });
  return {
    ...journal,
    async append(group, entry) {
      const when = refuses(entry.text(0));
      if (when === 'before') throw full;
      await journal.append(group, entry);
      if (when === 'after') throw full;
    },
  };
}

describe('a disk that refuses', () => {
  test('an entry says so, nothing of it stays, and the next one takes its place', async () => {
    const trail = open(refusing((text) => (text.includes('refused') ? 'before' : null)));
    await add(trail, A, 'one');
    await expect(add(trail, A, 'refused')).rejects.toMatchObject({ code: 'disk-full' });
    await add(trail, A, 'two');
    expect(await notesOf(trail, A)).toEqual(['one', 'two']);
    expect([await notesOf(open(), A), await problems(open())]).toEqual([['one', 'two'], []]);
  });

  test('an entry that is there all the same keeps its place, so that no other one gets it', async () => {
    const trail = open(refusing((text) => (text.includes('unsure') ? 'after' : null)));
    await add(trail, A, 'one');
    await expect(add(trail, A, 'unsure')).rejects.toMatchObject({ code: 'disk-full' });
    await add(trail, B, 'two');
    expect([await notesOf(trail, A), await notesOf(trail, B)]).toEqual([['one', 'unsure'], ['two']]);
    expect([(await trail.list(null, 9)).entries.map(({ entry }) => entry.place), await problems(open())]).toEqual([[3, 2, 1], []]);
  });

  test('one of several entries leaves those before it, and says so', async () => {
    const trail = open(refusing((text) => (text.includes('refused') ? 'before' : null)));
    await expect(add(trail, A, 'one', 'two', 'refused', 'never')).rejects.toMatchObject({ code: 'disk-full' });
    expect([await notesOf(trail, A), await problems(open())]).toEqual([['one', 'two'], []]);
  });

  test('the note of the end does not take the entry with it: the note is made with the next one', async () => {
    const head = shelf.document('trail-head');
    let refuses = true;
    const trail = buildKeptReviews(shelf.journal('reviews'), { ...head, replace: async (text) => (refuses ? Promise.reject(new Error('refused')) : await head.replace(text)) });
    await add(trail, A, 'one');
    expect([await head.read(), await problems(open())]).toEqual([null, []]);
    refuses = false;
    await add(trail, A, 'two');
    expect(JSON.parse(await head.read() ?? '')).toMatchObject({ head: { place: 2 } });
  });

  test.skipIf(process.getuid?.() === 0)('because the folder may not be written says so, and what is there can still be read', async () => {
    await add(open(), A, 'one');
    await chmod(join(folder, 'reviews', A), 0o500);
    await expect(add(open(), A, 'two')).rejects.toMatchObject({ code: 'library-unwritable', remedy: expect.stringContaining('may be written') as string });
    expect(await notesOf(open(), A)).toEqual(['one']);
    await chmod(join(folder, 'reviews', A), 0o700);
  });

  test('because a file stands where the folder should be says so', async () => {
    await writeFile(join(folder, 'reviews'), '');
    await expect(add(open(shelf.journal('reviews')), A, 'one')).rejects.toThrow();
  });
});

describe('an entry that is not as it was written', () => {
  const DAMAGES: readonly (readonly [string, () => Promise<void>])[] = [
    ['changed', async () => writeFile(file(A, 1), (await readFile(file(A, 1), 'utf8')).replace('one', 'ONE'))],
    ['cut short', () => writeFile(file(A, 1), '{"schema":"lacuna-trail/1"')],
    ['missing', () => rm(file(A, 1))],
    ['swapped with the next', async () => {
      const texts = [await readFile(file(A, 1)), await readFile(file(A, 2))];
      await writeFile(file(A, 1), texts[1]!);
      await writeFile(file(A, 2), texts[0]!);
    }],
  ];
  test.each(DAMAGES)('(%s) closes its case with what to do, and no other one; nothing is written over it', async (_how, damage) => {
    await add(open(), A, 'one', 'two');
    await add(open(), B, 'other');
    await damage();
    const trail = open();
    for (const call of [trail.ofCase(A), add(trail, A, 'three')]) await expect(call).rejects.toMatchObject({ code: 'reviews-damaged', remedy: expect.stringContaining('verify') as string });
    await add(trail, B, 'next');
    expect(await notesOf(open(), B)).toEqual(['other', 'next']);
    expect(await problems(open())).not.toEqual([]);
    expect((await trail.list(null, 9)).entries[0]?.entry.place).toBe(4);
  });

  test('in the note of the end stops all writing until a person has seen to it', async () => {
    await add(open(), A, 'one');
    await writeFile(join(folder, 'trail-head.json'), '{');
    await expect(add(open(), A, 'two')).rejects.toMatchObject({ code: 'reviews-damaged', remedy: expect.stringContaining('trail-head.json') as string });
    expect([await notesOf(open(), A), await readFile(join(folder, 'trail-head.json'), 'utf8')]).toEqual([['one'], '{']);
  });
});

test('where the end was cut off work goes on and the gap is found for ever', async () => {
  await add(open(), A, 'one', 'two');
  await add(open(), B, 'three');
  await rm(file(B, 1));
  expect(await problems(open())).toEqual(['cut off 3']);
  await add(open(), A, 'four');
  expect((await open().list(null, 9)).entries.map(({ entry }) => entry.place)).toEqual([4, 2, 1]);
  expect(await problems(open())).toEqual(['missing 3']);
});

test('what is added while the trail is being checked is no problem', async () => {
  const trail = open();
  await add(trail, A, 'one');
  const checks = [];
  for (let i = 0; i < 10; i += 1) {
    checks.push(trail.check(null));
    await add(trail, i % 2 === 0 ? A : B, `note ${i}`);
  }
  for (const check of await Promise.all(checks)) expect(check.problems).toEqual([]);
  // The same where the check is the first that is asked of a trail.
  const again = open();
  const first = again.check(null);
  await Promise.all([add(again, A, 'more'), add(again, B, 'and more')]);
  expect(await first).toMatchObject({ entries: 11, problems: [] });
});

test('a call that finds nothing to add, or throws, adds nothing and holds nobody up', async () => {
  const trail = open();
  expect(await trail.add(A, STAMP, () => [])).toEqual([]);
  await expect(trail.add(A, STAMP, () => { throw new Error('refused by the reader'); })).rejects.toThrow('refused by the reader');
  await add(trail, A, 'one');
  await trail.settled();
  expect(await trail.reviewedCases()).toEqual(new Set([A]));
});
