import type { LossRun } from '../model/loss-run.ts';

/** Runs that make one dropout, with the information between them taken off. */
export interface LossGroup {
  readonly runs: readonly LossRun[];
  /** Information between the runs, ms: what is taken off the mid estimate. */
  readonly bridgedMs: number;
}

/**
 * Returns the runs gathered into dropouts: two runs parted by information lasting less than `bridgeMs`, or by a single
 * sample, belong together.
 * Shape   `runs` in time order; the groups too. No run is changed.
 * Units   ms.
 * Source  analysis-spec 5; docs/methods/dropout.md, "Joining", shows why low and high stay bounds.
 * Example 1-s data, losses parted by 9 good samples → one group, 9 s bridged; by 10 good samples → two groups.
 */
export function bridgeRuns(runs: readonly LossRun[], bridgeMs: number): LossGroup[] {
  const out: { runs: LossRun[]; bridgedMs: number }[] = [];
  for (const run of runs) {
    const group = out[out.length - 1];
    const before = group?.runs[group.runs.length - 1];
    if (group === undefined || before === undefined) {
      out.push({ runs: [run], bridgedMs: 0 });
      continue;
    }
    const lasted = informationBetween(before, run);
    const isSingleSample = run.lastGoodMs <= before.firstGoodMs;
    if (isSingleSample || lasted < bridgeMs) {
      group.runs.push(run);
      group.bridgedMs += lasted;
    } else out.push({ runs: [run], bridgedMs: 0 });
  }
  return out;
}

/**
 * Returns how long information lasted between two runs, ms: the mean of the least (first to last sample) and the most
 * (last lost to first lost) that it can have lasted; n samples at one interval give n intervals.
 */
export function informationBetween(before: LossRun, after: LossRun): number {
  return (after.lastGoodMs - before.firstGoodMs + (after.firstLostMs - before.lastLostMs)) / 2;
}
