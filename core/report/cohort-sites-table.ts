import type { CoverageFigure, WithinPatients, WithinPatientsAll } from '../model/cohort-sites.ts';
import type { CohortColumn } from './cohort-row.ts';
import { drawColumns, intervalColumns, setColumn } from './cohort-row.ts';
import { computed, seconds } from './numbers.ts';

/** Two sites, or all of them, within the same patients. */
export interface SitesTableRow {
  readonly pair: WithinPatients | null;
  readonly all: WithinPatientsAll | null;
}

const HL = 'Hodges–Lehmann: median of all averages of two differences, zeros included';

function ofPair(pick: (pair: WithinPatients) => number | string | null): (row: { readonly of: SitesTableRow }) => number | string | null {
  return ({ of }) => (of.pair === null ? null : pick(of.pair));
}

/** The columns of cohort-sites.csv. */
export const SITES_COLUMNS: readonly CohortColumn<SitesTableRow>[] = [
  { name: 'outcome', meaning: 'what is compared', unit: '', how: '`share lost` of the common time, or `dropouts per hour` of it', cell: ({ of }) => of.pair?.outcome ?? of.all?.outcome ?? '' },
  { name: 'first', meaning: 'first site', unit: '', how: 'in a row of all sites together: their names, parted by `; `', cell: ({ of }) => of.pair?.firstKey ?? of.all?.siteKeys.join('; ') ?? '' },
  { name: 'second', meaning: 'second site', unit: '', how: 'empty in a row of all sites together', cell: ({ of }) => of.pair?.secondKey ?? '' },
  { name: 'units', meaning: 'units with 10 min or more in which all were meant to give information', unit: '', how: 'cases, or patients where a column names them', cell: ({ of }) => of.pair?.units ?? of.all?.units ?? null },
  { name: 'units_too_short', meaning: 'units with both at once for less', unit: '', how: 'not compared', cell: ofPair((pair) => pair.unitsTooShort) },
  { name: 'cases', meaning: 'cases behind the units', unit: '', how: '', cell: ofPair((pair) => pair.cases) },
  { name: 'shared_s', meaning: 'common time', unit: 's', how: 'record gaps, and bypass unless the parameters keep it, taken out', cell: ofPair((pair) => seconds(pair.sharedMs)) },
  { name: 'first_median', meaning: 'median of the first over the units', unit: '', how: 'share, or dropouts per hour', cell: ofPair((pair) => computed(pair.firstMedian)) },
  { name: 'second_median', meaning: 'median of the second over the units', unit: '', how: 'share, or dropouts per hour', cell: ofPair((pair) => computed(pair.secondMedian)) },
  { name: 'difference', meaning: 'difference, first − second', unit: '', how: HL, cell: ofPair((pair) => computed(pair.difference)) },
  { name: 'difference_from', meaning: 'interval of the difference, from', unit: '', how: 'distribution-free, from the law of the signed ranks', cell: ofPair((pair) => computed(pair.differenceLower)) },
  { name: 'difference_to', meaning: 'interval of the difference, to', unit: '', how: 'as before', cell: ofPair((pair) => computed(pair.differenceUpper)) },
  { name: 'difference_method', meaning: 'how the difference was estimated', unit: '', how: '', cell: ofPair(() => 'Hodges-Lehmann') },
  { name: 'difference_conf', meaning: 'confidence that the interval really has', unit: '1', how: 'ranks are whole numbers', cell: ofPair((pair) => computed(pair.achievedConf)) },
  { name: 'difference_reason', meaning: 'why there is no interval', unit: '', how: '', cell: ({ of }) => of.pair?.reason ?? of.all?.reason ?? '' },
  { name: 'mean_difference', meaning: 'mean difference', unit: '', how: 'what the test by turned signs is about', cell: ofPair((pair) => computed(pair.meanDifference)) },
  { name: 'units_without_difference', meaning: 'units with the same at both', unit: '', how: 'kept in the ranks (Pratt)', cell: ofPair((pair) => pair.zeros) },
  { name: 'p', meaning: 'two-sided p', unit: '', how: 'signed ranks with Pratt’s zeros; all sites: Friedman, corrected for ties', cell: ({ of }) => computed(of.pair?.p ?? of.all?.p ?? null) },
  { name: 'p_method', meaning: 'how p was worked out', unit: '', how: '', cell: ({ of }) => (of.pair === null ? 'Friedman' : of.pair.pMethod === null ? '' : `signed rank (Pratt), ${of.pair.pMethod}`) },
  { name: 'p_holm', meaning: 'p adjusted over all pairs of the outcome', unit: '', how: 'Holm', cell: ofPair((pair) => computed(pair.pHolm)) },
  { name: 'p_without_zeros', meaning: 'sensitivity: units without a difference left out', unit: '', how: 'signed ranks (Wilcoxon)', cell: ofPair((pair) => computed(pair.pWithoutZeros)) },
  { name: 'p_sign', meaning: 'sensitivity: the signs alone', unit: '', how: 'sign test, exact', cell: ofPair((pair) => computed(pair.pSign)) },
  { name: 'p_turned_signs', meaning: 'sensitivity: the mean under turned signs', unit: '', how: 'exact to 36 differences that are not 0, else drawn', cell: ofPair((pair) => computed(pair.pSignFlip)) },
  { name: 'chi_square', meaning: 'Friedman’s statistic', unit: '', how: 'only in a row of all sites together', cell: ({ of }) => computed(of.all?.chiSquare ?? null) },
  { name: 'df', meaning: 'its degrees of freedom', unit: '', how: '', cell: ({ of }) => of.all?.df ?? null },
  { name: 'ratio', meaning: 'first over second, totals over the common time', unit: '1', how: 'empty where the second lost nothing', cell: ofPair((pair) => computed(pair.ratio)) },
  ...intervalColumns<SitesTableRow>('ratio', 'the ratio', '1', (of) => of.pair?.ratioInterval ?? null),
  ...drawColumns<SitesTableRow>(),
  setColumn(),
];

/** The columns of cohort-coverage.csv. */
export const COVERAGE_COLUMNS: readonly CohortColumn<CoverageFigure>[] = [
  { name: 'site', meaning: 'the sensor that lost', unit: '', how: '', cell: ({ of }) => of.lostKey },
  { name: 'other', meaning: 'the sensor worn beside it', unit: '', how: '', cell: ({ of }) => of.otherKey },
  { name: 'cases', meaning: 'cases in which both were worn at once', unit: '', how: '', cell: ({ of }) => of.cases },
  { name: 'shared_s', meaning: 'time in which both were meant to give information', unit: 's', how: 'summed over cases', cell: ({ of }) => seconds(of.sharedMs) },
  { name: 'lost_s', meaning: 'time lost at the sensor', unit: 's', how: 'every loss of the common time, however short', cell: ({ of }) => seconds(of.lostMs) },
  { name: 'covered_s', meaning: 'of it, time in which the other had information', unit: 's', how: '', cell: ({ of }) => seconds(of.coveredMs) },
  { name: 'covered_share', meaning: 'share of the lost time that the other covered', unit: '1', how: 'ratio of the totals', cell: ({ of }) => computed(of.share) },
  ...intervalColumns<CoverageFigure>('covered_share', 'that share over units', '1', (of) => of.interval),
  setColumn(),
];
