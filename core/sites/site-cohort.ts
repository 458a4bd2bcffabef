import type { CaseSiteFigures, CohortPair, CohortPairCase, CohortSensor, CohortSensorCase, CohortShare, SiteCohort, Spread } from '../model/site-cohort.ts';
import type { CoveredLoss, SitePair } from '../model/site-comparison.ts';
import { coveredRange, PAIR_CAUTIONS } from '../model/site-comparison.ts';
import { median } from '../stats/quantile.ts';
import type { CoveredInterval, PooledPair } from './pooled-pairs.ts';
import { CASE_BOOTSTRAP, pooledPairs } from './pooled-pairs.ts';

const HOUR_MS = 3_600_000;

/**
 * Returns every two sites, and every site, over cases, each figure with the cases behind it.
 * Shape   the figures of a pair are those of `pooledPairs` (and so of site-comparison.csv); rows by case id.
 * Missing perfusion indices are not summed over cases: makes of oximeter differ. Only medians and their spread are given.
 * Source  analysis-spec 9; statistics e; docs/metrics/site-pairs.md, signal-strength.md.
 */
export function siteCohort(cases: readonly CaseSiteFigures[]): Pick<SiteCohort, 'pairs' | 'sensors' | 'draws'> {
  const ordered = [...cases].sort((a, b) => (a.caseId < b.caseId ? -1 : a.caseId > b.caseId ? 1 : 0));
  return {
    draws: CASE_BOOTSTRAP,
    pairs: pooledPairs(ordered).map((pooled) => cohortPair(pooled, ordered)),
    sensors: cohortSensors(ordered),
  };
}

function cohortPair(pooled: PooledPair, cases: readonly CaseSiteFigures[]): CohortPair {
  const { firstKey, secondKey, agreement, lagMs } = pooled;
  const rows = cases.flatMap(({ caseKey, caseId, pairs }) => pairs.filter((p) => p.firstKey === firstKey && p.secondKey === secondKey).map((pair) => rowOf(caseKey, caseId, pair)));
  const worn = rows.filter((row) => row.sharedMs > 0);
  const mids = (pick: (row: CohortPairCase) => number | undefined | null) => worn.flatMap((row) => pick(row) ?? []);
  return {
    firstKey,
    secondKey,
    cases: pooled.cases,
    casesOneAfterTheOther: pooled.casesOneAfterTheOther,
    sharedMs: pooled.sharedMs,
    bothMs: pooled.bothMs,
    onlyFirstMs: pooled.onlyFirstMs,
    onlySecondMs: pooled.onlySecondMs,
    neitherMs: pooled.neitherMs,
    firstCovered: shareOf(pooled.firstCoveredShare, pooled.firstCovered, pooled.firstCoveredInterval, pooled.firstCoveredDrawn, mids((row) => row.firstCovered?.mid)),
    secondCovered: shareOf(pooled.secondCoveredShare, pooled.secondCovered, pooled.secondCoveredInterval, pooled.secondCoveredDrawn, mids((row) => row.secondCovered?.mid)),
    differenceCases: agreement.subjects,
    differencePairs: agreement.pairs,
    bias: agreement.bias,
    sdTotal: agreement.sdTotal,
    lower: agreement.lower,
    upper: agreement.upper,
    lowerInterval: agreement.mover?.lowerLimitCI ?? null,
    upperInterval: agreement.mover?.upperLimitCI ?? null,
    rms: pooled.rms,
    perfusionRatio: spread(mids((row) => row.perfusionRatio)),
    lagMs: spread(mids((row) => row.lag?.lagMs)),
    lagInterval: lagMs.lower === null || lagMs.upper === null ? null : { lower: lagMs.lower, upper: lagMs.upper },
    cautions: PAIR_CAUTIONS.flatMap((caution) => {
      const count = rows.filter((row) => row.cautions.includes(caution)).length;
      return count === 0 ? [] : [{ caution, cases: count }];
    }),
    rows,
  };
}

function rowOf(caseKey: string, caseId: string, pair: SitePair): CohortPairCase {
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

function shareOf(mid: number | null, covered: CoveredLoss, overCases: CoveredInterval, drawn: CoveredInterval, ofCases: readonly number[]): CohortShare | null {
  const share = coveredRange(mid, covered);
  const over = spread(ofCases);
  return share === null || over === null ? null : { share, overCases: bothLimits(overCases), drawn: bothLimits(drawn), spread: over };
}

function bothLimits({ lower, upper }: CoveredInterval): CohortShare['overCases'] {
  return lower === null || upper === null ? null : { lower, upper };
}

function cohortSensors(cases: readonly CaseSiteFigures[]): CohortSensor[] {
  const bySite = new Map<string, CohortSensorCase[]>();
  for (const { caseKey, caseId, sensors } of cases) {
    for (const sensor of sensors) {
      const rows = bySite.get(sensor.siteKey) ?? [];
      rows.push({ caseKey, caseId, ...sensor });
      bySite.set(sensor.siteKey, rows);
    }
  }
  return [...bySite.keys()].sort().map((siteKey) => {
    const rows = bySite.get(siteKey) ?? [];
    const monitored = rows.filter((row) => row.monitoredMs > 0);
    const perHour = (pick: (row: CohortSensorCase) => number) => spread(monitored.map((row) => (pick(row) * HOUR_MS) / row.monitoredMs));
    const ofIndex = (pick: (perfusion: NonNullable<CohortSensorCase['perfusion']>) => number) => spread(rows.flatMap(({ perfusion }) => (perfusion === null ? [] : [pick(perfusion)])));
    return {
      siteKey,
      cases: monitored.length,
      monitoredMs: monitored.reduce((sum, row) => sum + row.monitoredMs, 0),
      perfusion: ofIndex((p) => p.median),
      belowWeakShare: ofIndex((p) => p.belowWeakShare),
      belowDesirableShare: ofIndex((p) => p.belowDesirableShare),
      shortLossesPerH: perHour((row) => row.shortLosses),
      doubtfulRunsPerH: perHour((row) => row.doubtfulRuns),
      rows,
    };
  });
}

function spread(values: readonly number[]): Spread | null {
  const middle = median(values);
  if (middle === null) return null;
  return {
    cases: values.length,
    least: values.reduce((least, v) => Math.min(least, v), Infinity),
    median: middle,
    most: values.reduce((most, v) => Math.max(most, v), -Infinity),
  };
}
