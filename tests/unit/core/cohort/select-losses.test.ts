/* Cohorts on confirmed dropouts: the worked example of docs/metrics/confirmed.md over two cases, by hand. */
import { describe, expect, test } from 'vitest';
import { chooseCases } from '../../../../core/cohort/choose-cases.ts';
import { cohortCaseOf } from '../../../../core/cohort/cohort-case-of.ts';
import { cohortFlow } from '../../../../core/cohort/flow.ts';
import { qualityCaseOf } from '../../../../core/cohort/quality-case-of.ts';
import { selectLosses } from '../../../../core/cohort/select-losses.ts';
import type { BurdenRow } from '../../../../core/model/cohort-burden.ts';
import type { CohortCase } from '../../../../core/model/cohort-case.ts';
import { cohortCaseSchema } from '../../../../core/model/cohort-case-schema.ts';
import { DEFAULT_COHORT_OPTIONS } from '../../../../core/model/cohort-options.ts';
import { cohortResultsSchema } from '../../../../core/model/cohort-results-schema.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import type { CaseReview } from '../../../../core/model/review.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { reviewed } from '../../../builders/case-review.ts';
import { cohortResultsOf } from '../../../builders/cohort-results.ts';
import { buildCaseRecord, buildChannel } from '../../../builders/stored-case.ts';

const FINGER = [[600, 650], [1200, 1290], [2000, 2030]] as const;
const EAR = [[1180, 1240], [2400, 2450]] as const;

/** The hour of the worked example. */
function invented(caseId: string, review: CaseReview | null): CohortCase {
  const channel = (site: 'finger' | 'ear lobe', losses: readonly (readonly [number, number])[]) =>
    buildChannel(Array.from({ length: 361 }, (_, i) => (losses.some(([from, to]) => i * 10 >= from && i * 10 <= to) ? NaN : 97)), { channelId: `spo2@${site}`, label: site, site, tMs: Float64Array.from({ length: 361 }, (_, i) => i * 10_000) });
  const record = buildCaseRecord({ caseId, channels: [channel('finger', FINGER), channel('ear lobe', EAR)], events: [], drugs: [] });
  return cohortCaseSchema.parse(cohortCaseOf(`key ${caseId}`, record, analyzeCase(record, DEFAULT_PARAMETERS, 'test'), review));
}

const READ = reviewed([
  { dropoutId: 'finger@600000', outcome: 'confirmed' },
  { dropoutId: 'finger@1200000', outcome: 'confirmed', correctedBounds: { lastGoodMs: 1_210_000, firstLostMs: 1_220_000, lastLostMs: 1_290_000, firstGoodMs: 1_300_000 } },
  { dropoutId: 'finger@2000000', outcome: 'refuted' },
  { dropoutId: 'ear lobe@1180000', siteKey: 'ear lobe', outcome: 'confirmed' },
]);
const UNREAD = reviewed([]);
const row = (rows: readonly BurdenRow[], place: string): BurdenRow => rows.find((one) => one.scope === 'all' && one.place === place)!;
const lostS = (one: BurdenRow): number[] => Object.values(one.primary.lostMs).map((ms) => ms / 1000);

