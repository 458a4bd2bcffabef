import { describe, expect, it } from 'vitest';
import type { CaseOrigin } from '../../../../core/model/case.ts';
import { createWallClock, tickStepMs, tickText, timeTicks } from '../../../../renderer/timeline/ticks.ts';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;

function origin(part: Partial<CaseOrigin>): CaseOrigin {
  return { epochMs: null, clock: 'absolute', originOffsetMs: 0, zone: 'UTC', zoneStated: true, ...part };
}

function labels(from: CaseOrigin, startMs: number, endMs: number, widthPx = 600): string[] {
  return timeTicks({ startMs, endMs }, widthPx, createWallClock(from)).map((tick) => tick.label);
}

describe('tickStepMs', () => {
  it.each([
    [10 * HOUR, 1000, 84, HOUR],
    [3 * HOUR, 960, 84, 30 * MINUTE],
    [10 * MINUTE, 1000, 84, MINUTE],
    [30_000, 900, 84, 5000],
    [20 * 24 * HOUR, 800, 84, 3 * 24 * HOUR],
  ])('a span of %d ms over %d px with labels %d px apart steps by %d ms', (span, width, gap, step) => {
    expect(tickStepMs(span, width, gap)).toBe(step);
  });
});

describe('timeTicks', () => {
  it('stands at round readings of the case zone, not of UTC and not of this machine', () => {
    // Derived: 04:50 UTC is 10:20 in Kolkata (UTC+5:30 all year, IANA).
    const from = origin({ epochMs: Date.UTC(2031, 2, 4, 4, 50), zone: 'Asia/Kolkata' });
    expect(labels(from, 0, 3 * HOUR)).toEqual(['10:30', '11:00', '11:30', '12:00', '12:30', '13:00']);
  });
  it('keeps right labels across the end of daylight saving', () => {
    // Derived: Zurich goes from UTC+2 to UTC+1 at 01:00 UTC on the last Sunday of October (26 October 2031).
    const from = origin({ epochMs: Date.UTC(2031, 9, 26, 0, 0), zone: 'Europe/Zurich' });
    const clock = createWallClock(from);
    expect(tickText(clock.wallMs(0), false, false)).toBe('02:00');
    expect(tickText(clock.wallMs(59 * MINUTE), false, false)).toBe('02:59');
    expect(tickText(clock.wallMs(HOUR), false, false)).toBe('02:00');
    expect(tickText(clock.wallMs(2 * HOUR), false, false)).toBe('03:00');
  });
  it('marks what lies after midnight', () => {
    const from = origin({ clock: 'time of day', originOffsetMs: 23 * HOUR + 40 * MINUTE });
    expect(labels(from, 0, 50 * MINUTE)).toEqual(['23:40', '23:50', '00:00 +1 d', '00:10 +1 d', '00:20 +1 d', '00:30 +1 d']);
  });
  it('counts from the start where only elapsed time is known, with a true minus before it', () => {
    expect(labels(origin({ clock: 'elapsed' }), -20 * MINUTE, 40 * MINUTE)).toEqual(['\u22120:20', '\u22120:10', '+0:00', '+0:10', '+0:20', '+0:30', '+0:40']);
  });
  it('shows seconds only when the step asks for them', () => {
    expect(labels(origin({ epochMs: Date.UTC(2031, 0, 1, 9, 14, 0) }), 0, 30_000, 300)).toEqual(['09:14:00', '09:14:10', '09:14:20', '09:14:30']);
  });
  it('falls back to UTC for a zone that is not known here', () => {
    expect(labels(origin({ epochMs: Date.UTC(2031, 0, 1, 9, 0), zone: 'Nowhere/Land' }), 0, HOUR, 200)).toEqual(['09:00', '09:30', '10:00']);
  });
});
