import type { Range3 } from '../base/interval.ts';
import { bridgeRuns } from '../episodes/bridge.ts';
import { lostTime } from '../episodes/lost-time.ts';
import { linkDropout } from '../linkage/link.ts';
import { dropoutTotals } from '../metrics/dropout-totals.ts';
import type { BareExposure, PreparedCase, PreparedSite } from '../model/prepared-case.ts';

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
  /** Where it is censored, for an open one. */
  readonly lastLostMs: number;
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
    out.push({ ...onset, lastLostMs: last.lastLostMs, isOpen: last.isOpen, lostMs, linksCertain, linksPossible: links.length - linksCertain });
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
