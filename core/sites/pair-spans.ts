import type { Interval } from '../base/interval.ts';
import { coveredMs, difference, intersection, union } from '../base/interval.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { LossRun } from '../model/loss-run.ts';
import type { SiteTrack } from '../quality/site-track.ts';
import type { SiteLosses } from '../episodes/dropouts.ts';

/** A sensor with its losses under the primary rule: by these it is worn or not. */
export interface ComparedSite {
  readonly site: SiteTrack;
  readonly losses: SiteLosses;
}

/** What of the case bears on a comparison. */
export interface PairContext {
  /** Stretches of bypass, head down, and record gaps (mid estimates). */
  readonly bypass: readonly Interval[];
  readonly headDown: readonly Interval[];
  readonly recordGaps: readonly Interval[];
  readonly parameters: AnalysisParameters;
}

/** When two sensors are compared. Sorted and disjoint. */
export interface PairSpans {
  /** Both worn, whatever else happened. */
  readonly worn: readonly Interval[];
  /** Of it, what is compared: record gaps and bypass taken out unless the parameters keep them. */
  readonly shared: readonly Interval[];
  readonly bypassMs: number;
}

/** Returns the stretches in which two sensors are compared. */
export function pairSpans(first: ComparedSite, second: ComparedSite, context: PairContext): PairSpans {
  const { parameters } = context;
  const worn = intersection(meantOf(first.losses), meantOf(second.losses));
  const bypass = union(context.bypass);
  const taken = union([...(parameters.keepBypass ? [] : bypass), ...(parameters.keepRecordGaps ? [] : context.recordGaps)]);
  return { worn, shared: difference(worn, taken), bypassMs: worn.reduce((sum, span) => sum + coveredMs(span, bypass), 0) };
}

/** Returns when a sensor was meant to give information: to the end of a loss that was not restored, where there is one. */
export function meantOf({ monitored, censoring }: SiteLosses): Interval[] {
  return monitored === null ? [] : [{ startMs: monitored.startMs, endMs: Math.max(monitored.endMs, censoring?.atMs ?? -Infinity) }];
}

/** Returns losses, however short, each from the middle of its onset to the middle of its end; an open one has no end. */
export function lostSpans(runs: readonly LossRun[]): Interval[] {
  return runs.map((run) => ({
    startMs: (run.lastGoodMs + run.firstLostMs) / 2,
    endMs: run.isOpen ? Infinity : (run.lastLostMs + run.firstGoodMs) / 2,
  }));
}

/** Returns the stretches of the time shared in which a sensor with these losses had information. */
export function informationIn(shared: readonly Interval[], runs: readonly LossRun[]): Interval[] {
  return difference(shared, union(lostSpans(runs)));
}

/**
 * Returns the losses of a sensor with doubtful samples counted as lost, over the time of its primary result.
 * Shape   those of `good`; before its first good sample and after its last one the sensor had no information either, though
 *         there a loss is no dropout. Without a single good sample it is lost throughout.
 */
export function doubtfulLostRuns(any: SiteLosses, good: SiteLosses): LossRun[] {
  if (any.monitored === null) return [];
  if (good.monitored === null) return [{ lastGoodMs: -Infinity, firstLostMs: -Infinity, lastLostMs: Infinity, firstGoodMs: Infinity, isOpen: true }];
  const { startMs, endMs } = good.monitored;
  const head = { lastGoodMs: -Infinity, firstLostMs: -Infinity, lastLostMs: Math.min(good.silentUntilMs, startMs), firstGoodMs: startMs, isOpen: false };
  const tail = { lastGoodMs: endMs, firstLostMs: Math.max(good.silentFromMs, endMs), lastLostMs: Infinity, firstGoodMs: Infinity, isOpen: true };
  const hasOpen = good.runs.some((run) => run.isOpen);
  return [...(startMs > any.monitored.startMs ? [head] : []), ...good.runs, ...(!hasOpen && endMs < any.monitored.endMs ? [tail] : [])];
}
