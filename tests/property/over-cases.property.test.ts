import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { CaseBurden } from '../../core/metrics/burden.ts';
import { cohortBurden } from '../../core/metrics/burden.ts';
import { seriesLosses } from '../../core/metrics/series-losses.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { bootstrapMedian } from '../../core/stats/bootstrap-median.ts';
import { drawnStatistics, ratioOf } from '../../core/stats/case-draws.ts';
import { binomialInterval } from '../../core/stats/clopper-pearson.ts';
import { bootstrapInterval, clusterBootstrap } from '../../core/stats/cluster-bootstrap.ts';
import { clusterRobustRatio } from '../../core/stats/cluster-ratio.ts';
import { clusterRobustShare } from '../../core/stats/cluster-share.ts';
import { poissonInterval } from '../../core/stats/exact-poisson.ts';
import { mersenneTwister } from '../../core/stats/mersenne-twister.ts';
import { normalCdf, normalQuantile } from '../../core/stats/normal.ts';
import { median, quantile } from '../../core/stats/quantile.ts';
import { importTexts } from '../builders/import-text.ts';

const conf = fc.constantFrom(0.8, 0.9, 0.95, 0.99);
/** Whole numbers, so that sums do not depend on their order. */
const cluster = fc.record({ y: fc.integer({ min: 0, max: 50 }), t: fc.integer({ min: 1, max: 500 }) });
const clusters = fc.array(cluster, { minLength: 2, maxLength: 30 });
const columns = (list: readonly { y: number; t: number }[]): [number[], number[]] => [list.map((c) => c.y), list.map((c) => c.t)];
const near = (got: number | null | undefined, wanted: number | null | undefined): void => {
  if (typeof wanted !== 'number') expect(got).toBe(wanted);
  else expect(Math.abs((got ?? NaN) - wanted)).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(wanted)));
};

describe('exact intervals are what defines them: each limit leaves a tail of (1 − conf)/2', () => {
  test('of a Poisson count, by adding up its law', () => {
    fc.assert(fc.property(fc.integer({ min: 0, max: 60 }), fc.double({ min: 0.1, max: 50, noNaN: true }), conf, (count, time, level) => {
      const upTo = (x: number, mean: number): number => {
        let term = Math.exp(-mean);
        let sum = x < 0 ? 0 : term;
        for (let i = 1; i <= x; i++) {
          term *= mean / i;
          sum += term;
        }
        return sum;
      };
      const { lower, upper, estimate, oneSidedUpper } = poissonInterval(count, time, level);
      near(upTo(count, (upper ?? NaN) * time), (1 - level) / 2);
      if (count > 0) near(1 - upTo(count - 1, (lower ?? NaN) * time), (1 - level) / 2);
      else near(Math.exp(-(oneSidedUpper ?? NaN) * time), 1 - level);
      near(estimate, count / time);
    }), { numRuns: 60 });
  });

  test('of a share, by adding up the binomial law; successes and failures mirror each other', () => {
    fc.assert(fc.property(fc.integer({ min: 1, max: 60 }), fc.double({ min: 0, max: 1, noNaN: true }), conf, (n, part, level) => {
      const x = Math.round(n * part);
      const upTo = (most: number, p: number): number => {
        let sum = 0;
        let ways = 1;
        for (let i = 0; i <= most; i++) {
          sum += ways * p ** i * (1 - p) ** (n - i);
          ways = (ways * (n - i)) / (i + 1);
        }
        return sum;
      };
      const { lower, upper } = binomialInterval(x, n, level);
      if (x < n) near(upTo(x, upper ?? NaN), (1 - level) / 2);
      if (x > 0) near(1 - upTo(x - 1, lower ?? NaN), (1 - level) / 2);
      near(binomialInterval(n - x, n, level).upper, 1 - (lower ?? NaN));
    }), { numRuns: 60 });
  });

  test('normal law and its quantile undo each other, far into the tail', () => {
    // P(Z ≤ −10) and P(Z ≤ 1.96): Abramowitz & Stegun, tables 26.1 and 26.2.
    expect(normalCdf(-10) / 7.619853024160527e-24).toBeCloseTo(1, 11);
    expect(normalCdf(1.96)).toBeCloseTo(0.975002104851780, 13);
    fc.assert(fc.property(fc.double({ min: -30, max: 5, noNaN: true }), (z) => near(normalQuantile(normalCdf(z)), z)), { numRuns: 100, examples: [[0], [-8]] });
    expect([normalQuantile(0), normalQuantile(1), normalCdf(-Infinity), normalCdf(Infinity)]).toEqual([-Infinity, Infinity, 0, 1]);
  });
});

