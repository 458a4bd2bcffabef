import { describe, expect, it } from 'vitest';
import { importText, importTexts } from '../../../builders/import-text.ts';

/*
 * h:mm:ss that start in the first minute after nought are elapsed time or a case at midnight. Heading, step, and the other
 * files of the case decide; the guess with its alternative always stands in the report.
 */

const table = (heading: string, firstS: number, stepS: number, n = 30): string => {
  const part = (value: number): string => String(value).padStart(2, '0');
  const rows = Array.from({ length: n }, (_, i) => {
    const s = firstS + i * stepS;
    return `${part(Math.floor(s / 3600))}:${part(Math.floor(s / 60) % 60)}:${part(s % 60)},${95 + (i % 3)},${60 + (i % 5)}`;
  });
  return [`${heading},SpO2,HR`, ...rows].join('\n');
};

const ALTERNATIVE = { 'elapsed': [{ timeKind: 'time of day' }], 'time of day': [{ timeKind: 'elapsed hms' }] } as const;

describe('times that start in the first minute after nought', () => {
  it.each([
    ['Elapsed', 5, 10, 'elapsed', 'the heading says so'],
    ['Dauer', 5, 10, 'elapsed', 'the heading says so'],
    ['Uhrzeit', 5, 10, 'time of day', 'the heading says so'],
    ['Uhrzeit', 0, 10, 'time of day', 'the heading says so'],
    ['Clock', 37, 1, 'time of day', 'the heading says so'],
    ['Time', 0, 1, 'elapsed', 'they start at nought'],
    ['Time', 5, 5, 'elapsed', 'the heading does not say'],
    ['Time', 5, 10, 'elapsed', 'the heading does not say'],
    ['Time', 37, 1, 'time of day', 'later after nought than one row takes'],
    ['Zeit', 37, 10, 'time of day', 'later after nought than one row takes'],
    ['Time', 61, 1, 'time of day', 'clock times and no dates'],
  ] as const)('headed "%s", from %i s on every %i s: %s', async (heading, firstS, stepS, clock, because) => {
    const { record, report } = await importText(table(heading, firstS, stepS));
    expect(record.origin).toMatchObject({ clock, originOffsetMs: firstS * 1000 });
    const [guess, ...more] = report.guesses.filter((other) => other.field === 'timeKind');
    expect(more).toEqual([]);
    expect(guess?.because).toContain(because);
    expect(guess?.certainty).not.toBe('proven');
    expect(guess?.alternatives.map((other) => other.rules)).toEqual(ALTERNATIVE[clock]);
  });

  it('the alternative is what it says', async () => {
    const { report } = await importText(table('Time', 5, 5));
    const rules = report.guesses.find((guess) => guess.field === 'timeKind')?.alternatives[0]?.rules ?? {};
    const { record } = await importText(table('Time', 5, 5), { mapping: { schema: 'lacuna-mapping/1', name: 'm', files: [{ match: {}, reading: rules }] } });
    expect(record.origin.clock).toBe('time of day');
  });
});

describe('the other files of the case', () => {
  const trends = table('Time', 5, 5, 400); // 00:00:05 to 00:33:20
  const read = async (files: Readonly<Record<string, string>>) => {
    const { cases, files: reports } = await importTexts(files);
    const guess = reports[0]?.guesses.find((other) => other.field === 'timeKind');
    return { record: cases[0]!, guess, notes: reports[0]?.notes.join(' ') ?? '' };
  };

  it('with clock times at that hour make it a clock, and the guess says why', async () => {
    const { record, guess, notes } = await read({ 'c/trends.csv': trends, 'c/events.csv': 'Uhrzeit,event\n00:10:30,arms tucked\n' });
    expect(record.origin).toMatchObject({ clock: 'time of day', originOffsetMs: 5000 });
    expect(record.events[0]?.atMs).toBe(625_000);
    expect(guess).toMatchObject({ taken: '"Time" is read as clock times without a date.', because: 'the times of events.csv lie at the same hour', alternatives: [{ rules: { timeKind: 'elapsed hms' } }] });
    expect(notes).toContain('taken for those of a clock');
  });

  it('with dated times at that hour do so too, before midnight as well', async () => {
    const { record } = await read({ 'c/trends.csv': trends, 'c/drugs.csv': 'time,drug,dose,unit\n2031-03-03 23:58:05,phenylephrine,100,mcg\n2031-03-04 00:10:35,phenylephrine,100,mcg\n' });
    expect(record.origin.clock).toBe('time of day');
    expect(record.drugs.map((drug) => drug.atMs)).toEqual([-120_000, 630_000]);
  });

  it('at another hour leave it elapsed', async () => {
    const { record, guess } = await read({ 'c/trends.csv': trends, 'c/events.csv': 'Uhrzeit,event\n09:10:30,arms tucked\n' });
    expect(record.origin.clock).toBe('elapsed');
    expect(guess?.taken).toBe('"Time" is read as hours, minutes and seconds elapsed.');
  });

  it('that disagree, or count elapsed seconds, leave it elapsed', async () => {
    const events = 'Uhrzeit,event\n00:10:30,arms tucked\n';
    expect((await read({ 'c/trends.csv': trends, 'c/events.csv': events, 'c/late.csv': 'Uhrzeit,event\n09:10:30,head down\n' })).record.origin.clock).toBe('elapsed');
    expect((await read({ 'c/trends.csv': trends, 'c/events.csv': events, 'c/more.csv': 'elapsed_s,event\n300,head down\n' })).record.origin.clock).toBe('elapsed');
  });

  it('a heading that says elapsed is not overruled by them', async () => {
    const { record } = await read({ 'c/trends.csv': table('Elapsed', 5, 5, 400), 'c/events.csv': 'Uhrzeit,event\n00:10:30,arms tucked\n' });
    expect(record.origin.clock).toBe('elapsed');
  });
});

describe('dated entries beside undated trends', () => {
  it('are put beside them by the time of day', async () => {
    const { cases, files } = await importTexts({ 'c/trends.csv': 'Clock,SpO2\n08:00:00,97\n08:00:10,96\n08:30:00,95\n', 'c/events.csv': 'time,event\n2031-03-04 08:05:07,arms tucked\n' });
    expect(cases[0]?.events[0]?.atMs).toBe(307_000);
    expect(files[1]?.notes.join(' ')).toContain('by the time of day');
  });

  it('are not, when they are of quite another time of day', async () => {
    const { files } = await importTexts({ 'c/trends.csv': 'Clock,SpO2\n08:00:00,97\n08:00:10,96\n08:30:00,95\n', 'c/events.csv': 'time,event\n2031-03-04 17:05:07,arms tucked\n' });
    expect(files[1]?.notes.join(' ')).toContain('cannot be tied to the clock of the trends');
  });
});
