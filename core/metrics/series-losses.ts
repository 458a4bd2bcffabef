import type { Range3 } from '../base/interval.ts';

/** A run of missing records of a plain series. */
export interface SeriesLoss {
  readonly firstMissing: number;
  readonly lastMissing: number;
  readonly lost: Range3;
  /** The series begins, or ends, within the loss: its bounds then hold for what lies inside the series only. */
  readonly isStartUnknown: boolean;
  readonly isEndUnknown: boolean;
}

/**
 * Returns the losses of a plain series of records by the definition of the statistics plan alone: what the richer rules of
 * `core/episodes` (interval, hold, record gaps, joining, censoring) have to come down to where none of them applies.
 * Shape   `t` ascending, one flag per record. Losses whose parting information lasts less than `mergeGap` (mean of its least
 *         and most) are one, and what lies between counts as lost; those whose mid is below `minDuration` are left out.
 * Units   those of `t`.
 * Source  statistics a; bounds of what is known only between two records: Turnbull, JRSS B 1976;38:290.
 * Example records every 10 s, missing at 20, 30 and 40 → 20, 30, 40 s; missing at 80 only → 0, 10, 20 s.
 */
export function seriesLosses(t: readonly number[], isValid: readonly boolean[], { mergeGap, minDuration }: { readonly mergeGap: number; readonly minDuration: number }): SeriesLoss[] {
  const at = (i: number): number => t[i] ?? NaN;
  const runs: { first: number; last: number }[] = [];
  for (let first = 0; first < t.length; first++) {
    if (isValid[first] === true) continue;
    let last = first;
    while (last + 1 < t.length && isValid[last + 1] !== true) last++;
    const before = runs[runs.length - 1];
    if (before !== undefined && (at(first - 1) - at(before.last + 1) + (at(first) - at(before.last))) / 2 < mergeGap) before.last = last;
    else runs.push({ first, last });
    first = last;
  }
  return runs.flatMap(({ first, last }) => {
    const isStartUnknown = first === 0;
    const isEndUnknown = last === t.length - 1;
    const low = at(last) - at(first);
    const high = at(isEndUnknown ? last : last + 1) - at(isStartUnknown ? first : first - 1);
    const mid = (low + high) / 2;
    return mid < minDuration ? [] : [{ firstMissing: at(first), lastMissing: at(last), lost: { low, mid, high }, isStartUnknown, isEndUnknown }];
  });
}
