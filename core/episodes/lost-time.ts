import type { RecordGap } from '../model/analysis.ts';
import type { Range3 } from '../base/interval.ts';
import type { LossGroup } from './bridge.ts';
import { informationBetween } from './bridge.ts';
import type { LossRun } from '../model/loss-run.ts';

export const NO_TIME: Range3 = { low: 0, mid: 0, high: 0 };

export interface LostTime {
  readonly lostMs: Range3;
  /** Record gap inside the runs. */
  readonly recordGapMs: Range3;
}

export interface LostTimeRules {
  /** For runs whose channel has no hold of its own. */
  readonly deviceHoldMs: number;
  /** True: record gaps are not taken off. */
  readonly keepRecordGaps: boolean;
}

/**
 * Returns how long information was lost in a group of runs.
 * Shape   low ≤ mid ≤ high, each the sum over the runs; so information between runs is taken off with its own limits.
 * Units   ms. The device hold widens `high` only: by the whole hold for the first run, and for a later one by no more
 *         than the information before it, since no display can have been held for longer than it showed something.
 *         What a mapping states of the making of the values moves low and high, and so their mean
 *         (docs/methods/value-making.md).
 * Missing record gaps inside a run are taken off: its shortest from `high`, its longest from `low`, never below 0.
 * Source  analysis-spec 3 to 5; docs/methods/dropout.md.
 * Example last good 0, first lost 10, last lost 30, first good 40 s → 20, 30, 40 s.
 */
export function lostTime(group: LossGroup, gaps: readonly RecordGap[], rules: LostTimeRules): LostTime {
  let lost = NO_TIME;
  let gapTime = NO_TIME;
  group.runs.forEach((run, i) => {
    const before = group.runs[i - 1];
    const { lowMs = 0, highMs = 0, holdMs = null } = run.widening ?? {};
    // Between two runs of a group a value can be lost in part to one of them only.
    const room = before === undefined ? Infinity : run.lastGoodMs - before.firstGoodMs;
    const high = run.firstGoodMs - run.lastGoodMs + Math.min(highMs, room);
    const low = Math.min(high, run.lastLostMs - run.firstLostMs + lowMs);
    const inside = gapInside(run, gaps);
    const off = rules.keepRecordGaps ? NO_TIME : inside;
    const longestHold = holdMs ?? rules.deviceHoldMs;
    const hold = before === undefined ? longestHold : Math.min(longestHold, informationBetween(before, run));
    lost = add(lost, {
      low: Math.max(0, low - off.high),
      mid: Math.max(0, (low + high) / 2 - off.mid),
      high: Math.max(0, high - off.low) + hold,
    });
    gapTime = add(gapTime, inside);
  });
  return { lostMs: lost, recordGapMs: gapTime };
}

/** Returns the time of the record gaps that lie in a run, ms. */
export function gapInside(run: LossRun, gaps: readonly RecordGap[]): Range3 {
  let total = NO_TIME;
  for (const gap of gaps) if (gap.firstRowMs > run.lastGoodMs && gap.lastRowMs < run.firstGoodMs) total = add(total, gap.gapMs);
  return total;
}

/**
 * Returns whether every value that was due in the run was due while the recorder stood still.
 * Shape   `intervalMs` is the recording interval of the channel around the run: where its rows are missing, a value need
 *         not have been due between the gap's edge and the sample beside it.
 */
export function isWhollyInGaps(run: LossRun, gaps: readonly RecordGap[], intervalMs: number): boolean {
  return gaps.some(
    (gap) =>
      run.firstLostMs > gap.lastRowMs &&
      !run.isOpen &&
      (run.lastLostMs < gap.firstRowMs || run.firstGoodMs - gap.firstRowMs < intervalMs),
  );
}

/** Returns the sum of two ranges, limit by limit. */
export function add(a: Range3, b: Range3): Range3 {
  return { low: a.low + b.low, mid: a.mid + b.mid, high: a.high + b.high };
}
