import { describe, expect, it } from 'vitest';
import { clusterRateSize } from '../../../../core/stats/cluster-rate-size.ts';
import { leastSize, tTestPower } from '../../../../core/stats/t-test-power.ts';

/** Shift, degrees of freedom, confidence, power. Source: scipy 1.17.1, `nct.sf(t, df, shift) + nct.cdf(-t, df, shift)` with t of `t.ppf`. */
const NONCENTRAL = [
  [2.5, 10, 0.95, 0.6165347649556847], [0, 5, 0.95, 0.05], [3, 1, 0.95, 0.18613206160658757], [2, 2, 0.9, 0.38452473170887996],
  [4, 60, 0.99, 0.9053468483222397], [-2.5, 30, 0.95, 0.6770315128125783], [1, 400, 0.95, 0.16948388993495567],
] as const;

describe('the power of a t test', () => {
  it.each(NONCENTRAL)('shift %s, %s degrees of freedom, confidence %s: %s', (shift, df, conf, power) => {
    expect(tTestPower(shift, df, conf)).toBeCloseTo(power, 9);
  });

  it('gives the worked examples of a textbook', () => {
    // Dalgaard, Introductory Statistics with R, 2002, p. 145: difference 10, SD 10·√2 of the differences, power 0.85: n = 19.96892 pairs.
    const paired = (n: number) => tTestPower((10 / (10 * Math.SQRT2)) * Math.sqrt(n), n - 1, 0.95);
    expect(leastSize(paired, 0.85, 2)).toBe(20);
    expect(paired(19.96892)).toBeCloseTo(0.85, 6);
    // The same page: difference 0.5, SD 2 in each group, one-sided 1 %, power 0.9: n = 417.898 a group. One-sided 1 % is two-sided 2 %, the other tail being empty.
    const groups = (n: number) => tTestPower((0.5 / (2 * Math.SQRT2)) * Math.sqrt(n), 2 * n - 2, 0.98);
    expect(groups(417.898)).toBeCloseTo(0.9, 6);
    expect(leastSize(groups, 0.9, 2)).toBe(418);
  });

  it('finds no size where none will do', () => {
    expect(leastSize(() => 0.5, 0.8, 2)).toBeNull();
    expect(leastSize(() => 1, 0.8, 2)).toBe(2);
  });
});

describe('clusters for two rates', () => {
  it('are as many as a published example needs', () => {
    // clusterPower (R), page of crtpwr.2rate: 10 person-years, rates 0.1 and 0.2, variation 0.1, power 0.8: greater than 24, so 25 per condition.
    const n = clusterRateSize({ first: 0.1, second: 0.2, timePerCluster: 10, variation: 0.1 }, 0.95, 0.8);
    expect(n).toBeGreaterThan(24);
    expect(Math.ceil(n!)).toBe(25);
    expect(clusterRateSize({ first: 1, second: 1, timePerCluster: 1, variation: 0 }, 0.95, 0.8)).toBeNull();
  });
});
