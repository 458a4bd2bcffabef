import { Temporal } from 'temporal-polyfill';

/** Returns whether `zone` names a time zone (IANA name, `UTC`, or a fixed offset such as `+01:00`). */
export function isKnownZone(zone: string): boolean {
  try {
    Temporal.Instant.fromEpochMilliseconds(0).toZonedDateTimeISO(zone);
    return true;
  } catch {
    return false;
  }
}

interface Stretch {
  /** Bounds as wall-clock time (or as instants), half-open. */
  readonly start: number;
  readonly end: number;
  readonly offsetMs: number;
}

/** Returns the offset of `zone` from UTC at an instant, and the instants between which it holds. */
function stretchAt(zone: string, utcMs: number): Stretch {
  const at = Temporal.Instant.fromEpochMilliseconds(Math.round(utcMs)).toZonedDateTimeISO(zone);
  // Seen from a moment later: the previous change lies strictly before, and a change at this very instant is the one that counts.
  const before = at.add({ milliseconds: 1 }).getTimeZoneTransition('previous');
  const after = at.getTimeZoneTransition('next');
  let start = before === null ? -Infinity : before.epochMilliseconds;
  const end = after === null ? Infinity : after.epochMilliseconds;
  if (start > utcMs) start = utcMs;
  return { start, end, offsetMs: at.offsetNanoseconds / 1e6 };
}

/**
 * Turns wall-clock time of one zone into UTC and back. Offsets are looked up once per stretch between two
 * transitions, not per call.
 */
export class ZoneClock {
  readonly zone: string;
  /** Local times met so far that occur twice. */
  nTwice = 0;
  /** Local times met so far that do not exist. */
  nMissing = 0;
  private safe: Stretch = { start: Infinity, end: -Infinity, offsetMs: 0 };
  private current: Stretch = { start: Infinity, end: -Infinity, offsetMs: 0 };

  /** Throws for an unknown zone: callers ask `isKnownZone` first. */
  constructor(zone: string) {
    this.zone = zone;
    stretchAt(zone, 0);
  }

  /** Returns the offset from UTC in ms at an instant. */
  offsetAt(utcMs: number): number {
    if (utcMs >= this.current.start && utcMs < this.current.end) return this.current.offsetMs;
    this.current = stretchAt(this.zone, utcMs);
    return this.current.offsetMs;
  }

  /**
   * Returns the UTC instant of a wall-clock time. Of two instants the first that does not lie before `notBeforeMs`
   * (the row read last) is taken, so an hour that is repeated in the file comes out as two hours.
   * A time that does not exist is read with the offset that held before the change.
   */
  toUtc(wallMs: number, notBeforeMs: number): number {
    if (wallMs >= this.safe.start && wallMs < this.safe.end) return wallMs - this.safe.offsetMs;
    const early = stretchAt(this.zone, wallMs - 30 * 3_600_000);
    const around = stretchAt(this.zone, wallMs);
    const late = stretchAt(this.zone, wallMs + 30 * 3_600_000);
    const candidates: number[] = [];
    for (const stretch of [early, around, late]) {
      const utc = wallMs - stretch.offsetMs;
      if (utc >= stretch.start && utc < stretch.end && !candidates.includes(utc)) candidates.push(utc);
    }
    candidates.sort((a, b) => a - b);
    const [first, second] = candidates;
    if (first === undefined) {
      this.nMissing += 1;
      return wallMs - early.offsetMs;
    }
    if (second !== undefined) {
      this.nTwice += 1;
      return first >= notBeforeMs || second < notBeforeMs ? first : second;
    }
    const own = stretchAt(this.zone, first);
    const offsetBefore = own.start === -Infinity ? own.offsetMs : stretchAt(this.zone, own.start - 1).offsetMs;
    const offsetAfter = own.end === Infinity ? own.offsetMs : stretchAt(this.zone, own.end).offsetMs;
    this.safe = {
      start: own.start + Math.max(offsetBefore, own.offsetMs),
      end: own.end + Math.min(offsetAfter, own.offsetMs),
      offsetMs: own.offsetMs,
    };
    return first;
  }
}
