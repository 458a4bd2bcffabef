import type { Interval } from '../base/interval.ts';
import type { RecordGap } from '../model/analysis.ts';

/**
 * Returns, for each record gap, the stretch that its mid estimate covers: from the middle of its onset to the middle of
 * its end. Used where gap time is taken off a span rather than off one loss.
 * Source  docs/methods/record-gap.md.
 */
export function gapSpans(gaps: readonly RecordGap[]): Interval[] {
  return gaps.map((gap) => ({ startMs: (gap.lastRowMs + gap.firstMissingMs) / 2, endMs: (gap.lastMissingMs + gap.firstRowMs) / 2 }));
}
