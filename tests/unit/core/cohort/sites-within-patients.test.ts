/* Differences of the sleep data (Student 1908, as in R datasets) and Darwin's maize (1876), met on cases with two sensors. */
import { describe, expect, test } from 'vitest';
import { sitesWithinPatients } from '../../../../core/cohort/sites-within-patients.ts';
import { DEFAULT_COHORT_OPTIONS } from '../../../../core/model/cohort-options.ts';
import { cohortCase, cohortExposure } from '../../../builders/cohort-case.ts';
import type { BuiltSensor } from '../../../builders/cohort-case.ts';

const OPTIONS = { ...DEFAULT_COHORT_OPTIONS, draws: 500 };
const PARAMETERS = { keepBypass: false };
const pairOf = (cases: Parameters<typeof sitesWithinPatients>[0], outcome = 'share lost') => sitesWithinPatients(cases, OPTIONS, PARAMETERS).pairs.find((pair) => pair.outcome === outcome)!;
const two = (id: string, finger: BuiltSensor, ear: BuiltSensor, over = {}) => cohortCase(id, [finger, { site: 'ear lobe', ...ear }], over);

describe('difference of the shares lost', () => {
  // Sleep: 1.2 2.4 1.3 1.3 0 1 1.8 0.8 4.6 1.4; c-wilcoxon-sleep-pratt: V 54, p 0.00390625, middle 1.3 (0.9 to 2.7).
  const sleep = [1.2, 2.4, 1.3, 1.3, 0, 1, 1.8, 0.8, 4.6, 1.4].map((d, i) => two(`s${i}`, { monitored: [[0, 1000]], losses: [[100, 120 + 10 * d]] }, { monitored: [[0, 1000]], losses: [[500, 520]] }));

  test('middle, interval and p with zeros kept in the ranks; the other tests beside', () => {
    const pair = pairOf(sleep);
    expect([pair.units, pair.zeros, pair.firstKey, pair.secondKey]).toEqual([10, 1, 'finger', 'ear lobe']);
    expect([pair.difference, pair.differenceLower, pair.differenceUpper].map((v) => v!.toFixed(6))).toEqual(['0.013000', '0.009000', '0.027000']);
    expect([pair.p, pair.pMethod, pair.pWithoutZeros]).toEqual([0.00390625, 'exact', 0.00390625]);
    expect(pair.pSign).toBeCloseTo(0.00390625, 12);
    expect(pair.meanDifference).toBeCloseTo(0.0158, 10);
    expect(pair.pHolm).toBe(pair.p);
    expect(pair.ratio).toBeCloseTo((200 + 158) / 200, 10);
    expect(pair.ratioInterval).toMatchObject({ n: 10, reason: null });
  });

  test('cases of one patient are summed before they are compared', () => {
    const pair = pairOf(sleep.map((one, i) => ({ ...one, patientKey: `p${Math.floor(i / 2)}` })));
    expect([pair.units, pair.cases, pair.reason]).toEqual([5, 10, 'too few values']);
  });

  // Darwin's maize: 863 of 32768 patterns of signs; two-sided 0.05267333984375 (c-permutation-darwin).
  test('turning signs over gives Fisher’s count', () => {
    const maize = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48].map((d, i) => two(`m${i}`, { monitored: [[0, 1000]], losses: [[100, 200 + d]] }, { monitored: [[0, 1000]], losses: [[500, 600]] }));
    expect(pairOf(maize).pSignFlip).toBeCloseTo(0.05267333984375, 12);
  });
});

