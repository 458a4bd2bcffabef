import type { Range3 } from '../base/interval.ts';
import type { RecordGap } from '../model/analysis.ts';
import type { CaseRecord } from '../model/case.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { Site } from '../model/site.ts';
import { channelIntervals } from '../quality/channel-intervals.ts';
import type { SiteTrack } from '../quality/site-track.ts';
import { siteTracks } from '../quality/site-track.ts';
import { bridgeRuns } from '../episodes/bridge.ts';
import { caseBounds } from '../episodes/case-bounds.ts';
import type { LossContext, SiteLosses } from '../episodes/dropouts.ts';
import { findLosses, intervalAround } from '../episodes/dropouts.ts';
import type { LossRun } from '../episodes/loss-runs.ts';
import { isWhollyInGaps, lostTime } from '../episodes/lost-time.ts';
import { judgedMs, meantSpan } from '../episodes/meant-span.ts';
import { findRecordGaps } from '../episodes/record-gaps.ts';
import type { BareExposure } from '../linkage/exposures.ts';
import { findExposures } from '../linkage/exposures.ts';
import { linkDropout } from '../linkage/link.ts';
import { dropoutTotals } from '../metrics/dropout-totals.ts';

/** The losses of one sensor under one rule of information, before any definition of a dropout. */
export interface PreparedLosses {
  readonly runs: readonly LossRun[];
  /** Per run: whether all that was due fell into record gaps. */
  readonly inGaps: readonly boolean[];
  /** Denominator without and with the loss that was not restored, ms. */
  readonly monitoredMs: number;
  readonly monitoredWithOpenMs: number;
}

export interface PreparedSite {
  readonly siteKey: string;
  readonly site: Site;
  readonly sensor: string;
  readonly any: PreparedLosses;
  readonly good: PreparedLosses;
}

/** All that a definition of a dropout is applied to: plain data, so that it can be sent to where a hand moves the definition. */
export interface PreparedCase {
  readonly sites: readonly PreparedSite[];
  readonly gaps: readonly RecordGap[];
  readonly exposures: readonly BareExposure[];
  readonly caseEndMs: number;
  readonly deviceHoldMs: number;
  readonly handTimeMs: number;
  readonly keepRecordGaps: boolean;
}

/** What can be moved. */
export interface DropoutDefinition {
  readonly minDurationS: number;
  readonly bridgeS: number;
  /** Every look-back is multiplied by this. */
  readonly lookBackFactor: number;
  readonly doubtfulLost: boolean;
}

/** One dropout under a definition. */
export interface DefinedDropout {
  readonly lastGoodMs: number;
  readonly firstLostMs: number;
  /** First good, or where it is censored. */
  readonly endMs: number;
  readonly isOpen: boolean;
  readonly lostMs: Range3;
  readonly linksCertain: number;
  readonly linksPossible: number;
}

/** A sensor under a definition. */
export interface DefinedSite {
  readonly siteKey: string;
  readonly dropouts: readonly DefinedDropout[];
  readonly count: number;
  readonly lostMs: Range3;
  readonly monitoredMs: number;
  readonly shareMid: number | null;
  /** Dropouts with at least one preceding exposure. */
  readonly linkedCertain: number;
  readonly linkedAny: number;
}

/** A point of the curve of count and time lost against the minimum duration. */
export interface CurvePoint {
  readonly minDurationS: number;
  readonly count: number;
  readonly lostMs: Range3;
  readonly shareMid: number | null;
  readonly linkedCertain: number;
  readonly linkedAny: number;
}

/**
 * Returns what of a case does not depend on how a dropout is defined, worked out once.
 * Shape   plain data; sites in the order of the SpO2 channels. Statuses, record gaps, device hold and hand times are those
 *         of `parameters`.
 */
export function prepareRobustness(record: CaseRecord, parameters: AnalysisParameters): PreparedCase {
  const { bounds } = caseBounds(record);
  const channels = channelIntervals(record.channels);
  const sites = siteTracks(channels, parameters);
  const { gaps } = findRecordGaps(channels, bounds.startMs, bounds.endMs);
  const context: LossContext = { bounds, sites, channels, events: record.events, gaps, parameters };
  return {
    sites: sites.map((site) => prepareSite(site, context)),
    gaps,
    exposures: findExposures(record, bounds, parameters).exposures,
    caseEndMs: bounds.endMs,
    deviceHoldMs: parameters.deviceHoldS * 1000,
    handTimeMs: parameters.handTimeS * 1000,
    keepRecordGaps: parameters.keepRecordGaps,
  };
}

