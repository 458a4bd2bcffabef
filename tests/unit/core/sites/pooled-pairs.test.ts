import { expect, it } from 'vitest';
import { pooledPairs } from '../../../../core/sites/pooled-pairs.ts';
import { repeatedAgreement, subjectDifferences } from '../../../../core/stats/agreement.ts';
import { buildSitePair } from '../../../builders/site-comparison.ts';

const summary = (d: readonly number[]) => {
  const { n, mean, sumSquares } = subjectDifferences(d);
  return { n, bias: mean, sd: n > 1 ? Math.sqrt(sumSquares / (n - 1)) : null, rms: Math.sqrt(mean ** 2 + sumSquares / n), maxAbs: Math.max(...d.map(Math.abs)) };
};

it('keeps the case as the unit: the same limits as from the differences themselves', () => {
  const cases = [[1, 2, 3], [-1, 0, 1], [2, 2, 5], [0, 1, -1]];
  const [pooled] = pooledPairs(cases.map((d, i) => ({ caseId: `c${i}`, pairs: [buildSitePair({ stablePairs: summary(d) })] })));
  const direct = repeatedAgreement(cases.map(subjectDifferences), 0.95, 1.96);
  // Source: golden case e-repeated-balanced, the same twelve differences.
  expect(pooled!.agreement.sdTotal).toBeCloseTo(1.80277563773199, 9);
  expect(pooled!.agreement.lower).toBeCloseTo(direct.lower!, 9);
  expect(pooled!.rms).toBeCloseTo(Math.sqrt(cases.flat().reduce((sum, d) => sum + d * d, 0) / 12), 9);
});

it('sums times, and leaves out cases in which one was worn after the other', () => {
  const [pooled, ...more] = pooledPairs([
    { caseId: 'a', pairs: [buildSitePair({})] },
    { caseId: 'b', pairs: [buildSitePair({ onlySecondMs: 50, neitherMs: 150 })] },
    { caseId: 'c', pairs: [buildSitePair({ sharedMs: 0, bothMs: 0, onlyFirstMs: 0, onlySecondMs: 0, neitherMs: 0, cautions: ['worn one after the other'] })] },
  ]);
  expect(more).toEqual([]);
  expect(pooled).toMatchObject({ cases: 2, casesOneAfterTheOther: 1, sharedMs: 2000, firstCoveredShare: 0.5 });
});

it('does not depend on the order of the cases', () => {
  const lags = [6100, 8400, 7000, 12_200, 5500, 7700, 9300];
  const cases = lags.map((lagMs, i) => ({ caseId: `c${i}`, pairs: [buildSitePair({ lag: { lagMs, lowMs: lagMs, highMs: lagMs, peak: 1, swings: 2 } })] }));
  const [there] = pooledPairs(cases);
  expect(pooledPairs([...cases].reverse())).toEqual([there]);
  expect(there!.lagMs.median).toBe(7700);
  expect(there!.lagMs.lower).toBeLessThan(7700);
});
