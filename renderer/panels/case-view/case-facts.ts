import type { Interval } from '../../../core/base/interval.ts';
import type { CaseAnalysis, Dropout, Exposure, Link, SiteAnalysis } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import type { ValueMaking } from '../../../core/model/mapping.ts';
import { QUANTITY_FACTS } from '../../../core/model/quantity.ts';
import { BLIND_KEY } from '../../../core/model/site.ts';
import { recordedWords } from '../../../core/model/recorded-words.ts';
import { countText, doseText, numberText, saturationText, unitText } from '../../format/number-text.ts';
import { durationText, leadText, type CaseClock } from '../../format/time-text.ts';

const DAY_MS = 86_400_000;

/** Returns a sensor's place as it is named on screen. */
export function siteText(siteKey: string): string {
  if (siteKey === BLIND_KEY) return 'no site (blind)';
  return siteKey.startsWith('unstated') ? siteKey.replace('unstated', 'site not stated') : siteKey;
}

/** Returns from when to when a case reaches, without seconds: "06:00 to 09:46 (next day)". */
export function spanText({ startMs, endMs }: Interval, clock: CaseClock): string {
  const [end, dayAfter] = [clock.shortClock(endMs), clock.date(startMs + DAY_MS)];
  return `${clock.shortClock(startMs)} to ${dayAfter === null ? end : end.replace(` (${dayAfter})`, ' (next day)')}`;
}

const MAKING_TEXT: Readonly<Record<ValueMaking, string>> = {
  snapshot: 'single values',
  mean: 'mean of each interval',
  median: 'median of each interval',
  hold: 'an older value may be carried on',
  unknown: 'how each value was made is not stated',
};

/** Returns how the values of a sensor were made and held, as a mapping states it: "median of each interval, device hold 10 s". */
export function makingText(site: SiteAnalysis, record: CaseRecord): string {
  const channel = record.channels.find((own) => own.channelId === site.channelId);
  const making = MAKING_TEXT[channel?.valueMaking ?? 'unknown'];
  return channel?.deviceHoldS === undefined ? making : `${making}, device hold ${numberText(channel.deviceHoldS)} s`;
}

/**
 * Returns how each monitored site was recorded and its values were made, one line for all where they agree:
 * "Every site recorded every 1 s, how each value was made is not stated".
 */
export function recordedLines(analysis: CaseAnalysis, record: CaseRecord): string[] {
  const monitored = analysis.sites.filter((site) => site.monitored !== null);
  const texts = monitored.map((site) => `recorded ${recordedWords(site)}, ${makingText(site, record)}`);
  if (monitored.length > 1 && new Set(texts).size === 1) return [`Every site ${texts[0] ?? ''}`];
  return monitored.map((site, i) => `${capital(siteText(site.siteKey))} ${texts[i] ?? ''}`);
}