describe('a ratio over clusters', () => {
  test('does not depend on the order of the clusters, nor its interval in units on the unit', () => {
    fc.assert(fc.property(clusters, fc.integer({ min: 2, max: 1000 }), (list, scale) => {
      const [y, t] = columns(list);
      const plain = clusterRobustRatio(y, t, 0.95);
      const turned = clusterRobustRatio([...y].reverse(), [...t].reverse(), 0.95);
      const scaled = clusterRobustRatio(y.map((v) => v * scale), t, 0.95);
      for (const key of ['estimate', 'lower', 'upper', 'seLog', 'dispersion'] as const) near(turned[key], plain[key]);
      near(scaled.seLog, plain.seLog);
      near(scaled.lower, plain.lower === null ? null : plain.lower * scale);
      expect(turned.reason).toBe(plain.reason);
    }));
  });

  test('clusters without anything in them change nothing; one cluster, none, or nothing counted have no interval and say why', () => {
    fc.assert(fc.property(clusters, (list) => {
      const [y, t] = columns(list);
      expect(clusterRobustRatio([0, ...y, 0], [0, ...t, 0], 0.95)).toEqual(clusterRobustRatio(y, t, 0.95));
    }), { numRuns: 30 });
    expect(clusterRobustRatio([], [], 0.95)).toMatchObject({ estimate: null, lower: null, df: 0, reason: 'no denominator' });
    expect(clusterRobustRatio([3], [2], 0.95)).toMatchObject({ estimate: 1.5, lower: null, upper: null, reason: 'one cluster' });
    expect(clusterRobustRatio([0, 0], [2, 3], 0.95)).toMatchObject({ estimate: 0, upper: null, seLog: null, reason: 'nothing counted' });
  });

  test('each cluster twice: the same ratio and, but for k/(k − 1), a standard error smaller by √2', () => {
    fc.assert(fc.property(clusters, (list) => {
      const once = clusterRobustRatio(...columns(list), 0.95);
      const twice = clusterRobustRatio(...columns([...list, ...list]), 0.95);
      const k = list.length;
      near(twice.estimate, once.estimate);
      near(twice.seLog, once.seLog === null ? null : once.seLog * Math.sqrt((2 * k - 2) / (2 * k - 1) / 2));
    }));
  });
});

describe('a part of a whole over clusters', () => {
  const parts = fc.array(fc.record({ part: fc.integer({ min: 0, max: 40 }), rest: fc.integer({ min: 0, max: 40 }) }), { minLength: 2, maxLength: 25 });

  test('lies with its interval within 0 and 1, and the rest has the mirrored one', () => {
    fc.assert(fc.property(parts, (list) => {
      const wholes = list.map((c) => c.part + c.rest);
      const share = clusterRobustShare(list.map((c) => c.part), wholes, 0.95);
      const rest = clusterRobustShare(list.map((c) => c.rest), wholes, 0.95);
      if (share.lower === null || share.upper === null || rest.lower === null) {
        expect(share.reason).not.toBeNull();
        expect(rest.reason).not.toBeNull();
        return;
      }
      // A share of few clusters may be known to lie between 0 and 1 and nothing more.
      expect([share.lower >= 0, share.lower <= (share.estimate ?? NaN), share.upper >= (share.estimate ?? NaN), share.upper <= 1]).toEqual([true, true, true, true]);
      near(rest.upper, 1 - share.lower);
      near(rest.seLogit, share.seLogit);
    }));
  });

  test('is the ratio over clusters where the share is small, and the sandwich of a fractional logit always', () => {
    fc.assert(fc.property(clusters, (list) => {
      const [y, t] = columns(list);
      const wide = t.map((v) => v * 1e7);
      near(clusterRobustShare(y, wide, 0.95).lower, clusterRobustRatio(y, wide, 0.95).lower ?? null);
    }), { numRuns: 30 });
    // Parts 1, 3, 2 of 4, 4, 8: share 3/8. Bread 16 · 3/8 · 5/8 = 3.75; scores −0.5, 1.5, −1; meat 3.5 · 3/2; se = √5.25 / 3.75.
    near(clusterRobustShare([1, 3, 2], [4, 4, 8], 0.95).seLogit, Math.sqrt(5.25) / 3.75);
  });

  test('has no interval for one cluster, for all or nothing, and where clusters do not differ, and says why', () => {
    expect(clusterRobustShare([1], [2], 0.95)).toMatchObject({ estimate: 0.5, lower: null, reason: 'one cluster' });
    expect(clusterRobustShare([0, 0], [2, 3], 0.95)).toMatchObject({ estimate: 0, lower: null, reason: 'nothing counted' });
    expect(clusterRobustShare([2, 3], [2, 3], 0.95)).toMatchObject({ estimate: 1, lower: null, reason: 'everything counted' });
    expect(clusterRobustShare([1, 2, 3], [4, 8, 12], 0.95)).toMatchObject({ estimate: 0.25, lower: null, reason: 'all clusters alike' });
    expect(clusterRobustShare([0], [0], 0.95)).toMatchObject({ estimate: null, reason: 'no denominator' });
  });
});

