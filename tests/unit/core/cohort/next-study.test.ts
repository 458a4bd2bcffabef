import { describe, expect, it } from 'vitest';
import { nextStudy } from '../../../../core/cohort/next-study.ts';
import { DEFAULT_NEXT_STUDY, type NextStudyOptions, type StudyUnit } from '../../../../core/model/next-study.ts';
import { clusterRateSize } from '../../../../core/stats/cluster-rate-size.ts';
import { mersenneTwister } from '../../../../core/stats/mersenne-twister.ts';
import { normalQuantile } from '../../../../core/stats/normal.ts';
import { tTestPower } from '../../../../core/stats/t-test-power.ts';

const HOUR_MS = 3_600_000;
const options = (given: Partial<NextStudyOptions>): NextStudyOptions => ({ ...DEFAULT_NEXT_STUDY, firstKey: 'finger', secondKey: 'ear lobe', sizes: [], wantedPower: null, ...given });
const site = (share: number, dropouts = 1, hours = 2) => ({ lostMs: share * hours * HOUR_MS, monitoredMs: hours * HOUR_MS, dropouts });
const unit = (i: number, first: StudyUnit['first'], second: StudyUnit['second']): StudyUnit => ({ unitId: String(i).padStart(5, '0'), first, second });

/** Points of the normal law at even steps: a library whose spread is that law's. */
const normalPoints = (n: number): number[] => Array.from({ length: n }, (_, i) => (normalQuantile((i + 0.5) / n)));
const sdOf = (values: readonly number[]) => {
  const mean = values.reduce((a, b) => a + b, 0) / values.length;
  return Math.sqrt(values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / values.length);
};

