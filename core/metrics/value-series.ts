import type { Interval } from '../base/interval.ts';
import { lowerBound, upperBound } from '../base/search.ts';
import type { InformationRule, SiteTrack } from '../quality/site-track.ts';
import { informationFrom } from '../quality/site-track.ts';

/** Values over time. One function or another reads lines between neighbours, or steps from each value to the next record. */
export interface ValueSeries {
  /** Ascending; one entry per record, lost ones too. */
  readonly t: ArrayLike<number>;
  /** NaN: the record holds no value. */
  readonly value: ArrayLike<number>;
  /** The longest time to the next record across which a value speaks, per record or one for all. Infinity: it is not known, so across none. */
  readonly gap: ArrayLike<number> | number;
  /** The time to the next record that is usual, per record; NaN where it is not known. Only runs and events need it. */
  readonly interval?: ArrayLike<number>;
}

/** Time observed, and what was found in it; in the unit of `t`. */
export interface Below {
  readonly observed: number;
  readonly time: number;
  /** In values × time. */
  readonly area: number;
}

export interface HeldBelow {
  /** From the first record to the last. */
  readonly total: number;
  readonly observed: number;
  readonly below: number;
  /** below / observed; null when nothing was observed. */
  readonly share: number | null;
  /** If all that was not observed had been above, and if all of it had been below; null for no time. */
  readonly shareLow: number | null;
  readonly shareHigh: number | null;
}

/**
 * Returns the SpO2 of a sensor as a series: values where there was information under the rule, NaN where it was lost.
 * Shape   the samples within `span`, both ends included. Units ms and per cent.
 */
export function informationSeries(site: SiteTrack, span: Interval, rule: InformationRule): ValueSeries {
  const { tMs, value, status } = site.track;
  const lowest = informationFrom(rule);
  const from = lowerBound(tMs, span.startMs);
  const to = Math.max(from, upperBound(tMs, span.endMs));
  const known = value.slice(from, to);
  for (let i = from; i < to; i++) if ((status[i] ?? 0) < lowest) known[i - from] = NaN;
  return { t: tMs.subarray(from, to), value: known, gap: site.limitMs.subarray(from, to), interval: site.intervalMs.subarray(from, to) };
}

/**
 * Returns the time and the area below a threshold along the lines between neighbouring values.
 * Missing a line joins two values only where no record without value lies between them and no more time than the larger
 *         of their gaps; a value that stands alone counts for no time.
 * Source  statistics h; handbook 6.1: the area is clipped where the line crosses the threshold (`spo2-aut-clipped`).
 * Example 96, 92, 88, 84, 88, 92, 96 at 60 s, threshold 90 → 180 s, 540 %·s.
 */
export function belowLine(series: ValueSeries, threshold: number): Below {
  let observed = 0;
  let time = 0;
  let area = 0;
  for (const { from, to, length } of lines(series)) {
    observed += length;
    const first = threshold - from;
    const last = threshold - to;
    if (first <= 0 && last <= 0) continue;
    if (first >= 0 && last >= 0) {
      time += length;
      area += ((first + last) / 2) * length;
    } else {
      const deepest = Math.max(first, last);
      const below = (length * deepest) / Math.abs(last - first);
      time += below;
      area += (deepest * below) / 2;
    }
  }
  return { observed, time, area };
}

/**
 * Returns the mean of the values weighted by time, along the same lines, and the time it was taken over; mean null for no time.
 * Source  statistics h.
 */
export function timeWeightedMean(series: ValueSeries): { readonly observed: number; readonly mean: number | null } {
  let observed = 0;
  let sum = 0;
  for (const { from, to, length } of lines(series)) {
    observed += length;
    sum += ((from + to) / 2) * length;
  }
  return { observed, mean: observed > 0 ? sum / observed : null };
}

/**
 * Returns the time strictly below a threshold when each value stands until the next record, at most its gap.
 * Missing the last record stands for no time. A gap of Infinity stands for no time.
 * Source  statistics h (T90); the bounds as in Manski, Partial Identification of Probability Distributions, 2003.
 */
export function belowHeld(series: ValueSeries, threshold: number): HeldBelow {
  const { t, value } = series;
  let observed = 0;
  let below = 0;
  for (let i = 0; i + 1 < t.length; i++) {
    const v = value[i] ?? NaN;
    const gap = gapAt(series, i);
    if (Number.isNaN(v) || gap === Infinity) continue;
    const stands = Math.min((t[i + 1] ?? NaN) - (t[i] ?? NaN), gap);
    observed += stands;
    if (v < threshold) below += stands;
  }
  const total = t.length === 0 ? 0 : (t[t.length - 1] ?? NaN) - (t[0] ?? NaN);
  return {
    total,
    observed,
    below,
    share: observed > 0 ? below / observed : null,
    shareLow: total > 0 ? below / total : null,
    shareHigh: total > 0 ? (below + total - observed) / total : null,
  };
}

/**
 * Returns how long value `i` stands, and whether the series is broken after it (a record is missing, or it is the last).
 * Missing where the next record is missing or there is none, it stands for its usual interval (no time where that is not known).
 */
export function standingTime(series: ValueSeries, i: number): { readonly time: number; readonly isBroken: boolean } {
  const next = (series.t[i + 1] ?? Infinity) - (series.t[i] ?? NaN);
  const usual = series.interval?.[i] ?? NaN;
  if (next <= gapAt(series, i) && gapAt(series, i) !== Infinity) return { time: next, isBroken: false };
  return { time: Number.isNaN(usual) ? 0 : Math.min(usual, next), isBroken: true };
}

interface Line {
  readonly from: number;
  readonly to: number;
  readonly length: number;
}

function* lines(series: ValueSeries): Generator<Line> {
  const { t, value } = series;
  for (let i = 1; i < t.length; i++) {
    const from = value[i - 1] ?? NaN;
    const to = value[i] ?? NaN;
    const length = (t[i] ?? NaN) - (t[i - 1] ?? NaN);
    const gap = Math.max(gapAt(series, i - 1), gapAt(series, i));
    if (Number.isNaN(from) || Number.isNaN(to) || gap === Infinity || length > gap) continue;
    yield { from, to, length };
  }
}

function gapAt({ gap }: ValueSeries, i: number): number {
  return typeof gap === 'number' ? gap : (gap[i] ?? Infinity);
}
