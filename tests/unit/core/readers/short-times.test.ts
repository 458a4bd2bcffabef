import { describe, expect, it } from 'vitest';
import { importText, importTexts, secondsOf } from '../../../builders/import-text.ts';

/* Times of two parts, and days alone. That recorders store at least every five minutes or so: common practice without source. */

const two = (n: number): string => String(n).padStart(2, '0');
const table = (heading: string, times: readonly string[]): string => [`${heading},SpO2,HR`, ...times.map((time, i) => `${time},${97 - (i % 2)},${70 + (i % 3)}`)].join('\n');
const everyTenSeconds = Array.from({ length: 80 }, (_, i) => `${two(Math.floor(i / 6))}:${two((i % 6) * 10)}`);
const everyMinute = Array.from({ length: 90 }, (_, i) => `${two(Math.floor(i / 60))}:${two(i % 60)}`);

describe('elapsed times of two parts', () => {
  it('are minutes and seconds where hours and minutes would put the rows further apart than any recorder does', async () => {
    const { channel, report } = await importText(table('elapsed', everyTenSeconds));
    expect(secondsOf(channel('spo2')).slice(0, 8)).toEqual([0, 10, 20, 30, 40, 50, 60, 70]);
    expect(report.guesses.find(({ field }) => field === 'timeKind')).toMatchObject({ taken: '"elapsed" is read as minutes and seconds elapsed.', certainty: 'likely', alternatives: [{ rules: { timeKind: 'time of day' } }, { rules: { timeKind: 'elapsed hms' } }] });
  });

  it('are hours and minutes otherwise, said to be assumed, and can be overruled', async () => {
    const { channel, report } = await importText(table('elapsed', everyMinute));
    expect(secondsOf(channel('spo2'))[61]).toBe(3660);
    expect(report.guesses.find(({ field }) => field === 'timeKind')).toMatchObject({ certainty: 'assumed', alternatives: [{ rules: { timeKind: 'time of day' } }, { rules: { timeKind: 'elapsed m:ss' } }] });
    const said = await importText(table('elapsed', everyMinute), { mapping: { schema: 'lacuna-mapping/1', name: 'm', files: [{ match: {}, reading: { timeKind: 'elapsed m:ss' } }] } });
    expect(secondsOf(said.channel('spo2'))[61]).toBe(61);
  });

  it('with seconds, and clock times that start in the day, are read as ever', async () => {
    expect((await importText(table('elapsed', everyMinute.map((time) => `${time}:00`)))).report.guesses[0]).toMatchObject({ certainty: 'likely', alternatives: [{ rules: { timeKind: 'time of day' } }] });
    expect((await importText(table('clock', everyMinute.map((time) => `1${time.slice(1)}`)))).report.guesses[0]?.taken).toContain('clock times without a date');
  });
});

describe('days without clock times', () => {
  it('put no trends on a timeline: said with what to do, instead of one row a day', async () => {
    const { files, cases } = await importTexts({ 'c/days.csv': table('date', Array.from({ length: 60 }, () => '2031-07-09')), 'c/good.csv': table('time', Array.from({ length: 20 }, (_, i) => `2031-07-09 08:${two(i)}:00`)) });
    expect(files[0]?.failure).toMatchObject({ message: expect.stringContaining('holds days and no clock times') as string, line: 1, remedy: expect.stringContaining('time of day') as string });
    expect(cases).toHaveLength(1);
  });

  it('are times where every row has its own day', async () => {
    const { channel } = await importText(table('date', Array.from({ length: 20 }, (_, i) => `2031-07-${two(i + 1)}`)));
    expect(secondsOf(channel('spo2'))[1]).toBe(86_400);
  });
});
