import { describe, expect, it } from 'vitest';
import type { Mapping, ReadingRules } from '../../../../core/model/mapping.ts';
import { mappingSchema } from '../../../../core/model/mapping-schema.ts';
import { importTexts, secondsOf } from '../../../builders/import-text.ts';

/*
 * Every source may have a clock offset, set by hand; the offset used is stored with the case and shown
 * (rules of the analysis, section 2).
 */

function mapped(rules: Readonly<Record<string, ReadingRules>>): Mapping {
  return { schema: 'lacuna-mapping/1', name: 'clocks', files: Object.entries(rules).map(([fileName, reading]) => ({ match: { fileName }, reading })) };
}

const TRENDS = 'time,SpO2\n2031-03-04 08:00:00,97\n2031-03-04 08:00:10,96\n2031-03-04 08:05:00,95\n';
const DRUGS = 'time,drug,dose,unit\n2031-03-04 08:02:05,phenylephrine,100,mcg\n';
const EVENTS = 'time,event\n2031-03-04 08:03:07,arms tucked\n';
const FILES = { 'c/trends.csv': TRENDS, 'c/drugs.csv': DRUGS, 'c/events.csv': EVENTS };

async function read(files: Readonly<Record<string, string>>, rules: Readonly<Record<string, ReadingRules>> = {}) {
  const { cases, files: reports } = await importTexts(files, { mapping: mapped(rules) });
  const record = cases[0];
  if (record === undefined) throw new Error(JSON.stringify(reports));
  return {
    record,
    reports,
    originAt: record.origin.epochMs === null ? null : new Date(record.origin.epochMs).toISOString(),
    spo2S: secondsOf(record.channels[0]!),
    drugS: record.drugs.map((drug) => drug.atMs / 1000),
    eventS: record.events.map((event) => event.atMs / 1000),
  };
}

describe('a clock offset set by hand', () => {
  it('none: times stay, and every source says 0', async () => {
    const { record, originAt, drugS } = await read(FILES);
    expect([originAt, drugS]).toEqual(['2031-03-04T08:00:00.000Z', [125]]);
    expect(record.sources.map((source) => source.clockOffsetMs)).toEqual([0, 0, 0]);
    expect(record.findings.filter((finding) => finding.code === 'clock-offset')).toEqual([]);
  });

  it('moves the drugs of its file alone', async () => {
    const { record, drugS, eventS, spo2S } = await read(FILES, { 'drugs.csv': { clockOffsetS: 90 } });
    expect([drugS, eventS, spo2S]).toEqual([[215], [187], [0, 10, 300]]);
    expect(Object.fromEntries(record.sources.map((source) => [source.name, source.clockOffsetMs]))).toEqual({ 'trends.csv': 0, 'drugs.csv': 90_000, 'events.csv': 0 });
  });

  it('moves the events of its file, backwards when it is negative, fractions of a second kept', async () => {
    expect((await read(FILES, { 'events.csv': { clockOffsetS: -30.25 } })).eventS).toEqual([156.75]);
  });

  it('moves the end of an entry with its start', async () => {
    const files = { ...FILES, 'c/drugs.csv': 'start,end,drug,rate,unit\n2031-03-04 08:02:00,2031-03-04 08:04:00,norepinephrine,5,mcg/min\n' };
    const before = (await read(files)).record.drugs;
    const after = (await read(files, { 'drugs.csv': { clockOffsetS: 60 } })).record.drugs;
    expect(before.length).toBeGreaterThan(0);
    expect(after.map(({ atMs, endMs }) => [atMs - 60_000, endMs === null ? null : endMs - 60_000])).toEqual(before.map(({ atMs, endMs }) => [atMs, endMs]));
  });

  it('on the trends: the origin is the first trend row after the offset, and the others stand earlier from it', async () => {
    const { originAt, spo2S, drugS } = await read(FILES, { 'trends.csv': { clockOffsetS: 60 } });
    expect([originAt, spo2S, drugS]).toEqual(['2031-03-04T08:01:00.000Z', [0, 10, 300], [65]]);
  });

  it('is told in the report of the file and with the case', async () => {
    const { record, reports } = await read(FILES, { 'drugs.csv': { clockOffsetS: 90 }, 'events.csv': { clockOffsetS: -15 } });
    const notes = Object.fromEntries(reports.map((report) => [report.file, report.notes.join(' ')]));
    expect(notes['c/drugs.csv']).toContain('Its clock was set by hand: taken as 90 s behind, 90 s were added to each of its times.');
    expect(notes['c/events.csv']).toContain('taken as 15 s ahead, 15 s were taken off each of its times.');
    expect(notes['c/trends.csv']).not.toContain('clock was set');
    expect(record.findings.filter((finding) => finding.code === 'clock-offset').map((finding) => finding.message.split(':')[0])).toEqual(['drugs.csv', 'events.csv']);
  });

  it('clock times without a date: the day is settled by the time after the offset', async () => {
    const files = {
      'c/trends.csv': 'time,SpO2\n2031-03-04 23:59:00,97\n2031-03-05 00:00:00,96\n2031-03-05 00:10:00,95\n',
      'c/events.csv': 'time,event\n23:58:50,arms tucked\n',
    };
    expect((await read(files)).eventS).toEqual([-10]);
    expect((await read(files, { 'events.csv': { clockOffsetS: 120 } })).eventS).toEqual([110]);
  });

  it('a record of clock times set forward over midnight begins after midnight, not a day late', async () => {
    const { record } = await read({ 'c/t.csv': 'Clock,SpO2\n23:59:50,97\n00:00:00,96\n00:00:10,95\n' }, { 't.csv': { clockOffsetS: 30 } });
    expect(record.origin).toMatchObject({ clock: 'time of day', originOffsetMs: 20_000 });
  });

  it('elapsed times: both files count from the same nought, moved by their offsets', async () => {
    const files = { 'c/t.csv': 'Seconds,SpO2\n0,97\n10,96\n300,95\n', 'c/e.csv': 'Seconds,event\n120,arms tucked\n' };
    expect((await read(files, { 'e.csv': { clockOffsetS: 45 } })).eventS).toEqual([165]);
  });

  it('a file without times says that the offset does nothing', async () => {
    const { reports } = await read({ ...FILES, 'c/list.csv': 'case,service\nc,vascular\n' }, { 'list.csv': { clockOffsetS: 60 } });
    expect(reports.find((report) => report.file === 'c/list.csv')?.notes.join(' ')).toContain('it holds no times');
  });

  it('a mapping takes numbers up to a leap year either way, nothing else', () => {
    const accepts = (clockOffsetS: unknown): boolean => mappingSchema.safeParse({ schema: 'lacuna-mapping/1', name: 'm', files: [{ match: {}, reading: { clockOffsetS } }] }).success;
    expect([0, -60, 31_622_400, 0.5].map(accepts)).toEqual([true, true, true, true]);
    expect([31_622_401, -31_622_401, '60', null, Number.NaN, Number.POSITIVE_INFINITY].map(accepts)).toEqual([false, false, false, false, false, false]);
  });
});
