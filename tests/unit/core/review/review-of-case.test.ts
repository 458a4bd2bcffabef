import { expect, test } from 'vitest';
import type { FourInstants } from '../../../../core/model/analysis.ts';
import type { CaseFlag, Judgement, ReviewOutcome, Verdict } from '../../../../core/model/review.ts';
import { VERDICTS } from '../../../../core/model/review.ts';
import { caseReviewSchema, reviewStateSchema } from '../../../../core/model/review-schema.ts';
import { consensusAt, dropoutsReadBy, ownVerdictAt, reviewOfCase, reviewStateOf } from '../../../../core/review/review-of-case.ts';
import { anchorOf, basisOf, CANNOT_TELL, digestOf, dropoutOf, LOSS, NO_LOSS, SEEN, TrailBuilder, verdictBody } from '../../../builders/review-trail.ts';

const CASE = { caseKey: 'key-1', caseId: 'case-1' } as const;
const ONE = dropoutOf(100, 200);
const TWO = dropoutOf(300, 400);
const BASIS = basisOf([ONE, TWO]);
const OPEN = { by: null, blinded: false } as const;
const said = (verdict: Verdict): Judgement => ({ verdict, certainty: verdict === 'cannot tell' ? null : 'certain', note: '', correctedBounds: null });

/** What readings, and then consensus entries of this library and another, come to. */
function outcomeOf(readings: readonly Verdict[], here: Verdict | null = null, there: Verdict | null = null): [ReviewOutcome, Verdict | null] {
  const trail = new TrailBuilder();
  readings.forEach((verdict, i) => trail.add(`Reader ${i + 1}`, verdictBody(ONE, said(verdict))));
  if (here !== null) trail.add('Reader 1', verdictBody(ONE, said(here), { role: 'consensus' }));
  const other = new TrailBuilder('there');
  if (there !== null) other.add('Reader 9', verdictBody(ONE, said(there), { role: 'consensus' }));
  trail.receive(other.sealed, digestOf('key'));
  const { outcome, verdict } = reviewOfCase(trail.sealed, BASIS, OPEN).dropouts[0]!;
  return [outcome, verdict];
}

test('one reader decides alone, and cannot tell is a full answer', () => {
  expect(outcomeOf([])).toEqual(['not reviewed', null]);
  for (const [verdict, { loss }] of Object.entries(VERDICTS) as [Verdict, { loss: boolean | null }][]) expect(outcomeOf([verdict]), verdict).toEqual([loss === null ? 'cannot tell' : loss ? 'confirmed' : 'refuted', verdict]);
});

// The handbook (1.3, after Pasma 2021, PMC7943498): "Adjudication needs 'cannot tell' as a full answer and must never be shown as truth."
test('cannot tell stands in the list of verdicts, needs no certainty, counts as read, and against a verdict it is a difference', () => {
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(ONE, CANNOT_TELL));
  const review = reviewOfCase(trail.sealed, BASIS, OPEN);
  expect(reviewStateOf(review)).toMatchObject({ cannotTell: 1, notReviewed: 1, confirmed: 0, refuted: 0, disputed: 0, readers: 1 });
  expect(dropoutsReadBy(trail.sealed, BASIS, 'A. Reader')).toEqual(new Set([ONE.dropoutId]));
  expect(outcomeOf(['cannot tell', 'motion'])).toEqual(['disputed', null]);
  expect(outcomeOf(['cannot tell', 'no loss'])).toEqual(['disputed', null]);
  expect(outcomeOf(['cannot tell', 'cannot tell'])).toEqual(['cannot tell', 'cannot tell']);
});

test('readers who name different kinds of loss confirm it without a common kind; loss against no loss is disputed', () => {
  expect(outcomeOf(['motion', 'motion'])).toEqual(['confirmed', 'motion']);
  expect(outcomeOf(['motion', 'low perfusion'])).toEqual(['confirmed', null]);
  expect(outcomeOf(['motion', 'low perfusion', 'no loss'])).toEqual(['disputed', null]);
  expect(outcomeOf(['no loss', 'no loss'])).toEqual(['refuted', 'no loss']);
});

test('a consensus settles what readers say; two that differ in whether anything was lost are a dispute again', () => {
  expect(outcomeOf(['motion', 'no loss'], 'no loss')).toEqual(['refuted', 'no loss']);
  expect(outcomeOf(['motion', 'motion'], 'cannot tell')).toEqual(['cannot tell', 'cannot tell']);
  expect(outcomeOf(['motion', 'no loss'], 'motion', 'motion')).toEqual(['confirmed', 'motion']);
  expect(outcomeOf(['motion', 'no loss'], 'motion', 'interference')).toEqual(['confirmed', null]);
  expect(outcomeOf(['motion', 'motion'], 'motion', 'no loss')).toEqual(['disputed', null]);
});

