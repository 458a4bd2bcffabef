import { expect, test } from 'vitest';
import type { ReviewableDropout, ReviewBasis, SealedEntry } from '../../../../core/model/review.ts';
import { reanchor } from '../../../../core/review/reanchor.ts';
import { standingVerdicts } from '../../../../core/review/standing-verdicts.ts';
import { anchorOf, basisOf, CANNOT_TELL, CLOCK, digestOf, dropoutOf, NO_LOSS, SEEN, TrailBuilder, verdictBody } from '../../../builders/review-trail.ts';

const at = (entries: readonly SealedEntry[], basis: ReviewBasis) => reanchor(standingVerdicts(entries).verdicts, basis);
const stateOf = (then: ReviewableDropout, today: readonly ReviewableDropout[]) => {
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(then));
  return at(trail.sealed, basisOf(today)).map(({ state, dropoutId, isCounted }) => [state, dropoutId, isCounted]);
};

test('the same dropout is the same; other instants of it are a move', () => {
  expect(stateOf(dropoutOf(100, 200), [dropoutOf(100, 200), dropoutOf(300, 400)])).toEqual([['same', 'finger@100000', true]]);
  expect(stateOf(dropoutOf(100, 200), [dropoutOf(90, 200)])).toEqual([['moved', 'finger@90000', true]]);
  for (const change of [{ lastGoodMs: 98_000 }, { lastLostMs: 198_000 }, { firstGoodMs: 201_000 }]) expect(stateOf(dropoutOf(100, 200), [dropoutOf(100, 200, change)])).toEqual([['moved', 'finger@100000', true]]);
});

test('a loss ends before its first good instant: touching is not overlap', () => {
  expect(stateOf(dropoutOf(100, 200), [dropoutOf(200, 300)])).toEqual([['without a dropout', null, false]]);
  expect(stateOf(dropoutOf(200, 300), [dropoutOf(100, 200)])).toEqual([['without a dropout', null, false]]);
  expect(stateOf(dropoutOf(100, 200), [dropoutOf(199, 300)])).toEqual([['moved', 'finger@199000', true]]);
});

test('of several it stands at the one that it overlaps most, of equal ones at the earlier', () => {
  expect(stateOf(dropoutOf(100, 200), [dropoutOf(100, 130), dropoutOf(150, 200)])).toEqual([['split', 'finger@150000', true]]);
  expect(stateOf(dropoutOf(100, 200), [dropoutOf(160, 190), dropoutOf(110, 140)])).toEqual([['split', 'finger@110000', true]]);
});

test('another sensor’s dropout at the same time is another dropout', () => {
  expect(stateOf(dropoutOf(100, 200), [dropoutOf(100, 200, { siteKey: 'ear lobe' })])).toEqual([['without a dropout', null, false]]);
});

test('without a dropout it is kept, and nothing of it is lost', () => {
  const trail = new TrailBuilder();
  const note = 'light seen through the drape';
  trail.add('A. Reader', verdictBody(dropoutOf(100, 200), { ...NO_LOSS, note }));
  const [kept] = at(trail.sealed, { ...basisOf([]), sites: [] });
  expect(kept).toMatchObject({ state: 'without a dropout', dropoutId: null, isCounted: false, judgement: { verdict: 'no loss', note }, anchor: anchorOf(dropoutOf(100, 200)) });
});

test('a loss that was never restored reaches to the end of the count, and one without length still has a place', () => {
  const open = dropoutOf(100, 200, { lastLostMs: null, firstGoodMs: null, censoredAtMs: 500_000 });
  expect(stateOf(open, [open])).toEqual([['same', 'finger@100000', true]]);
  expect(stateOf(open, [dropoutOf(100, 200, { ...open, censoredAtMs: 600_000 })])).toEqual([['moved', 'finger@100000', true]]);
  expect(stateOf(open, [dropoutOf(450, 480)])).toEqual([['moved', 'finger@450000', true]]);
  const none = dropoutOf(100, 100, { lastLostMs: null, firstGoodMs: null, censoredAtMs: 100_000 });
  expect(stateOf(none, [none])).toEqual([['same', 'finger@100000', true]]);
  expect(stateOf(none, [dropoutOf(50, 150)])).toEqual([['moved', 'finger@50000', true]]);
});

test('two verdicts of one reader that come to one dropout: the one that overlaps most counts, both are listed', () => {
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(dropoutOf(100, 140), NO_LOSS));
  trail.add('A. Reader', verdictBody(dropoutOf(150, 160)));
  trail.add('B. Reader', verdictBody(dropoutOf(100, 140), CANNOT_TELL));
  expect(at(trail.sealed, basisOf([dropoutOf(100, 200)])).map(({ by, judgement, state, isCounted }) => [by, judgement.verdict, state, isCounted])).toEqual([
    ['A. Reader', 'no loss', 'joined', true],
    ['A. Reader', 'low perfusion', 'joined', false],
    ['B. Reader', 'cannot tell', 'moved', true],
  ]);
});

