import { describe, expect, it } from 'vitest';
import type { ReviewState, StandingVerdict } from '../../../../../core/model/review.ts';
import { createCaseClock } from '../../../../../renderer/format/time-text.ts';
import { changeText, judgementText, outcomeText, reviewStateDetail, reviewStateText, shortChangeText, standingText } from '../../../../../renderer/panels/review/review-words.ts';
import { checkText, entryText } from '../../../../../renderer/panels/review/trail-words.ts';
import { handBoundsOf } from '../../../../../renderer/panels/review/hand-bounds-of.ts';
import { neighbourSampleMs } from '../../../../../renderer/panels/review/bounds-fields.tsx';
import { buildReviewBasis, buildReviewHost } from '../../../../builders/review-host.ts';
import { buildCaseAnalysis, buildDropout } from '../../../../builders/stored-case.ts';

const clock = createCaseClock({ clock: 'elapsed', epochMs: null, originOffsetMs: 0, zone: 'UTC', zoneStated: false });
const STATE: ReviewState = { caseKey: 'a', dropouts: 20, confirmed: 9, refuted: 1, cannotTell: 1, disputed: 1, notReviewed: 8, without: 0, flags: [], readers: 2 };
const AT = 'finger@100000';

async function standing(): Promise<StandingVerdict> {
  const host = buildReviewHost([buildReviewBasis('a', [['finger', 100, 150]])]);
  const review = await host.giveVerdict({ caseKey: 'a', dropoutId: AT, by: 'Ada', blinded: true, judgement: { verdict: 'motion', certainty: 'probable', note: 'arm', correctedBounds: { lastGoodMs: 90_000, firstLostMs: 95_000, lastLostMs: 150_000, firstGoodMs: 151_000 } } });
  return review.dropouts[0]!.verdicts[0]!;
}

describe('words of the review', () => {
  it('say how far a case is read', () => {
    expect(reviewStateText(STATE)).toBe('12 of 20 read, 1 disputed');
    expect(reviewStateText({ ...STATE, notReviewed: 20, disputed: 0, without: 2 })).toBe('not read, 2 verdicts without a dropout');
    expect(reviewStateText({ ...STATE, dropouts: 0, notReviewed: 0, disputed: 0 })).toBe('no dropout');
    expect(reviewStateDetail({ ...STATE, flags: ['worth discussing'] })).toBe('9 confirmed, 1 called no loss, 1 cannot tell, 1 disputed, 8 not read; 2 readers. Flags: worth discussing.');
  });

  it('say what a verdict is and what became of its dropout', async () => {
    const verdict = await standing();
    expect([judgementText(verdict.judgement), standingText(verdict)]).toEqual(['motion, probable', 'Ada, blinded: motion, probable']);
    expect(judgementText({ verdict: 'cannot tell', certainty: null, note: '', correctedBounds: null })).toBe('cannot tell');
    expect([changeText('same', verdict.anchor, clock), shortChangeText('same')]).toEqual([null, null]);
    for (const state of ['moved', 'split', 'joined', 'without a dropout'] as const) {
      expect(changeText(state, verdict.anchor, clock)).toContain('+0:01:40 to +0:02:30'); // 100 s to 150 s
      expect(shortChangeText(state)).not.toBeNull();
    }
  });

  it('name an outcome without claiming more than was said', () => {
    const of = (over: object) => outcomeText({ dropoutId: AT, siteKey: 'finger', outcome: 'confirmed', verdict: 'motion', correctedBounds: null, verdicts: [], ...over });
    expect([of({}), of({ verdict: null }), of({ outcome: 'refuted', verdict: 'no loss' }), of({ outcome: 'disputed', verdict: null }), of({ outcome: 'not reviewed', verdict: null }), of({ outcome: 'cannot tell', verdict: 'cannot tell' })])
      .toEqual(['motion', 'loss, kinds differ', 'no loss', 'disputed', 'not read', 'cannot tell']);
  });
});

describe('words of the trail', () => {
  it('tell every kind of entry, and the notes themselves of none', async () => {
    const host = buildReviewHost([buildReviewBasis('a', [['finger', 100, 150]])]);
    const args = { caseKey: 'a', by: 'Ada', blinded: true };
    await host.giveVerdict({ ...args, dropoutId: AT, judgement: { verdict: 'motion', certainty: 'certain', note: 'secret', correctedBounds: null } });
    await host.takeVerdictBack({ ...args, dropoutId: AT });
    await host.flagCase({ ...args, flags: ['clock doubtful'], note: 'secret' });
    await host.revealCase(args);
    await host.markCaseRead(args);
    const texts = host.entries.map(({ entry }) => entryText(entry));
    expect(texts).toEqual([
      'blinded verdict on finger, 1 min 40 s into the record: motion, certain; with a note', `verdict ${host.entries[0]?.entry.entryId.slice(0, 12)} taken back`, 'flags: clock doubtful; with a note', 'was shown what others said', 'called the case read, 1 dropout left open',
    ]);
  });
  it('tell the result of a check', () => {
    const sound = { entries: 1200, head: 'ab', problems: [] };
    expect(checkText(sound, null)).toBe('All 1,200 entries follow one another: none was altered, removed or put in another order. One that was written anew as a whole would fit too: only a head noted earlier can show that.');
    expect(checkText(sound, 'ab')).toContain('The head that you noted is in it');
    expect(checkText({ ...sound, problems: [{ place: 3, kind: 'altered', message: 'x' }] }, null)).toBe('1 problem was found in 1,200 entries.');
  });
});

describe('bounds by hand', () => {
  it('are drawn of every verdict that counts; the draft stands in place of its reader’s own', async () => {
    const verdict = await standing();
    const dropout = buildDropout({ dropoutId: AT, siteKey: 'finger', firstGoodMs: 151_000 });
    const base = buildCaseAnalysis();
    const analysis = { ...base, sites: base.sites.slice(0, 1).map((site) => ({ ...site, siteKey: 'finger', dropouts: [dropout] })) };
    const review = { caseKey: 'a', caseId: 'A', dropouts: [{ dropoutId: AT, siteKey: 'finger', outcome: 'confirmed' as const, verdict: 'motion' as const, correctedBounds: null, verdicts: [verdict] }], without: [], earlier: [], flags: [], readers: [], hidden: [], isRevealed: true, readBy: [] };
    expect(handBoundsOf(review, analysis, null)).toMatchObject([{ by: 'Ada', isDraft: false, endMs: 151_000, bounds: { firstLostMs: 95_000 } }]);
    const draft = { ...verdict.judgement, correctedBounds: { ...verdict.judgement.correctedBounds!, firstLostMs: 96_000 } };
    expect(handBoundsOf(review, analysis, { dropoutId: AT, reader: 'Ada', draft })).toMatchObject([{ isDraft: true, bounds: { firstLostMs: 96_000 } }]);
    expect(handBoundsOf(review, analysis, { dropoutId: AT, reader: 'Ben', draft })).toHaveLength(2);
    expect(handBoundsOf(review, analysis, { dropoutId: AT, reader: 'Ada', draft: { ...draft, correctedBounds: null } })).toEqual([]);
  });
  it('step from sample to sample', () => {
    const samples = Float64Array.of(0, 10, 20);
    expect([neighbourSampleMs(samples, 10, 1), neighbourSampleMs(samples, 10, -1), neighbourSampleMs(samples, 15, 1), neighbourSampleMs(samples, 15, -1), neighbourSampleMs(samples, 20, 1), neighbourSampleMs(samples, 0, -1)]).toEqual([20, 0, 20, 10, 20, 0]);
  });
});
