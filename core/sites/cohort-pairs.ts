import type { CaseSiteFigures, CohortFigures, CohortPair, CohortPairCase, CohortShare } from '../model/site-cohort.ts';
import type { CoveredLoss, PairDifferences, PairFigures, SitePair } from '../model/site-comparison.ts';
import { coveredRange, PAIR_CAUTIONS } from '../model/site-comparison.ts';
import type { SubjectDifferences } from '../stats/agreement.ts';
import { repeatedAgreement } from '../stats/agreement.ts';
import { bootstrapMedian } from '../stats/bootstrap-median.ts';
import type { OfTotals } from '../stats/case-draws.ts';
import type { BootstrapInterval } from '../stats/cluster-bootstrap.ts';
import { clusterBootstrap } from '../stats/cluster-bootstrap.ts';
import { clusterRobustShare } from '../stats/cluster-share.ts';
import { spreadOf } from './spread.ts';

/** How cases are drawn anew for the intervals: printed beside them. */
export const CASE_BOOTSTRAP = { replicates: 2000, seed: 1, conf: 0.95 } as const;
/** 95 % limits of agreement, as their authors write them. */
const LIMIT_MULTIPLIER = 1.96;

/**
 * Returns every two sites over all cases that had both, each with the cases behind it.
 * Shape   by the names of the sensors, in order; rows by case id. Times are summed; differences keep the case as the unit
 *         (repeated pairs); the shares covered have an interval from the differences between cases and, beside it, one from
 *         drawing cases anew; the lag is the median over cases with the latter. All twice: doubtful samples as information,
 *         and as lost.
 * Missing a single case gives a bias and no limits: it says nothing of other patients. Perfusion indices are not summed over
 *         cases: makes of oximeter differ.
 * Source  analysis-spec 9; statistics e; docs/metrics/site-pairs.md.
 */
export function cohortPairs(cases: readonly Pick<CaseSiteFigures, 'caseKey' | 'caseId' | 'pairs'>[]): CohortPair[] {
  // Sorted, so that the same cases draw the same samples whatever their order.
  const ordered = [...cases].sort((a, b) => (a.caseId < b.caseId ? -1 : a.caseId > b.caseId ? 1 : 0));
  const byName = new Map<string, Of[]>();
  for (const { caseKey, caseId, pairs } of ordered) {
    for (const pair of pairs) {
      const name = `${pair.firstKey}\n${pair.secondKey}`;
      byName.set(name, [...(byName.get(name) ?? []), { caseKey, caseId, pair }]);
    }
  }
  return [...byName.keys()].sort().map((name) => cohortPair(byName.get(name) ?? []));
}

/** A pair of sensors of one case. */
interface Of {
  readonly caseKey: string;
  readonly caseId: string;
  readonly pair: SitePair;
}

function cohortPair(all: readonly Of[]): CohortPair {
  const worn = all.flatMap(({ pair }) => (pair.sharedMs > 0 ? [pair] : []));
  return {
    firstKey: all[0]?.pair.firstKey ?? '',
    secondKey: all[0]?.pair.secondKey ?? '',
    cases: worn.length,
    casesOneAfterTheOther: all.length - worn.length,
    sharedMs: worn.reduce((total, pair) => total + pair.sharedMs, 0),
    ...cohortFigures(worn),
    perfusionRatio: spreadOf(worn.flatMap((pair) => pair.perfusionRatio ?? [])),
    cautions: PAIR_CAUTIONS.flatMap((caution) => {
      const cases = all.filter(({ pair }) => pair.cautions.includes(caution)).length;
      return cases === 0 ? [] : [{ caution, cases }];
    }),
    doubtfulLost: cohortFigures(worn.map((pair) => pair.doubtfulLost)),
    rows: all.map(rowOf),
  };
}

