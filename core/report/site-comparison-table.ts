import { coveredRange } from '../model/site-comparison.ts';
import type { PooledPair } from '../sites/pooled-pairs.ts';
import { CASE_BOOTSTRAP, pooledPairs } from '../sites/pooled-pairs.ts';
import type { CaseReport } from './case-report.ts';
import type { Column } from './column.ts';
import { computed, seconds } from './numbers.ts';

/** Returns the rows of site-comparison.csv. */
export function comparisonRows(cases: readonly Pick<CaseReport, 'caseId' | 'pairs'>[]): PooledPair[] {
  return pooledPairs(cases);
}

const STABLE = 'pairs of stable stretches, cases as subjects with repeated pairs (Bland & Altman 2007)';
const MOVER = 'recovery of variance estimates (Zou 2013)';
const DRAWN = `percentile bootstrap over cases, ${CASE_BOOTSTRAP.replicates} draws, seed ${CASE_BOOTSTRAP.seed}; not to be leaned on below 10 cases`;
const CLUSTERED = 'Student interval on the logit scale, standard error from the differences between cases (docs/methods/intervals-over-cases.md)';
const SAMPLED = 'what the recording interval leaves unknown of the share; cases summed';

/** The columns of site-comparison.csv. */
export const COMPARISON_COLUMNS: readonly Column<PooledPair>[] = [
  { name: 'first', meaning: 'site and sensor of the first', unit: '', how: '', cell: (row) => row.firstKey },
  { name: 'second', meaning: 'site and sensor of the second', unit: '', how: '', cell: (row) => row.secondKey },
  { name: 'cases', meaning: 'cases in which both were worn at once', unit: '', how: 'only these answer which site gives more', cell: (row) => row.cases },
  { name: 'cases_one_after_the_other', meaning: 'cases in which one was worn after the other', unit: '', how: 'not used: the second was often chosen because the first had failed', cell: (row) => row.casesOneAfterTheOther },
  { name: 'shared_s', meaning: 'time in which both were meant to give information', unit: 's', how: 'summed over cases', cell: (row) => seconds(row.sharedMs) },
  { name: 'both_s', meaning: 'both gave information', unit: 's', how: 'summed over cases', cell: (row) => seconds(row.bothMs) },
  { name: 'only_first_s', meaning: 'only the first gave information', unit: 's', how: 'summed over cases', cell: (row) => seconds(row.onlyFirstMs) },
  { name: 'only_second_s', meaning: 'only the second gave information', unit: 's', how: 'summed over cases', cell: (row) => seconds(row.onlySecondMs) },
  { name: 'neither_s', meaning: 'neither gave information', unit: 's', how: 'summed over cases', cell: (row) => seconds(row.neitherMs) },
  { name: 'first_covered_share', meaning: 'share of the lost time of the first in which the second gave information', unit: '1', how: 'ratio of the sums: long cases weigh more', cell: (row) => computed(row.firstCoveredShare) },
  { name: 'second_covered_share', meaning: 'share of the lost time of the second in which the first gave information', unit: '1', how: 'ratio of the sums: long cases weigh more', cell: (row) => computed(row.secondCoveredShare) },
  { name: 'difference_cases', meaning: 'cases with stable pairs', unit: '', how: STABLE, cell: (row) => row.agreement.subjects },
  { name: 'difference_pairs', meaning: 'stable pairs', unit: '', how: STABLE, cell: (row) => row.agreement.pairs },
  { name: 'bias', meaning: 'mean difference, first − second', unit: '%', how: STABLE, cell: (row) => computed(row.agreement.bias) },
  { name: 'sd_total', meaning: 'standard deviation of a difference in a new patient', unit: '%', how: 'root of the variances between and within cases; empty for one case', cell: (row) => computed(row.agreement.sdTotal) },
  { name: 'limit_lower', meaning: 'lower limit of agreement', unit: '%', how: 'bias − 1.96 sd_total; empty for one case', cell: (row) => computed(row.agreement.lower) },
  { name: 'limit_upper', meaning: 'upper limit of agreement', unit: '%', how: 'bias + 1.96 sd_total; empty for one case', cell: (row) => computed(row.agreement.upper) },
  { name: 'limit_lower_from', meaning: 'interval of the lower limit, from', unit: '%', how: MOVER, cell: (row) => computed(row.agreement.mover?.lowerLimitCI[0] ?? null) },
  { name: 'limit_lower_to', meaning: 'interval of the lower limit, to', unit: '%', how: MOVER, cell: (row) => computed(row.agreement.mover?.lowerLimitCI[1] ?? null) },
  { name: 'limit_upper_from', meaning: 'interval of the upper limit, from', unit: '%', how: MOVER, cell: (row) => computed(row.agreement.mover?.upperLimitCI[0] ?? null) },
  { name: 'limit_upper_to', meaning: 'interval of the upper limit, to', unit: '%', how: MOVER, cell: (row) => computed(row.agreement.mover?.upperLimitCI[1] ?? null) },
  { name: 'rms_difference', meaning: 'root-mean-square difference', unit: '%', how: 'over all stable pairs; not an accuracy, neither sensor is a reference', cell: (row) => computed(row.rms) },
  { name: 'lag_cases', meaning: 'cases with a lag', unit: '', how: 'only cases with a clear fall or rise have one', cell: (row) => row.lagCases },
  { name: 'lag_median_s', meaning: 'how long the second comes after the first', unit: 's', how: 'median over cases', cell: (row) => seconds(row.lagMs.median) },
  { name: 'lag_from_s', meaning: 'interval of the median, from', unit: 's', how: DRAWN, cell: (row) => seconds(row.lagMs.lower) },
  { name: 'lag_to_s', meaning: 'interval of the median, to', unit: 's', how: DRAWN, cell: (row) => seconds(row.lagMs.upper) },
  { name: 'pi_ratio', meaning: 'perfusion index of the first over that of the second', unit: '1', how: 'median over cases; means nothing between makes of oximeter', cell: (row) => computed(row.perfusionRatio) },
  { name: 'first_covered_share_low', meaning: 'the least that first_covered_share can be', unit: '1', how: SAMPLED, cell: (row) => computed(coveredRange(row.firstCoveredShare, row.firstCovered)?.low ?? null) },
  { name: 'first_covered_share_high', meaning: 'the most that first_covered_share can be', unit: '1', how: SAMPLED, cell: (row) => computed(coveredRange(row.firstCoveredShare, row.firstCovered)?.high ?? null) },
  { name: 'first_covered_share_from', meaning: '95 % interval of first_covered_share over cases, from', unit: '1', how: CLUSTERED, cell: (row) => computed(row.firstCoveredInterval.lower) },
  { name: 'first_covered_share_to', meaning: '95 % interval of first_covered_share over cases, to', unit: '1', how: CLUSTERED, cell: (row) => computed(row.firstCoveredInterval.upper) },
  { name: 'second_covered_share_low', meaning: 'the least that second_covered_share can be', unit: '1', how: SAMPLED, cell: (row) => computed(coveredRange(row.secondCoveredShare, row.secondCovered)?.low ?? null) },
  { name: 'second_covered_share_high', meaning: 'the most that second_covered_share can be', unit: '1', how: SAMPLED, cell: (row) => computed(coveredRange(row.secondCoveredShare, row.secondCovered)?.high ?? null) },
  { name: 'second_covered_share_from', meaning: '95 % interval of second_covered_share over cases, from', unit: '1', how: CLUSTERED, cell: (row) => computed(row.secondCoveredInterval.lower) },
  { name: 'second_covered_share_to', meaning: '95 % interval of second_covered_share over cases, to', unit: '1', how: CLUSTERED, cell: (row) => computed(row.secondCoveredInterval.upper) },
  { name: 'first_covered_share_drawn_from', meaning: 'the same interval another way, from', unit: '1', how: DRAWN, cell: (row) => computed(row.firstCoveredDrawn.lower) },
  { name: 'first_covered_share_drawn_to', meaning: 'the same interval another way, to', unit: '1', how: DRAWN, cell: (row) => computed(row.firstCoveredDrawn.upper) },
  { name: 'second_covered_share_drawn_from', meaning: 'the same interval another way, from', unit: '1', how: DRAWN, cell: (row) => computed(row.secondCoveredDrawn.lower) },
  { name: 'second_covered_share_drawn_to', meaning: 'the same interval another way, to', unit: '1', how: DRAWN, cell: (row) => computed(row.secondCoveredDrawn.upper) },
];
