import type { CoveredLoss, PairDifferences, SitePair } from '../model/site-comparison.ts';
import type { RepeatedAgreement, SubjectDifferences } from '../stats/agreement.ts';
import { repeatedAgreement } from '../stats/agreement.ts';
import { bootstrapMedian } from '../stats/bootstrap-median.ts';
import type { MedianOverCases } from '../stats/bootstrap-median.ts';
import type { OfTotals } from '../stats/case-draws.ts';
import type { BootstrapInterval } from '../stats/cluster-bootstrap.ts';
import { clusterBootstrap } from '../stats/cluster-bootstrap.ts';
import { clusterRobustShare } from '../stats/cluster-share.ts';
import { median } from '../stats/quantile.ts';

/** How cases are drawn anew for the intervals: printed beside them. */
export const CASE_BOOTSTRAP = { replicates: 2000, seed: 1, conf: 0.95 } as const;
/** 95 % limits of agreement, as their authors write them. */
const LIMIT_MULTIPLIER = 1.96;

/** Two sites against each other over several cases. */
export interface PooledPair {
  readonly firstKey: string;
  readonly secondKey: string;
  /** Cases in which both were worn at once, and those in which one followed the other. */
  readonly cases: number;
  readonly casesOneAfterTheOther: number;
  readonly sharedMs: number;
  readonly bothMs: number;
  readonly onlyFirstMs: number;
  readonly onlySecondMs: number;
  readonly neitherMs: number;
  readonly firstCoveredShare: number | null;
  readonly secondCoveredShare: number | null;
  /** Sums of what the recording intervals leave unknown. */
  readonly firstCovered: CoveredLoss;
  readonly secondCovered: CoveredLoss;
  /** Of the shares over cases, from the differences between cases. */
  readonly firstCoveredInterval: CoveredInterval;
  readonly secondCoveredInterval: CoveredInterval;
  /** The same from drawing cases anew, beside it. */
  readonly firstCoveredDrawn: CoveredInterval;
  readonly secondCoveredDrawn: CoveredInterval;
  /** Of stable pairs, cases as subjects. */
  readonly agreement: RepeatedAgreement;
  readonly rms: number | null;
  /** Median over cases of the ratio of perfusion indices. */
  readonly perfusionRatio: number | null;
  readonly lagCases: number;
  readonly lagMs: MedianOverCases;
}

/** Limits of a share of lost time that was covered; null for one case, or where cases do not differ. */
export interface CoveredInterval {
  readonly lower: number | null;
  readonly upper: number | null;
}

/**
 * Returns every two sites over all cases that had both.
 * Shape   by the names of the sensors, in order. Times are summed; differences keep the case as the unit (repeated pairs);
 *         the shares covered have an interval from the differences between cases and, beside it, one from drawing cases
 *         anew; the lag is the median over cases with the latter.
 * Missing a single case gives a bias and no limits: it says nothing of other patients.
 * Source  analysis-spec 9; statistics e; docs/metrics/site-pairs.md.
 */
export function pooledPairs(cases: readonly { readonly caseId: string; readonly pairs: readonly SitePair[] }[]): PooledPair[] {
  const byName = new Map<string, SitePair[]>();
  // Sorted, so that the same cases draw the same samples whatever their order.
  const ordered = [...cases].sort((a, b) => (a.caseId < b.caseId ? -1 : 1));
  for (const { pairs } of ordered) for (const pair of pairs) byName.set(nameOf(pair), [...(byName.get(nameOf(pair)) ?? []), pair]);
  return [...byName.keys()].sort().flatMap((name) => {
    const pairs = byName.get(name) ?? [];
    const [any] = pairs;
    return any === undefined ? [] : [pool(any.firstKey, any.secondKey, pairs)];
  });
}

function nameOf({ firstKey, secondKey }: SitePair): string {
  return `${firstKey}\n${secondKey}`;
}

