import type { CaseBounds, Dropout, RecordGap, StatusName } from '../model/analysis.ts';
import { STATUS_NAMES } from '../model/analysis.ts';
import type { Interval } from '../base/interval.ts';
import { lowerBound, upperBound } from '../base/search.ts';
import type { CaseEvent } from '../model/event.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { ChannelIntervals } from '../quality/channel-intervals.ts';
import { intervalsAt } from '../signal/interval.ts';
import type { InformationRule, SiteTrack } from '../quality/site-track.ts';
import { informationFrom } from '../quality/site-track.ts';
import type { Censoring } from './after-last.ts';
import { censorAfterLast } from './after-last.ts';
import { bridgeRuns } from './bridge.ts';
import type { LossGroup } from './bridge.ts';
import type { LossRun } from '../model/loss-run.ts';
import { firstLost, informationRange, lossRuns } from './loss-runs.ts';
import { isWhollyInGaps, lostTime } from './lost-time.ts';
import { wideningOf } from './widening.ts';

/** A dropout before anything is linked to it. */
export type BareDropout = Omit<Dropout, 'returnComparison' | 'cannotExclude' | 'patterns' | 'evidence' | 'pressureBefore' | 'links' | 'responses'>;

/** What is known of the losses of one sensor under one rule of information. */
export interface SiteLosses {
  /** From the first sample with information to the last; null when there is none within the bounds. */
  readonly monitored: Interval | null;
  /** Every loss, however short, the censored one last; record gaps are still in. */
  readonly runs: readonly LossRun[];
  readonly censoring: Censoring | null;
  /** Until and from when the sensor certainly gave nothing, before its first and after its last information. */
  readonly silentUntilMs: number;
  readonly silentFromMs: number;
  /** Kept dropouts in time order. */
  readonly dropouts: readonly BareDropout[];
}

/** What the search for dropouts looks at beside the sensor itself. */
export interface LossContext {
  readonly bounds: CaseBounds;
  readonly sites: readonly SiteTrack[];
  readonly channels: readonly ChannelIntervals[];
  readonly events: readonly CaseEvent[];
  readonly gaps: readonly RecordGap[];
  readonly parameters: AnalysisParameters;
}

/** How long before its onset a perfusion index still counts as the one before a dropout, at least. */
const PERFUSION_BEFORE_MS = 60_000;

/**
 * Returns the losses and dropouts of one sensor.
 * Shape   dropouts in time order, pairwise disjoint, inside the bounds, numbered from 1; low ≤ mid ≤ high.
 * Units   ms.
 * Missing a sensor without information within the bounds has neither monitored time nor dropouts; so has one that is
 *         recorded irregularly throughout.
 * Source  analysis-spec 4 and 5; docs/methods/dropout.md.
 */
export function findLosses(site: SiteTrack, rule: InformationRule, context: LossContext): SiteLosses {
  const { bounds, parameters } = context;
  const range = informationRange(site, rule, bounds.startMs, bounds.endMs);
  if (isIrregular(site) || range.first > range.last) {
    return { monitored: null, runs: [], censoring: null, silentUntilMs: Infinity, silentFromMs: -Infinity, dropouts: [] };
  }
  const monitored = { startMs: site.track.tMs[range.first] ?? NaN, endMs: site.track.tMs[range.last] ?? NaN };

  const widened = (run: LossRun): LossRun => {
    const widening = wideningOf(site, run, rule);
    return widening === null ? run : { ...run, widening };
  };
  const runs = lossRuns(site, range, rule).map(widened);
  const firstLostMs = firstLost(site, range.last, range.end);
  const others = context.sites.filter((other) => other !== site);
  const censoring = censorAfterLast(site, monitored.endMs, firstLostMs, others, context.channels, context.events, {
    rule,
    boundsEndMs: bounds.endMs,
    afterLastGoodMs: parameters.afterLastGoodS * 1000,
    softMs: parameters.handTimeS * 1000,
  });
  if (censoring !== null && censoring.atMs > monitored.endMs) {
    const from = Math.min(firstLostMs, censoring.atMs);
    runs.push(widened({ lastGoodMs: monitored.endMs, firstLostMs: from, lastLostMs: censoring.atMs, firstGoodMs: censoring.atMs, isOpen: true }));
  }

  const dropouts: BareDropout[] = [];
  for (const group of bridgeRuns(runs, parameters.bridgeS * 1000)) {
    const dropout = describe(site, group, rule, censoring, context, dropouts.length + 1);
    if (dropout !== null) dropouts.push(dropout);
  }
  const firstInterval = site.intervalMs[range.first] ?? NaN;
  const silentUntilMs = monitored.startMs - (Number.isNaN(firstInterval) ? 0 : firstInterval);
  return { monitored, runs, censoring, silentUntilMs, silentFromMs: firstLostMs, dropouts };
}

/** Returns whether no stretch of the channel has an interval, so that nothing can have been missed. */
export function isIrregular(site: SiteTrack): boolean {
  return site.segments.every((segment) => segment.intervalMs === null);
}

