import { describe, expect, it } from 'vitest';
import { importText, importTexts, secondsOf } from '../../../builders/import-text.ts';
import type { ReadingRules } from '../../../../core/model/mapping.ts';

const table = (stamps: readonly string[], heading = 'time', delimiter = ','): string =>
  [`${heading}${delimiter}SpO2${delimiter}HR`, ...stamps.map((stamp, i) => [stamp, 97 - (i % 3), 60 + (i % 5)].join(delimiter)), ''].join('\n');

const startOf = async (stamps: readonly string[], options: Parameters<typeof importText>[1] = {}, delimiter = ','): Promise<string> => {
  const { record } = await importText(table(stamps, 'time', delimiter), options);
  return new Date(record.origin.epochMs ?? NaN).toISOString();
};

const rules = (reading: ReadingRules): Parameters<typeof importText>[1] => ({ mapping: { schema: 'lacuna-mapping/1', name: 'm', files: [{ match: {}, reading }] } });

describe('the guess on the order of dates', () => {
  const takenOf = async (stamps: readonly string[]): Promise<string[]> => {
    const { report } = await importText(['time,SpO2', ...stamps.map((stamp, i) => `${stamp},${95 + (i % 3)}`)].join('\n'));
    return report.guesses.filter((guess) => guess.field === 'dateOrder').flatMap((guess) => [guess.taken, ...guess.alternatives.map((other) => other.label)]);
  };

  it('quotes a date that needs an order, never an ISO date beside it ("2031-07-02 is 2031 July")', async () => {
    expect(await takenOf(['2031-07-02 08:00:00', '2031-07-02 08:00:10', '02/07/2031 08:00:20', '2031-07-02 08:00:30'])).toEqual([
      'Dates are read day first: 02/07/2031 is 2 July.',
      'Read them month first: 02/07/2031 is 7 February',
    ]);
  });

  it('is not made where every date is an ISO date', async () => {
    expect(await takenOf(['2031-07-02 08:00:00', '2031-07-02T08:00:10', '2031-07-02 08:00:20'])).toEqual([]);
  });
});

