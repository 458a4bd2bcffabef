import type { BetweenCurve, CurvePoint, RestorationCurve, RestorationDifference, RestorationGroup } from '../model/cohort-restoration.ts';
import type { CohortColumn } from './cohort-row.ts';
import { setColumn } from './cohort-row.ts';
import { computed, seconds } from './numbers.ts';

/** A group of losses with the curve of one estimate of their lengths. */
export interface RestorationTableRow {
  readonly group: RestorationGroup;
  readonly curve: RestorationCurve;
}

/** Yields the rows of cohort-restoration.csv. */
export function* restorationRows(groups: readonly RestorationGroup[]): Generator<RestorationTableRow> {
  for (const group of groups) for (const curve of group.curves) yield { group, curve };
}

const KM = 'Kaplan–Meier; losses that did not come back at this sensor are censored; interval on the log(−log) scale with a standard error over units (infinitesimal jackknife)';

const GROUP_COLUMNS = [
  { name: 'group', meaning: 'which losses', unit: '', how: '`all`, by `site`, `after what was done`, or with `nothing on record`', cell: ({ of }) => of.group.kind },
  { name: 'of', meaning: 'the sensor, or what was done', unit: '', how: '', cell: ({ of }) => of.group.of },
  { name: 'length_estimate', meaning: 'estimate of the lengths that the row is drawn from', unit: '', how: '`low`, `mid` or `high`', cell: ({ of }) => of.curve.bound },
] as const satisfies readonly CohortColumn<RestorationTableRow>[];

/** The columns of cohort-restoration.csv. */
export const RESTORATION_COLUMNS: readonly CohortColumn<RestorationTableRow>[] = [
  ...GROUP_COLUMNS,
  { name: 'losses', meaning: 'losses in the group', unit: '', type: 'number', how: '', cell: ({ of }) => of.group.losses },
  { name: 'restored', meaning: 'of them, restored at the same sensor', unit: '', type: 'number', how: 'the others are censored', cell: ({ of }) => of.group.restored },
  { name: 'cases', meaning: 'cases behind them', unit: '', type: 'number', how: '', cell: ({ of }) => of.group.cases },
  { name: 'units', meaning: 'units of the intervals', unit: '', type: 'number', how: 'cases, or patients', cell: ({ of }) => of.group.units },
  { name: 'median_s', meaning: 'time by which half had information again', unit: 's', type: 'number', how: KM, cell: ({ of }) => seconds(of.curve.median.estimateMs) },
  { name: 'median_from_s', meaning: 'its interval, from', unit: 's', type: 'number', how: KM, cell: ({ of }) => seconds(of.curve.median.lowerMs) },
  { name: 'median_to_s', meaning: 'its interval, to', unit: 's', type: 'number', how: `${KM}; empty: not reached`, cell: ({ of }) => seconds(of.curve.median.upperMs) },
  { name: 'median_method', meaning: 'how the median was worked out', unit: '', how: '', cell: () => 'Kaplan-Meier, clustered log(-log) interval' },
  { name: 'lower_quartile_s', meaning: 'time by which a quarter had information again', unit: 's', type: 'number', how: KM, cell: ({ of }) => seconds(of.curve.lowerQuartileMs) },
  { name: 'upper_quartile_s', meaning: 'time by which three quarters had', unit: 's', type: 'number', how: `${KM}; empty: not reached`, cell: ({ of }) => seconds(of.curve.upperQuartileMs) },
  { name: 'mean_s', meaning: 'mean time up to the limit', unit: 's', type: 'number', how: 'area under the curve up to mean_limit_s', cell: ({ of }) => seconds(of.curve.mean.estimateMs) },
  { name: 'mean_from_s', meaning: 'its interval, from', unit: 's', type: 'number', how: 'clustered', cell: ({ of }) => seconds(of.curve.mean.lowerMs) },
  { name: 'mean_to_s', meaning: 'its interval, to', unit: 's', type: 'number', how: 'clustered', cell: ({ of }) => seconds(of.curve.mean.upperMs) },
  { name: 'mean_reason', meaning: 'why there is no mean, or no interval', unit: '', how: '', cell: ({ of }) => of.curve.mean.reason ?? '' },
  { name: 'mean_limit_s', meaning: 'limit of the mean, fixed beforehand', unit: 's', type: 'number', how: '', cell: ({ run }) => seconds(run.results.restoration.limitMs) },
  { name: 'median_between_from_s', meaning: 'median of the curve of lengths known only between limits, from', unit: 's', type: 'number', how: 'Turnbull; only where sampling is coarse', cell: ({ of }) => seconds(of.group.between?.median?.fromMs ?? null) },
  { name: 'median_between_to_s', meaning: 'the same, to', unit: 's', type: 'number', how: 'inside the box it is not defined', cell: ({ of }) => seconds(of.group.between?.median?.toMs ?? null) },
  { name: 'resolution_s', meaning: 'median of half the width between low and high', unit: 's', type: 'number', how: 'the recording interval where it is regular', cell: ({ of }) => seconds(of.group.resolutionMs) },
  { name: 'cautions', meaning: 'what the row has to be read with', unit: '', how: 'parted by `; `', cell: ({ of }) => of.group.cautions.join('; ') },
  setColumn(),
];