function prepareSite(site: SiteTrack, context: LossContext): PreparedSite {
  const { gaps, parameters } = context;
  const any = findLosses(site, 'any', context);
  // As in the whole analysis, the denominator is the monitored span of the primary rule for both results.
  const { monitored } = any;
  const prepared = ({ runs, censoring }: SiteLosses): PreparedLosses => {
    const denominator = (censoredAtMs: number | null) =>
      monitored === null ? 0 : judgedMs(meantSpan(monitored, censoredAtMs), site, gaps, parameters.keepRecordGaps);
    return {
      runs,
      inGaps: runs.map((run) => isWhollyInGaps(run, gaps, intervalAround(site, run))),
      monitoredMs: denominator(null),
      monitoredWithOpenMs: denominator(censoring?.atMs ?? null),
    };
  };
  return { siteKey: site.siteKey, site: site.site, sensor: site.sensor, any: prepared(any), good: prepared(findLosses(site, 'good', context)) };
}

/**
 * Returns every sensor of a prepared case under a definition: the same dropouts, bounds and links as the whole analysis gives.
 * Shape   fast enough to follow a hand: no sample is looked at.
 * Source  analysis-spec 10; docs/methods/robustness.md.
 */
export function applyDefinition(prepared: PreparedCase, definition: DropoutDefinition): DefinedSite[] {
  return prepared.sites.map((site) => {
    const candidates = candidatesOf(site, prepared, definition, definition.minDurationS);
    return { siteKey: site.siteKey, ...summaryOf(candidates, definition.minDurationS, site, definition.doubtfulLost) };
  });
}

/**
 * Returns count and time lost of one sensor against the minimum duration, all else as in `definition`.
 * Shape   one point per duration, in the order given. `linked…` with the look-backs of the definition.
 */
export function durationCurve(prepared: PreparedCase, site: PreparedSite, definition: DropoutDefinition, durationsS: readonly number[]): CurvePoint[] {
  const candidates = candidatesOf(site, prepared, definition, 0);
  return durationsS.map((minDurationS) => {
    const { count, lostMs, shareMid, linkedCertain, linkedAny } = summaryOf(candidates, minDurationS, site, definition.doubtfulLost);
    return { minDurationS, count, lostMs, shareMid, linkedCertain, linkedAny };
  });
}

/** Every dropout that a minimum of `leastS` keeps. */
function candidatesOf(site: PreparedSite, prepared: PreparedCase, definition: DropoutDefinition, leastS: number): DefinedDropout[] {
  const { runs, inGaps } = definition.doubtfulLost ? site.good : site.any;
  const { gaps, deviceHoldMs, keepRecordGaps } = prepared;
  const exposures = scaled(prepared.exposures, definition.lookBackFactor);
  const out: DefinedDropout[] = [];
  let at = 0;
  for (const group of bridgeRuns(runs, definition.bridgeS * 1000)) {
    const from = at;
    at += group.runs.length;
    const first = group.runs[0];
    const last = group.runs[group.runs.length - 1];
    if (first === undefined || last === undefined) continue;
    if (!keepRecordGaps && inGaps.slice(from, at).every((isInGap) => isInGap)) continue;
    const { lostMs } = lostTime(group, gaps, { deviceHoldMs, keepRecordGaps });
    if (lostMs.mid < leastS * 1000) continue;
    const onset = { lastGoodMs: first.lastGoodMs, firstLostMs: first.firstLostMs, endMs: last.firstGoodMs };
    // Only what can reach the onset is handed on: a list is made anew for every movement of a hand.
    const near = exposures.filter((e) => e.atMs < onset.firstLostMs && Math.max(e.atMs + (e.windowMs ?? 0), e.endMs ?? -Infinity) > onset.lastGoodMs);
    const { links } = linkDropout(onset, near, prepared.handTimeMs);
    const linksCertain = links.filter((link) => link.certainty === 'certain').length;
    out.push({ ...onset, isOpen: last.isOpen, lostMs, linksCertain, linksPossible: links.length - linksCertain });
  }
  return out;
}

function scaled(exposures: readonly BareExposure[], factor: number): readonly BareExposure[] {
  if (factor === 1) return exposures;
  return exposures.map((exposure) => (exposure.windowMs === null ? exposure : { ...exposure, windowMs: exposure.windowMs * factor }));
}

function summaryOf(candidates: readonly DefinedDropout[], minDurationS: number, site: PreparedSite, doubtfulLost: boolean): Omit<DefinedSite, 'siteKey'> {
  const losses = doubtfulLost ? site.good : site.any;
  const dropouts = candidates.filter((candidate) => candidate.lostMs.mid >= minDurationS * 1000);
  const monitoredMs = dropouts[dropouts.length - 1]?.isOpen === true ? losses.monitoredWithOpenMs : losses.monitoredMs;
  const { count, lostMs, shareMid } = dropoutTotals(dropouts.map((d) => d.lostMs), monitoredMs);
  return {
    dropouts,
    count,
    lostMs,
    monitoredMs,
    shareMid,
    linkedCertain: dropouts.filter((d) => d.linksCertain > 0).length,
    linkedAny: dropouts.filter((d) => d.linksCertain + d.linksPossible > 0).length,
  };
}
