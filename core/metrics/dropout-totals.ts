import type { Range3 } from '../base/interval.ts';
import type { DropoutTotals } from '../model/analysis.ts';

/**
 * Returns count, summed lost time, longest loss and share of a list of dropouts or blind intervals.
 * Shape   a new object; `lost` is not modified.
 * Units   ms; share from 0 to 1 (lost mid / `denominatorMs`).
 * Missing no monitored time: share null. Nothing lost: 0.
 * Source  analysis-spec 5; docs/methods/monitored-time.md for the denominator.
 * Example 30, 90 and 240 s lost of 3600 s → 360 s, share 0.1.
 */
export function dropoutTotals(lost: readonly Range3[], denominatorMs: number): DropoutTotals {
  let low = 0;
  let mid = 0;
  let high = 0;
  let longestMidMs = 0;
  for (const one of lost) {
    low += one.low;
    mid += one.mid;
    high += one.high;
    longestMidMs = Math.max(longestMidMs, one.mid);
  }
  return { count: lost.length, lostMs: { low, mid, high }, longestMidMs, shareMid: denominatorMs > 0 ? mid / denominatorMs : null };
}