/** A step of a curve. */
export interface CurveTableRow extends RestorationTableRow {
  readonly point: CurvePoint;
}

/** Yields the rows of cohort-restoration-curves.csv. */
export function* curveRows(groups: readonly RestorationGroup[]): Generator<CurveTableRow> {
  for (const { group, curve } of restorationRows(groups)) for (const point of curve.steps) yield { group, curve, point };
}

/** The columns of cohort-restoration-curves.csv. */
export const CURVE_COLUMNS: readonly CohortColumn<CurveTableRow>[] = [
  ...GROUP_COLUMNS,
  { name: 'at_s', meaning: 'time since the onset', unit: 's', type: 'number', how: '', cell: ({ of }) => seconds(of.point.atMs) },
  { name: 'without_information_share', meaning: 'share still without information from then on', unit: '1', type: 'number', how: KM, cell: ({ of }) => computed(of.point.share) },
  { name: 'share_from', meaning: 'its interval, from', unit: '1', type: 'number', how: 'pointwise', cell: ({ of }) => computed(of.point.lower) },
  { name: 'share_to', meaning: 'its interval, to', unit: '1', type: 'number', how: 'pointwise', cell: ({ of }) => computed(of.point.upper) },
  { name: 'method', meaning: 'how the curve was worked out', unit: '', how: '', cell: () => 'Kaplan-Meier, clustered log(-log) interval' },
  { name: 'n', meaning: 'losses still without information, and watched, just before', unit: '', type: 'number', how: '', cell: ({ of }) => of.point.atRisk },
  setColumn(),
];

/** The share of a group whose losses ended between two times. */
export interface BetweenTableRow {
  readonly group: RestorationGroup;
  readonly between: BetweenCurve;
  readonly box: BetweenCurve['boxes'][number];
}

/** Yields the rows of cohort-restoration-between.csv: only groups whose sampling is coarse have any. */
export function* betweenRows(groups: readonly RestorationGroup[]): Generator<BetweenTableRow> {
  for (const group of groups) {
    const { between } = group;
    if (between !== null) for (const box of between.boxes) yield { group, between, box };
  }
}

