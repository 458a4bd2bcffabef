import { expect, test } from 'vitest';
import type { CaseBody } from '../../../../core/model/review.ts';
import { disagreementsOf } from '../../../../core/review/disagreements.ts';
import { readCase } from '../../../../core/review/read-case.ts';
import { reviewOfCase } from '../../../../core/review/review-of-case.ts';
import { basisOf, sha256, trailOf, verdictOn } from '../../../builders/sent-reviews.ts';

const BASIS = basisOf('c', [100, 400]);
const whole = { caseKey: 'c', caseId: 'case c' };
const revealed: CaseBody = { kind: 'revealed', ...whole };
const said = (...list: readonly (readonly [string, CaseBody])[]) => trailOf('H', list.map(([by, body]) => ({ by, body })));

test('a reading is the last one before the reveal, whatever came after it', () => {
  const blind = said(['Anna', verdictOn('c', 100, 'motion')], ['Anna', verdictOn('c', 100, 'low perfusion')], ['Anna', revealed]);
  const second = blind[1]?.entry.entryId ?? '';
  const entries = trailOf('H', [
    { by: 'Anna', body: { kind: 'taken back', ...whole, supersedes: second } },
    { by: 'Anna', body: verdictOn('c', 100, 'no loss', { isBlinded: false }) },
    { by: 'Anna', body: verdictOn('c', 400, 'no loss', { isBlinded: false }) },
    { by: 'Berta', body: verdictOn('c', 100, 'no loss') },
  ], blind);
  expect(readCase(entries, BASIS).dropouts).toMatchObject([
    { dropoutId: 'finger@100000', blind: [{ by: 'Anna', verdict: 'low perfusion' }, { by: 'Berta', verdict: 'no loss' }], unblinded: [] },
    { dropoutId: 'finger@400000', blind: [], unblinded: ['Anna'] },
  ]);
});

test('what was taken back while blinded is no reading', () => {
  const given = said(['Anna', verdictOn('c', 100, 'motion')]);
  const entries = trailOf('H', [{ by: 'Anna', body: { kind: 'taken back', ...whole, supersedes: given[0]?.entry.entryId ?? '' } }], given);
  expect(readCase(entries, BASIS).dropouts).toEqual([]);
});

test('a reader who goes by two names is one, and the earlier reading counts', () => {
  const theirs = trailOf('A', [{ by: 'Anna', body: verdictOn('c', 100, 'no loss') }]);
  const [sent] = theirs;
  if (sent === undefined || sent.entry.kind !== 'verdict') throw new Error('a verdict');
  const entries = trailOf('H', [{ by: 'Anna', body: verdictOn('c', 100, 'motion') }, { by: 'Anna', body: { kind: 'received', ...whole, entry: sent.entry, hash: sent.hash, signedBy: sha256('A') } }]);
  const shown = `Anna (received, key ${sha256('A').slice(0, 8)})`;
  expect(readCase(entries, BASIS).dropouts[0]?.blind.map(({ by }) => by)).toEqual(['Anna', shown]);
  expect(readCase(entries, BASIS, (name) => (name === shown ? 'Anna' : name)).dropouts[0]?.blind).toMatchObject([{ by: 'Anna', verdict: 'motion' }]);
});

test('a disagreement goes from disputed to settled when what was agreed is recorded; kinds and bounds count too', () => {
  const moved = { lastGoodMs: 99_000, firstLostMs: 101_000, lastLostMs: 160_000, firstGoodMs: 162_000 };
  const differing = said(['Anna', verdictOn('c', 100, 'motion')], ['Berta', verdictOn('c', 100, 'no loss')], ['Anna', verdictOn('c', 400, 'motion')], ['Berta', verdictOn('c', 400, 'interference')]);
  const of = (entries: typeof differing) => disagreementsOf(reviewOfCase(entries, BASIS, { by: null, blinded: false }), BASIS);
  expect(of(differing).map(({ state }) => state)).toEqual(['disputed', 'kinds differ']);
  const settled = trailOf('H', [{ by: 'Anna', body: verdictOn('c', 100, 'motion', { role: 'consensus', isBlinded: false }) }], differing);
  expect(of(settled)).toMatchObject([{ state: 'settled', agreed: [{ by: 'Anna' }], readings: [{ by: 'Anna' }, { by: 'Berta' }] }, { state: 'kinds differ' }]);
  expect(of(said(['Anna', verdictOn('c', 100, 'motion', { judgement: { correctedBounds: moved } })], ['Berta', verdictOn('c', 100, 'motion')])).map(({ state }) => state)).toEqual(['bounds differ']);
  expect(of(said(['Anna', verdictOn('c', 100, 'motion')], ['Berta', verdictOn('c', 100, 'motion')]))).toEqual([]);
});

test('two libraries that agreed on different things are a disagreement of their own', () => {
  const [sent] = trailOf('A', [{ by: 'Zoe', body: verdictOn('c', 100, 'no loss', { role: 'consensus' }) }]);
  if (sent === undefined || sent.entry.kind !== 'verdict') throw new Error('a verdict');
  const entries = trailOf('H', [{ by: 'Anna', body: verdictOn('c', 100, 'motion', { role: 'consensus' }) }, { by: 'Anna', body: { kind: 'received', ...whole, entry: sent.entry, hash: sent.hash, signedBy: sha256('A') } }]);
  expect(disagreementsOf(reviewOfCase(entries, BASIS, { by: null, blinded: false }), BASIS)).toMatchObject([{ state: 'two agreements', agreed: [{ by: 'Anna' }, {}] }]);
});

test('what is hidden from a blinded reader is no disagreement to that reader', () => {
  const differing = said(['Anna', verdictOn('c', 100, 'motion')], ['Berta', verdictOn('c', 100, 'no loss')]);
  expect(disagreementsOf(reviewOfCase(differing, BASIS, { by: 'Anna', blinded: true }), BASIS)).toEqual([]);
});
