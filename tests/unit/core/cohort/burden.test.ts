/*
 * The goldens are those of tests/reference/golden-stats/a-burden.json, worked by hand or with statsmodels and scipy; here they are
 * met again on cases with sensors, so that the way from a case to a figure is held to them too.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { burden } from '../../../../core/cohort/burden.ts';
import { ALL_SENSORS, WHOLE_CASE } from '../../../../core/model/cohort-burden.ts';
import { DEFAULT_COHORT_OPTIONS } from '../../../../core/model/cohort-options.ts';
import { ratioOf } from '../../../../core/stats/case-draws.ts';
import { clusterBootstrap } from '../../../../core/stats/cluster-bootstrap.ts';
import { cohortCase } from '../../../builders/cohort-case.ts';

interface Golden<D, E> {
  readonly id: string;
  readonly data: D;
  readonly expect: E;
}
const GOLDENS = JSON.parse(readFileSync(join(import.meta.dirname, '..', '..', '..', 'reference', 'golden-stats', 'a-burden.json'), 'utf8')) as Golden<unknown, unknown>[];
function golden<D, E>(id: string): Golden<D, E> {
  return GOLDENS.find((one) => one.id === id) as Golden<D, E>; // each test says the shape that its golden has
}
const OPTIONS = { ...DEFAULT_COHORT_OPTIONS, draws: 200 };
/** Losses of the given lengths, one after the other with a second between, in seconds. */
function inTurn(lengths: readonly number[]): [number, number][] {
  let at = 1;
  return lengths.map((length) => {
    const loss: [number, number] = [at, at + length];
    at += length + 1;
    return loss;
  });
}

describe('figures over all cases', () => {
  test('counts, share, quartiles and rate of a-cohort-summary', () => {
    const { data, expect: wanted } = golden<{ cases: { caseId: string; monitored: number; durations: number[] }[] }, Record<string, number>>('a-cohort-summary');
    const cases = data.cases.map((one) => cohortCase(one.caseId, [{ monitored: [[0, one.monitored]], losses: inTurn(one.durations) }]));
    const { primary, drawn } = burden(cases, OPTIONS).rows.find(({ scope, place }) => scope === 'all' && place === 'finger')!;
    expect([primary.cases, primary.casesWithDropout, primary.dropouts, primary.lostMs.mid / 1000, primary.monitoredMs / 1000]).toEqual([wanted['cases'], wanted['casesWithDropout'], wanted['episodes'], wanted['totalLost'], wanted['monitored']]);
    expect([primary.medianMs!.mid, primary.lowerQuartileMs!.mid, primary.upperQuartileMs!.mid, primary.longestMs!.mid].map((ms) => ms / 1000)).toEqual([wanted['median'], wanted['q1'], wanted['q3'], wanted['longest']]);
    expect(primary.share!.mid).toBeCloseTo(wanted['share']!, 9);
    expect(primary.perHour).toBeCloseTo(wanted['ratePerHour']!, 9);
    expect(primary.medianShareOfCases).toBeCloseTo(wanted['medianShareOfCases']!, 9);
    // Four units: an interval of units drawn anew would be too narrow.
    expect(drawn).toBeNull();
  });

  test('the interval of a rate and of a share is the one that lets cases differ', () => {
    const rate = golden<{ events: number[]; exposure: number[] }, { rate: number; lower: number; upper: number; pearsonDispersion: number }>('a-cluster-robust-rate-small');
    const counted = rate.data.events.map((events, i) => cohortCase(`c${i}`, [{ monitored: [[0, (rate.data.exposure[i] ?? 0) * 3600]], losses: inTurn(Array.from({ length: events }, () => 30)) }]));
    const ofRate = burden(counted, OPTIONS).rows.find(({ place }) => place === 'finger')!.primary;
    expect(ofRate.perHour).toBeCloseTo(rate.expect.rate, 8);
    expect(ofRate.perHourInterval.lower).toBeCloseTo(rate.expect.lower, 8);
    expect(ofRate.perHourInterval.upper).toBeCloseTo(rate.expect.upper, 7);
    expect([ofRate.perHourInterval.method, ofRate.perHourInterval.n]).toEqual(['cluster-robust t', 8]);
    expect(ofRate.dispersion).toBeCloseTo(rate.expect.pearsonDispersion, 7);
    const share = golden<{ events: number[]; exposure: number[] }, { rate: number; lower: number; upper: number }>('a-cluster-robust-rate-share-of-time');
    const lost = share.data.events.map((seconds, i) => cohortCase(`c${i}`, [{ monitored: [[0, share.data.exposure[i] ?? 0]], losses: seconds === 0 ? [] : [[1, 1 + seconds]] }]));
    const ofShare = burden(lost, OPTIONS).rows.find(({ place }) => place === 'finger')!.primary;
    expect(ofShare.share!.mid).toBeCloseTo(share.expect.rate, 10);
    expect([ofShare.shareInterval.lower, ofShare.shareInterval.upper].map((v) => v!.toFixed(9))).toEqual([share.expect.lower, share.expect.upper].map((v) => v.toFixed(9)));
  });

  test('BCa from 20 units on: twice the ten cases of the golden, with the seed of the options', () => {
    const { data } = golden<{ numerator: number[]; denominator: number[] }, object>('a-bootstrap-share-10-cases');
    const cases = ['a', 'b'].flatMap((half) => data.numerator.map((seconds, i) => cohortCase(`${half}${i}`, [{ monitored: [[0, data.denominator[i] ?? 0]], losses: seconds === 0 ? [] : [[1, 1 + seconds]] }])));
    const row = burden(cases, OPTIONS).rows.find(({ place }) => place === 'finger')!;
    expect([row.drawn!.share.method, row.drawn!.share.n]).toEqual(['BCa bootstrap over units', 20]);
    // The bootstrap itself is held to that golden in tests/reference/stats/random-stream.reference.test.ts.
    const [wanted] = clusterBootstrap([[...data.numerator, ...data.numerator], [...data.denominator, ...data.denominator]], [ratioOf(0, 1)], { replicates: OPTIONS.draws, seed: OPTIONS.seed, conf: OPTIONS.conf });
    expect(row.drawn!.share.lower).toBeCloseTo(wanted!.bca![0]!, 12);
    expect(row.drawn!.share.upper).toBeCloseTo(wanted!.bca![1]!, 12);
    const again = burden(cases, { ...OPTIONS, seed: 7 }).rows.find(({ place }) => place === 'finger')!;
    expect(again.drawn!.share).not.toEqual(row.drawn!.share);
    expect(again.primary).toEqual(row.primary);
  });

  test('no dropout: no length, a rate of 0 with an exact upper limit, and no interval of the share, with the reason', () => {
    const { primary } = burden([cohortCase('a', [{}]), cohortCase('b', [{}])], OPTIONS).rows.find(({ place }) => place === 'finger')!;
    const { expect: wanted } = golden<object, { ratePerHourUpper: number }>('a-cohort-no-dropout');
    expect([primary.medianMs, primary.longestMs, primary.shareInterval.lower, primary.shareInterval.reason]).toEqual([null, null, null, 'no dropout']);
    expect([primary.perHour, primary.perHourInterval.lower, primary.perHourInterval.method]).toEqual([0, 0, 'exact Poisson']);
    expect(primary.perHourInterval.upper).toBeCloseTo(wanted.ratePerHourUpper, 9);
  });
});