describe('time stamps', () => {
  it.each([
    ['ISO with T', ['2031-03-04T08:00:00', '2031-03-04T08:00:10']],
    ['ISO with blank', ['2031-03-04 08:00:00', '2031-03-04 08:00:10']],
    ['ISO with Z', ['2031-03-04T08:00:00Z', '2031-03-04T08:00:10Z']],
    ['ISO with an offset', ['2031-03-04T09:00:00+01:00', '2031-03-04T09:00:10+01:00']],
    ['ISO with a short offset', ['2031-03-04 03:00:00-0500', '2031-03-04 03:00:10-0500']],
    ['fractional seconds', ['2031-03-04 08:00:00.000', '2031-03-04 08:00:10.000']],
    ['compact ISO', ['20310304T080000', '20310304T080010']],
    ['compact digits', ['20310304080000', '20310304080010']],
    ['year first with strokes', ['2031/03/04 08:00:00', '2031/03/04 08:00:10']],
    ['day first, proven by the second row', ['04/03/2031 08:00:00', '25/03/2031 08:00:10']],
    ['month first, proven by the second row', ['03/04/2031 08:00:00', '03/25/2031 08:00:10']],
    ['month first with a 12-hour clock', ['03/04/2031 08:00:00 AM', '03/25/2031 1:00:10 pm']],
    ['day first with points', ['04.03.2031 08:00:00', '04.03.2031 08:00:10']],
    ['two-digit year, English month', ['04-Mar-31 08:00:00', '04-Mar-31 08:00:10']],
    ['German month', ['4. März 2031 08:00:00', '4. März 2031 08:00:10']],
    ['French month', ['4 mars 2031 08:00:00', '4 mars 2031 08:00:10']],
    ['Unix seconds', ['1930377600', '1930377610']],
    ['Unix milliseconds', ['1930377600000', '1930377610000']],
  ])('%s', async (_, stamps) => {
    expect(await startOf(stamps)).toBe('2031-03-04T08:00:00.000Z');
  });

  it('spreadsheet days (2031-03-04 is day 47911 of the 1900 system; counted by hand from day 25569 = 1970-01-01)', async () => {
    expect((Date.UTC(2031, 2, 4) - Date.UTC(1970, 0, 1)) / 86_400_000 + 25_569).toBe(47_911);
    const { record, report, channel } = await importText(table(['47911.3333333333', '47911.3334490741', '47911.3335648148'], 'Date'));
    expect(new Date(record.origin.epochMs ?? NaN).toISOString()).toBe('2031-03-04T08:00:00.000Z');
    expect(secondsOf(channel('spo2'))).toEqual([0, 10, 20]);
    expect(report.guesses.find((guess) => guess.field === 'timeKind')?.alternatives).not.toHaveLength(0);
  });

  it('12-hour clock around noon and midnight', async () => {
    const { channel } = await importText(table(['2031-03-04 11:59:50 AM', '2031-03-04 12:00:00 PM', '2031-03-04 12:00:10 PM', '2031-03-04 1:00:00 PM']));
    expect(secondsOf(channel('spo2'))).toEqual([0, 10, 20, 3610]);
  });

  it('date and time in two columns', async () => {
    const { record, channel } = await importText('Date;Time;SpO2\n04.03.2031;08:00:00;97\n04.03.2031;08:00:10;96\n05.03.2031;00:00:00;95\n');
    expect(new Date(record.origin.epochMs ?? NaN).toISOString()).toBe('2031-03-04T08:00:00.000Z');
    expect(secondsOf(channel('spo2'))).toEqual([0, 10, 57_600]);
  });

  it('time of day passes midnight into the next day', async () => {
    const { record, channel, report } = await importText(table(['23:59:50', '00:00:00', '00:00:10']));
    expect(record.origin).toMatchObject({ clock: 'time of day', epochMs: null, originOffsetMs: 86_390_000 });
    expect(secondsOf(channel('spo2'))).toEqual([0, 10, 20]);
    expect(report.notes.join(' ')).toContain('midnight');
  });

  it.each([
    ['seconds elapsed', 'elapsed_s', ['0', '10', '20'], [0, 10, 20]],
    ['minutes elapsed', 'elapsed (min)', ['0', '0.5', '1'], [0, 30, 60]],
    ['hh:mm:ss elapsed', 'time', ['0:00:00', '0:00:10', '25:00:00'], [0, 10, 90_000]],
    ['t in seconds', 't', ['0', '2', '4'], [0, 2, 4]],
  ])('%s', async (_, heading, stamps, seconds) => {
    const { record, channel } = await importText(table(stamps, heading));
    expect(record.origin).toMatchObject({ clock: 'elapsed', epochMs: null });
    expect(secondsOf(channel('spo2'))).toEqual(seconds);
  });

  it('03/04/2031 alone is a guess with its alternative, and the alternative works', async () => {
    const { report, record } = await importText(table(['03/04/2031 08:00:00', '03/04/2031 08:00:10']));
    const guess = report.guesses.find((own) => own.field === 'dateOrder');
    expect(guess?.certainty).toBe('assumed');
    expect(guess?.taken).toContain('3 April');
    expect(new Date(record.origin.epochMs ?? NaN).toISOString()).toBe('2031-04-03T08:00:00.000Z');
    const other = guess?.alternatives.find((own) => own.rules.dateOrder === 'mdy');
    expect(other?.label).toContain('4 March');
    expect(await startOf(['03/04/2031 08:00:00', '03/04/2031 08:00:10'], rules(other?.rules ?? {}))).toBe('2031-03-04T08:00:00.000Z');
  });

  it('the date that decides may stand far behind the first part of the file', async () => {
    const stamps: string[] = [];
    for (let i = 0; i < 30_000; i += 1) {
      const s = i * 10;
      stamps.push(`03/04/2031 ${String(Math.floor(s / 3600) % 24).padStart(2, '0')}:${String(Math.floor(s / 60) % 60).padStart(2, '0')}:${String(s % 60).padStart(2, '0')}`);
    }
    stamps.push('03/25/2031 08:00:00');
    const { report, record } = await importText(table(stamps));
    expect(report.guesses.find((guess) => guess.field === 'dateOrder')).toMatchObject({ certainty: 'proven' });
    expect(new Date(record.origin.epochMs ?? NaN).toISOString().slice(0, 10)).toBe('2031-03-04');
  });

  it('dates that lie close together in one order only are read in that order, as likely', async () => {
    const { report } = await importText(table(['03/04/2031 08:00:00', '04/04/2031 08:00:00', '05/04/2031 08:00:00']));
    expect(report.guesses.find((guess) => guess.field === 'dateOrder')).toMatchObject({ certainty: 'likely', taken: expect.stringContaining('3 April') });
  });

  it('a date that does not exist is rejected, never rolled over', async () => {
    const { report } = await importText(table(['2031-02-28 08:00:00', '2031-02-29 08:00:00', '2031-13-01 08:00:00', '2031-02-28 25:00:00']));
    expect(report).toMatchObject({ rows_accepted: 1, rows_rejected: 3 });
    expect(report.rejected).toEqual([{ reason: 'time not readable', count: 3, first_line: 3 }]);
  });
});

