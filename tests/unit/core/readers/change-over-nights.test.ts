import { describe, expect, it } from 'vitest';
import { ZoneClock } from '../../../../core/time/zone-clock.ts';
import { importText, importTexts, secondsOf } from '../../../builders/import-text.ts';

/*
 * A night written by a local clock must come out as the instants that it was written at: rows every minute over six hours around
 * midnight UTC of an ordinary night and of both change-over nights of 2031. Dates of the changes: IANA time zone database; for Berlin
 * Directive 2000/84/EC, for New York 15 U.S.C. 260a, for Lord Howe Island (half an hour) the database alone, from memory.
 */

const NIGHTS = [
  ['Europe/Berlin', 'ordinary', Date.UTC(2031, 5, 14, 22), 0],
  ['Europe/Berlin', 'clocks put forward', Date.UTC(2031, 2, 29, 22), 0],
  ['Europe/Berlin', 'clocks put back', Date.UTC(2031, 9, 25, 22), 120],
  ['America/New_York', 'ordinary', Date.UTC(2031, 5, 14, 3), 0],
  ['America/New_York', 'clocks put forward', Date.UTC(2031, 2, 9, 4), 0],
  ['America/New_York', 'clocks put back', Date.UTC(2031, 10, 2, 3), 120],
  ['Australia/Lord_Howe', 'ordinary', Date.UTC(2031, 5, 14, 12), 0],
  ['Australia/Lord_Howe', 'clocks put forward', Date.UTC(2031, 9, 4, 13), 0],
  ['Australia/Lord_Howe', 'clocks put back', Date.UTC(2031, 3, 5, 12), 60],
  ['Asia/Tokyo', 'no daylight saving', Date.UTC(2031, 2, 29, 14), 0],
] as const;

function localText(zone: ZoneClock, utcMs: number): string {
  return new Date(utcMs + zone.offsetAt(utcMs)).toISOString().slice(0, 19).replace('T', ' ');
}

describe.each(NIGHTS)('%s, %s', (zone, _, startMs, twice) => {
  const clock = new ZoneClock(zone);
  const instants = Array.from({ length: 360 }, (_unused, i) => startMs + i * 60_000);
  const text = ['Time,SpO2', ...instants.map((at, i) => `${localText(clock, at)},${95 + (i % 4)}`)].join('\n');

  it('comes out as it was, and the report says what was resolved by order', async () => {
    const { record, channel, report } = await importText(text, { zone });
    expect(record.origin.epochMs).toBe(startMs);
    expect(secondsOf(channel('spo2'))).toEqual(instants.map((at) => (at - startMs) / 1000));
    const notes = report.notes.join(' ');
    if (twice === 0) expect(notes).not.toContain('occur twice');
    else expect(notes).toContain(`${twice} local times occur twice`);
  });

  it('clock times alone beside dated trends pass midnight to the right day, before any change', async () => {
    const event = instants[30] ?? NaN;
    const { cases } = await importTexts({ 'c/trends.csv': text, 'c/events.csv': `time,event\n${localText(clock, event + 7000).slice(11)},arms tucked\n` }, { zone });
    expect(cases[0]?.events[0]?.atMs).toBe(30 * 60_000 + 7000);
  });
});

describe('a night of clocks put back in a file whose zone nobody states', () => {
  // 01:30 to 02:59:30 and again 02:00 to 02:59:30, every 30 s: the last row has the time from which the clocks were put back.
  const zone = new ZoneClock('Europe/Berlin');
  const start = Date.UTC(2031, 9, 25, 23, 30);
  const row = (i: number): string => `${localText(zone, start + i * 30_000)},${95 + (i % 4)}`;
  const rows = (n: number): string[] => Array.from({ length: n }, (_, i) => row(i));

  it('is told with the zones that explain it, also where the rows end on the very time of the change', async () => {
    const { report } = await importText(['Time,SpO2', ...rows(300)].join('\n'));
    const guess = report.guesses.find(({ field }) => field === 'zone');
    expect(guess?.taken).toContain('step back by 60 min at line 182');
    expect(guess?.alternatives.map(({ rules }) => rules.zone)).toContain('Europe/Berlin');
  });

  it('is not thought of where a table of an hour stands there twice', async () => {
    const hour = Array.from({ length: 120 }, (_, i) => row(i + 60));
    const { report } = await importText(['Time,SpO2', ...hour, ...hour].join('\n'));
    expect(report.guesses.find(({ field }) => field === 'zone')).toBeUndefined();
  });
});

describe('clock times without a date that run over a change of clocks', () => {
  it('are told to be doubtful after it, since nothing says on which side they lie', async () => {
    const clock = new ZoneClock('Europe/Berlin');
    const start = Date.UTC(2031, 9, 25, 22);
    const trends = ['Time,SpO2', ...Array.from({ length: 360 }, (_, i) => `${localText(clock, start + i * 60_000)},${95 + (i % 4)}`)].join('\n');
    const { cases } = await importTexts({ 'c/trends.csv': trends, 'c/events.csv': 'time,event\n01:00:07,arms tucked\n04:00:07,head down\n' }, { zone: 'Europe/Berlin' });
    expect(cases[0]?.events[0]?.atMs).toBe(3_600_000 + 7000);
    expect(cases[0]?.findings.find(({ code }) => code === 'clocks-changed-within')?.message).toContain('put back by 60 min while its times run');
  });
});
