import type { CohortPair, CohortShare } from '../model/site-cohort.ts';
import { CASE_BOOTSTRAP, cohortPairs } from '../sites/cohort-pairs.ts';
import type { CaseReport } from './case-report.ts';
import type { Column } from './column.ts';
import { computed, seconds } from './numbers.ts';

/** A row of site-comparison.csv: two sites over the cases of a run, and the set of definitions of the run. */
export interface ComparisonRow extends CohortPair {
  readonly parameterSet: string;
}

/** Returns the rows of site-comparison.csv. */
export function comparisonRows(cases: readonly Pick<CaseReport, 'caseId' | 'pairs'>[], parameterSet: string): ComparisonRow[] {
  return cohortPairs(cases.map(({ caseId, pairs }) => ({ caseKey: caseId, caseId, pairs }))).map((pair) => ({ ...pair, parameterSet }));
}

const STABLE = 'pairs of stable stretches, cases as subjects with repeated pairs (Bland & Altman 2007)';
const MOVER = 'recovery of variance estimates (Zou 2013)';
const DRAWN = `percentile bootstrap over cases, ${CASE_BOOTSTRAP.replicates} draws, seed ${CASE_BOOTSTRAP.seed}; not to be leaned on below 10 cases`;
const CLUSTERED = 'Student interval on the logit scale, standard error from the differences between cases (docs/methods/intervals-over-cases.md)';
const SAMPLED = 'what the recording interval leaves unknown of the share; cases summed';

const AS_LOST = 'as the column without "doubtful_lost", with weak and disputed samples counted as lost, over the same time';

function coveredAsLost(name: 'first' | 'second', pick: (row: ComparisonRow) => CohortShare | null): Column<ComparisonRow>[] {
  return (['mid', 'low', 'high'] as const).map((limit) => ({
    name: `doubtful_lost_${name}_covered_share${limit === 'mid' ? '' : `_${limit}`}`, meaning: `${limit === 'mid' ? '' : `${limit} estimate of the `}share of the lost time of the ${name} that the other covered, doubtful samples as lost`, unit: '1', type: 'number', how: AS_LOST,
    cell: (row) => computed(pick(row)?.share[limit] ?? null),
  }));
}