describe('zones', () => {
  it('a stated zone is used, and nothing is assumed when none is', async () => {
    expect(await startOf(['2031-03-04 08:00:00', '2031-03-04 08:00:10'], { zone: 'Europe/Berlin' })).toBe('2031-03-04T07:00:00.000Z');
    const { record, report } = await importText(table(['2031-03-04 08:00:00', '2031-03-04 08:00:10']));
    expect(record.origin).toMatchObject({ zone: 'UTC', zoneStated: false });
    expect(report.notes.join(' ')).toContain('No time zone is stated');
  });

  it('dst-berlin-fold: an hour that the file repeats comes out as two (check-values.json, IANA rules)', async () => {
    const stamps = ['01:30', '02:00', '02:30', '02:00', '02:30', '03:00'].map((clock) => `2031-10-26 ${clock}:00`);
    const { channel, report } = await importText(table(stamps), { zone: 'Europe/Berlin' });
    expect(secondsOf(channel('spo2'))).toEqual([0, 1800, 3600, 5400, 7200, 9000]);
    expect(report.notes.join(' ')).toContain('4 local times occur twice');
  });

  it('dst-berlin-gap: times that do not exist are counted (check-values.json, IANA rules)', async () => {
    const { report } = await importText(table(['2031-03-30 01:30:00', '2031-03-30 02:30:00', '2031-03-30 03:30:00']), { zone: 'Europe/Berlin' });
    expect(report.notes.join(' ')).toContain('1 local time does not exist');
  });

  it('a zone that does not exist is a failure, not a crash', async () => {
    const { report } = await importText(table(['2031-03-04 08:00:00']), { zone: 'Nowhere/Land' });
    expect(report.failure?.message).toContain('Nowhere/Land');
  });
});

