import { expect, test } from 'vitest';
import { placeReviews } from '../../../../electron/headless/read-reviews.ts';
import type { ReadImport } from '../../../../electron/host/analysis-pool.ts';
import { fileOf, lineOf, sha256, trailOf, verdictOn } from '../../../builders/sent-reviews.ts';
import { buildStandInPool } from '../../../builders/stand-in-pool.ts';

/** Cases of a run, each from one file; what a case recorded is its content. */
const CASES = [{ caseId: 'A', file: 'a.csv', content: 'a' }, { caseId: 'B', file: 'b.csv', content: 'b' }, { caseId: 'C', file: 'c.csv', content: 'c' }];
// Of a reading only its file's digest is looked at.
const read = { plan: { cases: CASES.map(({ caseId }, file) => ({ caseId, attributes: {}, parts: [{ file, reading: 0 }] })), notes: [] }, readings: CASES.map(({ file }) => ({ source: { sha256: sha256(file) } })) } as unknown as ReadImport;

async function placed(...lines: ReturnType<typeof lineOf>[]) {
  const built: string[] = [];
  const pool = buildStandInPool({});
  const told: string[] = [];
  const content = fileOf('east', trailOf('east', lines.map(({ caseKey }) => ({ by: 'Ada', body: verdictOn(caseKey, 600, 'motion') }))), lines);
  const found = await placeReviews({ given: [], contents: [content] }, { ...pool, caseFacts: async (_read, { caseId }) => {
    built.push(caseId);
    const own = CASES.find((one) => one.caseId === caseId);
    return { inputDigests: [sha256(own?.file ?? '')], contentFingerprint: sha256(own?.content ?? '') };
  } }, read, { size: 1, signal: new AbortController().signal, onCase: (done, total) => told.push(`${done} of ${total}`) });
  return { built, told, at: CASES.map((_, place) => found.entriesOf(place).length), unmatched: found.unmatched.length };
}

test('to find the cases of reviews only those from the files that they name are built', async () => {
  expect(await placed(lineOf('k1', 'b', [sha256('b.csv')]))).toEqual({ built: ['B'], told: ['1 of 1'], at: [0, 1, 0], unmatched: 0 });
});

test('where the recording came in another file, and where it is not there at all, the others are built too, each once', async () => {
  expect(await placed(lineOf('k1', 'b', [sha256('b.csv')]), lineOf('k2', 'c', [sha256('other.csv')]))).toEqual({ built: ['B', 'A', 'C'], told: ['1 of 1', '1 of 2', '2 of 2'], at: [0, 1, 1], unmatched: 0 });
  expect(await placed(lineOf('k9', 'gone', [sha256('gone.csv')]))).toEqual({ built: ['A', 'B', 'C'], told: ['1 of 3', '2 of 3', '3 of 3'], at: [0, 0, 0], unmatched: 1 });
});