describe('clusters drawn anew', () => {
  const options = { replicates: 200, seed: 7, conf: 0.9 };

  test('give every ratio the same draws, together or alone', () => {
    fc.assert(fc.property(clusters, (list) => {
      const [y, t] = columns(list);
      const u = t.map((v, i) => v + (y[i] ?? 0));
      const together = clusterBootstrap([y, t, u], [ratioOf(0, 1), ratioOf(1, 2)], options);
      expect(together).toEqual([...clusterBootstrap([y, t], [ratioOf(0, 1)], options), ...clusterBootstrap([t, u], [ratioOf(0, 1)], options)]);
    }), { numRuns: 30 });
  });

  test('are the sums over the indices of the stream, and the percentile interval their quantiles', () => {
    fc.assert(fc.property(clusters, (list) => {
      const [y, t] = columns(list);
      const { index } = mersenneTwister(options.seed);
      const byHand = Array.from({ length: options.replicates }, () => {
        const drawn = list.map(() => index(list.length));
        const sum = (of: number[]) => drawn.reduce((total, i) => total + (of[i] ?? NaN), 0);
        return sum(y) / sum(t);
      });
      expect([...drawnStatistics([y, t], [ratioOf(0, 1)], options)[0] ?? []]).toEqual(byHand);
      const [interval] = clusterBootstrap([y, t], [ratioOf(0, 1)], options);
      if (interval !== undefined && interval.percentile !== null) expect(interval.percentile).toEqual([quantile(byHand, (1 - options.conf) / 2), quantile(byHand, 1 - (1 - options.conf) / 2)]);
    }), { numRuns: 30 });
  });

  test('a unit changes the limits as it changes the ratio', () => {
    fc.assert(fc.property(clusters, (list) => {
      const [y, t] = columns(list);
      const [plain] = clusterBootstrap([y, t], [ratioOf(0, 1)], options);
      const [hours] = clusterBootstrap([y, t.map((v) => v * 64)], [ratioOf(0, 1)], options);
      // A power of two changes no digit.
      expect(hours?.percentile).toEqual(plain?.percentile?.map((v) => v / 64) ?? null);
      expect(hours?.bca).toEqual(plain?.bca?.map((v) => v / 64) ?? null);
      expect(hours?.z0).toBe(plain?.z0);
    }), { numRuns: 30 });
  });

  test('one cluster copied tells nothing of others; a denominator that is often 0 gives no interval', () => {
    fc.assert(fc.property(cluster, fc.integer({ min: 2, max: 20 }), ({ y, t }, copies) => {
      const [interval] = clusterBootstrap([Array(copies).fill(y), Array(copies).fill(t)], [ratioOf(0, 1)], options);
      expect(interval).toMatchObject({ percentile: null, bca: null, standardError: null, reason: 'all draws alike' });
      near(interval?.estimate, y / t);
    }), { numRuns: 20 });
    expect(clusterBootstrap([[1, 2, 3], [1, 0, 0]], [ratioOf(0, 1)], options)[0]).toMatchObject({ estimate: 6, percentile: null, reason: 'too many draws not defined' });
    expect(clusterBootstrap([[1, 2], [0, 0]], [ratioOf(0, 1)], options)[0]).toMatchObject({ estimate: null, reason: 'not defined' });
    expect(clusterBootstrap([[], []], [ratioOf(0, 1)], options)[0]).toMatchObject({ estimate: null, reason: 'not defined' });
  });

  test('where a cluster left out leaves nothing to divide by, or the estimate lies beyond every draw, BCa is the percentile interval and says so', () => {
    const drawn = Float64Array.from({ length: 100 }, (_, i) => i);
    const percentile = [quantile(drawn, (1 - 0.9) / 2), quantile(drawn, 1 - (1 - 0.9) / 2)];
    expect(bootstrapInterval(50, drawn, Float64Array.of(49, 50, NaN), 0.9)).toMatchObject({ percentile, bca: percentile, acceleration: null, isBcaPercentile: true });
    expect(bootstrapInterval(200, drawn, Float64Array.of(49, 50, 51), 0.9)).toMatchObject({ percentile, bca: percentile, z0: null, isBcaPercentile: true });
    expect(bootstrapInterval(50, drawn, Float64Array.of(49, 50, 51), 0.9)).toMatchObject({ isBcaPercentile: false, acceleration: 0 });
  });

  test('medians by counting ranks are medians of the drawn values', () => {
    fc.assert(fc.property(fc.array(fc.integer({ min: -9, max: 9 }), { minLength: 2, maxLength: 25 }), (values) => {
      const { index } = mersenneTwister(3);
      const medians = Array.from({ length: 60 }, () => median(values.map(() => values[index(values.length)] ?? NaN)) ?? NaN);
      const found = bootstrapMedian(values, { replicates: 60, seed: 3, conf: 0.8 });
      const isAlike = new Set(medians).size === 1;
      expect(found.median).toBe(median(values));
      near(found.lower, isAlike ? null : quantile(medians, 0.1));
      near(found.upper, isAlike ? null : quantile(medians, 0.9));
    }), { numRuns: 60 });
  });
});

