import type { Range3 } from '../base/interval.ts';
import { meantByAnyMs } from '../episodes/blind.ts';
import { bridgeRuns } from '../episodes/bridge.ts';
import { gapSpans } from '../episodes/gap-spans.ts';
import { lostTime } from '../episodes/lost-time.ts';
import { linkDropout } from '../linkage/link.ts';
import { meantSpan } from '../episodes/meant-span.ts';
import { dropoutTotals } from '../metrics/dropout-totals.ts';
import { BLIND_KEY } from '../model/site.ts';
import type { BareExposure, PreparedCase, PreparedLosses, PreparedRuns, PreparedSite } from '../model/prepared-case.ts';

/** What can be moved. */
export interface DropoutDefinition {
  readonly minDurationS: number;
  readonly bridgeS: number;
  /** Every look-back is multiplied by this. */
  readonly lookBackFactor: number;
  readonly doubtfulLost: boolean;
}

/** One dropout, or blind interval, under a definition. */
export interface DefinedDropout {
  readonly lastGoodMs: number;
  readonly firstLostMs: number;
  /** Where it is censored, for an open one. */
  readonly lastLostMs: number;
  /** First good, or where it is censored. */
  readonly endMs: number;
  readonly isOpen: boolean;
  readonly lostMs: Range3;
  /** Exposures before it. null: a blind interval, which is linked to nothing. */
  readonly links: { readonly certain: number; readonly possible: number } | null;
}

/** A sensor, or the times without information at any (`siteKey` is `BLIND_KEY`), under a definition. */
export interface DefinedSite {
  readonly siteKey: string;
  readonly dropouts: readonly DefinedDropout[];
  readonly count: number;
  readonly lostMs: Range3;
  readonly monitoredMs: number;
  readonly shareMid: number | null;
  /** Dropouts with at least one preceding exposure; null: blind intervals. */
  readonly linked: Linked | null;
}

/** How many dropouts have an exposure before them. */
export interface Linked {
  readonly certain: number;
  /** Certain or possible. */
  readonly any: number;
}

/** A case under a definition. */
export interface DefinedCase {
  readonly sites: readonly DefinedSite[];
  readonly blind: DefinedSite;
}

/** A point of the curve of count and time lost against the minimum duration. */
export interface CurvePoint {
  readonly minDurationS: number;
  readonly count: number;
  readonly lostMs: Range3;
  readonly shareMid: number | null;
  readonly linked: Linked | null;
}

/**
 * Returns every sensor of a prepared case, and its blind intervals, under a definition: the same episodes, bounds and links
 * as the whole analysis gives.
 * Shape   fast enough to follow a hand: no sample is looked at.
 * Source  analysis-spec 10; docs/methods/robustness.md.
 */
export function applyDefinition(prepared: PreparedCase, definition: DropoutDefinition): DefinedCase {
  const { minDurationS } = definition;
  const exposures = scaled(prepared.exposures, definition.lookBackFactor);
  const sites = prepared.sites.map((site): DefinedSite => {
    const losses = lossesOf(site, definition);
    const dropouts = candidatesOf(losses, prepared, definition, minDurationS, exposures);
    return { siteKey: site.siteKey, ...summaryOf(dropouts, monitoredWith(losses, dropouts)) };
  });
  const blind = candidatesOf(lossesOf(prepared.blind, definition), prepared, definition, minDurationS, null);
  const worn = meantBySitesMs(prepared, definition, sites.map((site) => site.dropouts));
  return { sites, blind: { siteKey: BLIND_KEY, ...summaryOf(blind, worn), linked: null } };
}

/**
 * Returns count and time lost of one sensor against the minimum duration, all else as in `definition`.
 * Shape   one point per duration, in the order given; links with the look-backs of the definition.
 */
export function durationCurve(prepared: PreparedCase, site: PreparedSite, definition: DropoutDefinition, durationsS: readonly number[]): CurvePoint[] {
  const losses = lossesOf(site, definition);
  const candidates = candidatesOf(losses, prepared, definition, 0, scaled(prepared.exposures, definition.lookBackFactor));
  return durationsS.map((minDurationS) => {
    const kept = lasting(candidates, minDurationS);
    return pointOf(minDurationS, summaryOf(kept, monitoredWith(losses, kept)));
  });
}

