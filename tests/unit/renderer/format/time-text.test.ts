import { describe, expect, it } from 'vitest';
import type { CaseOrigin } from '../../../../core/model/case.ts';
import { createCaseClock, dateText, durationText, intervalText, isKnownZone, leadText, limitsText, rangeText } from '../../../../renderer/format/time-text.ts';

describe('durationText', () => {
  it.each([
    [0, '0 s'], [400, '0.4 s'], [8500, '8.5 s'], [10_400, '10 s'], [40_000, '40 s'], [59_600, '1 min'], [60_000, '1 min'], [100_000, '1 min 40 s'],
    [3_599_600, '1 h'], [3_600_000, '1 h'], [7_500_000, '2 h 5 min'], [-40_000, '\u221240 s'],
  ])('%i ms reads %s', (ms, text) => {
    expect(durationText(ms)).toBe(text);
  });
  it('says nothing for what is missing', () => {
    expect([durationText(null), durationText(Number.NaN)]).toEqual(['–', '–']);
  });
});

describe('ranges', () => {
  /* The example of the analysis specification, section 5: low 20 s, high 40 s, mid 30 s. */
  it('shows both limits and the estimate', () => {
    expect(rangeText({ low: 20_000, mid: 30_000, high: 40_000 })).toBe('20–40 s, mid 30 s');
  });
  /* The second example there: one lost sample at a 10-s interval. */
  it('keeps a low limit of nought', () => {
    expect(rangeText({ low: 0, mid: 10_000, high: 20_000 })).toBe('0–20 s, mid 10 s');
  });
  it('writes both units where they differ, and one text where nothing is uncertain', () => {
    // 15 s around 1 h 18 min are not nothing, although minutes hide them; the same instant twice is.
    expect([rangeText({ low: 4_665_000, mid: 4_680_000, high: 4_695_000 }), limitsText({ low: 4_680_000, high: 4_680_000 }), limitsText({ low: 3_600_000, high: 7_200_000 })]).toEqual(['1 h 17 min 45 s – 1 h 18 min 15 s, mid 1 h 18 min', '1 h 18 min', '1–2 h']);
    expect([limitsText({ low: 50_000, high: 70_000 }), limitsText({ low: 80_000, high: 100_000 }), rangeText({ low: 30_000, mid: 30_000, high: 30_000 })])
      .toEqual(['50 s – 1 min 10 s', '1 min 20 s – 1 min 40 s', '30 s']);
  });
});

describe('leadText', () => {
  it('tells before from after', () => {
    expect([leadText(200_000), leadText(-45_000), leadText(300)]).toEqual(['3 min 20 s before', '45 s after the onset', 'at the onset']);
  });
});

const absolute = (epochMs: number, zone: string, zoneStated = true): CaseOrigin => ({ epochMs, clock: 'absolute', originOffsetMs: 0, zone, zoneStated });

describe('createCaseClock', () => {
  it('shows the clock of the case’s zone, not of this computer', () => {
    const clock = createCaseClock(absolute(Date.UTC(2031, 6, 1, 6, 58, 12), 'Europe/London'));
    expect([clock.clock(0), clock.shortClock(8000), clock.date(0), clock.meaning]).toEqual(['07:58:12', '07:58', '1 July 2031', 'clock time, Europe/London']);
  });
  /* Rule of the European Union (directive 2000/84/EC): summer time ends at 01:00 UTC on the last Sunday of October, 26 October 2031. */
  it('repeats an hour when summer time ends', () => {
    const clock = createCaseClock(absolute(Date.UTC(2031, 9, 26, 0, 30), 'Europe/Berlin'));
    expect([clock.clock(0), clock.clock(3_600_000)]).toEqual(['02:30:00', '02:30:00']);
  });
  it('names the date once midnight has passed', () => {
    expect(createCaseClock(absolute(Date.UTC(2031, 0, 31, 23, 0), 'UTC')).clock(2 * 3_600_000)).toBe('01:00:00 (1 February 2031)');
  });
  it('says that a zone was taken, and that one is not known', () => {
    expect(createCaseClock(absolute(0, 'UTC', false)).meaning).toBe('clock time, UTC, taken because no zone was stated');
    expect(createCaseClock(absolute(0, 'Nowhere/Else')).meaning).toContain('Nowhere/Else is not known');
  });
  it('has no date for a time of day, and counts past midnight', () => {
    const clock = createCaseClock({ epochMs: null, clock: 'time of day', originOffsetMs: 23.5 * 3_600_000, zone: 'UTC', zoneStated: false });
    expect([clock.clock(0), clock.clock(3_600_000), clock.clock(25 * 3_600_000), clock.date(0)]).toEqual(['23:30:00', '00:30:00 (next day)', '00:30:00 (day 3)', null]);
  });
  it('writes elapsed time as such', () => {
    const clock = createCaseClock({ epochMs: null, clock: 'elapsed', originOffsetMs: 10_000, zone: 'UTC', zoneStated: false });
    expect([clock.clock(0), clock.clock(12 * 3_600_000), clock.clock(-15_000), clock.shortClock(0)]).toEqual(['+0:00:10', '+12:00:10', '\u22120:00:05', '+0:00']);
  });
});

describe('dates, intervals and zones', () => {
  it('writes dates so that day and month cannot be confused', () => {
    expect([dateText('2031-04-03'), dateText(null), dateText('not a date')]).toEqual(['3 Apr 2031', 'no date', 'not a date']);
  });
  it('names an irregular channel as such', () => {
    expect([intervalText(10_000), intervalText(null)]).toEqual(['every 10 s', 'irregular']);
  });
  it('knows zones of the IANA table and no others', () => {
    expect([isKnownZone('Europe/London'), isKnownZone('Europe/Londn')]).toEqual([true, false]);
  });
});