test('corrected bounds are those that all who decide agree on, and only where something was lost', () => {
  const bounds: FourInstants = { lastGoodMs: 90_000, firstLostMs: 91_000, lastLostMs: 199_000, firstGoodMs: 200_000 };
  const boundsOf = (...readings: Judgement[]) => {
    const trail = new TrailBuilder();
    readings.forEach((one, i) => trail.add(`Reader ${i}`, verdictBody(ONE, one)));
    return reviewOfCase(trail.sealed, BASIS, OPEN).dropouts[0]!.correctedBounds;
  };
  expect(boundsOf({ ...LOSS, correctedBounds: bounds })).toEqual(bounds);
  expect(boundsOf({ ...LOSS, correctedBounds: bounds }, { ...LOSS, correctedBounds: { ...bounds } })).toEqual(bounds);
  expect(boundsOf({ ...LOSS, correctedBounds: bounds }, LOSS)).toBeNull();
  expect(boundsOf(LOSS, { ...LOSS, correctedBounds: bounds })).toBeNull();
  for (const field of ['lastGoodMs', 'firstLostMs', 'lastLostMs', 'firstGoodMs'] as const) expect(boundsOf({ ...LOSS, correctedBounds: bounds }, { ...LOSS, correctedBounds: { ...bounds, [field]: 150_000 } }), field).toBeNull();
  expect(boundsOf({ ...NO_LOSS, correctedBounds: bounds })).toBeNull();
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(ONE));
  trail.add('B. Reader', verdictBody(ONE, NO_LOSS));
  trail.add('A. Reader', verdictBody(ONE, { ...LOSS, correctedBounds: bounds }, { role: 'consensus' }));
  expect(reviewOfCase(trail.sealed, BASIS, OPEN).dropouts[0]?.correctedBounds).toEqual(bounds);
});

test('a verdict that is listed with a joined one decides nothing', () => {
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(dropoutOf(100, 180), NO_LOSS));
  trail.add('A. Reader', verdictBody(dropoutOf(190, 200)));
  const { outcome, verdict, verdicts } = reviewOfCase(trail.sealed, BASIS, OPEN).dropouts[0]!;
  expect([outcome, verdict]).toEqual(['refuted', 'no loss']);
  expect(verdicts.map(({ judgement, isCounted }) => [judgement.verdict, isCounted])).toEqual([['no loss', true], ['low perfusion', false]]);
});

/** A has read both dropouts and flagged; B has read one; both were settled. */
function twoReaders(): TrailBuilder {
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(ONE));
  trail.add('A. Reader', verdictBody(TWO, CANNOT_TELL));
  trail.add('A. Reader', verdictBody(dropoutOf(700, 800)));
  trail.add('A. Reader', { kind: 'flags', ...CASE, flags: ['worth discussing'], note: '', seen: SEEN });
  trail.add('B. Reader', verdictBody(ONE, NO_LOSS));
  trail.add('B. Reader', { kind: 'flags', ...CASE, flags: ['site doubtful'], note: '', seen: SEEN });
  return trail;
}

test('blinded, a reader sees what is said by nobody else, but who has said something', () => {
  const trail = twoReaders();
  const review = reviewOfCase(trail.sealed, BASIS, { by: 'B. Reader', blinded: true });
  expect(review.dropouts.map(({ outcome, verdicts }) => [outcome, verdicts.map(({ by }) => by)])).toEqual([['refuted', ['B. Reader']], ['not reviewed', []]]);
  expect(review.without).toEqual([]);
  expect(review.flags.map(({ by }) => by)).toEqual(['B. Reader']);
  expect([review.hidden, review.readers, review.isRevealed]).toEqual([['A. Reader'], ['A. Reader', 'B. Reader'], false]);
  expect(JSON.stringify(review)).not.toMatch(/cannot tell|low perfusion|worth discussing/);
});

test.each([
  ['revealed', { kind: 'revealed', ...CASE } as const],
  ['read', { kind: 'case read', ...CASE, unread: 1 } as const],
  ['settled', verdictBody(ONE, NO_LOSS, { role: 'consensus' })],
])('a reader who has %s the case sees everything, and another still does not', (_how, body) => {
  const trail = twoReaders();
  trail.add('B. Reader', body);
  const review = reviewOfCase(trail.sealed, BASIS, { by: 'B. Reader', blinded: true });
  expect(review.dropouts[0]?.verdicts.filter(({ role }) => role === 'reading').map(({ by }) => by)).toEqual(['A. Reader', 'B. Reader']);
  expect([review.hidden, review.isRevealed, review.without.length, review.flags.length]).toEqual([[], true, 1, 2]);
  const other = reviewOfCase(trail.sealed, BASIS, { by: 'A. Reader', blinded: true });
  expect(other.dropouts[0]?.verdicts.map(({ by }) => by)).toEqual(['A. Reader']);
  expect([other.isRevealed, other.hidden]).toEqual([false, ['B. Reader']]);
});

