import { isAbove, isBelow } from './beyond-limit.ts';

/** How wide limits are, and which points they are worked out from. */
export interface ChartOptions {
  /** Distance of the limits from the centre, in standard deviations. */
  readonly sigmas: number;
  /** Points, from 0, that stay on the chart and count neither for its centre nor for its limits. */
  readonly excludeFromLimits?: readonly number[];
  /** Only the first so many points count; left out: all of them. */
  readonly baselinePoints?: number;
}

/** Why a chart has no centre or no limits. */
export type ChartReason =
  /** No point that counts has a denominator. */
  | 'no-denominator'
  /** Fewer points than the spread can be worked out from. */
  | 'too-few-points'
  /** The centre is 0 (or a share of 1): no spread is expected, and none can be compared with it. */
  | 'no-spread-expected'
  /** Two events at the same time. */
  | 'zero-time';

/** What a point is made of: cases with an event among cases, or events in a time. */
export type RatioKind = 'share' | 'rate';

/** A chart of shares or rates whose limits step with each point's denominator. */
export interface RatioChart {
  readonly centre: number | null;
  /** Factor on the width of the limits; null where none was asked for or none can be worked out. */
  readonly sigmaZ: number | null;
  /** null: the point has no denominator. */
  readonly values: readonly (number | null)[];
  readonly ucl: readonly (number | null)[];
  readonly lcl: readonly (number | null)[];
  /** Points outside their limits, from 0. */
  readonly beyond: readonly number[];
  readonly reason: ChartReason | null;
}

/** A chart of counts over equal areas of opportunity. */
export interface CountChart {
  readonly centre: number | null;
  readonly ucl: number | null;
  readonly lcl: number | null;
  readonly beyond: readonly number[];
  readonly reason: ChartReason | null;
}

/** Returns whether a point counts for centre and limits. */
export function isInBaseline(i: number, options: ChartOptions): boolean {
  return i < (options.baselinePoints ?? Infinity) && options.excludeFromLimits?.includes(i) !== true;
}

/** Returns the sum of numerators over the sum of denominators of the points that count; null without a denominator. */
export function ratioCentre(x: readonly number[], n: readonly number[], options: ChartOptions): number | null {
  let above = 0;
  let below = 0;
  n.forEach((d, i) => {
    if (!(d > 0) || !isInBaseline(i, options)) return;
    above += x[i] ?? NaN;
    below += d;
  });
  return below > 0 ? above / below : null;
}

/** Returns the standard deviation that chance alone gives a point of denominator n around the centre; null without a denominator. */
export function ratioSigma(kind: RatioKind, centre: number, n: number): number | null {
  if (!(n > 0)) return null;
  return Math.sqrt((kind === 'share' ? Math.max(0, centre * (1 - centre)) : centre) / n);
}

/**
 * Returns the points with limits around a centre that is given: that of the same points, or one that was fixed before.
 * Shape   x and n one entry per point. Limits: centre ± sigmas·sigmaZ·σ(n), shares cut to [0, 1], rates to 0 from below.
 * Missing a point without denominator is null and has no limits; no centre: no limits anywhere.
 */
export function ratioChart(kind: RatioKind, x: readonly number[], n: readonly number[], fixed: { readonly centre: number | null; readonly sigmaZ: number | null }, sigmas: number): RatioChart {
  const { centre, sigmaZ } = fixed;
  const values = n.map((d, i) => (d > 0 ? (x[i] ?? NaN) / d : null));
  const half = n.map((d) => {
    const sigma = centre === null ? null : ratioSigma(kind, centre, d);
    return sigma === null ? null : sigmas * sigma * (sigmaZ ?? 1);
  });
  const ucl = half.map((h) => (h === null || centre === null ? null : kind === 'share' ? Math.min(1, centre + h) : centre + h));
  const lcl = half.map((h) => (h === null || centre === null ? null : Math.max(0, centre - h)));
  return { centre, sigmaZ, values, ucl, lcl, beyond: pointsBeyond(values, lcl, ucl), reason: centre === null ? 'no-denominator' : null };
}

/** Returns the points that lie outside their limits, from 0. */
export function pointsBeyond(values: readonly (number | null)[], lcl: readonly (number | null)[], ucl: readonly (number | null)[]): number[] {
  return values.flatMap((value, i) => {
    const low = lcl[i] ?? null;
    const high = ucl[i] ?? null;
    return value !== null && ((high !== null && isAbove(value, high)) || (low !== null && isBelow(value, low))) ? [i] : [];
  });
}

/**
 * Returns a p chart: shares of cases with an event, each between limits for its number of cases.
 * Missing a point without cases is null. No case at all: no centre.
 * Source  Shewhart 1931; Montgomery, Introduction to Statistical Quality Control, ch. 7.
 */
export function pChart(x: readonly number[], n: readonly number[], options: ChartOptions): RatioChart {
  return ratioChart('share', x, n, { centre: ratioCentre(x, n, options), sigmaZ: null }, options.sigmas);
}

/**
 * Returns a u chart: events per unit of time or area, each between limits for its denominator.
 * Missing a point without denominator is null. None at all: no centre.
 * Source  Montgomery, Introduction to Statistical Quality Control, ch. 7.
 */
export function uChart(x: readonly number[], n: readonly number[], options: ChartOptions): RatioChart {
  return ratioChart('rate', x, n, { centre: ratioCentre(x, n, options), sigmaZ: null }, options.sigmas);
}

/**
 * Returns a c chart: counts over equal areas of opportunity.
 * Missing no point that counts: no centre.
 * Source  Montgomery, Introduction to Statistical Quality Control, ch. 7.
 */
export function cChart(x: readonly number[], options: ChartOptions): CountChart {
  const counted = x.filter((_, i) => isInBaseline(i, options));
  if (counted.length === 0) return { centre: null, ucl: null, lcl: null, beyond: [], reason: 'too-few-points' };
  const centre = counted.reduce((sum, v) => sum + v, 0) / counted.length;
  const ucl = centre + options.sigmas * Math.sqrt(centre);
  const lcl = Math.max(0, centre - options.sigmas * Math.sqrt(centre));
  return { centre, ucl, lcl, beyond: pointsBeyond(x, x.map(() => lcl), x.map(() => ucl)), reason: null };
}
