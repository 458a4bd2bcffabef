import { expect, test } from 'vitest';
import { printClock, reviewCountWords, verdictWords } from '../../../../../core/report/document/case-words.ts';
import type { Certainty, StandingVerdict, Verdict } from '../../../../../core/model/review.ts';
import { chartValueWords, intervalWords, lengthWords, probabilityWords, ratioFigureWords, shareRangeWords } from '../../../../../core/report/document/department-words.ts';
import { roundSteps, plotScale } from '../../../../../core/report/document/plot-frame.ts';

test('a clock shows the day where midnight has passed, and no clock at all in relative time', () => {
  // 2031-04-03 22:30 in Berlin, which is two hours ahead then (common knowledge of the zone: summer time from 30 March 2031).
  const origin = { epochMs: Date.UTC(2031, 3, 3, 20, 30), clock: 'absolute', originOffsetMs: 0, zone: 'Europe/Berlin', zoneStated: true } as const;
  const clock = printClock(origin, false);
  expect([clock.date, clock.at(0), clock.short(2 * 3_600_000), clock.zeroMs]).toEqual(['2031-04-03', '22:30:00', '00:30 (2031-04-04)', 81_000_000]);
  const relative = printClock(origin, true);
  expect([relative.date, relative.at(0), relative.at(3_725_000), relative.at(-5000)]).toEqual([null, '+0:00:00', '+1:02:05', '\u22120:00:05']);
  expect(relative.meaning).not.toMatch(/2031|Berlin/);
});

test('a record without a clock counts from its own start, also where that is not nought', () => {
  const clock = printClock({ epochMs: null, clock: 'elapsed', originOffsetMs: 60_000, zone: 'UTC', zoneStated: false }, false);
  expect([clock.date, clock.at(0)]).toEqual([null, '+0:01:00']);
});

test('what is not defined is said with its reason, never as nought', () => {
  expect(intervalWords({ lower: null, upper: null, reason: 'one unit only' }, String)).toBe('none: one unit only');
  expect(shareRangeWords(null)).toBe('–');
  expect(shareRangeWords({ low: 0.066, mid: 0.07, high: 0.073 })).toBe('7.0 % (6.6–7.3 %)');
  expect(lengthWords({ low: 20_000, mid: 40_000, high: 60_000 })).toBe('40 s (20 s – 1 min)');
  expect(probabilityWords(0.00002)).toBe('under 0.001');
  const figure = { method: 'exact conditional', ratio: null, lower: 0.784, upper: null, p: 0.06, isUnbounded: true, reason: null } as const;
  expect(ratioFigureWords(figure)).toBe('no loss in control time: more than 0.78');
  expect(ratioFigureWords({ ...figure, isUnbounded: false, lower: null, reason: 'no event' })).toBe('not defined: no event');
  expect(chartValueWords('median duration', 75)).toBe('1 min 15 s');
});

test('steps of an axis are round and stay within its ends', () => {
  expect(roundSteps(0, 100, 4)).toEqual([0, 25, 50, 75, 100]);
  expect(roundSteps(60, 100, 4)).toEqual([60, 70, 80, 90, 100]);
  expect(roundSteps(0, 0.0731, 6)).toEqual([0, 0.02, 0.04, 0.06]);
  expect(roundSteps(3, 3, 4)).toEqual([3]);
  expect(plotScale(5, 5, 0, 10).at(5)).toBe(5);
});

function said(verdict: Verdict, certainty: Certainty | null, role: StandingVerdict['role'] = 'reading', isCounted = true): StandingVerdict {
  const anchor = { siteKey: 'finger', dropoutId: 'finger@0', lastGoodMs: 0, firstLostMs: 0, lastLostMs: 0, firstGoodMs: 0, censoredAtMs: null, clock: { kind: 'elapsed', wallMs: 0, epochMs: null } } as const;
  return {
    entryId: '', by: 'A. Reader', at: '', role, isBlinded: true, judgement: { verdict, certainty, note: 'Mrs Example', correctedBounds: null }, anchor, settles: [], state: 'same', isCounted, dropoutId: 'finger@0', sawAnother: false,
    seen: { parametersDigest: '', parametersName: '', productVersion: '', inputDigests: [] },
  };
}

test('what readers said of a loss is told without their names and notes, by what it comes to', () => {
  const none = { verdict: null, correctedBounds: null } as const;
  expect(verdictWords(undefined)).toBe('not reviewed');
  expect(verdictWords({ outcome: 'not reviewed', ...none, verdicts: [] })).toBe('not reviewed');
  expect(verdictWords({ outcome: 'confirmed', ...none, verdict: 'motion', verdicts: [said('motion', 'certain'), said('motion', 'certain')] })).toBe('confirmed: motion, certain (2 readers)');
  expect(verdictWords({ outcome: 'confirmed', ...none, verdict: 'motion', verdicts: [said('motion', 'certain'), said('motion', 'possible')] })).toBe('confirmed: motion (2 readers)');
  // Two kinds of loss: that there was one is agreed on, which is not.
  expect(verdictWords({ outcome: 'confirmed', ...none, verdicts: [said('motion', 'certain'), said('low perfusion', 'certain')] })).toBe('confirmed: low perfusion / motion (2 readers)');
  expect(verdictWords({ outcome: 'disputed', ...none, verdicts: [said('motion', 'certain'), said('no loss', 'probable')] })).toBe('disputed: motion / no loss (2 readers)');
  expect(verdictWords({ outcome: 'refuted', ...none, verdict: 'no loss', verdicts: [said('no loss', 'probable'), said('motion', 'certain'), said('no loss', 'probable', 'consensus')] })).toBe('refuted: no loss (agreed on)');
  expect(verdictWords({ outcome: 'cannot tell', ...none, verdict: 'cannot tell', verdicts: [said('cannot tell', null), said('motion', 'certain', 'reading', false)] })).toBe('cannot tell (1 reader)');
});

test('how many losses came to what is told with those that nobody read', () => {
  expect(reviewCountWords({ dropouts: 9, confirmed: 4, refuted: 1, cannotTell: 1, disputed: 1, notReviewed: 2, corrected: 2, tooShort: 1 })).toBe('Of 9 computed losses 4 confirmed (2 with corrected bounds, 1 of these too short to count), 1 refuted, 1 cannot be told, 1 disputed between readers, 2 not reviewed');
  expect(reviewCountWords({ dropouts: 1, confirmed: 0, refuted: 0, cannotTell: 0, disputed: 0, notReviewed: 1, corrected: 0, tooShort: 0 })).toBe('Of 1 computed loss 0 confirmed, 1 not reviewed');
});