/** Returns the same of the times in which no sensor gave information; they have no links. */
export function blindCurve(prepared: PreparedCase, definition: DropoutDefinition, durationsS: readonly number[]): CurvePoint[] {
  const candidates = candidatesOf(lossesOf(prepared.blind, definition), prepared, definition, 0, null);
  const ofSites = prepared.sites.map((site) => candidatesOf(lossesOf(site, definition), prepared, definition, 0, null));
  return durationsS.map((minDurationS) => {
    const worn = meantBySitesMs(prepared, definition, ofSites.map((dropouts) => lasting(dropouts, minDurationS)));
    return pointOf(minDurationS, { ...summaryOf(lasting(candidates, minDurationS), worn), linked: null });
  });
}

function lossesOf<Losses>(of: { readonly any: Losses; readonly good: Losses }, { doubtfulLost }: DropoutDefinition): Losses {
  return doubtfulLost ? of.good : of.any;
}

/** Every dropout that a minimum of `leastS` keeps; `exposures` null: nothing is linked. */
function candidatesOf({ runs, inGaps }: PreparedRuns, prepared: PreparedCase, definition: DropoutDefinition, leastS: number, exposures: readonly BareExposure[] | null): DefinedDropout[] {
  const { gaps, deviceHoldMs, keepRecordGaps } = prepared;
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
    out.push({ ...onset, lastLostMs: last.lastLostMs, isOpen: last.isOpen, lostMs, links: exposures === null ? null : linksOf(onset, exposures, prepared.handTimeMs) });
  }
  return out;
}

function linksOf(onset: Parameters<typeof linkDropout>[0], exposures: readonly BareExposure[], handTimeMs: number): NonNullable<DefinedDropout['links']> {
  // Only what can reach the onset is handed on: a list is made anew for every movement of a hand.
  const near = exposures.filter((e) => e.atMs < onset.firstLostMs && Math.max(e.atMs + (e.windowMs ?? 0), e.endMs ?? -Infinity) > onset.lastGoodMs);
  const { links } = linkDropout(onset, near, handTimeMs);
  const certain = links.filter((link) => link.certainty === 'certain').length;
  return { certain, possible: links.length - certain };
}

function scaled(exposures: readonly BareExposure[], factor: number): readonly BareExposure[] {
  if (factor === 1) return exposures;
  return exposures.map((exposure) => (exposure.windowMs === null ? exposure : { ...exposure, windowMs: exposure.windowMs * factor }));
}

function lasting(candidates: readonly DefinedDropout[], minDurationS: number): DefinedDropout[] {
  return candidates.filter((candidate) => candidate.lostMs.mid >= minDurationS * 1000);
}

/** The denominator of a sensor: it reaches on with a loss not restored that counts. */
function monitoredWith(losses: PreparedLosses, dropouts: readonly DefinedDropout[]): number {
  return dropouts[dropouts.length - 1]?.isOpen === true ? losses.monitoredWithOpenMs : losses.monitoredMs;
}

/** The denominator of blind intervals; `ofSites` are the dropouts of each sensor that count. */
function meantBySitesMs(prepared: PreparedCase, definition: DropoutDefinition, ofSites: readonly (readonly DefinedDropout[])[]): number {
  const spans = prepared.sites.flatMap((site, i) => {
    const isOpen = ofSites[i]?.at(-1)?.isOpen === true;
    return site.monitored === null ? [] : [meantSpan(site.monitored, isOpen ? lossesOf(site, definition).openUntilMs : null)];
  });
  return meantByAnyMs(spans, gapSpans(prepared.gaps), prepared.keepRecordGaps);
}

function summaryOf(dropouts: readonly DefinedDropout[], monitoredMs: number): Omit<DefinedSite, 'siteKey'> {
  const { count, lostMs, shareMid } = dropoutTotals(dropouts.map((d) => d.lostMs), monitoredMs);
  return { dropouts, count, lostMs, monitoredMs, shareMid, linked: linkedOf(dropouts) };
}

function linkedOf(dropouts: readonly DefinedDropout[]): Linked {
  let certain = 0;
  let any = 0;
  for (const { links } of dropouts) {
    if (links === null) continue;
    if (links.certain > 0) certain++;
    if (links.certain + links.possible > 0) any++;
  }
  return { certain, any };
}

function pointOf(minDurationS: number, { count, lostMs, shareMid, linked }: Omit<DefinedSite, 'siteKey'>): CurvePoint {
  return { minDurationS, count, lostMs, shareMid, linked };
}
