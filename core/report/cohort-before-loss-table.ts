import type { DoseResponse, ExposureRate, RatioFigure, RateCounts } from '../model/cohort-before-loss.ts';
import type { AlignedCourse, EventAlignedCourses } from '../model/cohort-aligned.ts';
import type { RobustFigure, RobustPoint } from '../model/cohort-robustness.ts';
import type { CohortColumn } from './cohort-row.ts';
import { drawColumns, setColumn } from './cohort-row.ts';
import { computed, recorded, seconds } from './numbers.ts';

/** A rate after an exposure, one of the other ways to it, or an exclusive category of time. */
export interface RateTableRow {
  readonly rate: ExposureRate | null;
  /** '' for the rate itself. */
  readonly variant: string;
  readonly counts: RateCounts;
  readonly figure: RatioFigure;
}

/** Yields the rows of cohort-before-loss.csv: each rate, then the other ways to the same ratio; categories last. */
export function* rateRows({ rates, categories }: { readonly rates: readonly ExposureRate[]; readonly categories: readonly (RateCounts & { readonly category: string; readonly figure: RatioFigure })[] }): Generator<RateTableRow> {
  for (const rate of rates) {
    yield { rate, variant: '', counts: rate, figure: rate.figure };
    yield { rate, variant: 'Mantel-Haenszel', counts: rate, figure: rate.mantelHaenszel };
    yield { rate, variant: 'conditional', counts: rate, figure: rate.conditional };
    yield { rate, variant: 'exact conditional', counts: rate, figure: rate.exact };
    for (const variant of rate.variants) yield { rate, variant: variant.variant, counts: variant, figure: variant.figure };
  }
  for (const one of categories) yield { rate: null, variant: one.category, counts: one, figure: one.figure };
}

const WITHIN = 'control time of the same cases; association is not cause';

/** null: not told apart for this figure. */
type KnownCounts = { readonly [Name in keyof RateCounts]: RateCounts[Name] | null };

/** Onsets, times and the ratio of one figure. */
function countColumns<Of>(pick: (of: Of) => { readonly counts: KnownCounts; readonly figure: RatioFigure | null }): CohortColumn<Of>[] {
  return [
    { name: 'cases', meaning: 'cases with time after the exposure and control time', unit: '', type: 'number', how: 'the others are left out', cell: ({ of }) => pick(of).counts.casesUsed },
    { name: 'cases_informative', meaning: 'of them, cases in which a loss began', unit: '', type: 'number', how: 'only they say anything', cell: ({ of }) => pick(of).counts.casesInformative },
    { name: 'risk_s', meaning: 'time after the exposure in which a loss could begin', unit: 's', type: 'number', how: 'monitored and not already lost', cell: ({ of }) => seconds(pick(of).counts.riskMs) },
    { name: 'control_s', meaning: 'control time', unit: 's', type: 'number', how: WITHIN, cell: ({ of }) => seconds(pick(of).counts.controlMs) },
    { name: 'risk_onsets', meaning: 'losses that began after the exposure', unit: '', type: 'number', how: '', cell: ({ of }) => pick(of).counts.riskOnsets },
    { name: 'control_onsets', meaning: 'losses that began in control time', unit: '', type: 'number', how: '', cell: ({ of }) => pick(of).counts.controlOnsets },
    { name: 'rate_ratio', meaning: 'rate after the exposure over the rate in control time', unit: '1', how: `within cases; ${WITHIN}`, cell: ({ of }) => ratioText(pick(of).figure, 'ratio') },
    { name: 'rate_ratio_from', meaning: 'its interval, from', unit: '1', type: 'number', how: '', cell: ({ of }) => computed(pick(of).figure?.lower ?? null) },
    { name: 'rate_ratio_to', meaning: 'its interval, to', unit: '1', how: '`unbounded`: no loss in control time', cell: ({ of }) => ratioText(pick(of).figure, 'upper') },
    { name: 'rate_ratio_method', meaning: 'how the ratio was worked out', unit: '', how: 'exact conditional where either side has fewer than 5 onsets', cell: ({ of }) => pick(of).figure?.method ?? '' },
    { name: 'rate_ratio_n', meaning: 'onsets that it rests on', unit: '', type: 'number', how: '', cell: ({ of }) => (pick(of).counts.riskOnsets ?? 0) + (pick(of).counts.controlOnsets ?? 0) },
    { name: 'p', meaning: 'its two-sided p', unit: '', type: 'number', how: '', cell: ({ of }) => computed(pick(of).figure?.p ?? null) },
    { name: 'rate_ratio_reason', meaning: 'why there is no ratio or no interval', unit: '', how: '', cell: ({ of }) => pick(of).figure?.reason ?? '' },
  ];
}