test('of two that overlap alike the later counts', () => {
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(dropoutOf(100, 140)));
  trail.add('A. Reader', verdictBody(dropoutOf(150, 190), NO_LOSS));
  expect(at(trail.sealed, basisOf([dropoutOf(100, 200)])).map(({ isCounted }) => isCounted)).toEqual([false, true]);
});

test('a reader’s consensus and reading on one dropout are not joined; two libraries’ consensus are not either', () => {
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(dropoutOf(100, 200)));
  trail.add('A. Reader', verdictBody(dropoutOf(100, 200), NO_LOSS, { role: 'consensus' }));
  const there = new TrailBuilder('there');
  there.add('A. Reader', verdictBody(dropoutOf(100, 200), NO_LOSS, { role: 'consensus' }));
  trail.receive(there.sealed, digestOf('key'));
  expect(at(trail.sealed, basisOf([dropoutOf(100, 200)])).map(({ state, isCounted }) => [state, isCounted])).toEqual(Array.from({ length: 3 }, () => ['same', true]));
});

test('corrected bounds move no anchor', () => {
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(dropoutOf(100, 200), { ...NO_LOSS, correctedBounds: { lastGoodMs: 299_000, firstLostMs: 300_000, lastLostMs: 399_000, firstGoodMs: 400_000 } }));
  expect(at(trail.sealed, basisOf([dropoutOf(100, 200), dropoutOf(300, 400)]))[0]).toMatchObject({ state: 'same', dropoutId: 'finger@100000' });
});

test('it is told where other parameters or other inputs were seen, and not where only the files’ order or the version is another', () => {
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(dropoutOf(100, 200), NO_LOSS, { seen: { ...SEEN, inputDigests: [digestOf('a'), digestOf('b')] } }));
  const seen = (over: Partial<typeof SEEN | { inputDigests: readonly string[] }>) => at(trail.sealed, basisOf([dropoutOf(100, 200)], { seen: { ...SEEN, inputDigests: [digestOf('a'), digestOf('b')], ...over } }))[0]?.sawAnother;
  expect(seen({})).toBe(false);
  expect(seen({ inputDigests: [digestOf('b'), digestOf('a')] })).toBe(false);
  expect(seen({ inputDigests: [digestOf('a')] })).toBe(true);
  expect(seen({ inputDigests: [digestOf('a'), digestOf('a')] })).toBe(true);
  expect(seen({ parametersDigest: digestOf('other') } as never)).toBe(true);
  expect(seen({ productVersion: '9.9.9' } as never)).toBe(false);
});

test('an origin that moved moves no verdict: a file that begins ten minutes earlier has joined the case', () => {
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(dropoutOf(100, 200), { ...NO_LOSS, correctedBounds: { lastGoodMs: 90_000, firstLostMs: 95_000, lastLostMs: 199_000, firstGoodMs: 200_000 } }));
  const clock = { ...CLOCK, wallMs: CLOCK.wallMs - 600_000, epochMs: (CLOCK.epochMs ?? 0) - 600_000 };
  const [moved] = at(trail.sealed, basisOf([dropoutOf(100, 200), dropoutOf(700, 800)], { clock }));
  expect(moved).toMatchObject({ state: 'same', dropoutId: 'finger@700000', anchor: { firstLostMs: 700_000, firstGoodMs: 800_000, clock } });
  expect(moved?.judgement.correctedBounds).toEqual({ lastGoodMs: 690_000, firstLostMs: 695_000, lastLostMs: 799_000, firstGoodMs: 800_000 });
});

test('another zone that was stated meanwhile: a file without offsets keeps its wall clock, one with offsets its instants', () => {
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(dropoutOf(100, 200)));
  const hour = 3_600_000;
  for (const clock of [{ ...CLOCK, epochMs: (CLOCK.epochMs ?? 0) + hour }, { ...CLOCK, wallMs: CLOCK.wallMs - hour }]) expect(at(trail.sealed, basisOf([dropoutOf(100, 200)], { clock }))[0]?.state).toBe('same');
});

test('a clock without a date goes round at midnight; a clock of another kind is not compared', () => {
  const trail = new TrailBuilder();
  const clock = { kind: 'time of day', wallMs: 86_000_000, epochMs: null } as const;
  trail.add('A. Reader', verdictBody(dropoutOf(1000, 1100), NO_LOSS, { anchor: anchorOf(dropoutOf(1000, 1100), clock) }));
  // 10 min later on the clock, past midnight: 86 600 000 ms are 200 s of the next day.
  expect(at(trail.sealed, basisOf([dropoutOf(400, 500)], { clock: { ...clock, wallMs: 200_000 } }))[0]).toMatchObject({ state: 'same', dropoutId: 'finger@400000' });
  expect(at(trail.sealed, basisOf([dropoutOf(1000, 1100)], { clock: { kind: 'elapsed', wallMs: 86_000_000, epochMs: null } }))[0]).toMatchObject({ state: 'without a dropout', isCounted: false });
  expect(at(trail.sealed, basisOf([dropoutOf(1000, 1100)]))[0]?.state).toBe('without a dropout');
});
