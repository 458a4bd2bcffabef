import { describe, expect, test } from 'vitest';
import type { ReviewsFileContent } from '../../../../core/model/reviews-file.ts';
import { readReviewsFile, reviewsFileOutlook, reviewsFileText, signedText } from '../../../../core/review/reviews-file.ts';
import { canonicalJson } from '../../../../core/review/trail.ts';
import { fileOf, lineOf, sha256, trailOf, verdictOn } from '../../../builders/sent-reviews.ts';

// A stand-in for the signature: what it must do is told by the text that it was made over. The real one: tests/unit/electron/host/review-key.test.ts.
const CHECK = { sha256, fingerprintOf: () => sha256('A'), verify: (_key: string, text: string, signature: string) => signature === signatureOf(text) };
const signatureOf = (text: string): string => sha256(text) + sha256(`${text} again`);
const written = (content: ReviewsFileContent): string => reviewsFileText(content, signatureOf(signedText(content)));

const TRAIL = trailOf('A', [
  { by: 'Anna', body: { kind: 'act', act: 'parameters changed', caseKey: null, detail: 'minDurationS 30 to 20' } },
  { by: 'Anna', body: verdictOn('a1', 100, 'motion', { judgement: { note: 'asked Dr Who' } }) },
  { by: 'Anna', body: verdictOn('a2', 200, 'no loss') },
  { by: 'Anna', body: { kind: 'flags', caseKey: 'a2', caseId: 'case a2', flags: ['worth discussing'], note: 'see protocol', seen: { parametersDigest: sha256('p'), parametersName: 'default', productVersion: '1', inputDigests: [] } } },
]);
const FILE = fileOf('A', TRAIL, [lineOf('a1', 'one'), lineOf('a2', 'two')]);

test('a file says again what was written, and what stays at home is not in it', () => {
  const read = readReviewsFile(written(FILE), CHECK);
  expect(read).toEqual({ ok: true, value: FILE });
  expect(FILE.entries.map(({ entry }) => entry.place)).toEqual([2, 3, 4]);
  expect(FILE.chain).toHaveLength(4);
  expect(readReviewsFile(`\uFEFF${written(FILE)}`, CHECK).ok).toBe(true);
});

test('only the cases that were chosen travel', () => {
  const some = fileOf('A', TRAIL, [lineOf('a2', 'two')]);
  expect(some.entries.map(({ entry }) => entry.caseKey)).toEqual(['a2', 'a2']);
  expect(readReviewsFile(written(some), CHECK).ok).toBe(true);
});

test('what a file would hold is told before it is written', () => {
  const cases = new Map([['a1', lineOf('a1', null)], ['a2', lineOf('a2', 'two')]]);
  expect(reviewsFileOutlook({ trail: TRAIL, cases })).toEqual({ cases: 2, entries: 3, verdicts: 2, notes: 2, readers: ['Anna'], withoutContent: 1, notOwn: 0 });
});

test('notes that are left out are nowhere in the text, and the entries still stand at their places', () => {
  const text = written(fileOf('A', TRAIL, [lineOf('a1', 'one'), lineOf('a2', 'two')], { notes: 'left out' }));
  expect(text).not.toMatch(/Dr Who|see protocol/);
  const read = readReviewsFile(text, CHECK);
  expect(read.ok && read.value.entries.map(({ hash, sealedAs }) => hash === sealedAs)).toEqual([false, true, false]);
});

describe('what does not hold', () => {
  const codeOf = (text: string): string => {
    const read = readReviewsFile(text, CHECK);
    return read.ok ? 'taken' : read.failure.code;
  };

  test('any changed character is refused, or changes nothing that is said', () => {
    const text = written(FILE);
    let refused = 0;
    for (let at = 0; at < text.length; at += 7) {
      for (const other of ['x', '0', '"', ' ']) {
        const changed = text.slice(0, at) + other + text.slice(at + 1);
        if (changed === text) continue;
        const read = readReviewsFile(changed, CHECK);
        if (read.ok) expect(canonicalJson(read.value)).toBe(canonicalJson(FILE));
        else {
          refused += 1;
          expect(read.failure.code).toMatch(/^reviews-file-(unreadable|altered|newer)$/);
          expect(read.failure.message).toMatch(/\.$/);
          expect(read.failure.remedy).toMatch(/Nothing was taken|later version/);
        }
      }
    }
    expect(refused).toBeGreaterThan(500);
  });

  test.each([['', 'no JSON'], ['{', 'no JSON'], ['[]', 'no JSON'], ['{"a":1}', 'does not say']])('%j is no such file', (text, why) => {
    const read = readReviewsFile(text, CHECK);
    expect(read.ok ? '' : read.failure.message).toContain(why);
  });

  test('a file of a later form is told apart from a damaged one', () => {
    expect(codeOf(written(FILE).replace('lacuna-reviews/1', 'lacuna-reviews/2'))).toBe('reviews-file-newer');
  });

  test('a key whose fingerprint is another is refused', () => {
    expect(codeOf(written({ ...FILE, sender: { ...FILE.sender, fingerprint: sha256('B') } }))).toBe('reviews-file-altered');
  });

  // Signed anew after a change: only the chain can tell.
  const [first, second, third] = FILE.entries;
  if (first === undefined || second === undefined || third === undefined) throw new Error('three entries');
  const moved = { ...second.entry, place: 9 };
  test.each<[string, Partial<ReviewsFileContent>]>([
    ['an entry that is not what its hash was made over', { entries: [{ ...first, entry: { ...first.entry, by: 'Berta' } }, second, third] }],
    ['entries in another order', { entries: [second, first, third] }],
    ['an entry twice', { entries: [first, second, { ...second, entry: moved, hash: sha256(canonicalJson(moved)) }, third] }],
    ['an entry that the trail does not have', { chain: FILE.chain.map((hash, i) => (i === 1 ? sha256('other') : hash)) }],
    ['an entry whose one before was changed', { chain: FILE.chain.map((hash, i) => (i === 0 ? sha256('other') : hash)) }],
    ['a trail that was cut off', { chain: FILE.chain.slice(0, 2) }],
    ['a case that is not listed', { cases: FILE.cases.slice(0, 1) }],
    ['a note that was left out of some, in a file that says it has all', { entries: [fileOf('A', TRAIL, FILE.cases, { notes: 'left out' }).entries[0] ?? first, second, third] }],
  ])('%s is refused', (_what, over) => {
    expect(codeOf(written({ ...FILE, ...over }))).toBe('reviews-file-chain');
  });
});
