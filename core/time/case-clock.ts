import type { CaseMs } from '../base/brand.ts';
import { civilFromDays, DAY_MS, type CivilDate } from './civil.ts';
import { ZoneClock } from './zone-clock.ts';

/** The part of `CaseOrigin` that turns case time into clock time. */
export interface ClockOrigin {
  readonly epochMs: number | null;
  readonly clock: 'absolute' | 'time of day' | 'elapsed';
  readonly originOffsetMs: number;
  readonly zone: string;
}

/** A case time as the record's clock showed it. `date` is null where the record has none, `day` counts midnights passed. */
export interface WallTime {
  readonly date: CivilDate | null;
  readonly day: number;
  readonly hour: number;
  readonly minute: number;
  readonly second: number;
  readonly millisecond: number;
  /** Minutes east of UTC; 0 where the record is not dated. */
  readonly offsetMin: number;
}

function two(value: number): string {
  return value < 10 ? `0${value}` : String(value);
}

/** Turns times of one case into wall-clock time and text, with the zone's rules looked up once per stretch. */
export class CaseClock {
  readonly origin: ClockOrigin;
  private readonly zoneClock: ZoneClock | null;

  constructor(origin: ClockOrigin) {
    this.origin = origin;
    this.zoneClock = origin.epochMs === null ? null : new ZoneClock(origin.zone);
  }

  /** Returns what the record's clock showed at a case time. Elapsed records count from their own nought. */
  wallTime(atMs: CaseMs): WallTime {
    let wall = atMs + this.origin.originOffsetMs;
    let offsetMs = 0;
    if (this.zoneClock !== null && this.origin.epochMs !== null) {
      const utc = this.origin.epochMs + atMs;
      offsetMs = this.zoneClock.offsetAt(utc);
      wall = utc + offsetMs;
    }
    const rounded = Math.round(wall);
    const days = Math.floor(rounded / DAY_MS);
    const rest = rounded - days * DAY_MS;
    const isDated = this.origin.epochMs !== null;
    return {
      date: isDated ? civilFromDays(days) : null,
      day: isDated ? 0 : days,
      hour: Math.floor(rest / 3_600_000),
      minute: Math.floor(rest / 60_000) % 60,
      second: Math.floor(rest / 1000) % 60,
      millisecond: rest % 1000,
      offsetMin: offsetMs / 60_000,
    };
  }

  /** Returns ISO 8601 with offset (`2031-03-04T08:15:00+01:00`, fraction only when there is one), or '' for an undated record. */
  isoText(atMs: CaseMs): string {
    const wall = this.wallTime(atMs);
    if (wall.date === null) return '';
    const { year, month, day } = wall.date;
    const fraction = wall.millisecond === 0 ? '' : `.${String(wall.millisecond).padStart(3, '0')}`;
    const sign = wall.offsetMin < 0 ? '-' : '+';
    const offset = Math.abs(wall.offsetMin);
    const zone = `${sign}${two(Math.floor(offset / 60))}:${two(Math.floor(offset % 60))}`;
    return `${String(year).padStart(4, '0')}-${two(month)}-${two(day)}T${two(wall.hour)}:${two(wall.minute)}:${two(wall.second)}${fraction}${zone}`;
  }
}
