import { describe, expect, it } from 'vitest';
import type { CaseReview, Judgement } from '../../../../core/model/review.ts';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
import { createCaseReview, ownVerdict, type Written } from '../../../../renderer/state/case-review.ts';
import { changeReading, createPreferences } from '../../../../renderer/state/preferences.ts';
import { buildReviewBasis, buildReviewHost } from '../../../builders/review-host.ts';
import { deferred } from '../../../builders/stand-in-pool.ts';

const MOTION: Judgement = { verdict: 'motion', certainty: 'probable', note: '', correctedBounds: null };
const NO_LOSS: Judgement = { ...MOTION, verdict: 'no loss' };
const AT = 'finger@100000';

function start(reader: string | null = 'Ada') {
  const host = buildReviewHost([buildReviewBasis('a', [['finger', 100, 150], ['finger', 400, 450]]), buildReviewBasis('b', [['toe', 100, 150]])]);
  const preferences = createPreferences(null);
  preferences.change({ reader });
  const written: Written[] = [];
  const review = createCaseReview(host, preferences, (what) => written.push(what), () => 0);
  return { host, preferences, written, review };
}

function shown(store: ReturnType<typeof start>['review']): CaseReview {
  const state = store.get();
  if (state.kind !== 'ready') throw new Error(`the review is ${state.kind}`);
  return state.review;
}

describe('the review of the open case', () => {
  it('follows the case, and says nothing of a case that was closed meanwhile', async () => {
    const { review, host } = start();
    expect(review.get()).toEqual({ kind: 'none' });
    const slow = deferred<CaseReview>();
    const real = host.readReview;
    host.readReview = ({ caseKey, ...rest }) => (caseKey === 'a' ? slow.promise : real({ caseKey, ...rest }));
    review.follow('a');
    expect(review.get()).toEqual({ kind: 'loading', caseKey: 'a' });
    review.follow('b');
    await review.reload();
    slow.resolve(await real({ caseKey: 'a', by: 'Ada', blinded: true }));
    await slow.promise;
    expect(shown(review).caseKey).toBe('b');
    review.follow(null);
    expect(review.get()).toEqual({ kind: 'none' });
  });

  it('says “saved” only after the host has acknowledged, with the time that the host wrote', async () => {
    const { review, host, written } = start();
    review.follow('a');
    await review.reload();
    const gate = deferred<undefined>();
    const real = host.giveVerdict;
    host.giveVerdict = async (args) => {
      await gate.promise;
      return real(args);
    };
    const giving = review.give(AT, MOTION);
    await Promise.resolve();
    expect(review.saving.get().kind).toBe('saving');
    expect(ownVerdict(shown(review), AT, 'Ada')).toBeNull();
    gate.resolve(undefined);
    expect(await giving).toBe(true);
    expect(review.saving.get()).toMatchObject({ kind: 'saved', at: '2031-04-03T22:31:05.000Z', what: { act: 'verdict', dropoutId: AT, caseKey: 'a', reader: 'Ada' } });
    expect(ownVerdict(shown(review), AT, 'Ada')?.judgement).toEqual(MOTION);
    expect(written).toEqual([{ act: 'verdict', dropoutId: AT, caseKey: 'a', reader: 'Ada' }]);
  });

  it('keeps what was in force when saving fails, and says why', async () => {
    const { review, host, written } = start();
    review.follow('a');
    await review.give(AT, MOTION);
    host.failWith(new FailureError({ code: 'disk-full', message: 'The disk is full.', remedy: 'Make room and try again.' }));
    expect(await review.give(AT, NO_LOSS)).toBe(false);
    expect(review.saving.get()).toMatchObject({ kind: 'failed', problem: { message: 'The disk is full.', remedy: 'Make room and try again.' } });
    expect(ownVerdict(shown(review), AT, 'Ada')?.judgement.verdict).toBe('motion');
    expect(written).toHaveLength(1);
  });

  it('undoes by superseding: the verdict before is in force again, and all three entries stay', async () => {
    const { review, host } = start();
    review.follow('a');
    await review.give(AT, MOTION);
    await review.give(AT, NO_LOSS);
    expect(await review.takeBack(AT)).toBe(true);
    expect(ownVerdict(shown(review), AT, 'Ada')?.judgement.verdict).toBe('motion');
    expect(host.entries.map(({ entry }) => entry.kind)).toEqual(['verdict', 'verdict', 'taken back']);
  });

  it('keeps the verdict of one case out of another that was opened while it was written', async () => {
    const { review, host } = start();
    review.follow('a');
    await review.reload();
    const giving = review.give(AT, MOTION);
    review.follow('b');
    await giving;
    await review.reload();
    expect(shown(review).caseKey).toBe('b');
    expect(host.entries).toHaveLength(1);
  });

  it('asks nobody before it is known who reads, and shows all to whoever reads unblinded without a name', async () => {
    const { review, preferences, host } = start(null);
    await host.giveVerdict({ caseKey: 'a', dropoutId: AT, by: 'Ben', blinded: true, judgement: MOTION });
    review.follow('a');
    expect(review.get()).toEqual({ kind: 'no reader', caseKey: 'a' });
    expect(await review.give(AT, MOTION)).toBe(false);
    preferences.change({ reader: 'Ada' });
    await review.reload();
    expect([shown(review).hidden, shown(review).dropouts[0]?.verdicts]).toEqual([['Ben'], []]);
    preferences.change(changeReading(preferences.get(), { isBlinded: false }));
    await review.reload();
    expect(shown(review).dropouts[0]?.verdicts.map(({ by }) => by)).toEqual(['Ben']);
  });

  it('reveals, flags, calls read, and puts a verdict that lost its dropout to another', async () => {
    const { review, host } = start();
    await host.giveVerdict({ caseKey: 'a', dropoutId: AT, by: 'Ben', blinded: true, judgement: MOTION });
    review.follow('a');
    await review.give(AT, NO_LOSS);
    await review.flag(['worth discussing'], 'long');
    expect(shown(review).flags).toMatchObject([{ by: 'Ada', flags: ['worth discussing'], note: 'long' }]);
    await review.reveal();
    expect(shown(review)).toMatchObject({ isRevealed: true, hidden: [] });
    expect(shown(review).dropouts[0]?.outcome).toBe('disputed');
    host.replace(buildReviewBasis('a', [['finger', 400, 450]]));
    await review.reload();
    const lost = shown(review).without.find(({ by }) => by === 'Ada');
    expect(lost?.state).toBe('without a dropout');
    await review.place(lost?.entryId ?? '', 'finger@400000');
    expect(ownVerdict(shown(review), 'finger@400000', 'Ada')?.judgement.verdict).toBe('no loss');
    await review.markRead();
    expect(shown(review).readBy).toEqual(['Ada']);
  });
});