describe('burden', () => {
  const length = fc.integer({ min: 0, max: 600 }).map((low) => ({ low, mid: low + 10, high: low + 20 }));
  const cases: fc.Arbitrary<CaseBurden[]> = fc.array(fc.record({ cluster: fc.constantFrom('a', 'b', 'c', 'd', 'e'), monitoredMs: fc.integer({ min: 0, max: 20_000 }), lostMs: fc.array(length, { maxLength: 5 }) }), { maxLength: 12 });

  test('does not depend on the order in which cases came, and adds up', () => {
    fc.assert(fc.property(cases, (list) => {
      const found = cohortBurden(list, 0.95);
      const turned = cohortBurden([...list].reverse(), 0.95);
      for (const key of ['cases', 'clusters', 'losses', 'monitoredMs', 'lostMs', 'share', 'medianMs', 'longestMs', 'medianShareOfCases', 'withLoss', 'perHourIfIndependent'] as const) expect(turned[key]).toEqual(found[key]);
      near(turned.shareOverCases.lower, found.shareOverCases.lower);
      expect(found.losses).toBe(list.reduce((n, one) => n + one.lostMs.length, 0));
      expect(found.casesWithLoss).toBeLessThanOrEqual(found.cases);
      if (found.losses === 0) expect([found.medianMs, found.longestMs, found.lowerQuartileMs]).toEqual([null, null, null]);
      if (found.share !== null) near(found.share.mid, found.shareOverCases.estimate);
    }), { numRuns: 60 });
  });

  test('the losses of a plain series by its own definition are those that the analysis finds where no other rule applies', async () => {
    // Runs of at least two values between losses (a single one joins them), as records every 10 s beside a heart rate.
    const runs = fc.array(fc.record({ lost: fc.integer({ min: 1, max: 9 }), good: fc.integer({ min: 2, max: 12 }) }), { minLength: 1, maxLength: 8 });
    const parameters = { ...DEFAULT_PARAMETERS, minDurationS: 0, bridgeS: 0, deviceHoldS: 0 };
    await fc.assert(fc.asyncProperty(runs, async (list) => {
      const isValid = [...Array<boolean>(30).fill(true), ...list.flatMap(({ lost, good }) => [...Array<boolean>(lost).fill(false), ...Array<boolean>(good).fill(true)])];
      const t = isValid.map((_, i) => i * 10);
      const rows = isValid.map((valid, i) => `${t[i]},${valid ? 94 + (i % 5) : '---'},${60 + (i % 7)}`);
      const { cases: [record] } = await importTexts({ 'c/trends.csv': ['elapsed_s,SpO2 finger,HR', ...rows].join('\n') });
      if (record === undefined) throw new Error('no case');
      const found = analyzeCase(record, parameters, 'test').sites[0]?.dropouts.map((d) => ({ first: d.firstLostMs / 1000, lost: d.lostMs }));
      const plain = seriesLosses(t, isValid, { mergeGap: 0, minDuration: 0 });
      expect(found).toEqual(plain.map((loss) => ({ first: loss.firstMissing, lost: { low: loss.lost.low * 1000, mid: loss.lost.mid * 1000, high: loss.lost.high * 1000 } })));
    }), { numRuns: 25 });
  });
});