/** The columns of cohort-restoration-between.csv. */
export const BETWEEN_COLUMNS: readonly CohortColumn<BetweenTableRow>[] = [
  { name: 'group', meaning: 'which losses', unit: '', how: '`all`, by `site`, `after what was done`, or with `nothing on record`', cell: ({ of }) => of.group.kind },
  { name: 'of', meaning: 'the sensor, or what was done', unit: '', how: '', cell: ({ of }) => of.group.of },
  { name: 'from_s', meaning: 'the losses of this row ended after', unit: 's', type: 'number', how: 'since the onset', cell: ({ of }) => seconds(of.box.fromMs) },
  { name: 'to_s', meaning: 'and not after', unit: 's', type: 'number', how: 'empty: not seen to end', cell: ({ of }) => seconds(of.box.toMs) },
  { name: 'share', meaning: 'share of the losses that ended between', unit: '1', type: 'number', how: 'Turnbull; where between is not defined', cell: ({ of }) => computed(of.box.share) },
  { name: 'share_method', meaning: 'how the shares were worked out', unit: '', how: '', cell: () => 'Turnbull, self-consistent' },
  { name: 'share_n', meaning: 'losses in the group', unit: '', type: 'number', how: '', cell: ({ of }) => of.group.losses },
  { name: 'share_reason', meaning: 'why the shares are not to be trusted to the last digit', unit: '', how: '', cell: ({ of }) => of.between.reason ?? '' },
  setColumn(),
];

/** The columns of cohort-restoration-sites.csv. */
export const RESTORATION_SITES_COLUMNS: readonly CohortColumn<RestorationDifference>[] = [
  { name: 'first', meaning: 'first site', unit: '', how: '', cell: ({ of }) => of.firstKey },
  { name: 'second', meaning: 'second site', unit: '', how: '', cell: ({ of }) => of.secondKey },
  { name: 'cases_with_both', meaning: 'cases with a loss at both', unit: '', type: 'number', how: '', cell: ({ of }) => of.casesWithBoth },
  { name: 'first_units', meaning: 'units with a loss at the first', unit: '', type: 'number', how: 'cases, or patients', cell: ({ of }) => of.firstUnits },
  { name: 'second_units', meaning: 'units with a loss at the second', unit: '', type: 'number', how: 'cases, or patients', cell: ({ of }) => of.secondUnits },
  { name: 'mean_difference_s', meaning: 'mean time up to the limit, first − second', unit: 's', type: 'number', how: 'cases that have both count as one', cell: ({ of }) => seconds(of.mean.estimateMs) },
  { name: 'mean_difference_from_s', meaning: 'its interval, from', unit: 's', type: 'number', how: 'clustered', cell: ({ of }) => seconds(of.mean.lowerMs) },
  { name: 'mean_difference_to_s', meaning: 'its interval, to', unit: 's', type: 'number', how: 'clustered', cell: ({ of }) => seconds(of.mean.upperMs) },
  { name: 'mean_difference_reason', meaning: 'why there is no difference of means, or no interval', unit: '', how: '', cell: ({ of }) => of.mean.reason ?? '' },
  { name: 'chi_square', meaning: 'log-rank statistic', unit: '', type: 'number', how: 'cases as strata', cell: ({ of }) => computed(of.logRank.chiSquare) },
  { name: 'p', meaning: 'its p', unit: '', type: 'number', how: '', cell: ({ of }) => computed(of.logRank.p) },
  { name: 'p_method', meaning: 'how p was worked out', unit: '', how: '', cell: () => 'log-rank, stratified by case' },
  { name: 'p_holm', meaning: 'p adjusted over all pairs', unit: '', type: 'number', how: 'Holm', cell: ({ of }) => computed(of.pHolm) },
  { name: 'n', meaning: 'cases in which both were at risk at once', unit: '', type: 'number', how: 'only they say anything', cell: ({ of }) => of.logRank.informativeCases },
  { name: 'p_reason', meaning: 'why there is no test', unit: '', how: '', cell: ({ of }) => of.logRank.reason ?? '' },
  { name: 'cautions', meaning: 'what the row has to be read with', unit: '', how: 'parted by `; `', cell: ({ of }) => of.cautions.join('; ') },
  setColumn(),
];