function ratioText(figure: RatioFigure | null, limit: 'ratio' | 'upper'): string | null {
  if (figure === null) return null;
  if (figure[limit] === null && figure.isUnbounded) return 'unbounded';
  return computed(figure[limit])?.toString() ?? null;
}

/** The columns of cohort-before-loss.csv. */
export const RATE_COLUMNS: readonly CohortColumn<RateTableRow>[] = [
  { name: 'exposure', meaning: 'what kind of exposure', unit: '', how: 'empty in a row of an exclusive category', cell: ({ of }) => of.rate?.kind ?? '' },
  { name: 'label', meaning: 'the drug or the position', unit: '', how: 'empty: all of the kind', cell: ({ of }) => of.rate?.label ?? '' },
  { name: 'site', meaning: 'the sensor', unit: '', how: 'empty: all of a case together', cell: ({ of }) => of.rate?.siteKey ?? '' },
  { name: 'variant', meaning: 'another way to the same ratio, or the category', unit: '', how: 'empty: the figure that is shown; it should not hang on one way', cell: ({ of }) => of.variant },
  ...countColumns<RateTableRow>(({ counts, figure }) => ({ counts, figure })),
  { name: 'exposures', meaning: 'exposures on record', unit: '', type: 'number', how: '', cell: ({ of }) => of.rate?.exposures ?? null },
  { name: 'exposures_by_hand', meaning: 'of them, typed by hand', unit: '', type: 'number', how: 'their times are uncertain by minutes', cell: ({ of }) => of.rate?.exposuresByHand ?? null },
  { name: 'cases_without_exposure', meaning: 'monitored cases without such an exposure', unit: '', type: 'number', how: 'left out', cell: ({ of }) => of.rate?.casesWithoutExposure ?? null },
  { name: 'cases_without_control', meaning: 'cases without control time', unit: '', type: 'number', how: 'left out', cell: ({ of }) => of.rate?.casesWithoutControl ?? null },
  { name: 'pre_onsets', meaning: 'losses shortly before an exposure', unit: '', type: 'number', how: 'neither at risk nor control: an exposure often answers what also causes the loss', cell: ({ of }) => of.rate?.preOnsets ?? null },
  { name: 'pressure_before_risk', meaning: 'median of the mean arterial pressure before losses after the exposure', unit: 'mm[Hg]', type: 'number', how: 'hypotension itself precedes loss, and is the usual reason for a bolus', cell: ({ of }) => computed(of.rate?.pressureBeforeRisk ?? null) },
  { name: 'pressure_before_control', meaning: 'the same before losses in control time', unit: 'mm[Hg]', type: 'number', how: '', cell: ({ of }) => computed(of.rate?.pressureBeforeControl ?? null) },
  { name: 'shift_observed', meaning: 'losses that began after the exposure, as the test of turning counts them', unit: '', type: 'number', how: 'as in risk_onsets, of all cases with exposures', cell: ({ of }) => (of.variant === '' ? (of.rate?.shift?.observed ?? null) : null) },
  { name: 'shift_expected', meaning: 'losses to expect after the exposure if exposures and losses of a case were turned against each other', unit: '', type: 'number', how: 'circular shift within cases, exact', cell: ({ of }) => (of.variant === '' ? computed(of.rate?.shift?.expected ?? null) : null) },
  { name: 'shift_p', meaning: 'two-sided p of that test', unit: '', type: 'number', how: 'only for all of a kind at all sensors', cell: ({ of }) => (of.variant === '' ? computed(of.rate?.shift?.p ?? null) : null) },
  { name: 'attributable_share', meaning: 'share of the losses after the exposure that would be due to it if the association were causal', unit: '1', type: 'number', how: 'only where the ratio and its interval lie above 1', cell: ({ of }) => (of.variant === '' ? computed(of.rate?.attributable.fraction ?? null) : null) },
  { name: 'cautions', meaning: 'what the row has to be read with', unit: '', how: 'parted by `; `', cell: ({ of }) => (of.rate?.cautions ?? ['association is not cause']).join('; ') },
  setColumn(),
];

