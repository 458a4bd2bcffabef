/*
 * Ratios of rates, risk windows, circular shift and event-aligned averages against golden cases worked out with R (gnm, epiR,
 * survival, stats), numpy and by hand: `tests/reference/golden-stats/d-rate-ratio.json` and `d-windows.json`.
 */
import { describe, expect, it } from 'vitest';
import { totalMs, union } from '../../../core/base/interval.ts';
import type { Interval } from '../../../core/base/interval.ts';
import { eventAligned } from '../../../core/metrics/event-aligned.ts';
import { exposureCategories } from '../../../core/metrics/exposure-categories.ts';
import { riskWindows, windowParts } from '../../../core/metrics/risk-windows.ts';
import { attributable } from '../../../core/stats/attributable.ts';
import { circularShift, drawnShift } from '../../../core/stats/circular-shift.ts';
import type { ShiftCase } from '../../../core/stats/circular-shift.ts';
import { conditionalPoisson, conditionalRatio } from '../../../core/stats/conditional-poisson.ts';
import { exactRateRatio, exactStratifiedRatio } from '../../../core/stats/exact-rate-ratio.ts';
import { mantelHaenszelRate } from '../../../core/stats/rate-ratio.ts';
import { golden, goldenCases } from './golden-cases.ts';

const RATES = goldenCases('d-rate-ratio.json');
const WINDOWS = goldenCases('d-windows.json');
const spans = (pairs: readonly (readonly [number, number])[]): Interval[] => pairs.map(([startMs, endMs]) => ({ startMs, endMs }));

golden(RATES, 'rateRatio.exact', ({ data, params }) => {
  const { p, ...rest } = exactRateRatio(data, params.conf);
  return { ...rest, pCentral: p };
});
golden(RATES, 'rateRatio.stratified', ({ data, params }) => {
  const mh = mantelHaenszelRate(data.cases, params.conf);
  const cml = conditionalRatio(data.cases, params.conf);
  const exact = exactStratifiedRatio(data.cases, params.conf);
  return {
    casesUsed: mh.strataUsed,
    casesInformative: mh.strataInformative,
    riskEvents: mh.riskEvents,
    controlEvents: mh.controlEvents,
    mhRateRatio: mh.rateRatio,
    mhSeLog: mh.seLog,
    mhLower: mh.lower,
    mhUpper: mh.upper,
    mhChisq: mh.chiSquare,
    mhP: mh.p,
    cmlRateRatio: cml.rateRatio,
    cmlSeLog: cml.seLog,
    cmlLower: cml.lower,
    cmlUpper: cml.upper,
    exactLower: exact.lower,
    exactUpper: exact.upper,
    exactPCentral: exact.p,
  };
});
const withAge = (data: any, conf: number) =>
  conditionalPoisson(
    data.rows.map((row: any) => ({ stratum: String(row.caseId), time: row.days, covariates: [row.risk, row.group === 2 ? 1 : 0], events: row.events })),
    conf,
  ).effects!;
golden(RATES, 'rateRatio.conditionalPoisson', ({ data, params }) => {
  const [risk, group2] = withAge(data, params.conf);
  return { logRisk: risk!.logRatio, seRisk: risk!.seLog, rateRatio: risk!.rateRatio, lower: risk!.lower, upper: risk!.upper, logGroup2: group2!.logRatio, seGroup2: group2!.seLog };
});
golden(RATES, 'rateRatio.attributable', ({ data }) => {
  const { fraction, events } = attributable(data.riskEvents, data.rateRatio);
  return { attributableFraction: fraction, attributableEvents: events };
});

golden(WINDOWS, 'exposure.windows', ({ data, params }) => {
  const rule = { fromMs: params.window[0], toMs: params.window[1], preMs: params.preExposure };
  const parts = windowParts(spans(data.monitored), data.exposures.map((atMs: number) => ({ atMs, rule })));
  const tally = riskWindows(parts, spans(data.dropouts).map((lost) => ({ ...lost, onsetMs: lost.startMs })));
  expect(tally.notPlaced).toBe(0);
  return {
    riskTime: tally.riskMs,
    preTime: tally.preMs,
    controlTime: tally.controlMs,
    riskOnsets: tally.riskOnsets,
    preOnsets: tally.preOnsets,
    controlOnsets: tally.controlOnsets,
    riskWindows: parts.risk.map(({ startMs, endMs }) => [startMs, endMs]),
  };
});
golden(WINDOWS, 'exposure.categories', ({ data, params }) => {
  const monitored = spans(data.monitored);
  const parts = (times: number[], [fromMs, toMs]: [number, number]) => windowParts(monitored, times.map((atMs) => ({ atMs, rule: { fromMs, toMs, preMs: params.preExposure } })));
  const { firstOnly, secondOnly, both, neither } = exposureCategories(monitored, parts(data.bolus, params.bolusWindow), parts(data.positioning, params.positioningWindow));
  return { bolusOnly: totalMs(firstOnly), positioningOnly: totalMs(secondOnly), both: totalMs(both), neither: totalMs(neither) };
});
const onCircle = ({ n, exposed, onsets }: { n: number; exposed: number[]; onsets: number[] }): ShiftCase => ({
  length: n,
  exposed: union(exposed.map((slot) => ({ startMs: slot, endMs: slot + 1 }))).map(({ startMs, endMs }): [number, number] => [startMs, endMs]),
  onsets,
});
golden(WINDOWS, 'exposure.circularShift', ({ data, params }) => {
  const cases = data.cases.map(onCircle);
  if (params.exact !== true) {
    const { p, ...drawn } = drawnShift(cases, params.B, params.seed);
    return { ...drawn, pTwoSided: p };
  }
  const { p, first, chances, ...rest } = circularShift(cases);
  expect(first).toBe(0);
  return { ...rest, pmf: [...chances], pTwoSided: p };
});
golden(WINDOWS, 'eventAligned.average', ({ data, params }) => {
  const [fromMs, toMs] = params.baseline;
  const cases = data.cases.map((one: any) => ({ events: one.events.map((event: (number | null)[]) => event.map((value) => value ?? NaN)) }));
  const { casesAtLag, ...rest } = eventAligned(cases, { lagsMs: data.lags, baseline: { fromMs, toMs }, scale: 'percent of baseline', draws: params.B, seed: params.seed, conf: params.conf });
  return { ...rest, nCasesAtLag: casesAtLag };
});

describe('published figures', () => {
  it('meningitis after vaccination: relative incidence 12.04, 3.00 to 48.26 (Whitaker et al. 2006, figures from memory)', () => {
    const [risk] = withAge(RATES.find((one) => one.id === 'd-sccs-mmr-meningitis')!.data, 0.95);
    expect([risk!.rateRatio, risk!.lower, risk!.upper].map((v) => v.toFixed(2))).toEqual(['12.04', '3.00', '48.26']);
  });

  it('two rates: 1.971488, 0.858 to 4.277, p 0.07967 (Campbell 1989, in the help of R poisson.test)', () => {
    const { rateRatio, lower, upper, pMinLike } = exactRateRatio({ riskEvents: 11, riskTime: 800, controlEvents: 21, controlTime: 3011 }, 0.95);
    expect(rateRatio!.toFixed(6)).toBe('1.971488');
    expect([lower!.toFixed(3), upper!.toFixed(3), pMinLike!.toFixed(5)]).toEqual(['0.858', '4.277', '0.07967']);
  });
});