describe('a cohort of a case that was read and one that was not', () => {
  const cases = [invented('A', READ), invented('B', UNREAD)];

  test('computed and confirmed side by side, with the most that is not refuted and the number of each outcome', () => {
    const results = cohortResultsSchema.parse(cohortResultsOf(cases, { dropouts: 'both' }));
    expect([results.selection, results.beside.map(({ selection }) => selection)]).toEqual(['computed', ['confirmed', 'not refuted']]);
    const [confirmed, notRefuted] = results.beside.map(({ burden }) => burden.rows);
    // Finger: A 50/60/70 + B 90/100/110 + C 30/40/50 = 170/200/230 s in each case.
    expect(lostS(row(results.burden.rows, 'finger'))).toEqual([340, 400, 460]);
    expect(lostS(row(confirmed!, 'finger'))).toEqual([120, 140, 160]);
    expect(lostS(row(notRefuted!, 'finger'))).toEqual([120 + 170, 140 + 200, 160 + 230]);
    // Both cases stay in the denominator: 140 of 7200 s.
    expect(row(confirmed!, 'finger').primary.share?.mid).toBeCloseTo(140 / 7200, 12);
    expect([row(confirmed!, 'finger').primary.cases, row(confirmed!, 'finger').primary.casesWithDropout]).toEqual([2, 1]);
    expect(lostS(row(results.burden.rows, 'case'))).toEqual([80, 100, 120]);
    expect(lostS(row(confirmed!, 'case'))).toEqual([20, 30, 40]);
    expect(lostS(row(notRefuted!, 'case'))).toEqual([20 + 40, 30 + 50, 40 + 60]);
    for (const rows of [results.burden.rows, confirmed!, notRefuted!]) expect(row(rows, 'finger').review).toEqual({ dropouts: 6, confirmed: 2, refuted: 1, cannotTell: 0, disputed: 0, notReviewed: 3, corrected: 1, tooShort: 0 });
    expect(results.review).toMatchObject({ dropouts: 10, confirmed: 3, refuted: 1, notReviewed: 6, cases: 2, casesReviewed: 1, casesRead: 0, casesWithDropout: 2, without: 0 });
  });

  test('everything on confirmed ones: lengths, sites within patients and definitions that leave dropouts whole', () => {
    const results = cohortResultsOf(cases, { dropouts: 'confirmed' });
    expect([results.selection, results.beside.map(({ selection }) => selection)]).toEqual(['confirmed', ['computed', 'not refuted']]);
    const finger = results.restoration.groups.find(({ kind, of }) => kind === 'site' && of === 'finger');
    expect(finger?.losses).toBe(2);
    const pair = results.sites.pairs.find(({ outcome }) => outcome === 'share lost')!;
    expect(pair.rows.map(({ first, second }) => [first * 3600, second * 3600])).toEqual([[140, 70], [0, 0]]);
    expect([...new Set(results.robustness.map(({ moved }) => moved))]).toEqual([null, 'minDurationS', 'lookBackFactor']);
    const share = (minDurationS: number) => results.robustness.find((point) => point.moved !== 'lookBackFactor' && point.definition.minDurationS === minDurationS)?.figures.find(({ result, of }) => result === 'share lost' && of === 'finger')?.estimate;
    // Of 60 and 80 s both last 60 s, none 120 s.
    expect([share(30), share(60), share(120)]).toEqual([140 / 7200, 140 / 7200, 0]);
  });

  test('the computed results are the same, whatever was said', () => {
    const { review: _review, ...before } = cohortResultsOf([invented('A', null), invented('B', null)]);
    const { review: _other, burden, ...after } = cohortResultsOf(cases);
    const bare = ({ rows, cases: own, warnings }: typeof burden) => ({ rows: rows.map((one) => ({ ...one, review: null })), cases: own.map((one) => ({ ...one, review: null })), warnings });
    expect({ ...after, burden: bare(burden) }).toEqual({ ...before, burden: bare(before.burden) });
  });
});

test('where nothing is reviewed nothing can be confirmed: the computed results are given, and said to be those', () => {
  const results = cohortResultsOf([invented('A', UNREAD), invented('B', null)], { dropouts: 'confirmed' });
  expect([results.selection, results.beside, results.review.notReviewed]).toEqual(['computed', [], 10]);
  expect(lostS(row(results.burden.rows, 'finger'))).toEqual([340, 400, 460]);
});

test('all refuted is reviewed: nothing is confirmed, and that is a result', () => {
  const none = reviewed(['finger@600000', 'finger@1200000', 'finger@2000000', 'ear lobe@1180000', 'ear lobe@2400000'].map((dropoutId) => ({ dropoutId, outcome: 'refuted' })));
  const results = cohortResultsOf([invented('A', none)], { dropouts: 'confirmed' });
  expect(results.selection).toBe('confirmed');
  expect(row(results.burden.rows, 'finger').primary).toMatchObject({ dropouts: 0, monitoredMs: 3_600_000, share: { low: 0, mid: 0, high: 0 } });
});

test('a case that one reader flagged is left out of every figure and counted in the flow', () => {
  const flagged = invented('A', reviewed([], { flags: [{ by: 'B', at: '2031-03-05T09:00:00.000Z', flags: ['worth discussing', 'exclude from figures'], note: '' }] }));
  const { steps } = cohortFlow(chooseCases([flagged, invented('B', null)], DEFAULT_COHORT_OPTIONS), []);
  expect(steps.at(-1)?.cases).toBe(1);
  expect(steps.find(({ step }) => step === 'usable')?.leftOut).toEqual([{ reason: 'flagged by a reader: exclude from figures', cases: [{ caseKey: 'key A', caseId: 'A' }] }]);
  expect(qualityCaseOf(flagged).notUsable).toBe('flagged by a reader: exclude from figures');
});

test('a case keeps its monitored time under every selection', () => {
  const one = invented('A', READ);
  for (const selection of ['confirmed', 'not refuted'] as const) {
    expect(selectLosses(one, selection).sites.map(({ any }) => [any.monitoredMs, any.monitoredSpans])).toEqual(one.sites.map(({ any }) => [any.monitoredMs, any.monitoredSpans]));
  }
});
