import type { Interval } from '../base/interval.ts';
import { coveredMs, difference, intersection, union } from '../base/interval.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { SiteTrack } from '../quality/site-track.ts';
import type { SiteLosses } from '../episodes/dropouts.ts';

/** A sensor with its losses under the primary rule. */
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

/** When two sensors are compared, and when either had information meanwhile. Sorted and disjoint. */
export interface PairSpans {
  /** Both worn, whatever else happened. */
  readonly worn: readonly Interval[];
  /** Of it, what is compared: record gaps and bypass taken out unless the parameters keep them. */
  readonly shared: readonly Interval[];
  readonly bypassMs: number;
  readonly infoFirst: readonly Interval[];
  readonly infoSecond: readonly Interval[];
}

/** Returns the stretches in which two sensors are compared, and those of them with information. */
export function pairSpans(first: ComparedSite, second: ComparedSite, context: PairContext): PairSpans {
  const { parameters } = context;
  const worn = intersection(meantOf(first.losses), meantOf(second.losses));
  const bypass = union(context.bypass);
  const taken = union([...(parameters.keepBypass ? [] : bypass), ...(parameters.keepRecordGaps ? [] : context.recordGaps)]);
  const shared = difference(worn, taken);
  return {
    worn,
    shared,
    bypassMs: worn.reduce((sum, span) => sum + coveredMs(span, bypass), 0),
    infoFirst: intersection(information(first), shared),
    infoSecond: intersection(information(second), shared),
  };
}

/** Returns when a sensor was meant to give information: to the end of a loss that was not restored, where there is one. */
export function meantOf({ monitored, censoring }: SiteLosses): Interval[] {
  return monitored === null ? [] : [{ startMs: monitored.startMs, endMs: Math.max(monitored.endMs, censoring?.atMs ?? -Infinity) }];
}

/** Returns the losses of a sensor, however short, each from the middle of its onset to the middle of its end; an open one has no end. */
export function lostSpans({ runs }: SiteLosses): Interval[] {
  return runs.map((run) => ({
    startMs: (run.lastGoodMs + run.firstLostMs) / 2,
    endMs: run.isOpen ? Infinity : (run.lastLostMs + run.firstGoodMs) / 2,
  }));
}

function information({ losses }: ComparedSite): Interval[] {
  return difference(meantOf(losses), union(lostSpans(losses)));
}
