/*
 * Quality charts against golden cases worked out with other software, and against the check values of the handbook.
 */
import { describe, expect, it } from 'vitest';
import { chartPatterns } from '../../../core/stats/chart-rules.ts';
import { funnelPoint, funnelRatioLimit, funnelShareLimit, overdispersion } from '../../../core/stats/funnel.ts';
import { individualsChart, individualsLimits } from '../../../core/stats/individuals.ts';
import { pPrimeChart, uPrimeChart } from '../../../core/stats/laney.ts';
import { mersenneTwister } from '../../../core/stats/mersenne-twister.ts';
import { casesBetweenChart, casesLimits, timeBetweenChart } from '../../../core/stats/rare-events.ts';
import { runChart, runLimits, trends } from '../../../core/stats/run-chart.ts';
import { runsTail } from '../../../core/stats/runs-law.ts';
import { cChart, pChart, ratioChart, uChart } from '../../../core/stats/shewhart.ts';
import { check, idsOf } from '../analysis/check-values.ts';
import { golden, goldenCases } from './golden-cases.ts';

const CASES = goldenCases('g-charts.json');

golden(CASES, 'charts.p', ({ data, params }) => pChart(data.x, data.n, params));
golden(CASES, 'charts.c', ({ data, params }) => cChart(data.x, params));
golden(CASES, 'charts.u', ({ data, params }) => uChart(data.x, data.n, params));
golden(CASES, 'charts.pPrime', ({ data, params }) => pPrimeChart(data.x, data.n, params));
golden(CASES, 'charts.uPrime', ({ data, params }) => uPrimeChart(data.x, data.n, params));
golden(CASES, 'charts.xmr', ({ data, params }) => individualsChart(data.x, params));
golden(CASES, 'charts.t', ({ data, params }) => timeBetweenChart(data.times, params));
golden(CASES, 'charts.g', ({ data, params }) => casesBetweenChart(data.between, params));
golden(CASES, 'charts.run', ({ data, params }) => runChart(data.y, params.centre));
golden(CASES, 'charts.runLimits', ({ data }) => {
  const limits = data.useful.map(runLimits);
  return { longestRunLimit: limits.map((l: ReturnType<typeof runLimits>) => l.longestRunLimit), crossingsLimit: limits.map((l: ReturnType<typeof runLimits>) => l.crossingsLimit) };
});
golden(CASES, 'charts.runsExact', ({ data }) => runsTail(data.above, data.below, data.runs));
golden(CASES, 'charts.trend', ({ data, params }) => ({ signalAt: trends(data.y, params.points) }));
golden(CASES, 'charts.nelson', ({ data, params }) => chartPatterns(data.z, params.rules));
golden(CASES, 'charts.funnelBinomial', ({ data, params }) => ({ limits: data.n.map((n: number) => params.tails.map((tail: number) => funnelShareLimit(n, params.target, tail))) }));
golden(CASES, 'charts.funnelPoisson', ({ data, params }) => ({ limitsOfRatio: data.expected.map((e: number) => params.tails.map((tail: number) => funnelRatioLimit(e, tail))) }));
golden(CASES, 'charts.funnelPoint', ({ data, params }) => funnelPoint(data.x, data.n, params.target));
golden(CASES, 'charts.funnelOverdispersion', ({ data, params }) => overdispersion(data.x, data.n, params.winsor));

