import type { CaseMs } from '../../base/brand.ts';
import { durationText, leadText } from '../../base/duration-text.ts';
import { countText, doseText, numberText, saturationText } from '../../base/number-text.ts';
import type { Dropout, Exposure, Link } from '../../model/analysis.ts';
import type { CaseOrigin } from '../../model/case.ts';
import type { ReviewCounts } from '../../model/confirmed.ts';
import type { Ink } from '../../model/report-document.ts';
import type { ReviewedDropout } from '../../model/review.ts';
import type { Site } from '../../model/site.ts';
import { CaseClock } from '../../time/case-clock.ts';

/** Returns a sensor's place as it is printed: `unstated 2` reads "site not stated 2". */
export function placeWords(siteKey: string): string {
  return siteKey.startsWith('unstated') ? siteKey.replace('unstated', 'site not stated') : siteKey;
}

/** Colour of a site. It never stands alone: each sensor has a lane of its own that names it. */
export const SITE_INKS: Readonly<Record<Site, Ink>> = { 'finger': 'finger', 'toe': 'toe', 'ear lobe': 'earLobe', 'nasal ala': 'nasalAla', 'forehead': 'forehead', 'other': 'other', 'unstated': 'unstated' };

/** Writes the times of one case. */
export interface PrintClock {
  /** "08:41:20", or "+0:41:20" from the first row where there is no clock or none is to be printed. */
  readonly at: (atMs: CaseMs) => string;
  /** The same without seconds. */
  readonly short: (atMs: CaseMs) => string;
  /** `2031-04-03`; null where there is none, or none is to be printed. */
  readonly date: string | null;
  /** What the clock shows at the origin of the case, ms from its own nought: where round times lie. */
  readonly zeroMs: number;
  /** What these times are. */
  readonly meaning: string;
}

/** Returns the clock that a case is printed with. */
export function printClock(origin: CaseOrigin, relativeTime: boolean): PrintClock {
  if (relativeTime || origin.clock === 'elapsed') {
    const offset = relativeTime ? 0 : origin.originOffsetMs;
    return {
      at: (atMs) => elapsed(atMs + offset, true),
      short: (atMs) => elapsed(atMs + offset, false),
      date: null,
      zeroMs: offset,
      meaning: relativeTime ? 'Times with + count from the first row of the case, in hours, minutes and seconds.' : 'The record knows no clock: times with + count from its own start.',
    };
  }
  const clock = new CaseClock(origin);
  const first = clock.wallTime(0);
  const firstDay = first.date === null ? '' : clock.isoText(0).slice(0, 10);
  const text = (atMs: CaseMs, withSeconds: boolean): string => {
    const wall = clock.wallTime(atMs);
    const iso = clock.isoText(atMs).slice(0, 10);
    const at = `${two(wall.hour)}:${two(wall.minute)}${withSeconds ? `:${two(wall.second)}` : ''}`;
    const daysOn = wall.date === null ? wall.day - first.day : 0;
    return iso !== firstDay ? `${at} (${iso})` : daysOn === 0 ? at : `${at} (day ${daysOn + 1})`;
  };
  const zone = origin.zoneStated ? origin.zone : `${origin.zone}, taken because no zone was stated`;
  return { at: (atMs) => text(atMs, true), short: (atMs) => text(atMs, false), date: firstDay === '' ? null : firstDay, zeroMs: ((first.hour * 60 + first.minute) * 60 + first.second) * 1000 + first.millisecond, meaning: firstDay === '' ? 'Times are clock times; the record has no date.' : `Times are clock times (${zone}).` };
}

function elapsed(ms: number, withSeconds: boolean): string {
  const total = Math.round(Math.abs(ms) / 1000);
  // Without its sign nobody could tell it from a clock time.
  return `${ms < 0 ? '\u2212' : '+'}${Math.floor(total / 3600)}:${two(Math.floor(total / 60) % 60)}${withSeconds ? `:${two(total % 60)}` : ''}`;
}

function two(value: number): string {
  return String(value).padStart(2, '0');
}

/** Returns an exposure in words: "phenylephrine 100 µg", "arms tucked". */
export function exposureWords({ kind, label, dose, unit }: Pick<Exposure, 'kind' | 'label' | 'dose' | 'unit'>): string {
  if (kind === 'vasopressor bolus') return `${label} ${doseText(dose, unit)}`;
  if (kind === 'infusion change') return dose === null ? `${label} infusion, rate not stated` : `${label} infusion to ${doseText(dose, unit)}`;
  return label === '' ? kind : label;
}