/** A band of doses of one drug, or the ratio per doubling. */
export interface DoseTableRow {
  readonly drug: string;
  readonly dose: DoseResponse;
  readonly band: DoseResponse['bands'][number] | null;
}

/** Yields the rows of cohort-dose.csv. */
export function* doseRows(rates: readonly ExposureRate[]): Generator<DoseTableRow> {
  for (const { label, dose } of rates) {
    if (dose === null || label === null) continue;
    for (const band of dose.bands) yield { drug: label, dose, band };
    yield { drug: label, dose, band: null };
  }
}

/** The ratio per doubling is one model over all bands: times and control onsets belong to the bands. */
const NO_COUNTS: KnownCounts = { casesUsed: null, casesInformative: null, riskMs: null, controlMs: null, riskOnsets: null, controlOnsets: null };

/** The columns of cohort-dose.csv. */
export const DOSE_COLUMNS: readonly CohortColumn<DoseTableRow>[] = [
  { name: 'drug', meaning: 'the drug', unit: '', how: '', cell: ({ of }) => of.drug },
  { name: 'unit', meaning: 'unit of the doses', unit: '', how: 'as in exposures.csv', cell: ({ of }) => of.dose.unit },
  { name: 'dose_from', meaning: 'doses from', unit: '', type: 'number', how: 'in `unit`; empty in the row of the ratio per doubling', cell: ({ of }) => recorded(of.band?.from ?? null) },
  { name: 'dose_to', meaning: 'doses up to and with', unit: '', type: 'number', how: 'in `unit`', cell: ({ of }) => recorded(of.band?.to ?? null) },
  { name: 'boluses', meaning: 'boluses', unit: '', type: 'number', how: '', cell: ({ of }) => of.band?.boluses ?? of.dose.boluses },
  { name: 'boluses_not_used', meaning: 'boluses without a dose or in another unit', unit: '', type: 'number', how: '', cell: ({ of }) => (of.band === null ? of.dose.bolusesNotUsed : null) },
  ...countColumns<DoseTableRow>(({ band, dose }) => ({ counts: band ?? { ...NO_COUNTS, casesInformative: dose.casesWithOnset, riskOnsets: dose.onsets }, figure: band === null ? dose.perDoubling : band.figure })),
  { name: 'reason', meaning: 'why there is no ratio per doubling of the dose', unit: '', how: '', cell: ({ of }) => (of.band === null ? (of.dose.reason ?? '') : '') },
  setColumn(),
];

/** A course at one lag. */
export interface AlignedTableRow {
  readonly course: AlignedCourse;
  readonly place: number;
}

/** Yields the rows of cohort-aligned.csv. */
export function* alignedRows({ courses, lagsS }: EventAlignedCourses): Generator<AlignedTableRow> {
  for (const course of courses) for (const place of lagsS.keys()) yield { course, place };
}