function capital(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}`;
}

/** Returns an exposure in words: "phenylephrine 100 µg", "arms tucked", "norepinephrine infusion to 8 µg/min". */
export function exposureText(exposure: Exposure): string {
  if (exposure.kind === 'vasopressor bolus') return `${exposure.label} ${doseText(exposure.dose, exposure.unit)}`;
  if (exposure.kind === 'infusion change') {
    return exposure.dose === null ? `${exposure.label} infusion, rate not stated` : `${exposure.label} infusion to ${doseText(exposure.dose, exposure.unit)}`;
  }
  return exposure.label === '' ? exposure.kind : exposure.label;
}

/** Returns a link in words: "phenylephrine 100 µg, 3 min 20 s before, certain". */
export function linkText(link: Link, exposures: ReadonlyMap<string, Exposure>): string {
  const exposure = exposures.get(link.exposureId);
  const what = exposure === undefined ? 'an exposure that is no longer listed' : exposureText(exposure);
  const manual = exposure?.manual === true ? ', time typed by hand' : '';
  if (link.certainty === 'during') return `${what}, ${durationText(Math.abs(link.leadMs))} after the onset${manual}`;
  return `${what}, ${leadText(link.leadMs)}, ${link.certainty}${manual}`;
}

/** Returns the exposures of a case by their id. */
export function exposuresById(analysis: CaseAnalysis): ReadonlyMap<string, Exposure> {
  return new Map(analysis.exposures.map((exposure) => [exposure.exposureId, exposure]));
}

export interface Follower {
  readonly dropout: Dropout;
  readonly link: Link;
}

/** Returns, for every exposure of the case, the dropouts that followed it, in time order; an empty list where none did. */
export function followersByExposure(analysis: CaseAnalysis): ReadonlyMap<string, readonly Follower[]> {
  const followers = new Map<string, Follower[]>(analysis.exposures.map((exposure) => [exposure.exposureId, []]));
  for (const site of analysis.sites) {
    for (const dropout of site.dropouts) {
      for (const link of dropout.links) followers.get(link.exposureId)?.push({ dropout, link });
    }
  }
  for (const list of followers.values()) list.sort((a, b) => a.dropout.firstLostMs - b.dropout.firstLostMs);
  return followers;
}

/** Returns how a dropout ended, in words. */
export function endingText(dropout: Dropout, clock: CaseClock): string {
  switch (dropout.restoredBy) {
    case 'same site':
      return 'same site';
    case 'other site': {
      const after = dropout.restoredAfterMs === null ? '' : `, after ${durationText(dropout.restoredAfterMs)}`;
      return `${dropout.restoredSiteKey === null ? 'other site' : siteText(dropout.restoredSiteKey)}${after}`;
    }
    case 'not restored':
      return dropout.censoredAtMs === null ? 'not restored' : `not restored, counted to ${clock.clock(dropout.censoredAtMs)}`;
  }
}

/** Returns why a dropout is marked ("5 points lower", "below 90 %"), or null when it is not. */
export function markText(dropout: Dropout, returnBelowPct: number): string | null {
  if (!dropout.isMarked) return null;
  const parts: string[] = [];
  if (dropout.dropOnReturn !== null && dropout.dropOnReturn > 0) parts.push(`${numberText(dropout.dropOnReturn)} points lower`);
  if (dropout.spo2After !== null && dropout.spo2After < returnBelowPct) parts.push(`below ${numberText(returnBelowPct)} %`);
  return parts.length === 0 ? 'marked' : parts.join(', ');
}

/** Returns the values on either side: "98 % → 93 %". */
export function beforeAfterText(dropout: Dropout): string {
  return `${saturationText(dropout.spo2Before)} → ${dropout.spo2After === null ? 'none' : saturationText(dropout.spo2After)}`;
}

/** Returns pressure before the onset in words, or null where the record has none. */
export function pressureText(dropout: Dropout, windowS: number): string | null {
  const pressure = dropout.pressureBefore;
  if (pressure === null) return null;
  const facts = QUANTITY_FACTS[pressure.quantity];
  return `${facts.name}: mean ${numberText(pressure.mean)}, lowest ${numberText(pressure.lowest)} ${unitText(facts.unit)} in the ${durationText(windowS * 1000)} before (${countText(pressure.n, 'value', 'values')})`;
}

/** Returns how the lost samples of a dropout were lost: "absent 12, implausible 1". */
export function lostSamplesText(dropout: Dropout): string {
  const parts = Object.entries(dropout.lostSamples).flatMap(([status, count]) => (count === undefined || count === 0 ? [] : [`${status} ${numberText(count)}`]));
  return parts.length === 0 ? 'rows missing altogether' : parts.join(', ');
}

/** Returns time below a threshold: what was observed, which is the least it can be, and the most, given the time lost. */
export function belowText(below: { readonly observedMs: number; readonly highMs: number }): { readonly observed: string; readonly atMost: string } {
  return { observed: durationText(below.observedMs), atMost: durationText(below.highMs) };
}

/** Returns what a record holds, as one phrase: "8 channels (SpO2 ×2, heart rate …), 12 events, 6 drug entries". */
export function holdingsText(record: CaseRecord): string {
  const counts = new Map<string, number>();
  for (const channel of record.channels) {
    if (channel.quantity === 'other') continue;
    const { name } = QUANTITY_FACTS[channel.quantity];
    counts.set(name, (counts.get(name) ?? 0) + 1);
  }
  const names = [...counts].map(([name, count]) => (count === 1 ? name : `${name} ×${count}`));
  const channels = `${countText(record.channels.length, 'channel', 'channels')}${names.length === 0 ? '' : ` (${names.join('; ')})`}`;
  return `${channels}, ${countText(record.events.length, 'event', 'events')}, ${countText(record.drugs.length, 'drug entry', 'drug entries')}`;
}

/** Returns how many clocks of a case are set otherwise than the files have them: "1 of 3 files set", "as the files have them". */
export function clocksText({ sources }: CaseRecord): string {
  const set = sources.filter(({ clockOffsetMs }) => clockOffsetMs !== 0).length;
  return set === 0 ? 'as the files have them' : `${numberText(set)} of ${countText(sources.length, 'file', 'files')} set`;
}
