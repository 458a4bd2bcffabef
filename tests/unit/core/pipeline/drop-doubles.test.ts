import { strToU8, zipSync } from 'fflate';
import { describe, expect, test } from 'vitest';
import { importTexts } from '../../../builders/import-text.ts';

/** A table of two minutes on one day. */
function trends(day: string, value = 98): string {
  return ['Time,SpO2,HR', ...Array.from({ length: 120 }, (_, i) => `${day} 08:${String(Math.floor(i / 60)).padStart(2, '0')}:${String(i % 60).padStart(2, '0')},${value},${70 + (i % 5)}`)].join('\n');
}
const TRENDS = trends('2031-04-23');
const DRUGS = 'time,drug,dose,unit\n2031-04-23 08:00:30,phenylephrine,100,mcg\n';
const UNDATED = 'seconds,event\n0,anaesthesia start\n';
const zip = (files: Readonly<Record<string, string>>): Uint8Array => zipSync(Object.fromEntries(Object.entries(files).map(([name, text]) => [name, strToU8(text)])));

async function made(files: Readonly<Record<string, string | Uint8Array>>) {
  const { cases, files: reports } = await importTexts(files);
  return {
    cases: cases.map((record) => [record.caseId, record.channels.length, record.drugs.length]),
    told: reports.flatMap(({ file, notes }) => notes.filter((note) => note.includes('same')).map((note) => `${file}: ${note}`)),
    reports,
  };
}

describe('content that comes twice in one import makes no second case', () => {
  test.each<[string, Readonly<Record<string, string | Uint8Array>>]>([
    ['a copy under another name beside it', { 'K1/a.csv': TRENDS, 'K1/b.csv': TRENDS, 'K1/drugs.csv': DRUGS }],
    ['a copy in a folder of the same name', { 'K1/trends.csv': TRENDS, 'K1/drugs.csv': DRUGS, 'backup/K1/trends.csv': TRENDS, 'backup/K1/drugs.csv': DRUGS }],
    ['a loose file that also lies in its folder', { 'trends.csv': TRENDS, 'K1/trends.csv': TRENDS, 'K1/drugs.csv': DRUGS }],
    ['loose files and the archive of them', { 'trends.csv': TRENDS, 'drugs.csv': DRUGS, 'K1/K1.zip': zip({ 'trends.csv': TRENDS, 'drugs.csv': DRUGS }) }],
    ['a folder and the archive of it', { 'K1/trends.csv': TRENDS, 'K1/drugs.csv': DRUGS, 'all.zip': zip({ 'K1/trends.csv': TRENDS, 'K1/drugs.csv': DRUGS }) }],
  ])('%s', async (_name, files) => {
    const { cases, told } = await made(files);
    expect(cases).toHaveLength(1);
    expect(cases[0]!.slice(1)).toEqual([2, 1]);
    expect(told.length).toBeGreaterThan(0);
  });

  test('and the report says where the content is used, with counts that still add up', async () => {
    const { cases, told, reports } = await made({ 'K1/trends.csv': TRENDS, 'trends.csv': TRENDS });
    expect(cases.map(([caseId]) => caseId)).toEqual(['K1']);
    expect(told).toEqual(['trends.csv: The file has the same content as K1/trends.csv (case K1) and was not used a second time.']);
    expect(reports.map((report) => [report.rows_read, report.rows_accepted, report.cases])).toEqual([[120, 120, ['K1']], [120, 120, []]]);
  });

  test('whatever the order in which the files come', async () => {
    const first = await made({ 'trends.csv': TRENDS, 'K1/trends.csv': TRENDS, 'K1/drugs.csv': DRUGS });
    const second = await made({ 'K1/drugs.csv': DRUGS, 'K1/trends.csv': TRENDS, 'trends.csv': TRENDS });
    expect(second.cases).toEqual(first.cases);
  });
});

describe('nothing is taken for a copy that may be a case of its own', () => {
  test('two folders with names of their own: both stay, and are told', async () => {
    const { cases, told } = await made({ 'K1/trends.csv': TRENDS, 'K2/trends.csv': TRENDS });
    expect(cases.map(([caseId]) => caseId)).toEqual(['K1', 'K2']);
    expect(told).toEqual(['K1/trends.csv: The same values also make case K2: look whether the two are one case.', 'K2/trends.csv: The same values also make case K1: look whether the two are one case.']);
  });

  test('other values, though the names are alike', async () => {
    expect((await made({ 'K1/trends.csv': TRENDS, 'K2/trends.csv': trends('2031-04-23', 97) })).cases).toHaveLength(2);
  });

  test('the same few entries without a date, beside trends of their own', async () => {
    const { cases } = await made({ 'K1/trends.csv': TRENDS, 'K1/events.csv': UNDATED, 'K2/trends.csv': trends('2031-04-24'), 'K2/events.csv': UNDATED });
    expect(cases).toHaveLength(2);
  });

  test('a group that shares its trends with another and has more files: both stay, and are told', async () => {
    const { cases, told } = await made({ 'K1/trends.csv': TRENDS, 'K1/drugs.csv': DRUGS, 'K2/trends.csv': TRENDS, 'K2/drugs.csv': DRUGS.replace('100', '200') });
    expect(cases).toHaveLength(2);
    expect(told).toEqual(['K1/trends.csv: The same values also make case K2: look whether the two are one case.', 'K2/trends.csv: The same values also make case K1: look whether the two are one case.']);
  });
});
