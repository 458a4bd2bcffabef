import { lowerBound, upperBound } from '../../base/search.ts';
import { STATUS } from '../../model/analysis.ts';
import type { UnsteadyEvidence } from '../../model/onset-evidence.ts';
import type { AnalysisParameters } from '../../model/parameters.ts';
import type { LossRun } from '../../model/loss-run.ts';
import type { SiteTrack } from '../../quality/site-track.ts';

/**
 * Returns how many short losses and doubtful runs a sensor had in the time before a loss.
 * Shape   `runs` are the losses of the sensor with doubtful samples taken as information. A short loss is one whose mid
 *         is below `minDurationS` and that ended in the window; a doubtful run is an unbroken row of weak or disputed
 *         samples with at least one in the window.
 * Units   window of `unsteadyWindowS` up to `lastGoodMs`, both ends included.
 * Source  analysis-spec 6; docs/methods/onset-patterns.md.
 */
export function unsteadiness(site: SiteTrack, runs: readonly LossRun[], lastGoodMs: number, parameters: AnalysisParameters): UnsteadyEvidence {
  const fromMs = lastGoodMs - parameters.unsteadyWindowS * 1000;
  let shortLosses = 0;
  for (const run of runs) {
    if (run.isOpen || run.firstGoodMs < fromMs || run.firstGoodMs > lastGoodMs) continue;
    const mid = (run.lastLostMs - run.firstLostMs + run.firstGoodMs - run.lastGoodMs) / 2;
    if (mid < parameters.minDurationS * 1000) shortLosses++;
  }
  const { tMs, status } = site.track;
  const end = upperBound(tMs, lastGoodMs);
  let doubtfulRuns = 0;
  let wasDoubtful = false;
  for (let i = lowerBound(tMs, fromMs); i < end; i++) {
    const isDoubtful = status[i] === STATUS.weak || status[i] === STATUS.disputed;
    if (isDoubtful && !wasDoubtful) doubtfulRuns++;
    wasDoubtful = isDoubtful;
  }
  return { shortLosses, doubtfulRuns };
}

/** Returns whether the signal was unsteady: at least `unsteadyMinRuns` short losses and doubtful runs together. */
export function isUnsteady({ shortLosses, doubtfulRuns }: UnsteadyEvidence, parameters: AnalysisParameters): boolean {
  return shortLosses + doubtfulRuns >= parameters.unsteadyMinRuns;
}