describe('the next study, by drawing the library anew', () => {
  it('has the power of the paired t test where differences are normal', () => {
    // First site 0.3 in all, the second around it: differences normal, SD known. Outside check: noncentral t (see t-test-power.test.ts).
    const z = normalPoints(400);
    const units = z.map((value, i) => unit(i, site(0.3), site(0.3 + 0.04 * value)));
    const result = nextStudy(units, options({ effect: 'difference', effectSize: 0.02, sizes: [20, 34], draws: 4000, wantedPower: 0.8 }));
    // The second site is scaled from mean 0.30 to 0.32, and its spread with it.
    const sd = (0.04 * sdOf(z) * 0.32) / 0.3;
    expect(result.sizes.map(({ n }) => n)).toEqual(expect.arrayContaining([20, 34]));
    for (const { n, power, rankPower, halfWidth, coverage } of result.sizes) {
      const exact = tTestPower((0.02 / sd) * Math.sqrt(n), n - 1, 0.95);
      expect(Math.abs(power.value - exact)).toBeLessThan(4 * power.error);
      // Signed ranks have 3/π of the efficiency of t under the normal law (Lehmann, from memory): a little less power.
      expect(rankPower.value).toBeGreaterThan(exact - 0.06);
      expect(Math.abs(coverage!.value - 0.95)).toBeLessThan(4 * coverage!.error);
      expect(halfWidth!.value).toBeGreaterThan(0);
    }
    expect(result.formula).toMatchObject({ method: 'paired t' });
    // Where the formula has its 80 %, the simulation is within its own error.
    expect(result.forPower!.low! - 1).toBeLessThanOrEqual(result.formula!.n!);
    expect(result.forPower!.high! + 1).toBeGreaterThanOrEqual(result.formula!.n!);
    // Spread at its upper 80 % limit: (399 / χ²(0.2; 399)) more patients, about 6 %.
    expect(result.formula!.nIfSpreadUpper!).toBeGreaterThan(result.formula!.n!);
    expect(result.formula!.nIfSpreadUpper!).toBeLessThan(1.12 * result.formula!.n!);
  });

  it('needs as many patients per group as the formula for rates of clusters', () => {
    // Rates that vary with a coefficient of 0.5, counts after Poisson: what Hayes & Bennett assume. 4000 patients, so that the library is that law.
    const { u32 } = mersenneTwister(7);
    const uniform = () => (u32() + 0.5) / 2 ** 32;
    const poisson = (mean: number) => {
      let k = 0;
      for (let p = uniform(); p > Math.exp(-mean); p *= uniform()) k += 1;
      return k;
    };
    const gamma4 = () => -Math.log(uniform() * uniform() * uniform() * uniform()) / 4; // mean 1, variation 0.5
    const units = Array.from({ length: 4000 }, (_, i) => unit(i, site(0.1, poisson(2 * 1.5 * gamma4())), null));
    // From 1.5 to 1 dropout an hour.
    const result = nextStudy(units, options({ design: 'parallel', secondAs: 'first site', outcome: 'dropouts per hour', effectSize: 2 / 3, draws: 1000, wantedPower: 0.8 }));
    const formula = clusterRateSize({ first: 1.5, second: 1, timePerCluster: 2, variation: 0.5 }, 0.95, 0.8)!;
    expect(result.formula!.method).toBe('Hayes and Bennett');
    // The library's own moments are those that were drawn.
    expect(Math.abs(result.formula!.n! - formula)).toBeLessThan(0.1 * formula);
    // Counts are scaled, not thinned, so that the second group is a little steadier than Poisson; on the log scale the power differs too: within a fifth.
    expect(Math.abs(result.forPower!.n! - formula)).toBeLessThan(0.2 * formula);
    // Independent dropouts would have a dispersion of 1; gamma rates add variation² × expected: 1 + 0.25 × 3 = 1.75.
    expect(result.first!.dispersion!).toBeGreaterThan(1.6);
    expect(result.first!.dispersion!).toBeLessThan(1.9);
  });

  const sparse = Array.from({ length: 24 }, (_, i) => unit(i, site(i % 3 === 0 ? 0.02 * (i + 1) : 0, i % 3 === 0 ? i : 0, 1 + (i % 4)), site(i % 4 === 0 ? 0.01 * (i + 1) : 0, i % 4 === 0 ? 1 : 0, 1 + (i % 4))));

  it('finds nothing more often than it says where there is nothing to find', () => {
    // Two groups from one library, a difference too small to matter: power is the rate of false findings.
    const result = nextStudy(sparse, options({ design: 'parallel', secondAs: 'first site', effect: 'difference', effectSize: 1e-9, sizes: [40], draws: 2000 }));
    const [size] = result.sizes;
    expect(size!.power.value).toBeLessThan(0.07);
    expect(size!.rankPower.value).toBeLessThan(0.07);
    expect(size!.power.value).toBeGreaterThan(0.01);
  });

  it('gives the same figures in any order of cases and beside any other sizes', () => {
    const asked = options({ sizes: [10, 20, 40], draws: 300 });
    const one = nextStudy(sparse, asked);
    expect(nextStudy([...sparse].reverse(), asked)).toEqual(one);
    expect(nextStudy(sparse, { ...asked, sizes: [20] }).sizes).toEqual([one.sizes[1]]);
    expect(nextStudy(sparse, { ...asked, seed: 2 }).sizes).not.toEqual(one.sizes);
    expect(one.sizes.map(({ halfWidth }) => halfWidth!.value)).toEqual([...one.sizes.map(({ halfWidth }) => halfWidth!.value)].sort((a, b) => b - a));
    expect(one.cautions).toContain('most patients without loss');
    expect(one.correlation).not.toBeNull();
  });

  it('finds the size for a precision: the factor between a ratio and its limit', () => {
    const result = nextStudy(sparse, options({ wantedHalfWidth: 2, draws: 500, sizes: [] }));
    const { n } = result.forHalfWidth!;
    expect(n).not.toBeNull();
    const around = nextStudy(sparse, options({ draws: 500, sizes: [n! - 1, n!] })).sizes;
    expect(around[0]!.halfWidth!.value).toBeGreaterThan(2);
    expect(around[1]!.halfWidth!.value).toBeLessThanOrEqual(2);
    expect(nextStudy(sparse, options({ wantedHalfWidth: 1.001, draws: 20, sizes: [] })).forHalfWidth).toEqual({ n: null, low: null, high: null });
  });

  it('says why it cannot be planned', () => {
    const reason = (units: readonly StudyUnit[], given: Partial<NextStudyOptions>) => nextStudy(units, options({ sizes: [10], ...given })).reason;
    expect(reason([], {})).toBe('too few patients');
    expect(reason([unit(1, site(0.1), null), unit(2, site(0.2), null)], {})).toBe('too few patients');
    expect(reason([unit(1, site(0), site(0.1)), unit(2, site(0), site(0.2))], {})).toBe('nothing lost at the first site');
    expect(reason([unit(1, site(0.1), site(0)), unit(2, site(0.2), site(0))], {})).toBe('nothing lost at the second site');
    expect(reason(sparse, { effectSize: 1 })).toBe('no effect');
    expect(reason(sparse, { effectSize: 0 })).toBe('effect not possible');
    expect(reason(sparse, { effect: 'difference', effectSize: -0.9 })).toBe('effect not possible');
    expect(reason(sparse, { secondAs: 'first site' })).toBe('paired needs both sites');
    expect(reason([unit(1, site(0.1), site(0.2)), unit(2, site(0.1), site(0.2))], {})).toBe('all patients alike');
  });

  it('caps a share that would pass the whole of the time, and says so', () => {
    const result = nextStudy([unit(1, site(0.1), site(0.9)), unit(2, site(0.4), site(0.1)), unit(3, site(0.5), site(0.3))], options({ effectSize: 2, sizes: [10], draws: 50 }));
    expect(result.capped).toBe(1);
    expect(result.cautions).toEqual(expect.arrayContaining(['share capped', 'fewer than 10 patients']));
  });
});
