/*
 * Values over time against golden cases worked out with other software: `tests/reference/golden-stats/h-series.json`.
 */
import { saturationPct, tensionMmHg } from '../../../core/metrics/dissociation.ts';
import { belowHeld, belowLine, timeWeightedMean } from '../../../core/metrics/value-series.ts';
import type { ValueSeries } from '../../../core/metrics/value-series.ts';
import { medianInterval } from '../../../core/stats/median-interval.ts';
import { quantile } from '../../../core/stats/quantile.ts';
import { golden, goldenCases } from './golden-cases.ts';

const CASES = goldenCases('h-series.json');
const numbers = (list: readonly (number | null)[]): number[] => list.map((v) => v ?? NaN);
const series = (data: { t: number[]; v: (number | null)[] }, gap: number): ValueSeries => ({ t: data.t, value: numbers(data.v), gap });
const span = (t: readonly number[]): number => (t[t.length - 1] ?? 0) - (t[0] ?? 0);

golden(CASES, 'series.quantile', ({ data, params }) => ({ q: params.p.map((p: number) => quantile(numbers(data.x), p)) }));
golden(CASES, 'series.medianCI', ({ data, params }) => medianInterval(data.x, params.conf));
golden(CASES, 'series.areaUnderThreshold', ({ data, params }) => {
  const { observed, area } = belowLine(series(data, params.maxGap), params.threshold);
  const monitored = span(data.t);
  const missing = monitored - observed;
  return { monitored, observed, missing, area, areaLower: area, areaUpper: area + missing * (params.threshold - params.floor), meanDepthPerObserved: observed > 0 ? area / observed : null };
});
golden(CASES, 'series.timeWeightedAverage', ({ data, params }) => {
  const { observed, mean } = timeWeightedMean(series(data, params.maxGap));
  return { observed, twa: mean };
});
golden(CASES, 'series.timeBelow', ({ data, params }) => {
  const held = belowHeld(series(data, params.maxGap), params.threshold);
  return { monitored: held.total, observed: held.observed, missing: held.total - held.observed, below: held.below, shareOfObserved: held.share, lower: held.shareLow, upper: held.shareHigh };
});
golden(CASES, 'oxygen.so2FromPo2', ({ data }) => {
  const so2 = data.po2mmHg.map(saturationPct);
  return { so2, maxAbsDeviationFromTable: Math.max(...so2.map((s: number, i: number) => Math.abs(s - data.tableSo2[i]))) };
});
golden(CASES, 'oxygen.po2FromSo2', ({ data }) => ({ po2mmHg: data.so2.map((s: number) => tensionMmHg(100 * s)) }));