/** What the pairs of the cases, in the order of the case ids, give together. */
function cohortFigures(pairs: readonly PairFigures[]): CohortFigures {
  const sum = (pick: (pair: PairFigures) => number) => pairs.reduce((total, pair) => total + pick(pair), 0);
  const differences = pairs.flatMap((pair) => pair.stablePairs ?? []);
  const lags = pairs.flatMap((pair) => (pair.lag === null ? [] : [pair.lag.lagMs]));
  const count = differences.reduce((n, d) => n + d.n, 0);
  const agreement = repeatedAgreement(differences.map(asSubject), CASE_BOOTSTRAP.conf, LIMIT_MULTIPLIER);
  const lag = bootstrapMedian(lags, CASE_BOOTSTRAP);
  // Covered while the first, or the second, was lost; lost at both.
  const drawn = clusterBootstrap([pairs.map((p) => p.onlySecondMs), pairs.map((p) => p.onlyFirstMs), pairs.map((p) => p.neitherMs)], [coveredOf(0), coveredOf(1)], CASE_BOOTSTRAP);
  return {
    bothMs: sum((p) => p.bothMs),
    onlyFirstMs: sum((p) => p.onlyFirstMs),
    onlySecondMs: sum((p) => p.onlySecondMs),
    neitherMs: sum((p) => p.neitherMs),
    firstCovered: shareOf(pairs, (p) => p.onlySecondMs, (p) => p.firstCovered, (p) => p.firstCoveredShare, drawn[0]),
    secondCovered: shareOf(pairs, (p) => p.onlyFirstMs, (p) => p.secondCovered, (p) => p.secondCoveredShare, drawn[1]),
    differenceCases: agreement.subjects,
    differencePairs: agreement.pairs,
    bias: agreement.bias,
    sdTotal: agreement.sdTotal,
    lower: agreement.lower,
    upper: agreement.upper,
    lowerInterval: agreement.mover?.lowerLimitCI ?? null,
    upperInterval: agreement.mover?.upperLimitCI ?? null,
    rms: count === 0 ? null : Math.sqrt(differences.reduce((total, d) => total + d.n * d.rms ** 2, 0) / count),
    lagMs: spreadOf(lags),
    lagInterval: bothLimits(lag.lower, lag.upper),
  };
}

function shareOf(
  pairs: readonly PairFigures[], coveredMs: (pair: PairFigures) => number, bounds: (pair: PairFigures) => CoveredLoss, ofCase: (pair: PairFigures) => number | null, drawn: BootstrapInterval | undefined,
): CohortShare | null {
  const covered = pairs.reduce((total, pair) => total + coveredMs(pair), 0);
  const lost = pairs.reduce((total, pair) => total + coveredMs(pair) + pair.neitherMs, 0);
  const share = coveredRange(lost > 0 ? covered / lost : null, sumCovered(pairs.map(bounds)));
  const spread = spreadOf(pairs.flatMap((pair) => ofCase(pair) ?? []));
  if (share === null || spread === null) return null;
  const robust = clusterRobustShare(pairs.map(coveredMs), pairs.map((pair) => coveredMs(pair) + pair.neitherMs), CASE_BOOTSTRAP.conf);
  return { share, overCases: bothLimits(robust.lower, robust.upper), drawn: bothLimits(drawn?.percentile?.[0] ?? null, drawn?.percentile?.[1] ?? null), spread };
}

function bothLimits(lower: number | null, upper: number | null): { readonly lower: number; readonly upper: number } | null {
  return lower === null || upper === null ? null : { lower, upper };
}

/** The share covered, from totals of what was covered (two columns) and of what was lost at both. */
function coveredOf(column: number): OfTotals {
  return (totals) => {
    const covered = totals[column] ?? NaN;
    return covered / (covered + (totals[2] ?? NaN));
  };
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

function rowOf({ caseKey, caseId, pair }: Of): CohortPairCase {
  return {
    caseKey,
    caseId,
    sharedMs: pair.sharedMs,
    bothMs: pair.bothMs,
    onlyFirstMs: pair.onlyFirstMs,
    onlySecondMs: pair.onlySecondMs,
    neitherMs: pair.neitherMs,
    firstCovered: coveredRange(pair.firstCoveredShare, pair.firstCovered),
    secondCovered: coveredRange(pair.secondCoveredShare, pair.secondCovered),
    pairs: pair.stablePairs?.n ?? 0,
    bias: pair.stablePairs?.bias ?? null,
    rms: pair.stablePairs?.rms ?? null,
    lag: pair.lag,
    perfusionRatio: pair.perfusionRatio,
    cautions: pair.cautions,
  };
}
