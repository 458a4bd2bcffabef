import type { Interval } from '../base/interval.ts';
import type { Dropout } from '../model/analysis.ts';
import { STATUS } from '../model/analysis.ts';
import type { SignalStrength } from '../model/site-comparison.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { LossRun } from '../model/loss-run.ts';
import type { SiteTrack } from '../quality/site-track.ts';
import { perfusionLevel } from './perfusion-level.ts';

/**
 * Returns strength and steadiness of the signal of one sensor over its monitored span.
 * Shape   `runs` are its losses with doubtful samples taken as information; a short loss is one in none of the dropouts.
 * Missing a sensor that was never monitored has neither.
 * Source  docs/metrics/signal-strength.md.
 */
export function signalStrength(site: SiteTrack, monitored: Interval | null, runs: readonly LossRun[], dropouts: readonly Dropout[], parameters: AnalysisParameters): SignalStrength {
  if (monitored === null) return { perfusion: null, shortLosses: 0, doubtfulRuns: 0 };
  const isInDropout = (run: LossRun) => dropouts.some((d) => run.lastGoodMs >= d.lastGoodMs && run.firstGoodMs <= (d.firstGoodMs ?? Infinity));
  const { tMs, status } = site.track;
  let doubtfulRuns = 0;
  let wasDoubtful = false;
  for (let i = 0; i < tMs.length; i++) {
    const at = tMs[i] ?? NaN;
    if (at < monitored.startMs || at > monitored.endMs) continue;
    const isDoubtful = status[i] === STATUS.weak || status[i] === STATUS.disputed;
    if (isDoubtful && !wasDoubtful) doubtfulRuns++;
    wasDoubtful = isDoubtful;
  }
  return { perfusion: perfusionLevel(site, monitored, parameters), shortLosses: runs.filter((run) => !run.isOpen && !isInDropout(run)).length, doubtfulRuns };
}
