/* Figures on dropouts that reviewers confirmed, against the worked example of docs/metrics/confirmed.md: worked by hand from the sample times alone. */
import { expect, test } from 'vitest';
import { confirmedFigures } from '../../../../core/metrics/confirmed-figures.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import type { ReviewedDropout } from '../../../../core/model/review.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { reviewed } from '../../../builders/case-review.ts';
import { buildCaseRecord, buildChannel } from '../../../builders/stored-case.ts';

/** An hour with a sample every ten seconds; each loss from its first to its last lost sample, seconds. */
function invented(losses: Readonly<Record<'finger' | 'ear lobe', readonly (readonly [number, number])[]>>, lastS = 3600) {
  const channel = (site: 'finger' | 'ear lobe') =>
    buildChannel(Array.from({ length: lastS / 10 + 1 }, (_, i) => (losses[site].some(([from, to]) => i * 10 >= from && i * 10 <= to) ? NaN : 97)), { channelId: `spo2@${site}`, label: site, site, tMs: Float64Array.from({ length: lastS / 10 + 1 }, (_, i) => i * 10_000) });
  const record = buildCaseRecord({ caseId: 'K1', channels: [channel('finger'), channel('ear lobe')], events: [], drugs: [] });
  return { record, analysis: analyzeCase(record, DEFAULT_PARAMETERS, 'test') };
}

const FINGER_A = 'finger@600000';
const FINGER_B = 'finger@1200000';
const FINGER_C = 'finger@2000000';
const EAR_D = 'ear lobe@1180000';
const EXAMPLE = { 'finger': [[600, 650], [1200, 1290], [2000, 2030]], 'ear lobe': [[1180, 1240], [2400, 2450]] } as const;
const B_LATER = { lastGoodMs: 1_210_000, firstLostMs: 1_220_000, lastLostMs: 1_290_000, firstGoodMs: 1_300_000 };
const READ: readonly Partial<ReviewedDropout>[] = [
  { dropoutId: FINGER_A, outcome: 'confirmed' },
  { dropoutId: FINGER_B, outcome: 'confirmed', correctedBounds: B_LATER },
  { dropoutId: FINGER_C, outcome: 'refuted' },
  { dropoutId: EAR_D, siteKey: 'ear lobe', outcome: 'confirmed' },
];
const s = (low: number, mid: number, high: number) => ({ low: low * 1000, mid: mid * 1000, high: high * 1000 });

test('the worked example: two sensors, one bound corrected, one dropout refuted, one not read', () => {
  const { record, analysis } = invented(EXAMPLE);
  // As computed: A 50/60/70, B 90/100/110, C 30/40/50 s; D 60/70/80, E 50/60/70 s; B and D together 40/50/60 s.
  expect(analysis.sites.map(({ totals }) => totals.lostMs)).toEqual([s(170, 200, 230), s(110, 130, 150)]);
  expect(analysis.blindTotals.lostMs).toEqual(s(40, 50, 60));

  const { counts, all, without, isExcluded, confirmed, notRefuted } = confirmedFigures(record, analysis, reviewed(READ));
  expect(counts).toEqual([
    { siteKey: 'finger', dropouts: 3, confirmed: 2, refuted: 1, cannotTell: 0, disputed: 0, notReviewed: 0, corrected: 1, tooShort: 0 },
    { siteKey: 'ear lobe', dropouts: 2, confirmed: 1, refuted: 0, cannotTell: 0, disputed: 0, notReviewed: 1, corrected: 0, tooShort: 0 },
  ]);
  expect([all.dropouts, all.confirmed, all.notReviewed, without, isExcluded]).toEqual([5, 3, 1, 0, false]);
  // A 50/60/70 + B as corrected 70/80/90; the denominator is the monitored hour.
  expect(confirmed.sites[0]?.totals).toEqual({ count: 2, lostMs: s(120, 140, 160), longestMidMs: 80_000, shareMid: 140 / 3600 });
  expect(confirmed.sites[1]?.totals).toEqual({ count: 1, lostMs: s(60, 70, 80), longestMidMs: 70_000, shareMid: 70 / 3600 });
  // Not refuted: the finger's are the same, E may be one at the ear.
  expect(notRefuted.sites.map(({ totals }) => totals.lostMs)).toEqual([s(120, 140, 160), s(110, 130, 150)]);
  // Both silent for certain 1220 to 1240 s, possibly 1210 to 1250 s.
  expect(confirmed.blindTotals).toEqual({ count: 1, lostMs: s(20, 30, 40), longestMidMs: 30_000, shareMid: 30 / 3600 });
  expect(notRefuted.blindTotals.lostMs).toEqual(s(20, 30, 40));
});

