import { expect, it } from 'vitest';
import { cohortPairs } from '../../../../core/sites/cohort-pairs.ts';
import { repeatedAgreement, subjectDifferences } from '../../../../core/stats/agreement.ts';
import { buildSitePair } from '../../../builders/site-comparison.ts';

const summary = (d: readonly number[]) => {
  const { n, mean, sumSquares } = subjectDifferences(d);
  return { n, bias: mean, sd: n > 1 ? Math.sqrt(sumSquares / (n - 1)) : null, rms: Math.sqrt(mean ** 2 + sumSquares / n), maxAbs: Math.max(...d.map(Math.abs)) };
};

it('keeps the case as the unit: the same limits as from the differences themselves', () => {
  const cases = [[1, 2, 3], [-1, 0, 1], [2, 2, 5], [0, 1, -1]];
  const [pooled] = cohortPairs(cases.map((d, i) => ({ caseKey: `k${i}`, caseId: `c${i}`, pairs: [buildSitePair({ stablePairs: summary(d) })] })));
  const direct = repeatedAgreement(cases.map(subjectDifferences), 0.95, 1.96);
  // Source: golden case e-repeated-balanced, the same twelve differences.
  expect(pooled!.sdTotal).toBeCloseTo(1.80277563773199, 9);
  expect(pooled!.lower).toBeCloseTo(direct.lower!, 9);
  expect(pooled!.rms).toBeCloseTo(Math.sqrt(cases.flat().reduce((sum, d) => sum + d * d, 0) / 12), 9);
});

it('sums times, and leaves out cases in which one was worn after the other', () => {
  const [pooled, ...more] = cohortPairs([
    { caseKey: 'ka', caseId: 'a', pairs: [buildSitePair({})] },
    { caseKey: 'kb', caseId: 'b', pairs: [buildSitePair({ onlySecondMs: 50, neitherMs: 150 })] },
    { caseKey: 'kc', caseId: 'c', pairs: [buildSitePair({ sharedMs: 0, bothMs: 0, onlyFirstMs: 0, onlySecondMs: 0, neitherMs: 0, cautions: ['worn one after the other'] })] },
  ]);
  expect(more).toEqual([]);
  expect(pooled).toMatchObject({ cases: 2, casesOneAfterTheOther: 1, sharedMs: 2000, firstCovered: { share: { mid: 0.5 } } });
});

it('does not depend on the order of the cases', () => {
  const lags = [6100, 8400, 7000, 12_200, 5500, 7700, 9300];
  const cases = lags.map((lagMs, i) => ({ caseKey: `k${i}`, caseId: `c${i}`, pairs: [buildSitePair({ lag: { lagMs, lowMs: lagMs, highMs: lagMs, peak: 1, swings: 2 } })] }));
  const [there] = cohortPairs(cases);
  expect(cohortPairs([...cases].reverse())).toEqual([there]);
  expect(there!.lagMs!.median).toBe(7700);
  expect(there!.lagInterval!.lower).toBeLessThan(7700);
});

it('keeps the second result beside the first, over the same time', () => {
  const weak = (onlySecondMs: number, neitherMs: number) => {
    const pair = buildSitePair();
    return { ...pair, doubtfulLost: { ...pair.doubtfulLost, bothMs: 600, onlySecondMs, neitherMs, firstCoveredShare: onlySecondMs / (onlySecondMs + neitherMs) } };
  };
  const [pair] = cohortPairs([{ caseKey: 'ka', caseId: 'a', pairs: [weak(200, 100)] }, { caseKey: 'kb', caseId: 'b', pairs: [weak(100, 200)] }]);
  expect(pair).toMatchObject({ sharedMs: 2000, onlySecondMs: 300, firstCovered: { share: { mid: 0.75 } }, doubtfulLost: { bothMs: 1200, onlySecondMs: 300, neitherMs: 300, firstCovered: { share: { mid: 0.5 }, spread: { least: 1 / 3, most: 2 / 3 } } } });
});
