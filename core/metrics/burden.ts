import type { Range3 } from '../base/interval.ts';
import type { BinomialInterval } from '../stats/clopper-pearson.ts';
import { binomialInterval } from '../stats/clopper-pearson.ts';
import type { ClusterRatio } from '../stats/cluster-ratio.ts';
import { clusterRobustRatio, withinOne } from '../stats/cluster-ratio.ts';
import type { PoissonInterval } from '../stats/exact-poisson.ts';
import { poissonInterval } from '../stats/exact-poisson.ts';
import { median, quantileOfSorted } from '../stats/quantile.ts';

const HOUR_MS = 3_600_000;

/** What one case gives to the burden of many. */
export interface CaseBurden {
  /** Cases of one patient share it. */
  readonly cluster: string;
  readonly monitoredMs: number;
  /** Length of each loss. */
  readonly lostMs: readonly Range3[];
}

/** How often and how long information was lost over cases. */
export interface CohortBurden {
  readonly cases: number;
  readonly clusters: number;
  readonly casesWithLoss: number;
  /** casesWithLoss over cases. */
  readonly withLoss: BinomialInterval;
  readonly losses: number;
  readonly monitoredMs: number;
  readonly lostMs: Range3;
  /** Ratio of the totals; null without monitored time. */
  readonly share: Range3 | null;
  /** The same, mid, with its interval over clusters, cut at 1. */
  readonly shareOverCases: ClusterRatio;
  /** Losses per monitored hour with the interval over clusters, and with the exact one that holds only if losses were independent. */
  readonly perHour: ClusterRatio;
  readonly perHourIfIndependent: PoissonInterval;
  /** Of the lengths of all losses together, limit by limit; null without a loss. */
  readonly lowerQuartileMs: Range3 | null;
  readonly medianMs: Range3 | null;
  readonly upperQuartileMs: Range3 | null;
  readonly longestMs: Range3 | null;
  /** Of the cases' own shares, mid: the ratio of the totals weighs long cases more. */
  readonly medianShareOfCases: number | null;
}

/**
 * Returns the burden of lost information over cases.
 * Shape   cases in any order. A case without monitored time counts as a case and in no denominator.
 * Units   ms; shares from 0 to 1; rates per hour.
 * Missing without a case, a loss or monitored time the figures that hang on it are null, never 0.
 * Source  statistics a; docs/methods/intervals-over-cases.md. The bounds of the losses are added limit by limit.
 * Example 12, 30, 8 · none · 240 · 5, 5, 60, 90, 15 s lost in 1, 2, 1.5 and 0.5 h → 9 losses, 465 s, 2.58 %, 1.8 an hour, median 15 s.
 */
export function cohortBurden(cases: readonly CaseBurden[], conf: number): CohortBurden {
  const lost = cases.flatMap((one) => one.lostMs);
  const byCluster = new Map<string, { losses: number; lostMs: number; monitoredMs: number }>();
  let monitoredMs = 0;
  for (const one of cases) {
    const sums = byCluster.get(one.cluster) ?? { losses: 0, lostMs: 0, monitoredMs: 0 };
    sums.losses += one.lostMs.length;
    sums.lostMs += lostMid(one);
    sums.monitoredMs += one.monitoredMs;
    monitoredMs += one.monitoredMs;
    byCluster.set(one.cluster, sums);
  }
  const sums = [...byCluster.values()];
  const lostMs = sumOf(lost);
  const quantiles = quantilesOf(lost);
  const casesWithLoss = cases.filter((one) => one.lostMs.length > 0).length;
  const hours = sums.map((one) => one.monitoredMs / HOUR_MS);
  return {
    cases: cases.length,
    clusters: sums.length,
    casesWithLoss,
    withLoss: binomialInterval(casesWithLoss, cases.length, conf),
    losses: lost.length,
    monitoredMs,
    lostMs,
    share: monitoredMs > 0 ? { low: lostMs.low / monitoredMs, mid: lostMs.mid / monitoredMs, high: lostMs.high / monitoredMs } : null,
    shareOverCases: withinOne(clusterRobustRatio(sums.map((one) => one.lostMs), sums.map((one) => one.monitoredMs), conf)),
    perHour: clusterRobustRatio(sums.map((one) => one.losses), hours, conf),
    perHourIfIndependent: poissonInterval(lost.length, monitoredMs / HOUR_MS, conf),
    lowerQuartileMs: quantiles(0.25),
    medianMs: quantiles(0.5),
    upperQuartileMs: quantiles(0.75),
    longestMs: quantiles(1),
    medianShareOfCases: median(cases.filter((one) => one.monitoredMs > 0).map((one) => lostMid(one) / one.monitoredMs)),
  };
}

function lostMid({ lostMs }: CaseBurden): number {
  return lostMs.reduce((total, one) => total + one.mid, 0);
}

/** Returns a function that gives a quantile of each limit (type 7), null without a loss. Each limit is sorted once. */
function quantilesOf(lost: readonly Range3[]): (p: number) => Range3 | null {
  const sorted = (pick: (one: Range3) => number) => Float64Array.from(lost, pick).sort();
  const [lows, mids, highs] = [sorted((one) => one.low), sorted((one) => one.mid), sorted((one) => one.high)];
  return (p) => {
    const [low, mid, high] = [quantileOfSorted(lows, p), quantileOfSorted(mids, p), quantileOfSorted(highs, p)];
    return low === null || mid === null || high === null ? null : { low, mid, high };
  };
}

function sumOf(lost: readonly Range3[]): Range3 {
  return lost.reduce((sum, { low, mid, high }) => ({ low: sum.low + low, mid: sum.mid + mid, high: sum.high + high }), { low: 0, mid: 0, high: 0 });
}