test('a blind interval falls with any one of the losses that it is made of', () => {
  const { record, analysis } = invented(EXAMPLE);
  const { confirmed, notRefuted } = confirmedFigures(record, analysis, reviewed([{ dropoutId: FINGER_B, outcome: 'confirmed' }, { dropoutId: EAR_D, outcome: 'refuted' }]));
  expect([confirmed.blindTotals.count, notRefuted.blindTotals.count]).toEqual([0, 0]);
  const unread = confirmedFigures(record, analysis, reviewed([{ dropoutId: FINGER_B, outcome: 'confirmed' }]));
  expect([unread.confirmed.blindTotals.count, unread.notRefuted.blindTotals.count]).toEqual([0, 1]);
});

test('bounds that reach into another dropout that counts: the time that both share is counted once', () => {
  const { record, analysis } = invented(EXAMPLE);
  const over = { lastGoodMs: 590_000, firstLostMs: 600_000, lastLostMs: 1_240_000, firstGoodMs: 1_250_000 };
  const { confirmed } = confirmedFigures(record, analysis, reviewed([{ dropoutId: FINGER_A, outcome: 'confirmed', correctedBounds: over }, { dropoutId: FINGER_B, outcome: 'confirmed' }]));
  // A 640/650/660 s from 590 or 600 to 1240 or 1250 s; of B is left what comes after 1250 s: to 1290 or 1300 s.
  expect(confirmed.sites[0]?.dropouts.map(({ lostMs }) => lostMs)).toEqual([s(640, 650, 660), s(40, 45, 50)]);
  expect(confirmed.sites[0]?.totals.count).toBe(2);
});

test('a loss that never ended: refuted, the sensor was not worn and the other alone decides who is blind; not known, it is not counted as blind', () => {
  const { record, analysis } = invented({ 'finger': [[1000, 3600]], 'ear lobe': [[2000, 2100]] });
  expect(analysis.blindTotals.lostMs).toEqual(s(100, 110, 120));
  const EAR = { dropoutId: 'ear lobe@2000000', outcome: 'confirmed' } as const;
  const blindWith = (outcome: ReviewedDropout['outcome']) => {
    const { confirmed, notRefuted } = confirmedFigures(record, analysis, reviewed([{ dropoutId: 'finger@1000000', outcome }, EAR]));
    return [confirmed.blindTotals.lostMs.mid, notRefuted.blindTotals.lostMs.mid].map((ms) => ms / 1000);
  };
  expect(blindWith('confirmed')).toEqual([110, 110]);
  expect(blindWith('refuted')).toEqual([110, 110]);
  expect(blindWith('cannot tell')).toEqual([0, 110]);
  // A reader who saw information come back at 1100 s: from then on the finger informs.
  const { confirmed } = confirmedFigures(record, analysis, reviewed([{ dropoutId: 'finger@1000000', outcome: 'confirmed', correctedBounds: { lastGoodMs: 990_000, firstLostMs: 1_000_000, lastLostMs: 1_090_000, firstGoodMs: 1_100_000 } }, EAR]));
  expect([confirmed.sites[0]?.totals.lostMs, confirmed.blindTotals.count]).toEqual([s(90, 100, 110), 0]);
  // The denominator stays that of the computed result.
  expect(confirmed.sites[0]?.totals.shareMid).toBe(100_000 / (analysis.sites[0]?.monitoredMs ?? NaN));
});

test('verdicts without a dropout and a flag of one reader are told', () => {
  const { record, analysis } = invented(EXAMPLE);
  const flagged = reviewed([], { flags: [{ by: 'B', at: '2031-03-05T09:00:00.000Z', flags: ['exclude from figures'], note: '' }] });
  expect(confirmedFigures(record, analysis, flagged).isExcluded).toBe(true);
});

test('a dropout that is too short once corrected counts in no figure, and is told', () => {
  const { record, analysis } = invented(EXAMPLE);
  const brief = { lastGoodMs: 630_000, firstLostMs: 640_000, lastLostMs: 650_000, firstGoodMs: 660_000 };
  const { counts, confirmed, notRefuted } = confirmedFigures(record, analysis, reviewed([{ dropoutId: FINGER_A, outcome: 'confirmed', correctedBounds: brief }]));
  expect(counts[0]).toMatchObject({ confirmed: 1, corrected: 1, tooShort: 1 });
  expect([confirmed.sites[0]?.totals.count, notRefuted.sites[0]?.totals.count]).toEqual([0, 2]);
});