function describe(
  site: SiteTrack,
  group: LossGroup,
  rule: InformationRule,
  censoring: Censoring | null,
  context: LossContext,
  number: number,
): BareDropout | null {
  const { gaps, parameters } = context;
  const first = group.runs[0];
  const last = group.runs[group.runs.length - 1];
  if (first === undefined || last === undefined) return null;
  const { tMs, value } = site.track;
  const before = lowerBound(tMs, first.lastGoodMs);
  const after = lowerBound(tMs, last.firstGoodMs);
  if (!parameters.keepRecordGaps && group.runs.every((run) => isWhollyInGaps(run, gaps, intervalAround(site, run)))) return null;
  const { lostMs, recordGapMs } = lostTime(group, gaps, { deviceHoldMs: parameters.deviceHoldS * 1000, keepRecordGaps: parameters.keepRecordGaps });
  if (lostMs.mid < parameters.minDurationS * 1000) return null;

  const open = last.isOpen ? censoring : null;
  const spo2Before = value[before] ?? NaN;
  const spo2After = open === null ? (value[after] ?? null) : null;
  const fell = spo2After === null ? null : spo2Before - spo2After;
  return {
    dropoutId: `${site.siteKey}@${first.firstLostMs}`,
    number,
    siteKey: site.siteKey,
    lastGoodMs: first.lastGoodMs,
    firstLostMs: first.firstLostMs,
    lastLostMs: open === null ? last.lastLostMs : null,
    firstGoodMs: open === null ? last.firstGoodMs : null,
    lostMs,
    restoredBy: open?.restoredBy ?? 'same site',
    restoredSiteKey: open?.restoredSiteKey ?? null,
    restoredAfterMs: open?.restoredAfterMs ?? null,
    censoredAtMs: open?.atMs ?? null,
    spo2Before,
    spo2After,
    dropOnReturn: fell === null ? null : Math.max(0, fell),
    isMarked: fell !== null && spo2After !== null && (fell >= parameters.returnDropPoints || spo2After < parameters.returnBelowPct),
    perfusionBefore: perfusionBefore(site, first.lastGoodMs, parameters),
    lostSamples: countLost(site, group, rule),
    bridgedMs: group.bridgedMs,
    recordGapMs,
  };
}

/** Returns the larger of a sensor's intervals at either end of a run, ms; 0 where neither is known. */
export function intervalAround(site: SiteTrack, run: LossRun): number {
  const at = (ms: number) => {
    const interval = site.intervalMs[lowerBound(site.track.tMs, ms)];
    return interval === undefined || Number.isNaN(interval) ? 0 : interval;
  };
  return Math.max(at(run.lastGoodMs), at(run.firstGoodMs));
}

/** The last plausible perfusion index at or before the onset, no older than 60 s or two of its intervals. */
function perfusionBefore(site: SiteTrack, lastGoodMs: number, parameters: AnalysisParameters): number | null {
  if (site.perfusion === null) return null;
  const { tMs, value } = site.perfusion.channel;
  const [low, high] = parameters.perfusionPlausible;
  const interval = intervalsAt(Float64Array.of(lastGoodMs), site.perfusion.segments)[0] ?? NaN;
  const oldest = lastGoodMs - Math.max(PERFUSION_BEFORE_MS, Number.isNaN(interval) ? 0 : 2 * interval);
  for (let i = upperBound(tMs, lastGoodMs) - 1; i >= 0 && (tMs[i] ?? NaN) >= oldest; i--) {
    const v = value[i] ?? NaN;
    if (v >= low && v <= high) return v;
  }
  return null;
}

/** Lost samples by status; rows that are not there count as absent, one per interval. */
function countLost(site: SiteTrack, group: LossGroup, rule: InformationRule): Partial<Record<StatusName, number>> {
  const { tMs, status } = site.track;
  const lowest = informationFrom(rule);
  const counts: Partial<Record<StatusName, number>> = {};
  const count = (name: StatusName, n: number) => {
    if (n > 0) counts[name] = (counts[name] ?? 0) + n;
  };
  for (const run of group.runs) {
    let at = run.lastGoodMs;
    let interval = site.intervalMs[lowerBound(tMs, at)] ?? NaN;
    const missing = (until: number, isSample: boolean) => {
      const rows = Math.round((until - at) / interval) - (isSample ? 1 : 0);
      if (until - at > 1.5 * interval) count('absent', rows);
    };
    for (let i = upperBound(tMs, run.lastGoodMs); i < tMs.length; i++) {
      const t = tMs[i] ?? Infinity;
      if (t >= run.firstGoodMs) break;
      missing(t, true);
      const code = status[i] ?? 0;
      const name = STATUS_NAMES[code - 1];
      if (code < lowest && name !== undefined) count(name, 1);
      at = t;
      interval = site.intervalMs[i] ?? interval;
    }
    missing(run.firstGoodMs, !run.isOpen);
  }
  return counts;
}
