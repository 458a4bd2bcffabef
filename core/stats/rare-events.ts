import { isAbove } from './beyond-limit.ts';
import { type IndividualsBaseline, individualsBaseline, individualsLimits } from './individuals.ts';
import { median } from './quantile.ts';
import { type ChartOptions, type ChartReason, isInBaseline } from './shewhart.ts';

/** Power that makes times between events of a constant rate nearly symmetric. Source: Nelson, J Qual Technol 1994;26:239. */
export const TIME_POWER = 1 / 3.6;
/** Share of chance below the probability limit of a g chart: one side of three standard deviations. */
const UPPER_SHARE = 0.99865;

/** A chart of the times between events. */
export interface TimeBetweenChart {
  /** Centre, mean moving range and limits of the transformed times; null where the chart is refused. */
  readonly transformed: { readonly centre: number | null; readonly meanMovingRange: number | null; readonly ucl: number | null; readonly lcl: number | null } | null;
  readonly centre: number | null;
  readonly ucl: number | null;
  readonly lcl: number | null;
  readonly beyond: readonly number[];
  readonly reason: ChartReason | null;
}

/** A chart of the cases between two cases with an event. */
export interface CasesBetweenChart {
  readonly mean: number | null;
  /** Median of the points that count. */
  readonly centre: number | null;
  readonly ucl: number | null;
  readonly lcl: number | null;
  /** Median of the geometric law of that mean, 0.693·mean. */
  readonly theoreticalMedian: number | null;
  /** The 0.99865 quantile of that law. */
  readonly probabilityUpper: number | null;
  readonly beyond: readonly number[];
  readonly reason: ChartReason | null;
}

/** Returns the baseline of a t chart, in transformed times; a time of 0 or less is refused by the caller. */
export function timesBaseline(times: readonly number[], options: ChartOptions): IndividualsBaseline {
  return individualsBaseline(times.map(transformed), options);
}

/**
 * Returns the times between events with limits from a baseline of transformed times.
 * Missing two events at one time: refused, everything null.
 */
export function timesLimits(times: readonly number[], baseline: IndividualsBaseline, sigmas: number): TimeBetweenChart {
  if (times.some((t) => !(t > 0))) return { transformed: null, centre: null, ucl: null, lcl: null, beyond: [], reason: 'zero-time' };
  const { centre, meanMovingRange, ucl, lcl, beyond, reason } = individualsLimits(times.map(transformed), baseline, sigmas);
  return { transformed: { centre, meanMovingRange, ucl, lcl }, centre: timeOf(centre), ucl: timeOf(ucl), lcl: timeOf(lcl), beyond, reason };
}

/**
 * Returns a t chart: times between events, made nearly normal by the power 1/3.6, with the limits of single values brought back.
 * Shape   times in order. Limits below 0 before they are brought back are 0.
 * Missing a time of 0: refused. One time: no limits.
 * Source  Nelson, J Qual Technol 1994;26:239; Montgomery, Introduction to Statistical Quality Control, 7.3.5.
 */
export function timeBetweenChart(times: readonly number[], options: ChartOptions): TimeBetweenChart {
  return timesLimits(times, timesBaseline(times, options), options.sigmas);
}

function transformed(time: number): number {
  return time ** TIME_POWER;
}

function timeOf(value: number | null): number | null {
  return value === null ? null : Math.max(0, value) ** (1 / TIME_POWER);
}

/** Returns mean and median of the points that count. */
export function casesBaseline(between: readonly number[], options: ChartOptions): { readonly mean: number | null; readonly centre: number | null } {
  const counted = between.filter((_, i) => isInBaseline(i, options));
  if (counted.length === 0) return { mean: null, centre: null };
  return { mean: counted.reduce((sum, v) => sum + v, 0) / counted.length, centre: median(counted) };
}

/** Returns the cases between events with limits from the mean of a baseline. */
export function casesLimits(between: readonly number[], baseline: { readonly mean: number | null; readonly centre: number | null }, sigmas: number): CasesBetweenChart {
  const { mean, centre } = baseline;
  if (mean === null) return { mean, centre, ucl: null, lcl: null, theoreticalMedian: null, probabilityUpper: null, beyond: [], reason: 'too-few-points' };
  const ucl = mean + sigmas * Math.sqrt(mean * (mean + 1));
  return {
    mean,
    centre,
    ucl,
    lcl: 0,
    theoreticalMedian: 0.693 * mean,
    probabilityUpper: mean === 0 ? 0 : Math.max(0, Math.ceil(Math.log1p(-UPPER_SHARE) / Math.log(mean / (mean + 1)) - 1)),
    beyond: between.flatMap((v, i) => (isAbove(v, ucl) ? [i] : [])),
    reason: null,
  };
}

/**
 * Returns a g chart: numbers of event-free cases between two cases with the event, 0 where these follow each other.
 * Shape   upper limit mean + sigmas·√(mean·(mean + 1)), lower limit 0, centre the median. A point above the limit is a long time without the event.
 * Missing no point that counts: everything null.
 * Source  Benneyan, Health Care Manag Sci 2001;4:305; centre: Provost & Murray, The Health Care Data Guide (from memory).
 */
export function casesBetweenChart(between: readonly number[], options: ChartOptions): CasesBetweenChart {
  return casesLimits(between, casesBaseline(between, options), options.sigmas);
}