/** The columns of cohort-aligned.csv. */
export const ALIGNED_COLUMNS: readonly CohortColumn<AlignedTableRow>[] = [
  { name: 'quantity', meaning: 'what is averaged', unit: '', how: 'around vasopressor boluses; of boluses within the span only the first', cell: ({ of }) => of.course.quantity },
  { name: 'site', meaning: 'the sensor', unit: '', how: 'empty for a pressure', cell: ({ of }) => of.course.siteKey ?? '' },
  { name: 'drug', meaning: 'the drug', unit: '', how: 'empty: any vasopressor', cell: ({ of }) => of.course.drug ?? '' },
  { name: 'scale', meaning: 'what the values are', unit: '', how: '`percent of baseline`: change in per cent of the mean of the minute before; `difference` from it in points or mmHg', cell: ({ of }) => of.course.scale },
  { name: 'lag_s', meaning: 'time since the bolus', unit: 's', type: 'number', how: '', cell: ({ of, run }) => run.results.aligned.lagsS[of.place] ?? null },
  { name: 'mean', meaning: 'mean over units of the mean of their boluses', unit: '', type: 'number', how: 'see scale', cell: ({ of }) => computed(of.course.mean[of.place] ?? null) },
  { name: 'mean_from', meaning: 'its band, from', unit: '', type: 'number', how: 'pointwise, not simultaneous', cell: ({ of }) => computed(of.course.lower[of.place] ?? null) },
  { name: 'mean_to', meaning: 'its band, to', unit: '', type: 'number', how: 'pointwise, not simultaneous', cell: ({ of }) => computed(of.course.upper[of.place] ?? null) },
  { name: 'mean_method', meaning: 'how the band was made', unit: '', how: '', cell: ({ of }) => of.course.band },
  { name: 'mean_n', meaning: 'units with a value at this lag', unit: '', type: 'number', how: '', cell: ({ of }) => of.course.unitsAtLag[of.place] ?? null },
  { name: 'boluses', meaning: 'boluses in the course', unit: '', type: 'number', how: '', cell: ({ of }) => of.course.boluses },
  { name: 'boluses_left_out', meaning: 'boluses without a value in the baseline', unit: '', type: 'number', how: '', cell: ({ of }) => of.course.bolusesLeftOut },
  { name: 'cautions', meaning: 'what the course has to be read with', unit: '', how: 'parted by `; `', cell: ({ of }) => of.course.cautions.join('; ') },
  ...drawColumns<AlignedTableRow>(),
  setColumn(),
];

/** A figure under one definition. */
export interface RobustTableRow {
  readonly point: RobustPoint;
  readonly figure: RobustFigure;
}

/** Yields the rows of cohort-robustness.csv. */
export function* robustRows(points: readonly RobustPoint[]): Generator<RobustTableRow> {
  for (const point of points) for (const figure of point.figures) yield { point, figure };
}

function written({ result }: RobustFigure, value: number | null): number | null {
  return result.endsWith('restored information') ? seconds(value) : computed(value);
}

/** The columns of cohort-robustness.csv. */
export const COHORT_ROBUSTNESS_COLUMNS: readonly CohortColumn<RobustTableRow>[] = [
  { name: 'moved', meaning: 'what of the definition was moved', unit: '', how: 'empty: the definition of the run; one thing at a time', cell: ({ of }) => of.point.moved ?? '' },
  { name: 'min_duration_s', meaning: 'shortest mid estimate that counts', unit: 's', type: 'number', how: '', cell: ({ of }) => of.point.definition.minDurationS },
  { name: 'bridge_s', meaning: 'information too short to part two losses', unit: 's', type: 'number', how: '', cell: ({ of }) => of.point.definition.bridgeS },
  { name: 'look_back_factor', meaning: 'what every look-back and window was multiplied by', unit: '1', type: 'number', how: '', cell: ({ of }) => of.point.definition.lookBackFactor },
  { name: 'doubtful_lost', meaning: 'whether weak and disputed samples count as lost', unit: '', type: 'yes or no', how: '', cell: ({ of }) => of.point.definition.doubtfulLost },
  { name: 'result', meaning: 'which result', unit: '', how: 'shares from 0 to 1, rates per monitored hour, times in s, ratios', cell: ({ of }) => of.figure.result },
  { name: 'of', meaning: 'the sensor, the pair of sensors, or the exposure', unit: '', how: '', cell: ({ of }) => of.figure.of },
  { name: 'estimate', meaning: 'the result', unit: '', type: 'number', how: 'as in the table of its own', cell: ({ of }) => written(of.figure, of.figure.estimate) },
  { name: 'estimate_from', meaning: 'its interval, from', unit: '', type: 'number', how: '', cell: ({ of }) => written(of.figure, of.figure.lower) },
  { name: 'estimate_to', meaning: 'its interval, to', unit: '', type: 'number', how: '', cell: ({ of }) => written(of.figure, of.figure.upper) },
  { name: 'method', meaning: 'how it was worked out', unit: '', how: 'as in the table of its own; empty: there is no interval', cell: ({ of }) => of.figure.method ?? '' },
  { name: 'n', meaning: 'dropouts, units, losses or onsets at risk that it rests on', unit: '', type: 'number', how: '', cell: ({ of }) => of.figure.n },
  { name: 'reason', meaning: 'why there is no figure or no interval', unit: '', how: '', cell: ({ of }) => of.figure.reason ?? '' },
  setColumn(),
];