/** Returns what preceded a loss in one sentence, the nearest first; how sure the order is stands beside it. */
export function linkWords(links: readonly Link[], exposures: ReadonlyMap<string, Exposure>, most: number): string {
  if (links.length === 0) return 'nothing on record in the look-back';
  const told = links.slice(0, most).map((link) => {
    const exposure = exposures.get(link.exposureId);
    return `${exposure === undefined ? 'an exposure' : exposureWords(exposure)} ${leadText(link.leadMs)}${link.certainty === 'certain' ? '' : ` (${link.certainty})`}${exposure?.manual === true ? ', time typed by hand' : ''}`;
  });
  return `${told.join('; ')}${links.length > most ? `; ${links.length - most} more` : ''}`;
}

/** Returns how a loss ended. */
export function endWords({ restoredBy, restoredSiteKey, restoredAfterMs, censoredAtMs }: Dropout, clock: PrintClock): string {
  if (restoredBy === 'same site') return 'same sensor';
  if (restoredBy === 'other site') return `${restoredSiteKey === null ? 'other site' : placeWords(restoredSiteKey)}${restoredAfterMs === null ? '' : ` after ${durationText(restoredAfterMs)}`}`;
  return censoredAtMs === null ? 'not restored' : `not restored; followed to ${clock.at(censoredAtMs)}`;
}

/** Returns the bound inside a loss, rounded away from what it bounds; '–' where there is none. */
export function notExcludedWords({ cannotExclude: { pct } }: Dropout): string {
  return Number.isFinite(pct) ? `${Math.floor(pct + 1e-9)} %` : '–';
}

/** Returns what readers said of a loss: what it comes to, and what they named. No reader is named: a report names roles at most. */
export function verdictWords(reviewed: Pick<ReviewedDropout, 'outcome' | 'verdict' | 'correctedBounds' | 'verdicts'> | undefined): string {
  if (reviewed === undefined || reviewed.outcome === 'not reviewed') return 'not reviewed';
  const counted = reviewed.verdicts.filter(({ isCounted }) => isCounted);
  const readings = counted.filter(({ role }) => role === 'reading');
  const named = [...new Set((reviewed.verdict === null ? counted : []).map(({ judgement }) => judgement.verdict))].sort();
  const certainty = reviewed.verdict === null ? null : onlyOne(counted.map(({ judgement }) => judgement.certainty));
  const what = reviewed.verdict ?? named.join(' / ');
  const by = counted.some(({ role }) => role === 'consensus') ? 'agreed on' : countText(readings.length, 'reader', 'readers');
  return `${reviewed.outcome}${what === '' || what === reviewed.outcome ? '' : `: ${what}`}${certainty === null ? '' : `, ${certainty}`} (${by}${reviewed.correctedBounds === null ? '' : ', bounds corrected'})`;
}

function onlyOne<T>(values: readonly T[]): T | null {
  return new Set(values).size === 1 ? (values[0] ?? null) : null;
}

/** Returns how many losses came to what, in a sentence; those that came to none of it are left out. */
export function reviewCountWords({ dropouts, confirmed, refuted, cannotTell, disputed, notReviewed, corrected, tooShort }: ReviewCounts): string {
  const parts = [`${numberText(confirmed)} confirmed${corrected === 0 ? '' : ` (${numberText(corrected)} with corrected bounds${tooShort === 0 ? '' : `, ${numberText(tooShort)} of these too short to count`})`}`];
  for (const [count, words] of [[refuted, 'refuted'], [cannotTell, 'cannot be told'], [disputed, 'disputed between readers'], [notReviewed, 'not reviewed']] as const) if (count > 0) parts.push(`${numberText(count)} ${words}`);
  return `Of ${countText(dropouts, 'computed loss', 'computed losses')} ${parts.join(', ')}`;
}

/** Returns the values on either side of a loss and, where it returned much lower, that it did. */
export function beforeAfterWords({ spo2Before, spo2After, dropOnReturn, isMarked }: Dropout): string {
  const fell = isMarked && dropOnReturn !== null && dropOnReturn > 0 ? `, ${numberText(dropOnReturn)} lower` : '';
  return `${saturationText(spo2Before)} → ${spo2After === null ? 'none' : saturationText(spo2After)}${fell}`;
}
