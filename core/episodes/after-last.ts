import type { RestoredBy } from '../model/analysis.ts';
import { upperBound } from '../base/search.ts';
import type { CaseEvent } from '../model/event.ts';
import type { InformationRule, SiteTrack } from '../quality/site-track.ts';
import { informationFrom, isSameSensor } from '../quality/site-track.ts';
import type { ChannelIntervals } from '../quality/channel-intervals.ts';

/** How a loss that never ended at its own sensor is censored. */
export interface Censoring {
  readonly atMs: number;
  readonly restoredBy: Exclude<RestoredBy, 'same site'>;
  readonly restoredSiteKey: string | null;
  readonly restoredAfterMs: number | null;
}

export interface AfterLastRules {
  readonly rule: InformationRule;
  readonly boundsEndMs: number;
  readonly afterLastGoodMs: number;
  /** How far a time can be off when an event says that the sensor was taken off, ms. */
  readonly softMs: number;
}

/**
 * Returns how the loss after the last information of a sensor is censored, or null when it is no dropout: the case did
 * not go on for longer than `afterLastGoodMs`, or an event says that the sensor was taken off.
 * Shape   the case goes on as long as another channel has numbers, within the bounds, and until the sensor is taken off.
 *         Another sensor that gave no information at the onset and gives it later ends the count ("moved to"); one that
 *         was there all the while covers the patient but does not end the loss at this site.
 * Units   ms.
 * Source  analysis-spec 4; docs/methods/monitored-time.md.
 */
export function censorAfterLast(
  site: SiteTrack,
  lastGoodMs: number,
  firstLostMs: number,
  others: readonly SiteTrack[],
  channels: readonly ChannelIntervals[],
  events: readonly CaseEvent[],
  rules: AfterLastRules,
): Censoring | null {
  let goesOnMs = Math.min(rules.boundsEndMs, lastNumberOfOthers(site, channels));
  for (const event of events) {
    if (event.atMs < lastGoodMs - rules.softMs) continue;
    if (isTakenOff(event, site, lastGoodMs, others, rules)) goesOnMs = Math.min(goesOnMs, event.atMs);
  }
  if (goesOnMs - lastGoodMs <= rules.afterLastGoodMs) return null;

  let moved: { atMs: number; siteKey: string } | null = null;
  let beside: { atMs: number; siteKey: string } | null = null;
  for (const other of others) {
    const atMs = firstInformationAfter(other, lastGoodMs, rules.rule);
    if (atMs === null || atMs > goesOnMs) continue;
    const found = { atMs, siteKey: other.siteKey };
    if (informsAt(other, lastGoodMs, rules.rule)) beside = beside === null || atMs < beside.atMs ? found : beside;
    else moved = moved === null || atMs < moved.atMs ? found : moved;
  }
  const restored = moved ?? beside;
  if (restored === null) return { atMs: goesOnMs, restoredBy: 'not restored', restoredSiteKey: null, restoredAfterMs: null };
  return {
    atMs: moved === null ? goesOnMs : moved.atMs,
    restoredBy: 'other site',
    restoredSiteKey: restored.siteKey,
    restoredAfterMs: Math.max(0, restored.atMs - firstLostMs),
  };
}

/** An event says so, or that the sensor went to a site that was already giving information when this one ended. */
function isTakenOff(event: CaseEvent, site: SiteTrack, lastGoodMs: number, others: readonly SiteTrack[], rules: AfterLastRules): boolean {
  if (event.kind === 'sensor off') return event.site === null || event.site === site.site;
  if (event.kind !== 'sensor moved' || event.site === null || event.site === site.site) return false;
  return event.atMs <= lastGoodMs + rules.softMs && others.some((o) => o.site === event.site && informsAt(o, lastGoodMs, rules.rule));
}

function lastNumberOfOthers(site: SiteTrack, channels: readonly ChannelIntervals[]): number {
  let last = -Infinity;
  for (const { channel } of channels) {
    if (isSameSensor(channel, site.channel)) continue;
    let i = channel.value.length - 1;
    while (i >= 0 && !Number.isFinite(channel.value[i])) i--;
    if (i >= 0) last = Math.max(last, channel.tMs[i] ?? -Infinity);
  }
  return last;
}

function firstInformationAfter(site: SiteTrack, afterMs: number, rule: InformationRule): number | null {
  const { tMs, status } = site.track;
  const lowest = informationFrom(rule);
  for (let i = upperBound(tMs, afterMs); i < tMs.length; i++) if ((status[i] ?? 0) >= lowest) return tMs[i] ?? null;
  return null;
}

function informsAt(site: SiteTrack, atMs: number, rule: InformationRule): boolean {
  const { tMs, status } = site.track;
  const i = upperBound(tMs, atMs) - 1;
  return i >= 0 && (status[i] ?? 0) >= informationFrom(rule) && atMs - (tMs[i] ?? NaN) <= (site.limitMs[i] ?? Infinity);
}
