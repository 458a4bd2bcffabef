import type { Interval } from '../base/interval.ts';
import { coveredMs } from '../base/interval.ts';
import type { CohortDropout } from '../model/cohort-case.ts';

/** Returns stretches that a case gives as one list of starts and ends. */
export function spansOf(flat: readonly number[]): Interval[] {
  const spans: Interval[] = [];
  for (let i = 0; i + 1 < flat.length; i += 2) spans.push({ startMs: flat[i] ?? NaN, endMs: flat[i + 1] ?? NaN });
  return spans;
}

/** Returns when a dropout began: the middle of its onset. Source: statistics a. */
export function onsetOf({ lastGoodMs, firstLostMs }: Pick<CohortDropout, 'lastGoodMs' | 'firstLostMs'>): number {
  return (lastGoodMs + firstLostMs) / 2;
}

/**
 * Returns how much of the mid estimate of a dropout lies within some stretches that do not overlap, ms; bridged information is taken off in
 * proportion. `monitored`: the sensor's own stretches, of which `within` is a part.
 */
export function lostWithin(dropout: CohortDropout, within: readonly Interval[], monitored: readonly Interval[]): number {
  const { lastLostMs, firstGoodMs, censoredAtMs } = dropout;
  const span = { startMs: onsetOf(dropout), endMs: lastLostMs !== null && firstGoodMs !== null ? (lastLostMs + firstGoodMs) / 2 : (censoredAtMs ?? NaN) };
  const covered = coveredMs(span, within);
  // Of a dropout that lies in the stretches whole, what is counted is its mid estimate: bridged information is no loss.
  // Record gaps are in neither the estimate nor the monitored time, so they must not be in what both are held against.
  return covered === 0 ? 0 : Math.min(covered, (dropout.lostMs.mid * covered) / coveredMs(span, monitored));
}