describe('only the common time counts', () => {
  test('losses are cut to it, and onsets outside do not count', () => {
    // Common 600 to 1400 s. The first loss reaches 100 s into it and began before.
    const one = two('a', { monitored: [[0, 1400]], losses: [[500, 700], [1000, 1050]] }, { monitored: [[600, 2000]], losses: [[1350, 1600]] });
    const pair = pairOf([one]);
    expect(pair.sharedMs).toBe(800_000);
    expect([pair.rows[0]!.first, pair.rows[0]!.second]).toEqual([150 / 800, 50 / 800]);
    expect(pairOf([one], 'dropouts per hour').rows[0]).toMatchObject({ first: 4.5, second: 4.5 });
  });

  test('units with less than 10 min are counted and not compared; sites worn one after the other are no pair', () => {
    const short = two('a', { monitored: [[0, 900]] }, { monitored: [[301, 2000]] });
    const long = two('b', { monitored: [[0, 900]] }, { monitored: [[300, 2000]] });
    expect(pairOf([short, long])).toMatchObject({ units: 1, unitsTooShort: 1, difference: 0, p: 1, reason: 'no difference' });
    expect(sitesWithinPatients([two('c', { monitored: [[0, 900]] }, { monitored: [[900, 2000]] })], OPTIONS, PARAMETERS).pairs).toEqual([]);
  });

  test('bypass is taken out unless the parameters keep it', () => {
    const one = two('a', { monitored: [[0, 2000]], losses: [[500, 600]] }, { monitored: [[0, 2000]] }, { exposures: [cohortExposure(400, { kind: 'bypass', label: 'bypass', endMs: 1_000_000, windowMs: null })] });
    expect(pairOf([one])).toMatchObject({ sharedMs: 1_400_000, firstMedian: 0 });
    expect(sitesWithinPatients([one], OPTIONS, { keepBypass: true }).pairs[0]).toMatchObject({ sharedMs: 2_000_000, firstMedian: 0.05 });
  });

  test('information that was bridged is no loss', () => {
    const one = two('a', { monitored: [[0, 1000]], losses: [[100, 200]] }, { monitored: [[0, 1000]] });
    const bridged = { ...one, sites: one.sites.map((site) => ({ ...site, any: { ...site.any, dropouts: site.any.dropouts.map((d) => ({ ...d, lostMs: { low: 80_000, mid: 80_000, high: 80_000 } })) } })) };
    expect(pairOf([bridged]).rows[0]!.first).toBe(0.08);
  });
});

test('three sites: pairs are adjusted together, and ranked within patients who wore all', () => {
  // Rounding first base (Hollander & Wolfe table 7.1), 22 runners, three ways: chi-square 11.142857, 2 df, p 0.0038050 (c-friedman-rounding-times).
  const times = [[5.4, 5.5, 5.55], [5.85, 5.7, 5.75], [5.2, 5.6, 5.5], [5.55, 5.5, 5.4], [5.9, 5.85, 5.7], [5.45, 5.55, 5.6], [5.4, 5.4, 5.35], [5.45, 5.5, 5.35], [5.25, 5.15, 5], [5.85, 5.8, 5.7], [5.25, 5.2, 5.1], [5.65, 5.55, 5.45], [5.6, 5.35, 5.45], [5.05, 5, 4.95], [5.5, 5.5, 5.4], [5.45, 5.55, 5.5], [5.55, 5.55, 5.35], [5.45, 5.5, 5.55], [5.5, 5.45, 5.25], [5.65, 5.6, 5.4], [5.7, 5.65, 5.55], [6.3, 6.3, 6.25]];
  const cases = times.map((row, i) => cohortCase(`r${String(i).padStart(2, '0')}`, row.map((t, site) => ({ site: (['finger', 'ear lobe', 'forehead'] as const)[site] ?? 'other', monitored: [[0, 1000]], losses: [[100, 100 + 100 * t]] }))));
  const { all, pairs } = sitesWithinPatients(cases, OPTIONS, PARAMETERS);
  const share = all.find(({ outcome }) => outcome === 'share lost')!;
  expect([share.units, share.siteKeys, share.chiSquare!.toFixed(6), share.df, share.p!.toFixed(7)]).toEqual([22, ['finger', 'ear lobe', 'forehead'], '11.142857', 2, '0.0038050']);
  const ofShare = pairs.filter(({ outcome }) => outcome === 'share lost');
  expect(ofShare).toHaveLength(3);
  for (const { p, pHolm } of ofShare) expect(pHolm!).toBeGreaterThanOrEqual(p!);
  expect(Math.min(...ofShare.map(({ pHolm }) => pHolm!))).toBeCloseTo(3 * Math.min(...ofShare.map(({ p }) => p!)), 12);
});
