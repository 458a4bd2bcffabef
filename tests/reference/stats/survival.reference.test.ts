/*
 * Time to an event against golden cases worked out with R survival and npsurv: `tests/reference/golden-stats/b-survival.json`.
 * Published figures among them: 6-mercaptopurine (Freireich 1963), aml (Miller 1981), ovarian (Edmunson 1979).
 */
import { describe, expect, it } from 'vitest';
import { kaplanMeier, survivalAt, survivalQuantile } from '../../../core/stats/kaplan-meier.ts';
import type { SurvivalCurve } from '../../../core/stats/kaplan-meier.ts';
import { logRank } from '../../../core/stats/log-rank.ts';
import { censoredMedian } from '../../../core/stats/product-limit.ts';
import { restrictedMean, restrictedMeanDifference } from '../../../core/stats/restricted-mean.ts';
import type { CensoredTime } from '../../../core/stats/survival-steps.ts';
import { turnbull } from '../../../core/stats/turnbull.ts';
import { golden, goldenCases } from './golden-cases.ts';

const CASES = goldenCases('b-survival.json');
const timesOf = (data: { time: number[]; event: number[] }): CensoredTime[] => data.time.map((time, i) => ({ time, isEvent: data.event[i] === 1 }));
const single = (data: { time: number[]; event: number[] }) => ({ times: timesOf(data), clusters: null });
const quartiles = (curve: SurvivalCurve) => {
  const half = survivalQuantile(curve, 0.5);
  return { median: half.estimate, medianLower: half.lower, medianUpper: half.upper, q25: survivalQuantile(curve, 0.25).estimate, q75: survivalQuantile(curve, 0.75).estimate };
};

golden(CASES, 'survival.kaplanMeier', ({ data, params }) => {
  const curve = kaplanMeier(timesOf(data), params.conf, params.confType);
  // The same curve is behind the median that a case shows.
  expect(censoredMedian(timesOf(data))).toBe(quartiles(curve).median);
  return { ...curve, ...quartiles(curve) };
});
golden(CASES, 'survival.atTimes', ({ data, params }) => {
  const curve = kaplanMeier(timesOf(data), params.conf, params.confType);
  const at = data.at.map((time: number) => survivalAt(curve, time));
  return { survival: at.map((a: any) => a.survival), lower: at.map((a: any) => a.lower), upper: at.map((a: any) => a.upper), atRisk: at.map((a: any) => a.atRisk) };
});
golden(CASES, 'survival.kaplanMeierClustered', ({ data, params }) => {
  const curve = kaplanMeier(timesOf(data), params.conf, 'log-log', data.cluster.map(String));
  return { times: curve.times, survival: curve.survival, seGreenwood: curve.seGreenwood, seCluster: curve.se };
});
golden(CASES, 'survival.rmst', ({ data, params }) => {
  const { estimate, ...rest } = restrictedMean(single(data), params.tau, params.conf);
  return { ...rest, rmst: estimate };
});
golden(CASES, 'survival.rmstDifference', ({ data, params }) => {
  const { estimate, ...rest } = restrictedMeanDifference(single(data.a), single(data.b), params.tau, params.conf);
  return { ...rest, difference: estimate };
});
const tested = (data: any) => {
  const { chiSquare, ...rest } = logRank(timesOf(data).map((time, i) => ({ ...time, group: data.group[i], stratum: data.stratum?.[i] ?? '' })));
  return { ...rest, chisq: chiSquare };
};
golden(CASES, 'survival.logRank', ({ data }) => tested(data));
golden(CASES, 'survival.logRankStratified', ({ data }) => tested(data));
golden(CASES, 'survival.turnbull', ({ data }) => turnbull(data.left.map((left: number, i: number) => ({ left, right: Number(data.right[i]) }))));

describe('published figures', () => {
  const data = (id: string) => CASES.find((one) => one.id === id)!.data;

  it('6-mercaptopurine: 0.857 0.807 0.753 0.690 0.627 0.538 0.448 at 6 7 10 13 16 22 23 weeks (Freireich 1963, as printed in textbooks)', () => {
    const curve = kaplanMeier(timesOf(data('b-km-6mp')), 0.95);
    expect(curve.times).toEqual([6, 7, 10, 13, 16, 22, 23]);
    expect(curve.survival.map((s) => s.toFixed(3))).toEqual(['0.857', '0.807', '0.753', '0.690', '0.627', '0.538', '0.448']);
  });

  it('log-rank of 6-mercaptopurine against placebo: chi-square 16.79', () => {
    expect(tested(data('b-logrank-6mp')).chisq!.toFixed(2)).toBe('16.79');
  });

  it('aml: medians of 31 and 23 weeks, log-rank chi-square 3.4, p 0.0653 (R survival)', () => {
    expect([censoredMedian(timesOf(data('b-km-aml-maintained'))), censoredMedian(timesOf(data('b-km-aml-nonmaintained')))]).toEqual([31, 23]);
    const { chisq, p } = tested(data('b-logrank-aml'));
    expect([chisq!.toFixed(1), p!.toFixed(4)]).toEqual(['3.4', '0.0653']);
  });

  it('ovarian: log-rank chi-square 1.06, p 0.303; median 638 days (R survival)', () => {
    const { chisq, p } = tested(data('b-logrank-ovarian'));
    expect([chisq!.toFixed(2), p!.toFixed(3)]).toEqual(['1.06', '0.303']);
    expect(censoredMedian(timesOf(data('b-km-ovarian')))).toBe(638);
  });
});
