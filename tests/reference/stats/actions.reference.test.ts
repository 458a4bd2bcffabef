/*
 * The figures of an action measured again, through the whole way from cases to the two times and their ratio, against golden cases worked out
 * with other software (`tests/reference/golden-stats`) and against scipy.
 */
import { describe, expect, test } from 'vitest';
import { type MeasureAgainOptions, measureAgain } from '../../../core/cohort/measure-again.ts';
import type { QualityCase } from '../../../core/model/quality-case.ts';
import type { QualityDefinition } from '../../../core/model/quality-chart.ts';
import { qualityCase, qualityDefinition } from '../../builders/quality-case.ts';
import { goldenCases } from './golden-cases.ts';

const OPTIONS: MeasureAgainOptions = { conf: 0.95, replicates: 10, seed: 1, openMonth: '2031-12', digestOf: (text) => text, marked: [] };
const BURDEN = goldenCases('a-burden.json');
const EXACT = goldenCases('a-exact-intervals.json');
const goldenOf = (list: typeof BURDEN, id: string) => {
  const found = list.find((one) => one.id === id);
  if (found === undefined) throw new Error(`no golden case ${id}`);
  return found;
};
const again = (changes: Partial<QualityDefinition>, cases: readonly QualityCase[]) => measureAgain({ measure: { chartId: 'c', definition: qualityDefinition(changes) }, change: { date: '2031-06-01' } }, cases, OPTIONS);

/** Cases of one day that each have so many losses in so many hours. */
const counted = (prefix: string, date: string, events: readonly number[], hours: readonly number[]): QualityCase[] =>
  events.map((count, i) => {
    const any = { midsMs: [], count, longestMidMs: count * 1000, lostMidMs: count * 1000, monitoredMs: (hours[i] ?? NaN) * 3_600_000 };
    return qualityCase(`${prefix}${i}`, date, [], { sites: [{ site: 'finger', any, doubtfulLost: any }] });
  });

describe('before and after a change', () => {
  const before = goldenOf(BURDEN, 'a-cluster-robust-rate-share-of-time');
  const after = goldenOf(BURDEN, 'a-cluster-robust-rate-small');
  const found = again({ measure: 'losses per hour' }, [...counted('a', '2031-05-31', before.data.events, before.data.exposure), ...counted('b', '2031-06-01', after.data.events, after.data.exposure)]);

  test('each side is the golden rate with its limits (statsmodels 0.13.5; Liang & Zeger 1986)', () => {
    for (const [side, golden] of [[found.before, before], [found.after, after]] as const) {
      expect(side.estimate).toBeCloseTo(golden.expect.rate, 8);
      expect(side.lower).toBeCloseTo(golden.expect.lower, 8);
      expect(side.upper).toBeCloseTo(golden.expect.upper, 8);
    }
    // Eight cases after the change: the figures are given, and do not count.
    expect(found.standing).toBe('too few cases');
  });

  test('after ÷ before has Welch’s degrees of freedom on the logarithm (scipy 1.17.1)', () => {
    /*
     * u, v = 0.4456246277585657**2, 0.46530255197370934**2          # seLogRate of the two golden cases
     * df = (u + v)**2 / (u**2 / 9 + v**2 / 7)                        # 15.553084537036247; Welch, Biometrika 1947;34:28
     * r = 1.3571428571428572 / 0.015931232091690544
     * h = scipy.stats.t.ppf(.975, df) * math.sqrt(u + v); r, r * math.exp(-h), r * math.exp(h)
     */
    const { estimate, lower, upper } = found.effect;
    expect([(estimate ?? NaN) / 85.18756423432683, (lower ?? NaN) / 21.668530745972838, (upper ?? NaN) / 334.9060065609792].map((ratio) => Math.abs(ratio - 1) < 1e-9)).toEqual([true, true, true]);
  });

  test('a share of time is the golden ratio of lost over monitored seconds', () => {
    // The same golden case with its own meaning: seconds lost in seconds monitored.
    const lost = counted('a', '2031-05-31', before.data.events, before.data.exposure.map((s: number) => s / 3600));
    const share = again({ measure: 'share of time lost' }, [...lost, ...lost.map((one) => ({ ...one, caseKey: `later ${one.caseKey}`, date: '2031-06-01', startedAtMs: Date.parse('2031-06-01T08:00:00Z') }))]);
    expect(share.standing).toBe('measured');
    for (const side of [share.before, share.after]) {
      expect(side.estimate).toBeCloseTo(before.expect.rate, 8);
      expect(side.lower).toBeCloseTo(before.expect.lower, 8);
      expect(side.upper).toBeCloseTo(before.expect.upper, 8);
    }
    expect(share.effect.estimate).toBeCloseTo(1, 12);
  });
});

describe('nothing counted after a change', () => {
  test('a share of cases has the exact limits of 0 of 20 (R 4.2.2, binom.test)', () => {
    const exact = goldenOf(EXACT, 'a-clopper-pearson-0-of-20');
    const cases = [...counted('a', '2031-05-31', Array(10).fill(61), Array(10).fill(1)), ...counted('b', '2031-06-01', Array(20).fill(0), Array(20).fill(1))];
    expect(again({}, cases)).toMatchObject({ standing: 'measured', before: { estimate: 1 }, after: { estimate: 0, lower: 0, method: 'exact' } });
    expect(again({}, cases).after.upper).toBeCloseTo(exact.expect.upper, 8);
  });

  test('losses per hour have the exact limits of no event in 40 h (R 4.2.2, poisson.test)', () => {
    const exact = goldenOf(EXACT, 'a-rate-zero-events');
    const cases = [...counted('a', '2031-05-31', [1, 2, 1, 1, 3, 1, 1, 1, 1, 1], Array(10).fill(2)), ...counted('b', '2031-06-01', Array(20).fill(0), Array(20).fill(2))];
    const found = again({ measure: 'losses per hour' }, cases);
    expect(found).toMatchObject({ standing: 'measured', after: { estimate: 0, method: 'exact' } });
    expect(found.after.upper).toBeCloseTo(exact.expect.upper, 8);
  });
});
