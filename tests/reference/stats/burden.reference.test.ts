/*
 * Burden and its intervals against golden cases worked out with other software: `tests/reference/golden-stats`.
 */
import type { Range3 } from '../../../core/base/interval.ts';
import { cohortBurden } from '../../../core/metrics/burden.ts';
import { seriesLosses } from '../../../core/metrics/series-losses.ts';
import { binomialInterval } from '../../../core/stats/clopper-pearson.ts';
import { clusterRobustRatio } from '../../../core/stats/cluster-ratio.ts';
import { poissonInterval } from '../../../core/stats/exact-poisson.ts';
import { golden, goldenCases } from './golden-cases.ts';

const BURDEN = goldenCases('a-burden.json');
const EXACT = goldenCases('a-exact-intervals.json');
const limits = (range: Range3 | null) => ({ lower: range?.low ?? null, mid: range?.mid ?? null, upper: range?.high ?? null });
const list = (range: Range3 | null, scale = 1) => range === null ? null : [range.low / scale, range.mid / scale, range.high / scale];

golden(EXACT, 'poisson.exactCI', ({ data, params }) => poissonInterval(data.count, data.exposure, params.conf));
golden(EXACT, 'binomial.exactCI', ({ data, params }) => binomialInterval(data.successes, data.trials, params.conf));
golden(BURDEN, 'rate.clusterRobustCI', ({ data, params }) => {
  const { estimate, seLog, dispersion, ...rest } = clusterRobustRatio(data.events, data.exposure, params.conf);
  return { ...rest, rate: estimate, seLogRate: seLog, pearsonDispersion: dispersion };
});

golden(BURDEN, 'burden.episodes', ({ data, params }) => {
  const losses = seriesLosses(data.t, data.valid, params);
  const monitored = data.t[data.t.length - 1] - data.t[0];
  const sum = (pick: (lost: Range3) => number) => losses.reduce((total, { lost }) => total + pick(lost), 0);
  const total = { low: sum((l) => l.low), mid: sum((l) => l.mid), high: sum((l) => l.high) };
  const { share } = cohortBurden([{ cluster: '', monitoredMs: monitored, lostMs: losses.map(({ lost }) => lost) }], 0.95);
  return {
    monitored,
    count: losses.length,
    episodes: losses.map(({ lost, isStartUnknown, isEndUnknown, ...rest }) => ({ ...rest, ...limits(lost), startUnknown: isStartUnknown, endUnknown: isEndUnknown })),
    totalLost: limits(total),
    shareOfMonitored: limits(share),
  };
});
golden(BURDEN, 'burden.cohortSummary', ({ data, params }) => {
  const exactly = (s: number): Range3 => ({ low: s * 1000, mid: s * 1000, high: s * 1000 });
  const cases = data.cases.map((one: { caseId: string; monitored: number; durations: number[] }) => ({ cluster: one.caseId, monitoredMs: one.monitored * 1000, lostMs: one.durations.map(exactly) }));
  const found = cohortBurden(cases, params.conf);
  const seconds = (range: Range3 | null): number | null => range === null ? null : range.mid / 1000;
  return {
    cases: found.cases,
    casesWithDropout: found.casesWithLoss,
    episodes: found.losses,
    totalLost: seconds(found.lostMs),
    monitored: found.monitoredMs / 1000,
    share: found.share?.mid ?? null,
    median: seconds(found.medianMs),
    q1: seconds(found.lowerQuartileMs),
    q3: seconds(found.upperQuartileMs),
    longest: seconds(found.longestMs),
    ratePerHour: found.perHour.estimate,
    ratePerHourLower: found.perHourIfIndependent.lower,
    ratePerHourUpper: found.perHourIfIndependent.upper,
    medianShareOfCases: found.medianShareOfCases,
  };
});
golden(BURDEN, 'burden.cohortBounds', ({ data }) => {
  const cases = data.cases.map((one: { caseId: string; monitored: number; episodes: [number, number, number][] }) => ({ cluster: one.caseId, monitoredMs: one.monitored, lostMs: one.episodes.map(([low, mid, high]) => ({ low, mid, high })) }));
  const { lostMs, share, medianMs, longestMs } = cohortBurden(cases, 0.95);
  return { totalLost: list(lostMs), share: list(share), medianDuration: list(medianMs), longest: list(longestMs) };
});
