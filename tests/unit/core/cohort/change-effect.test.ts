import { describe, expect, test } from 'vitest';
import { changeEffects } from '../../../../core/cohort/change-effect.ts';
import type { Contribution } from '../../../../core/cohort/quality-series.ts';
import type { ChartChange } from '../../../../core/model/quality-chart.ts';
import { clusterRobustRatio } from '../../../../core/stats/cluster-ratio.ts';
import { seededRandom, type Random } from '../../../simulator/random.ts';

const OPTIONS = { conf: 0.95, replicates: 200, seed: 1 };
const change = (changeId: string, date: string): ChartChange => ({ changeId, date, text: changeId, madeAt: '' });
const one = (i: number, date: string, over: Partial<Contribution> = {}): Contribution => ({
  caseKey: String(i), caseId: String(i), cluster: String(i), startedAtMs: Date.parse(date) + i, date, hasLongLoss: false, losses: 0, lostMs: 0, monitoredMs: 3_600_000, durationsS: [], ...over,
});

describe('before and after', () => {
  test('each change is seen between its neighbours; the day itself belongs to after', () => {
    const taken = ['2026-01-01', '2026-02-01', '2026-02-28', '2026-03-01', '2026-04-01'].map((date, i) => one(i, date, { losses: i + 1 }));
    const effects = changeEffects(taken, 'losses per hour', [change('a', '2026-02-01'), change('b', '2026-03-01')], OPTIONS);
    expect(effects.map(({ before, after }) => [before.cases, before.first, after.cases, after.last])).toEqual([[1, '2026-01-01', 2, '2026-02-28'], [2, '2026-02-01', 2, '2026-04-01']]);
    // (4 + 5)/2 h after, (2 + 3)/2 h before.
    expect(effects[1]?.effect.estimate).toBeCloseTo(9 / 5, 12);
    expect(effects[1]?.after).toMatchObject({ estimate: 4.5, lower: clusterRobustRatio([4, 5], [1, 1], 0.95).lower });
  });

  test('what cannot be said is null, with the reason of the side that lacks it', () => {
    const effect = (taken: readonly Contribution[]) => changeEffects(taken, 'losses per hour', [change('a', '2026-02-01')], OPTIONS)[0]?.effect;
    expect(effect([])).toEqual({ kind: 'ratio', estimate: null, lower: null, upper: null, reason: 'no denominator' });
    expect(effect([one(1, '2026-01-01'), one(2, '2026-01-02'), one(3, '2026-03-01', { losses: 2 }), one(4, '2026-03-02', { losses: 1 })])).toMatchObject({ estimate: null, reason: 'nothing counted' });
    expect(effect([one(1, '2026-01-01', { losses: 1 }), one(2, '2026-01-02', { losses: 2 }), one(3, '2026-03-01', { losses: 2 })])).toMatchObject({ estimate: 4 / 3, lower: null, reason: 'one cluster' });
    expect(effect([one(1, '2026-01-01', { losses: 1 }), one(2, '2026-01-02', { losses: 1 }), one(3, '2026-03-01', { losses: 2 }), one(4, '2026-03-02', { losses: 2 })])).toMatchObject({ estimate: 2, lower: null, reason: 'no spread between units' });
  });

  test('limits of a share end at 1, those of a rate do not: one case of seven with a long loss was given up to 165 %', () => {
    const taken = Array.from({ length: 7 }, (_, i) => one(i, '2026-01-01', { hasLongLoss: i === 0, losses: i === 0 ? 3 : 0, lostMs: i === 0 ? 3_500_000 : 0 }));
    const before = (measure: 'cases with a long loss' | 'losses per hour' | 'share of time lost') => changeEffects(taken, measure, [change('a', '2026-02-01')], OPTIONS)[0]?.before;
    expect(clusterRobustRatio([1, 0, 0, 0, 0, 0, 0], [1, 1, 1, 1, 1, 1, 1], 0.95).upper).toBeCloseTo(1.65, 2);
    expect(before('cases with a long loss')).toMatchObject({ estimate: 1 / 7, upper: 1 });
    expect(before('share of time lost')?.upper).toBe(1);
    expect(before('losses per hour')?.upper).toBeGreaterThan(1);
  });

  test('two cases of one patient are one unit', () => {
    const taken = [one(1, '2026-01-01', { losses: 1 }), one(2, '2026-01-02', { losses: 3, cluster: '1' }), one(3, '2026-01-03', { losses: 1 }), one(4, '2026-03-01', { losses: 2 }), one(5, '2026-03-02', { losses: 1 })];
    expect(changeEffects(taken, 'losses per hour', [change('a', '2026-02-01')], OPTIONS)[0]?.before.lower).toBe(clusterRobustRatio([4, 1], [2, 1], 0.95).lower);
  });

  test('the interval of the ratio covers the truth about as often as it says, where cases differ far more than chance (400 simulated changes, 25 cases on each side)', () => {
    // Cases differ by a gamma factor of shape 1: counts are overdispersed as dropouts are. The truth is a ratio of 0.5.
    const counted = (random: Random, mean: number): number => {
      const own = -mean * Math.log(1 - random.next());
      let n = 0;
      for (let t = -Math.log(1 - random.next()); t < own; t -= Math.log(1 - random.next())) n++;
      return n;
    };
    let held = 0;
    for (let seed = 1; seed <= 400; seed++) {
      const random = seededRandom(seed);
      const taken = Array.from({ length: 50 }, (_, i) => one(i, i < 25 ? '2026-01-01' : '2026-03-01', { losses: counted(random, i < 25 ? 4 : 2) }));
      const effect = changeEffects(taken, 'losses per hour', [change('a', '2026-02-01')], OPTIONS)[0]?.effect;
      if ((effect?.lower ?? Infinity) <= 0.5 && (effect?.upper ?? -Infinity) >= 0.5) held++;
    }
    // Standard error of the coverage: 0.011. The table of intervals (statistics 0) has 0.91 to 0.95 for one side.
    expect(held / 400).toBeGreaterThan(0.9);
    expect(held / 400).toBeLessThan(0.985);
  });
});