/** The columns of site-comparison.csv. */
export const COMPARISON_COLUMNS: readonly Column<ComparisonRow>[] = [
  { name: 'first', meaning: 'site and sensor of the first', unit: '', how: '', cell: (row) => row.firstKey },
  { name: 'second', meaning: 'site and sensor of the second', unit: '', how: '', cell: (row) => row.secondKey },
  { name: 'cases', meaning: 'cases in which both were worn at once', unit: '', type: 'number', how: 'only these answer which site gives more', cell: (row) => row.cases },
  { name: 'cases_one_after_the_other', meaning: 'cases in which one was worn after the other', unit: '', type: 'number', how: 'not used: the second was often chosen because the first had failed', cell: (row) => row.casesOneAfterTheOther },
  { name: 'shared_s', meaning: 'time in which both were meant to give information', unit: 's', type: 'number', how: 'summed over cases', cell: (row) => seconds(row.sharedMs) },
  { name: 'both_s', meaning: 'both gave information', unit: 's', type: 'number', how: 'summed over cases', cell: (row) => seconds(row.bothMs) },
  { name: 'only_first_s', meaning: 'only the first gave information', unit: 's', type: 'number', how: 'summed over cases', cell: (row) => seconds(row.onlyFirstMs) },
  { name: 'only_second_s', meaning: 'only the second gave information', unit: 's', type: 'number', how: 'summed over cases', cell: (row) => seconds(row.onlySecondMs) },
  { name: 'neither_s', meaning: 'neither gave information', unit: 's', type: 'number', how: 'summed over cases', cell: (row) => seconds(row.neitherMs) },
  { name: 'first_covered_share', meaning: 'share of the lost time of the first in which the second gave information', unit: '1', type: 'number', how: 'ratio of the sums: long cases weigh more', cell: (row) => computed(row.firstCovered?.share.mid ?? null) },
  { name: 'second_covered_share', meaning: 'share of the lost time of the second in which the first gave information', unit: '1', type: 'number', how: 'ratio of the sums: long cases weigh more', cell: (row) => computed(row.secondCovered?.share.mid ?? null) },
  { name: 'difference_cases', meaning: 'cases with stable pairs', unit: '', type: 'number', how: STABLE, cell: (row) => row.differenceCases },
  { name: 'difference_pairs', meaning: 'stable pairs', unit: '', type: 'number', how: STABLE, cell: (row) => row.differencePairs },
  { name: 'bias', meaning: 'mean difference, first − second', unit: '%', type: 'number', how: STABLE, cell: (row) => computed(row.bias) },
  { name: 'sd_total', meaning: 'standard deviation of a difference in a new patient', unit: '%', type: 'number', how: 'root of the variances between and within cases; empty for one case', cell: (row) => computed(row.sdTotal) },
  { name: 'limit_lower', meaning: 'lower limit of agreement', unit: '%', type: 'number', how: 'bias − 1.96 sd_total; empty for one case', cell: (row) => computed(row.lower) },
  { name: 'limit_upper', meaning: 'upper limit of agreement', unit: '%', type: 'number', how: 'bias + 1.96 sd_total; empty for one case', cell: (row) => computed(row.upper) },
  { name: 'limit_lower_from', meaning: 'interval of the lower limit, from', unit: '%', type: 'number', how: MOVER, cell: (row) => computed(row.lowerInterval?.[0] ?? null) },
  { name: 'limit_lower_to', meaning: 'interval of the lower limit, to', unit: '%', type: 'number', how: MOVER, cell: (row) => computed(row.lowerInterval?.[1] ?? null) },
  { name: 'limit_upper_from', meaning: 'interval of the upper limit, from', unit: '%', type: 'number', how: MOVER, cell: (row) => computed(row.upperInterval?.[0] ?? null) },
  { name: 'limit_upper_to', meaning: 'interval of the upper limit, to', unit: '%', type: 'number', how: MOVER, cell: (row) => computed(row.upperInterval?.[1] ?? null) },
  { name: 'rms_difference', meaning: 'root-mean-square difference', unit: '%', type: 'number', how: 'over all stable pairs; not an accuracy, neither sensor is a reference', cell: (row) => computed(row.rms) },
  { name: 'lag_cases', meaning: 'cases with a lag', unit: '', type: 'number', how: 'only cases with a clear fall or rise have one', cell: (row) => row.lagMs?.cases ?? 0 },
  { name: 'lag_median_s', meaning: 'how long the second comes after the first', unit: 's', type: 'number', how: 'median over cases', cell: (row) => seconds(row.lagMs?.median ?? null) },
  { name: 'lag_from_s', meaning: 'interval of the median, from', unit: 's', type: 'number', how: DRAWN, cell: (row) => seconds(row.lagInterval?.lower ?? null) },
  { name: 'lag_to_s', meaning: 'interval of the median, to', unit: 's', type: 'number', how: DRAWN, cell: (row) => seconds(row.lagInterval?.upper ?? null) },
  { name: 'pi_ratio', meaning: 'perfusion index of the first over that of the second', unit: '1', type: 'number', how: 'median over cases; means nothing between makes of oximeter', cell: (row) => computed(row.perfusionRatio?.median ?? null) },
  { name: 'first_covered_share_low', meaning: 'the least that first_covered_share can be', unit: '1', type: 'number', how: SAMPLED, cell: (row) => computed(row.firstCovered?.share.low ?? null) },
  { name: 'first_covered_share_high', meaning: 'the most that first_covered_share can be', unit: '1', type: 'number', how: SAMPLED, cell: (row) => computed(row.firstCovered?.share.high ?? null) },
  { name: 'first_covered_share_from', meaning: '95 % interval of first_covered_share over cases, from', unit: '1', type: 'number', how: CLUSTERED, cell: (row) => computed(row.firstCovered?.overCases?.lower ?? null) },
  { name: 'first_covered_share_to', meaning: '95 % interval of first_covered_share over cases, to', unit: '1', type: 'number', how: CLUSTERED, cell: (row) => computed(row.firstCovered?.overCases?.upper ?? null) },
  { name: 'second_covered_share_low', meaning: 'the least that second_covered_share can be', unit: '1', type: 'number', how: SAMPLED, cell: (row) => computed(row.secondCovered?.share.low ?? null) },
  { name: 'second_covered_share_high', meaning: 'the most that second_covered_share can be', unit: '1', type: 'number', how: SAMPLED, cell: (row) => computed(row.secondCovered?.share.high ?? null) },
  { name: 'second_covered_share_from', meaning: '95 % interval of second_covered_share over cases, from', unit: '1', type: 'number', how: CLUSTERED, cell: (row) => computed(row.secondCovered?.overCases?.lower ?? null) },
  { name: 'second_covered_share_to', meaning: '95 % interval of second_covered_share over cases, to', unit: '1', type: 'number', how: CLUSTERED, cell: (row) => computed(row.secondCovered?.overCases?.upper ?? null) },
  { name: 'first_covered_share_drawn_from', meaning: 'the same interval another way, from', unit: '1', type: 'number', how: DRAWN, cell: (row) => computed(row.firstCovered?.drawn?.lower ?? null) },
  { name: 'first_covered_share_drawn_to', meaning: 'the same interval another way, to', unit: '1', type: 'number', how: DRAWN, cell: (row) => computed(row.firstCovered?.drawn?.upper ?? null) },
  { name: 'second_covered_share_drawn_from', meaning: 'the same interval another way, from', unit: '1', type: 'number', how: DRAWN, cell: (row) => computed(row.secondCovered?.drawn?.lower ?? null) },
  { name: 'second_covered_share_drawn_to', meaning: 'the same interval another way, to', unit: '1', type: 'number', how: DRAWN, cell: (row) => computed(row.secondCovered?.drawn?.upper ?? null) },
  { name: 'doubtful_lost_both_s', meaning: 'both gave information, doubtful samples as lost', unit: 's', type: 'number', how: AS_LOST, cell: (row) => seconds(row.doubtfulLost.bothMs) },
  { name: 'doubtful_lost_only_first_s', meaning: 'only the first did, doubtful samples as lost', unit: 's', type: 'number', how: AS_LOST, cell: (row) => seconds(row.doubtfulLost.onlyFirstMs) },
  { name: 'doubtful_lost_only_second_s', meaning: 'only the second did, doubtful samples as lost', unit: 's', type: 'number', how: AS_LOST, cell: (row) => seconds(row.doubtfulLost.onlySecondMs) },
  { name: 'doubtful_lost_neither_s', meaning: 'neither did, doubtful samples as lost', unit: 's', type: 'number', how: AS_LOST, cell: (row) => seconds(row.doubtfulLost.neitherMs) },
  ...coveredAsLost('first', (row) => row.doubtfulLost.firstCovered),
  ...coveredAsLost('second', (row) => row.doubtfulLost.secondCovered),
  { name: 'doubtful_lost_bias', meaning: 'mean difference, doubtful samples as lost', unit: '%', type: 'number', how: AS_LOST, cell: (row) => computed(row.doubtfulLost.bias) },
  { name: 'doubtful_lost_sd_total', meaning: 'standard deviation of a difference in a new patient, doubtful samples as lost', unit: '%', type: 'number', how: AS_LOST, cell: (row) => computed(row.doubtfulLost.sdTotal) },
  { name: 'doubtful_lost_limit_lower', meaning: 'lower limit of agreement, doubtful samples as lost', unit: '%', type: 'number', how: AS_LOST, cell: (row) => computed(row.doubtfulLost.lower) },
  { name: 'doubtful_lost_limit_upper', meaning: 'upper limit of agreement, doubtful samples as lost', unit: '%', type: 'number', how: AS_LOST, cell: (row) => computed(row.doubtfulLost.upper) },
  { name: 'doubtful_lost_rms_difference', meaning: 'root-mean-square difference, doubtful samples as lost', unit: '%', type: 'number', how: AS_LOST, cell: (row) => computed(row.doubtfulLost.rms) },
  { name: 'doubtful_lost_lag_median_s', meaning: 'how long the second comes after the first, doubtful samples as lost', unit: 's', type: 'number', how: AS_LOST, cell: (row) => seconds(row.doubtfulLost.lagMs?.median ?? null) },
  { name: 'parameter_set', meaning: 'name of the set of definitions that the row was worked out with', unit: '', how: 'its values stand in parameters.json', cell: (row) => row.parameterSet },
];