function pool(firstKey: string, secondKey: string, pairs: readonly SitePair[]): PooledPair {
  const worn = pairs.filter((pair) => pair.sharedMs > 0);
  const sum = (pick: (pair: SitePair) => number) => worn.reduce((total, pair) => total + pick(pair), 0);
  const [onlyFirstMs, onlySecondMs, neitherMs] = [sum((p) => p.onlyFirstMs), sum((p) => p.onlySecondMs), sum((p) => p.neitherMs)];
  const differences = worn.flatMap((pair) => (pair.stablePairs === null ? [] : [pair.stablePairs]));
  const lags = worn.flatMap((pair) => (pair.lag === null ? [] : [pair.lag.lagMs]));
  const count = differences.reduce((n, d) => n + d.n, 0);
  // Covered while the first, or the second, was lost; lost at both.
  const drawn = clusterBootstrap([worn.map((p) => p.onlySecondMs), worn.map((p) => p.onlyFirstMs), worn.map((p) => p.neitherMs)], [coveredOf(0), coveredOf(1)], CASE_BOOTSTRAP);
  return {
    firstKey,
    secondKey,
    cases: worn.length,
    casesOneAfterTheOther: pairs.length - worn.length,
    sharedMs: sum((p) => p.sharedMs),
    bothMs: sum((p) => p.bothMs),
    onlyFirstMs,
    onlySecondMs,
    neitherMs,
    firstCoveredShare: onlySecondMs + neitherMs > 0 ? onlySecondMs / (onlySecondMs + neitherMs) : null,
    secondCoveredShare: onlyFirstMs + neitherMs > 0 ? onlyFirstMs / (onlyFirstMs + neitherMs) : null,
    firstCovered: sumCovered(worn.map((p) => p.firstCovered)),
    secondCovered: sumCovered(worn.map((p) => p.secondCovered)),
    firstCoveredInterval: overCases(worn, (p) => p.onlySecondMs),
    secondCoveredInterval: overCases(worn, (p) => p.onlyFirstMs),
    firstCoveredDrawn: limitsOf(drawn[0]),
    secondCoveredDrawn: limitsOf(drawn[1]),
    agreement: repeatedAgreement(differences.map(asSubject), 0.95, LIMIT_MULTIPLIER),
    rms: count === 0 ? null : Math.sqrt(differences.reduce((total, d) => total + d.n * d.rms ** 2, 0) / count),
    perfusionRatio: median(worn.flatMap((pair) => (pair.perfusionRatio === null ? [] : [pair.perfusionRatio]))),
    lagCases: lags.length,
    lagMs: bootstrapMedian(lags, CASE_BOOTSTRAP),
  };
}

function overCases(pairs: readonly SitePair[], coveredMs: (pair: SitePair) => number): CoveredInterval {
  const { lower, upper } = clusterRobustShare(pairs.map(coveredMs), pairs.map((pair) => coveredMs(pair) + pair.neitherMs), CASE_BOOTSTRAP.conf);
  return { lower, upper };
}

/** The share covered, from totals of what was covered (two columns) and of what was lost at both. */
function coveredOf(column: number): OfTotals {
  return (totals) => {
    const covered = totals[column] ?? NaN;
    return covered / (covered + (totals[2] ?? NaN));
  };
}

function limitsOf(drawn: BootstrapInterval | undefined): CoveredInterval {
  return { lower: drawn?.percentile?.[0] ?? null, upper: drawn?.percentile?.[1] ?? null };
}

function sumCovered(parts: readonly CoveredLoss[]): CoveredLoss {
  const sum = (pick: (part: CoveredLoss) => number) => parts.reduce((total, part) => total + pick(part), 0);
  return {
    leastCoveredMs: sum((p) => p.leastCoveredMs),
    leastLostMs: sum((p) => p.leastLostMs),
    mostCoveredMs: sum((p) => p.mostCoveredMs),
    mostLostMs: sum((p) => p.mostLostMs),
  };
}

function asSubject({ n, bias, sd }: PairDifferences): SubjectDifferences {
  return { n, mean: bias, sumSquares: sd === null ? 0 : sd ** 2 * (n - 1) };
}
