import type { CaseMs } from '../../core/base/brand.ts';
import type { CaseOrigin } from '../../core/model/case.ts';
import { durationText } from '../../core/base/duration-text.ts';

export { durationText, intervalText, leadText, limitsText, rangeText } from '../../core/base/duration-text.ts';

const SECOND_MS = 1000;
const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
const DAY_MS = 86_400_000;

/** Returns an instant in the time of this computer: "3 April 2031, 08:15". What is no instant reads '–'. */
export function instantText(iso: string): string {
  const at = new Date(iso);
  if (Number.isNaN(at.getTime())) return '–';
  return new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'long', year: 'numeric', hour: '2-digit', minute: '2-digit', hourCycle: 'h23' }).format(at).replace(' at ', ', ');
}

/** Returns the time of day of an instant on this computer's clock, to the second: "22:31:05". What is no instant reads '–'. */
export function clockText(iso: string): string {
  const at = new Date(iso);
  if (Number.isNaN(at.getTime())) return '–';
  return new Intl.DateTimeFormat('en-GB', { hour: '2-digit', minute: '2-digit', second: '2-digit', hourCycle: 'h23' }).format(at);
}

/** Returns a clock offset in words: "clock taken as 1 min behind: 1 min added to its times"; "clock as the file has it" for none. */
export function clockOffsetText(offsetMs: number): string {
  if (offsetMs === 0) return 'clock as the file has it';
  const size = durationText(Math.abs(offsetMs));
  return offsetMs > 0 ? `clock taken as ${size} behind: ${size} added to its times` : `clock taken as ${size} ahead: ${size} taken off its times`;
}

function twoDigits(value: number): string {
  return String(value).padStart(2, '0');
}

function wallClock(msOfDay: number, withSeconds: boolean): string {
  const seconds = Math.floor(msOfDay / SECOND_MS);
  const clock = `${twoDigits(Math.floor(seconds / 3600))}:${twoDigits(Math.floor(seconds / 60) % 60)}`;
  return withSeconds ? `${clock}:${twoDigits(seconds % 60)}` : clock;
}

/** Returns the formatter of one zone; making one is slow, so callers that format many instants keep it. */
function zoneFormatter(zone: string): Intl.DateTimeFormat {
  return new Intl.DateTimeFormat('en-GB', {
    timeZone: zone, hourCycle: 'h23', year: 'numeric', month: 'long', day: 'numeric', hour: '2-digit', minute: '2-digit', second: '2-digit',
  });
}

interface WallParts {
  readonly date: string;
  readonly clock: string;
}

function wallParts(formatter: Intl.DateTimeFormat, epochMs: number): WallParts {
  const parts = new Map(formatter.formatToParts(epochMs).map((part) => [part.type, part.value]));
  const get = (name: Intl.DateTimeFormatPartTypes): string => parts.get(name) ?? '';
  return { date: `${get('day')} ${get('month')} ${get('year')}`, clock: `${get('hour')}:${get('minute')}:${get('second')}` };
}

/** Writes instants of one case as its own clock shows them. */
export interface CaseClock {
  /** "08:41:20"; with "(next day)" after midnight; "+0:41:20" for a record that knows only elapsed time. */
  clock(atMs: CaseMs): string;
  /** The same without seconds. */
  shortClock(atMs: CaseMs): string;
  /** "3 April 2031", or null for a record without a date. */
  date(atMs: CaseMs): string | null;
  /** One phrase that says what these times are. */
  readonly meaning: string;
}

/**
 * Returns the clock of a case.
 * Missing  no date: times of day carry "(next day)" once midnight has passed; no clock: time elapsed from the export's own start.
 * Errors   an unknown zone name is shown in UTC and `meaning` says so.
 */
export function createCaseClock(origin: CaseOrigin): CaseClock {
  if (origin.clock === 'absolute' && origin.epochMs !== null) return absoluteClock(origin, origin.epochMs);
  if (origin.clock === 'elapsed') return elapsedClock(origin);
  return timeOfDayClock(origin);
}

function absoluteClock(origin: CaseOrigin, epochMs: number): CaseClock {
  const known = isKnownZone(origin.zone);
  const formatter = zoneFormatter(known ? origin.zone : 'UTC');
  const first = wallParts(formatter, epochMs).date;
  const at = (atMs: CaseMs, length: number): string => {
    const parts = wallParts(formatter, epochMs + atMs);
    const clock = parts.clock.slice(0, length);
    return parts.date === first ? clock : `${clock} (${parts.date})`;
  };
  const zone = !known ? `UTC, since the zone ${origin.zone} is not known here` : origin.zoneStated ? origin.zone : `${origin.zone}, taken because no zone was stated`;
  return {
    clock: (atMs) => at(atMs, 8),
    shortClock: (atMs) => at(atMs, 5),
    date: (atMs) => wallParts(formatter, epochMs + atMs).date,
    meaning: `clock time, ${zone}`,
  };
}

function timeOfDayClock(origin: CaseOrigin): CaseClock {
  const at = (atMs: CaseMs, withSeconds: boolean): string => {
    const total = Math.round(origin.originOffsetMs + atMs);
    const days = Math.floor(total / DAY_MS);
    const clock = wallClock(total - days * DAY_MS, withSeconds);
    if (days === 0) return clock;
    return days === 1 ? `${clock} (next day)` : days === -1 ? `${clock} (day before)` : `${clock} (day ${days + 1})`;
  };
  return { clock: (atMs) => at(atMs, true), shortClock: (atMs) => at(atMs, false), date: () => null, meaning: 'clock time without a date' };
}

function elapsedClock(origin: CaseOrigin): CaseClock {
  const at = (atMs: CaseMs, withSeconds: boolean): string => {
    const total = Math.round(origin.originOffsetMs + atMs);
    const size = Math.abs(total);
    const minutes = twoDigits(Math.floor(size / MINUTE_MS) % 60);
    // Without its sign nobody could tell it from a clock time.
    const head = `${total < 0 ? '\u2212' : '+'}${Math.floor(size / HOUR_MS)}:${minutes}`;
    return withSeconds ? `${head}:${twoDigits(Math.floor(size / SECOND_MS) % 60)}` : head;
  };
  return {
    clock: (atMs) => at(atMs, true),
    shortClock: (atMs) => at(atMs, false),
    date: () => null,
    meaning: 'time elapsed from the start of the export, hours : minutes : seconds',
  };
}

/** Returns whether this computer's time-zone table knows `zone`. */
export function isKnownZone(zone: string): boolean {
  try {
    zoneFormatter(zone);
    return true;
  } catch {
    return false; // the platform answers an unknown zone by throwing; there is no other way to ask
  }
}

const MONTHS = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September', 'October', 'November', 'December'];

/** Returns an ISO calendar date ("2031-04-03") as "3 Apr 2031", and "no date" for null. */
export function dateText(isoDate: string | null): string {
  if (isoDate === null) return 'no date';
  const parts = /^(\d{4})-(\d{2})-(\d{2})/.exec(isoDate);
  const month = parts === null ? undefined : MONTHS[Number(parts[2]) - 1];
  if (parts === null || month === undefined) return isoDate;
  return `${Number(parts[3])} ${month.slice(0, 3)} ${parts[1]}`;
}