describe('clocks put back in a file whose zone nobody stated', () => {
  // 2031-10-26 03:00 CEST is 02:00 CET: Directive 2000/84/EC, last Sunday of October, 01:00 UTC (dst-berlin-fold of check-values.json).
  const night = (stepS: number, day = '2031-10-26', foldHour = 2): string[] => {
    const stamps: string[] = [];
    for (let s = 0; s < 4 * 3600; s += stepS) {
      const wall = (foldHour - 1) * 3600 + s - (s >= 2 * 3600 ? 3600 : 0);
      const part = (n: number): string => String(n).padStart(2, '0');
      stamps.push(`${day} ${part(Math.floor(wall / 3600))}:${part(Math.floor(wall / 60) % 60)}:${part(wall % 60)}`);
    }
    return stamps;
  };
  const guessOf = async (text: string, options: Parameters<typeof importText>[1] = {}) => (await importText(text, options)).report.guesses.find((guess) => guess.field === 'zone');

  it.each([10, 60, 300])('are told with their line and the zones in which that hour occurs twice, rows every %i s', async (stepS) => {
    const stamps = night(stepS);
    const guess = await guessOf(table(stamps));
    const line = 2 + stamps.findIndex((stamp, i) => i > 0 && stamp < stamps[i - 1]!);
    expect(guess?.taken).toContain(`The times step back by ${Math.round(60 - stepS / 60)} min at line ${line};`);
    expect(guess?.because).toContain('state the time zone of the file and read it again');
    expect(guess?.certainty).toBe('assumed');
    expect(guess?.alternatives.map((other) => other.rules)).toEqual([{ zone: 'Europe/Berlin' }]);
  });

  it('come out as two hours without a lost row once the offered zone is taken, and nothing more is said', async () => {
    const stamps = night(60);
    const lost = await importText(table(stamps));
    expect(lost.channel('spo2').tMs.length).toBe(180);
    const guess = lost.report.guesses.find((other) => other.field === 'zone');
    const { channel, report } = await importText(table(stamps), rules(guess?.alternatives[0]?.rules ?? {}));
    expect(secondsOf(channel('spo2'))).toEqual(Array.from({ length: 240 }, (_, i) => i * 60));
    expect(report.guesses.find((other) => other.field === 'zone')).toBeUndefined();
  });

  it('in North America: every offered zone that puts clocks back at that hour (2 November 2031, 02:00)', async () => {
    const guess = await guessOf(table(night(60, '2031-11-02', 1)));
    expect(guess?.alternatives.map((other) => other.rules.zone)).toEqual(['America/St_Johns', 'America/Halifax', 'America/New_York', 'America/Chicago', 'America/Denver', 'America/Los_Angeles', 'America/Anchorage']);
  });

  it('on a day on which no offered zone does so, it is still told', async () => {
    const guess = await guessOf(table(night(60, '2031-03-04')));
    expect(guess?.taken).toContain('step back by 59 min');
    expect(guess?.alternatives).toEqual([]);
  });

  it.each([
    ['a zone that was stated, UTC too', table(night(60)), { zone: 'UTC' }],
    ['times with an offset', table(night(60).map((stamp) => `${stamp}+01:00`)), {}],
    ['rows from late to early', table(night(60).reverse()), {}],
    ['an hour that stands there twice', table([...night(60).slice(0, 61), ...night(60).slice(0, 61)]), {}],
    ['a long table with one piece of an hour for each name', ['time,name,value', ...['SpO2', 'HR'].flatMap((name) => night(60).slice(0, 61).map((stamp) => `${stamp},${name},90`))].join('\n'), {}],
    ['a step of two hours', table([...night(60).slice(0, 120), '2031-10-26 01:00:30', '2031-10-26 03:00:30']), {}],
  ])('not told for %s', async (_, text, options) => {
    expect(await guessOf(text, options)).toBeUndefined();
  });

  it('told for the case in which it happens, in a file of several', async () => {
    const day = Array.from({ length: 60 }, (_, i) => `day,2031-10-25 10:${String(i).padStart(2, '0')}:00,97`);
    const rows = ['case,time,SpO2', ...day, ...night(60).map((stamp) => `night,${stamp},96`)];
    expect((await guessOf(rows.join('\n')))?.taken).toContain('line 182;');
  });
});

describe('several clocks in one case', () => {
  const trends = table(['2031-03-04 08:00:00', '2031-03-04 08:00:10', '2031-03-04 08:30:00']);

  it('clock times without a date are put on the day of the trends', async () => {
    const { cases } = await importTexts({ 'c/trends.csv': trends, 'c/events.csv': 'time,event\n08:05,arms tucked\n' });
    expect(cases[0]?.events[0]?.atMs).toBe(300_000);
  });

  it('entries without a zone are read in the offset of the trends', async () => {
    const { cases } = await importTexts({ 'c/trends.csv': table(['2031-03-04T08:00:00+01:00', '2031-03-04T08:30:00+01:00']), 'c/events.csv': 'time,event\n2031-03-04 08:05:00,arms tucked\n' });
    expect(cases[0]?.origin).toMatchObject({ zone: '+01:00', zoneStated: true });
    expect(cases[0]?.events[0]?.atMs).toBe(300_000);
  });

  it('elapsed trends and elapsed events share their nought', async () => {
    const { cases } = await importTexts({ 'c/trends.csv': table(['5', '15', '25'], 'elapsed_s'), 'c/events.csv': 'elapsed_s,event\n20,arms tucked\n' });
    expect(cases[0]?.events[0]?.atMs).toBe(15_000);
    expect(cases[0]?.origin.originOffsetMs).toBe(5000);
  });

  it('day and month are exchanged in a file of entries when only that puts it beside the trends', async () => {
    const { cases, files } = await importTexts({ 'c/trends.csv': trends, 'c/events.csv': 'time,event\n03/04/2031 08:05:00,arms tucked\n' });
    expect(cases[0]?.events[0]?.atMs).toBe(300_000);
    expect(files[1]?.notes.join(' ')).toContain('exchanged');
  });
});
