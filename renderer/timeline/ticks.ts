import type { CaseMs } from '../../core/base/brand.ts';
import type { Interval } from '../../core/base/interval.ts';
import type { CaseOrigin } from '../../core/model/case.ts';

const SECOND_MS = 1000;
const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
const DAY_MS = 86_400_000;

const STEPS_MS: readonly number[] = [
  ...[1, 2, 5, 10, 15, 30].map((n) => n * SECOND_MS),
  ...[1, 2, 5, 10, 15, 30].map((n) => n * MINUTE_MS),
  ...[1, 2, 3, 6, 12].map((n) => n * HOUR_MS),
];

export interface TimeTick {
  readonly atMs: CaseMs;
  readonly label: string;
}

/** Turns instants of a case into what its own clock reads, without the machine's zone. */
export interface WallClock {
  /** Milliseconds on a clock face that runs on: 36 000 000 is 10:00 of the first day; for elapsed time, ms elapsed. */
  wallMs(atMs: CaseMs): number;
  readonly isElapsed: boolean;
  /** What the readings are, longest first: written beside the axis as far as it fits. */
  readonly meanings: readonly string[];
}

/** Returns the clock of a case. An unknown zone falls back to UTC (the window says so beside the times). */
export function createWallClock(origin: CaseOrigin): WallClock {
  if (origin.clock !== 'absolute' || origin.epochMs === null) {
    return { wallMs: (atMs) => origin.originOffsetMs + atMs, isElapsed: origin.clock === 'elapsed', meanings: origin.clock === 'elapsed' ? ['time elapsed'] : ['clock time'] };
  }
  const epochMs = origin.epochMs;
  const formatter = zoneFormatter(origin.zone);
  // Zones change their offset at most at whole quarter hours: one look-up per quarter hour is exact and keeps panning cheap.
  const offsets = new Map<number, number>();
  const offsetMs = (utcMs: number): number => {
    const quarter = Math.floor(utcMs / (15 * MINUTE_MS));
    const known = offsets.get(quarter);
    if (known !== undefined) return known;
    const instant = quarter * 15 * MINUTE_MS;
    const offset = zoneOffsetMs(formatter, instant);
    offsets.set(quarter, offset);
    return offset;
  };
  const firstMidnight = Math.floor((epochMs + offsetMs(epochMs)) / DAY_MS) * DAY_MS;
  return {
    wallMs: (atMs) => {
      const utcMs = epochMs + atMs;
      return utcMs + offsetMs(utcMs) - firstMidnight;
    },
    isElapsed: false,
    meanings: origin.zoneStated ? [origin.zone, 'clock time'] : [`${origin.zone}, assumed`, 'zone assumed'],
  };
}

function zoneFormatter(zone: string): Intl.DateTimeFormat {
  const options = { hourCycle: 'h23', year: 'numeric', month: 'numeric', day: 'numeric', hour: 'numeric', minute: 'numeric', second: 'numeric' } as const;
  try {
    return new Intl.DateTimeFormat('en-GB', { ...options, timeZone: zone });
  } catch {
    return new Intl.DateTimeFormat('en-GB', { ...options, timeZone: 'UTC' }); // the platform answers an unknown zone by throwing
  }
}

function zoneOffsetMs(formatter: Intl.DateTimeFormat, utcMs: number): number {
  const part = new Map(formatter.formatToParts(utcMs).map(({ type, value }) => [type, Number(value)]));
  const get = (name: Intl.DateTimeFormatPartTypes): number => part.get(name) ?? 0;
  const wall = Date.UTC(get('year'), get('month') - 1, get('day'), get('hour'), get('minute'), get('second'));
  return wall - Math.floor(utcMs / SECOND_MS) * SECOND_MS;
}

/** Returns the step between ticks: the smallest usual one that keeps labels at least `minGapPx` apart. */
export function tickStepMs(spanMs: number, widthPx: number, minGapPx: number): number {
  const wanted = (spanMs * minGapPx) / Math.max(1, widthPx);
  const usual = STEPS_MS.find((step) => step >= wanted);
  return usual ?? Math.ceil(wanted / DAY_MS) * DAY_MS;
}

/**
 * Returns the ticks inside `window`, in time order, at round readings of the case's own clock.
 * A clock that jumps inside the window (daylight saving) keeps right labels; steps of several hours then stand off the round hour.
 */
export function timeTicks(window: Interval, widthPx: number, clock: WallClock, minGapPx = 84): TimeTick[] {
  const stepMs = tickStepMs(window.endMs - window.startMs, widthPx, minGapPx);
  const offsetMs = clock.wallMs(window.startMs) - window.startMs;
  const ticks: TimeTick[] = [];
  for (let wall = Math.ceil((window.startMs + offsetMs) / stepMs) * stepMs; wall - offsetMs <= window.endMs; wall += stepMs) {
    const atMs = wall - offsetMs;
    ticks.push({ atMs, label: tickText(clock.wallMs(atMs), clock.isElapsed, stepMs < MINUTE_MS) });
  }
  return ticks;
}

/** Returns a clock reading: "09:14", "09:14:20"; after midnight "00:10 +1 d"; elapsed "+1:05" or "+1:05:20". */
export function tickText(wallMs: number, isElapsed: boolean, withSeconds: boolean): string {
  const total = Math.round(wallMs / SECOND_MS);
  const size = Math.abs(total);
  const two = (value: number): string => String(value).padStart(2, '0');
  const tail = withSeconds ? `:${two(size % 60)}` : '';
  if (isElapsed) return `${total < 0 ? '\u2212' : '+'}${Math.floor(size / 3600)}:${two(Math.floor(size / 60) % 60)}${tail}`;
  const days = Math.floor(total / 86_400);
  const inDay = total - days * 86_400;
  const text = `${two(Math.floor(inDay / 3600))}:${two(Math.floor(inDay / 60) % 60)}${tail}`;
  return days === 0 ? text : `${text} ${days > 0 ? '+' : '\u2212'}${Math.abs(days)} d`;
}
