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

function ofPair<T extends number | string>(pick: (pair: WithinPatients) => T | null): (row: { readonly of: SitesTableRow }) => T | null {
  return ({ of }) => (of.pair === null ? null : pick(of.pair));
}

/** The columns of cohort-sites.csv. */
export const SITES_COLUMNS: readonly CohortColumn<SitesTableRow>[] = [
  { name: 'outcome', meaning: 'what is compared', unit: '', how: '`share lost` of the common time, or `dropouts per hour` of it', cell: ({ of }) => of.pair?.outcome ?? of.all?.outcome ?? '' },
  { name: 'first', meaning: 'first site', unit: '', how: 'in a row of all sites together: their names, parted by `; `', cell: ({ of }) => of.pair?.firstKey ?? of.all?.siteKeys.join('; ') ?? '' },
  { name: 'second', meaning: 'second site', unit: '', how: 'empty in a row of all sites together', cell: ({ of }) => of.pair?.secondKey ?? '' },
  { name: 'units', meaning: 'units with 10 min or more in which all were meant to give information', unit: '', type: 'number', how: 'cases, or patients where a column names them', cell: ({ of }) => of.pair?.units ?? of.all?.units ?? null },
  { name: 'units_too_short', meaning: 'units with both at once for less', unit: '', type: 'number', how: 'not compared', cell: ofPair((pair) => pair.unitsTooShort) },
  { name: 'cases', meaning: 'cases behind the units', unit: '', type: 'number', how: '', cell: ofPair((pair) => pair.cases) },
  { name: 'shared_s', meaning: 'common time', unit: 's', type: 'number', how: 'record gaps, and bypass unless the parameters keep it, taken out', cell: ofPair((pair) => seconds(pair.sharedMs)) },
  { name: 'first_median', meaning: 'median of the first over the units', unit: '', type: 'number', how: 'share, or dropouts per hour', cell: ofPair((pair) => computed(pair.firstMedian)) },
  { name: 'second_median', meaning: 'median of the second over the units', unit: '', type: 'number', how: 'share, or dropouts per hour', cell: ofPair((pair) => computed(pair.secondMedian)) },
  { name: 'difference', meaning: 'difference, first − second', unit: '', type: 'number', how: HL, cell: ofPair((pair) => computed(pair.difference)) },
  { name: 'difference_from', meaning: 'interval of the difference, from', unit: '', type: 'number', how: 'distribution-free, from the law of the signed ranks', cell: ofPair((pair) => computed(pair.differenceLower)) },
  { name: 'difference_to', meaning: 'interval of the difference, to', unit: '', type: 'number', how: 'as before', cell: ofPair((pair) => computed(pair.differenceUpper)) },
  { name: 'difference_method', meaning: 'how the difference was estimated', unit: '', how: '', cell: ofPair(() => 'Hodges-Lehmann') },
  { name: 'difference_conf', meaning: 'confidence that the interval really has', unit: '1', type: 'number', how: 'ranks are whole numbers', cell: ofPair((pair) => computed(pair.achievedConf)) },
  { name: 'difference_reason', meaning: 'why there is no interval', unit: '', how: '', cell: ({ of }) => of.pair?.reason ?? of.all?.reason ?? '' },
  { name: 'mean_difference', meaning: 'mean difference', unit: '', type: 'number', how: 'what the test by turned signs is about', cell: ofPair((pair) => computed(pair.meanDifference)) },
  { name: 'units_without_difference', meaning: 'units with the same at both', unit: '', type: 'number', how: 'kept in the ranks (Pratt)', cell: ofPair((pair) => pair.zeros) },
  { name: 'p', meaning: 'two-sided p', unit: '', type: 'number', how: 'signed ranks with Pratt’s zeros; all sites: Friedman, corrected for ties', cell: ({ of }) => computed(of.pair?.p ?? of.all?.p ?? null) },
  { name: 'p_method', meaning: 'how p was worked out', unit: '', how: '', cell: ({ of }) => (of.pair === null ? 'Friedman' : of.pair.pMethod === null ? '' : `signed rank (Pratt), ${of.pair.pMethod}`) },
  { name: 'p_holm', meaning: 'p adjusted over all pairs of the outcome', unit: '', type: 'number', how: 'Holm', cell: ofPair((pair) => computed(pair.pHolm)) },
  { name: 'p_without_zeros', meaning: 'sensitivity: units without a difference left out', unit: '', type: 'number', how: 'signed ranks (Wilcoxon)', cell: ofPair((pair) => computed(pair.pWithoutZeros)) },
  { name: 'p_sign', meaning: 'sensitivity: the signs alone', unit: '', type: 'number', how: 'sign test, exact', cell: ofPair((pair) => computed(pair.pSign)) },
  { name: 'p_turned_signs', meaning: 'sensitivity: the mean under turned signs', unit: '', type: 'number', how: 'exact to 36 differences that are not 0, else drawn', cell: ofPair((pair) => computed(pair.pSignFlip)) },
  { name: 'chi_square', meaning: 'Friedman’s statistic', unit: '', type: 'number', how: 'only in a row of all sites together', cell: ({ of }) => computed(of.all?.chiSquare ?? null) },
  { name: 'df', meaning: 'its degrees of freedom', unit: '', type: 'number', how: '', cell: ({ of }) => of.all?.df ?? null },
  { name: 'ratio', meaning: 'first over second, totals over the common time', unit: '1', type: 'number', how: 'empty where the second lost nothing', cell: ofPair((pair) => computed(pair.ratio)) },
  ...intervalColumns<SitesTableRow>('ratio', 'the ratio', '1', (of) => of.pair?.ratioInterval ?? null),
  ...drawColumns<SitesTableRow>(),
  setColumn(),
];

/** The columns of cohort-coverage.csv. */
export const COVERAGE_COLUMNS: readonly CohortColumn<CoverageFigure>[] = [
  { name: 'site', meaning: 'the sensor that lost', unit: '', how: '', cell: ({ of }) => of.lostKey },
  { name: 'other', meaning: 'the sensor worn beside it', unit: '', how: '', cell: ({ of }) => of.otherKey },
  { name: 'cases', meaning: 'cases in which both were worn at once', unit: '', type: 'number', how: '', cell: ({ of }) => of.cases },
  { name: 'shared_s', meaning: 'time in which both were meant to give information', unit: 's', type: 'number', how: 'summed over cases', cell: ({ of }) => seconds(of.sharedMs) },
  { name: 'lost_s', meaning: 'time lost at the sensor', unit: 's', type: 'number', how: 'every loss of the common time, however short', cell: ({ of }) => seconds(of.lostMs) },
  { name: 'covered_s', meaning: 'of it, time in which the other had information', unit: 's', type: 'number', how: '', cell: ({ of }) => seconds(of.coveredMs) },
  { name: 'covered_share', meaning: 'share of the lost time that the other covered', unit: '1', type: 'number', how: 'ratio of the totals', cell: ({ of }) => computed(of.share) },
  ...intervalColumns<CoverageFigure>('covered_share', 'that share over units', '1', (of) => of.interval),
  setColumn(),
];
