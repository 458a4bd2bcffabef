import { describe, expect, it } from 'vitest';
import { isKnownZone, ZoneClock } from '../../../../core/time/zone-clock.ts';

const H = 3_600_000;

describe('wall-clock time of a zone', () => {
  it('knows IANA names and fixed offsets, and nothing else', () => {
    expect(isKnownZone('Europe/Berlin')).toBe(true);
    expect(isKnownZone('+01:00')).toBe(true);
    expect(isKnownZone('Mars/Olympus')).toBe(false);
  });

  it('dst-berlin-fold: 2031-10-26T02:30 in Berlin is 00:30Z and then 01:30Z, by order in the file (check-values.json, IANA rules)', () => {
    const clock = new ZoneClock('Europe/Berlin');
    const wall = Date.UTC(2031, 9, 26, 2, 30);
    const first = clock.toUtc(wall, -Infinity);
    expect(new Date(first).toISOString()).toBe('2031-10-26T00:30:00.000Z');
    const second = clock.toUtc(wall, Date.UTC(2031, 9, 26, 0, 59));
    expect(new Date(second).toISOString()).toBe('2031-10-26T01:30:00.000Z');
    expect(clock.nTwice).toBe(2);
  });

  it('dst-newyork-fold: 2031-11-02T01:30 in New York is 05:30Z and 06:30Z (check-values.json, IANA rules)', () => {
    const clock = new ZoneClock('America/New_York');
    const wall = Date.UTC(2031, 10, 2, 1, 30);
    expect(new Date(clock.toUtc(wall, -Infinity)).toISOString()).toBe('2031-11-02T05:30:00.000Z');
    expect(new Date(clock.toUtc(wall, Date.UTC(2031, 10, 2, 5, 45))).toISOString()).toBe('2031-11-02T06:30:00.000Z');
  });

  it('dst-berlin-gap: 2031-03-30T02:30 in Berlin does not exist and is counted (check-values.json, IANA rules)', () => {
    const clock = new ZoneClock('Europe/Berlin');
    expect(new Date(clock.toUtc(Date.UTC(2031, 2, 30, 2, 30), -Infinity)).toISOString()).toBe('2031-03-30T01:30:00.000Z');
    expect(clock.nMissing).toBe(1);
  });

  it('gives back every unambiguous minute of a year in both directions', () => {
    const clock = new ZoneClock('Europe/Berlin');
    const back = new ZoneClock('Europe/Berlin');
    const start = Date.UTC(2031, 0, 1);
    let wrong = 0;
    for (let utc = start; utc < start + 365 * 24 * H; utc += 17 * 60_000) {
      const wall = utc + back.offsetAt(utc);
      if (clock.toUtc(wall, utc) !== utc) wrong += 1;
    }
    expect(wrong).toBe(0);
    expect(clock.nMissing).toBe(0);
  });

  it('reads dates far in the future, as de-identified archives have them', () => {
    const clock = new ZoneClock('UTC');
    expect(clock.toUtc(Date.UTC(2896, 9, 10), -Infinity)).toBe(Date.UTC(2896, 9, 10));
    const berlin = new ZoneClock('Europe/Berlin');
    expect(Number.isFinite(berlin.toUtc(Date.UTC(2896, 9, 10), -Infinity))).toBe(true);
  });

  it('looks the rules up once per stretch, not per row', () => {
    const clock = new ZoneClock('Europe/Berlin');
    const start = Date.UTC(2031, 5, 1);
    // Looked up for every row this takes minutes: the runner's own limit ends it.
    let last = NaN;
    for (let i = 0; i < 1_000_000; i += 1) last = clock.toUtc(start + i * 1000, -Infinity);
    expect(last).toBe(start + 999_999_000 - 7_200_000);
  });
});