test('cases of one patient are one unit of an interval', () => {
  const cases = ['a', 'b', 'c'].map((id) => cohortCase(id, [{ losses: [[10, 60]] }], { patientKey: id === 'c' ? 'other' : 'same' }));
  expect(burden(cases, OPTIONS).rows[0]!.primary).toMatchObject({ cases: 3, units: 2 });
});

test('cases of one patient are no independent trials for the share of cases with a dropout', () => {
  const one = (id: string, patientKey: string, isLost: boolean) => cohortCase(id, [{ losses: isLost ? [[10, 60]] : [] }], { patientKey });
  const { withDropout, withDropoutInterval } = burden([one('a', 'p', true), one('b', 'p', true), one('c', 'q', false), one('d', 'r', true), one('e', 's', false), one('f', 's', false)], OPTIONS).rows[0]!.primary;
  expect(withDropout).toBe(0.5);
  expect(withDropoutInterval).toMatchObject({ method: 'cluster-robust t (logit)', n: 4, reason: null });
  // numpy and scipy 1.17.1: sandwich of the four patients (2/2, 0/1, 1/1, 0/2), t with 3 degrees of freedom, logit scale.
  expect(withDropoutInterval.lower).toBeCloseTo(0.020361250177, 9);
  expect(withDropoutInterval.upper).toBeCloseTo(1 - 0.020361250177, 9);
});

test('groups and months keep what is not stated as a value of its own; a case with two positions counts under both', () => {
  const vascular = cohortCase('a', [{ losses: [[10, 60]] }], { attributes: { service: 'Vascular' }, date: '2031-01-31' });
  const silent = cohortCase('b', [{}], { date: null });
  const { rows } = burden([vascular, silent], { ...OPTIONS, groupBy: { kind: 'service' } });
  expect(rows.filter(({ place }) => place === 'finger').map(({ scope, value, primary }) => [scope, value, primary.cases])).toEqual([['all', null, 2], ['group', 'Vascular', 1], ['group', '', 1], ['month', '2031-01', 1], ['month', '', 1]]);
});

test('per case each sensor and the blind time; doubtful samples as lost beside', () => {
  const blind = { count: 1, lostMs: { low: 20_000, mid: 30_000, high: 40_000 }, longestMidMs: 30_000, lengthsMs: [{ low: 20_000, mid: 30_000, high: 40_000 }], monitoredMs: 3_600_000 };
  const one = cohortCase('a', [{ losses: [[10, 60]], doubtful: [[10, 60], [100, 200]] }, { site: 'ear lobe' }], { blind });
  const { cases } = burden([one], OPTIONS);
  expect(cases.map(({ place, dropouts, longestMidMs, dropoutsDoubtfulLost, lostMidDoubtfulLostMs }) => [place, dropouts, longestMidMs, dropoutsDoubtfulLost, lostMidDoubtfulLostMs])).toEqual([
    ['finger', 1, 50_000, 2, 150_000],
    ['ear lobe', 0, null, 0, 0],
    [WHOLE_CASE, 1, 30_000, 0, 0],
  ]);
});

test('different recording intervals are said wherever counts stand side by side', () => {
  const coarse = cohortCase('a', [{ intervalS: 60 }], { attributes: { room: '1' } });
  const fine = cohortCase('b', [{ intervalS: 1 }, { site: 'ear lobe', intervalS: 1 }], { attributes: { room: '2' } });
  const { warnings, rows } = burden([coarse, fine], { ...OPTIONS, groupBy: { kind: 'column', column: 'room' } });
  expect(warnings).toHaveLength(3);
  expect(warnings[0]).toContain('between sites');
  expect(warnings[1]).toContain('finger');
  expect(warnings[2]).toContain('groups of room');
  expect(rows.find(({ scope, place }) => scope === 'all' && place === 'finger')!.intervals).toEqual([{ intervalMs: 1000, cases: 1 }, { intervalMs: 60_000, cases: 1 }]);
  expect(rows.map(({ place }) => place)).toContain(ALL_SENSORS);
  expect(burden([fine], OPTIONS).warnings).toEqual([]);
});