describe('charts (check values)', () => {
  for (const id of ['spc-p-200', 'spc-p-50-floor']) {
    check(id, ({ given, expect: wanted, tolerance }) => {
      const { lcl, ucl } = ratioChart('share', [0], [given.n], { centre: given.pbar, sigmaZ: null }, 3);
      expect(Math.abs((lcl[0] ?? NaN) - wanted.lcl)).toBeLessThanOrEqual(tolerance!);
      expect(Math.abs((ucl[0] ?? NaN) - wanted.ucl)).toBeLessThanOrEqual(tolerance!);
    });
  }
  check('spc-u-25', ({ given, expect: wanted, tolerance }) => {
    const { lcl, ucl } = ratioChart('rate', [0], [given.area], { centre: given.ubar, sigmaZ: null }, 3);
    expect(Math.abs((lcl[0] ?? NaN) - wanted.lcl)).toBeLessThanOrEqual(tolerance!);
    expect(Math.abs((ucl[0] ?? NaN) - wanted.ucl)).toBeLessThanOrEqual(tolerance!);
  });
  check('spc-g-20', ({ given, expect: wanted, tolerance }) => {
    const { lcl, ucl, theoreticalMedian } = casesLimits([], { mean: given.gbar, centre: null }, 3);
    expect(lcl).toBe(wanted.lcl);
    expect(Math.abs((ucl ?? NaN) - wanted.ucl)).toBeLessThanOrEqual(tolerance!);
    // The handbook rounds ln 2 less than the printed 0.693.
    expect(Math.abs((theoreticalMedian ?? NaN) - wanted.median)).toBeLessThanOrEqual(0.005);
  });
  check('spc-xmr', ({ given, expect: wanted }) => {
    const { lcl, ucl } = individualsLimits([], { centre: given.mean, meanMovingRange: given.mr_bar }, 3);
    // The handbook multiplies by the rounded 2.66.
    expect(Math.abs((lcl ?? NaN) - wanted.lnpl)).toBeLessThanOrEqual(0.001);
    expect(Math.abs((ucl ?? NaN) - wanted.unpl)).toBeLessThanOrEqual(0.001);
  });
  for (const id of idsOf('run-anhoej-')) {
    check(id, ({ given, expect: wanted }) => {
      expect(runLimits(given.useful_points)).toEqual({ longestRunLimit: wanted.longest_run_max, crossingsLimit: wanted.crossings_min });
    });
  }
  for (const id of ['funnel-95', 'funnel-998']) {
    check(id, ({ given, expect: wanted, tolerance }) => {
      const { lcl, ucl } = ratioChart('share', [0], [given.n], { centre: given.p0, sigmaZ: null }, given.z);
      expect(Math.abs((lcl[0] ?? NaN) - wanted[0])).toBeLessThanOrEqual(tolerance!);
      expect(Math.abs((ucl[0] ?? NaN) - wanted[1])).toBeLessThanOrEqual(tolerance!);
      // Those are limits of the normal approximation; the exact ones lie within two cases of 400 of them.
      const tail = given.z < 2 ? 0.025 : 0.001;
      expect(Math.abs(funnelShareLimit(given.n, given.p0, tail) - wanted[0])).toBeLessThanOrEqual(2 / given.n);
      expect(Math.abs(funnelShareLimit(given.n, given.p0, 1 - tail) - wanted[1])).toBeLessThanOrEqual(2 / given.n);
    });
  }
  check('run-perla', ({ expect: wanted }) => {
    expect(runChart([...Array<number>(wanted.shift).fill(9), ...Array<number>(wanted.shift).fill(1)], 5).shift6).toBe(true);
    expect(runChart([...Array<number>(wanted.shift - 1).fill(9), ...Array<number>(wanted.shift - 1).fill(1)], 5).shift6).toBe(false);
    expect(trends(Array.from({ length: wanted.trend }, (_, i) => i), wanted.trend)).toEqual([wanted.trend - 1]);
  });
});

describe('how often rules signal when nothing has changed', () => {
  /** Independent normal values, by Box & Muller (Ann Math Stat 1958;29:610). */
  function normals(seed: number, n: number): number[] {
    const { u32 } = mersenneTwister(seed);
    const uniform = (): number => (u32() + 0.5) / 2 ** 32;
    return Array.from({ length: n }, () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform()));
  }

  it('four rules of Western Electric signal after 91.75 points on average — Champ & Woodall, Technometrics 1987;29:393 (from memory)', () => {
    const runs = 500;
    let total = 0;
    for (let seed = 1; seed <= runs; seed++) {
      const found = chartPatterns(normals(seed, 900), [1, 2, 5, 6], 8);
      total += 1 + Math.min(900, ...Object.values(found).flatMap((hits) => hits?.[0] ?? []));
    }
    // The run length is nearly geometric: standard error about 92/√500 = 4.1.
    expect(Math.abs(total / runs - 91.75)).toBeLessThan(10);
  });

  it('a point lies beyond three standard deviations once in 370 — normal law, Shewhart 1931', () => {
    const z = normals(7, 200_000);
    // Standard error of the share: √(0.0027/200 000) = 0.0001.
    expect(Math.abs((chartPatterns(z, [1])[1]?.length ?? 0) / z.length - 0.0027)).toBeLessThan(0.0004);
  });
});