test('what a reader of the same name revealed elsewhere reveals nothing here', () => {
  const there = new TrailBuilder('there');
  there.add('B. Reader', verdictBody(TWO));
  there.add('B. Reader', { kind: 'case read', ...CASE, unread: 0 });
  const trail = twoReaders();
  trail.receive(there.sealed, digestOf('key'));
  const review = reviewOfCase(trail.sealed, BASIS, { by: 'B. Reader', blinded: true });
  expect(review.isRevealed).toBe(false);
  expect(review.hidden).toEqual(['A. Reader', `B. Reader (received, key ${digestOf('key').slice(0, 8)})`]);
  expect(review.dropouts[1]?.verdicts).toEqual([]);
});

test('not blinded, or for nobody in particular, nothing is hidden', () => {
  const trail = twoReaders();
  for (const view of [{ by: 'B. Reader', blinded: false }, OPEN]) {
    const review = reviewOfCase(trail.sealed, BASIS, view);
    expect([review.hidden, review.dropouts[0]?.outcome, review.flags.length]).toEqual([[], 'disputed', 2]);
  }
  expect(reviewOfCase(trail.sealed, BASIS, { by: 'B. Reader', blinded: false }).isRevealed).toBe(false);
});

test('blinded, and nobody has said who reads: everything is hidden, and who has read is told', () => {
  const review = reviewOfCase(twoReaders().sealed, BASIS, { by: null, blinded: true });
  expect([review.hidden, review.readers, review.isRevealed]).toEqual([['A. Reader', 'B. Reader'], ['A. Reader', 'B. Reader'], false]);
  expect([review.dropouts.every(({ outcome, verdicts }) => outcome === 'not reviewed' && verdicts.length === 0), review.flags, review.earlier]).toEqual([true, [], []]);
});

test('the state of a case counts every dropout once and holds every flag once, in their order', () => {
  const trail = twoReaders();
  const flags: CaseFlag[] = ['exclude from figures', 'worth discussing'];
  trail.add('C. Reader', { kind: 'flags', ...CASE, flags, note: '', seen: SEEN });
  const state = reviewStateOf(reviewOfCase(trail.sealed, BASIS, OPEN));
  expect(state).toEqual({ caseKey: 'key-1', dropouts: 2, confirmed: 0, refuted: 0, cannotTell: 1, disputed: 1, notReviewed: 0, without: 1, flags: ['worth discussing', 'site doubtful', 'exclude from figures'], readers: 3 });
  expect(reviewStateSchema.parse(state)).toEqual(state);
});

test('a review passes its schema as it is', () => {
  const review = reviewOfCase(twoReaders().sealed, BASIS, OPEN);
  expect(caseReviewSchema.parse(review)).toEqual(review);
});

test('the reading that a new one takes the place of is the one that counts at that dropout today, of that reader, no consensus', () => {
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(dropoutOf(190, 200)));
  const most = trail.add('A. Reader', verdictBody(dropoutOf(100, 180), NO_LOSS));
  trail.add('B. Reader', verdictBody(ONE));
  const consensus = trail.add('A. Reader', verdictBody(ONE, NO_LOSS, { role: 'consensus' }));
  expect(ownVerdictAt(trail.sealed, BASIS, ONE.dropoutId, 'A. Reader')?.entryId).toBe(most);
  expect(ownVerdictAt(trail.sealed, BASIS, TWO.dropoutId, 'A. Reader')).toBeNull();
  expect(ownVerdictAt(trail.sealed, BASIS, ONE.dropoutId, 'C. Reader')).toBeNull();
  expect(consensusAt(trail.sealed, BASIS, ONE.dropoutId)?.entryId).toBe(consensus);
  expect(consensusAt(trail.sealed, BASIS, TWO.dropoutId)).toBeNull();
  expect(dropoutsReadBy(trail.sealed, BASIS, 'A. Reader')).toEqual(new Set([ONE.dropoutId]));
});

test('a consensus is nobody’s reading: not to be taken back as one, and it makes no dropout read and nobody a reader', () => {
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(ONE, NO_LOSS, { role: 'consensus' }));
  expect(ownVerdictAt(trail.sealed, BASIS, ONE.dropoutId, 'A. Reader')).toBeNull();
  expect(dropoutsReadBy(trail.sealed, BASIS, 'A. Reader')).toEqual(new Set());
  expect(reviewOfCase(trail.sealed, BASIS, OPEN).readers).toEqual([]);
});

test('a verdict that is placed anew at a dropout that the reader names stands there', () => {
  const trail = new TrailBuilder();
  const lost = trail.add('A. Reader', verdictBody(dropoutOf(700, 800), NO_LOSS));
  expect(reviewOfCase(trail.sealed, BASIS, OPEN).without).toHaveLength(1);
  trail.add('A. Reader', verdictBody(dropoutOf(700, 800), NO_LOSS, { anchor: anchorOf(TWO), supersedes: lost }));
  const review = reviewOfCase(trail.sealed, BASIS, OPEN);
  expect([review.without.length, review.dropouts[1]?.outcome]).toEqual([0, 'refuted']);
});
