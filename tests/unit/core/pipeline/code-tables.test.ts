import { describe, expect, test } from 'vitest';
import { importTexts, valuesOf } from '../../../builders/import-text.ts';
import { workbookBytes } from '../../../builders/workbook-bytes.ts';

/* Codes, names and cases are invented. */

const ITEMS = 'code,label,unit\nQ1,SpO2 finger,%\nQ2,Heart rate,/min\nQ3,Remark,\nQ4,Phenylephrine,\n';
const chart = (more = ''): string => ['case,code,time,value', 'A,Q1,2031-03-04 08:00,97', 'A,Q2,2031-03-04 08:00,60', 'A,Q1,2031-03-04 08:01,96', 'A,Q3,2031-03-04 08:01,prone', more].filter((line) => line !== '').join('\n');

const reportOf = (outcome: Awaited<ReturnType<typeof importTexts>>, file: string) => outcome.files.find((report) => report.file === file)!;

describe('a table of codes', () => {
  test('explains the codes of the files of its folder and of folders in it, in any order, and no others', async () => {
    const outcome = await importTexts({ 'x/a/chart.csv': chart(), 'x/items.csv': ITEMS, 'x/chart.csv': chart().replaceAll('A,', 'B,'), 'y/chart.csv': chart().replaceAll('A,', 'C,') });
    expect(outcome.cases.map(({ caseId }) => caseId)).toEqual(['A', 'B', 'C']);
    expect(outcome.cases[2]!.channels).toEqual([]);
    for (const { channels, events } of outcome.cases.slice(0, 2)) {
      const spo2 = channels.find(({ quantity }) => quantity === 'spo2')!;
      expect([spo2.site, valuesOf(spo2)]).toEqual(['finger', [97, 96]]);
      expect(events.map(({ term }) => term)).toEqual(['prone']);
    }
    expect(reportOf(outcome, 'x/items.csv')).toMatchObject({ layout: 'code table', failure: null, rows_read: 4, rows_accepted: 4, rows_rejected: 0, cases: [] });
    expect(outcome.files.map(({ file }) => file)).toEqual(['x/a/chart.csv', 'x/items.csv', 'x/chart.csv', 'y/chart.csv']);
  });

  test('that no file uses stays a file without times', async () => {
    const outcome = await importTexts({ 'x/items.csv': ITEMS, 'x/trends.csv': 'time,SpO2,HR\n2031-03-04 08:00,97,60\n2031-03-04 08:01,96,60' });
    expect(reportOf(outcome, 'x/items.csv').failure?.message).toContain('No column with times was found');
    expect(outcome.cases).toHaveLength(1);
  });

  test('accepts rows with a code and a label, rejects the rest with a reason', async () => {
    const outcome = await importTexts({ 'x/items.csv': `${ITEMS}Q5,,%\nQ6,Depth,%\n\n`, 'x/chart.csv': chart() });
    expect(reportOf(outcome, 'x/items.csv')).toMatchObject({ rows_read: 6, rows_accepted: 5, rejected: [{ reason: 'code without a label', count: 1, first_line: 6 }] });
  });

  test('codes that it does not list are kept and counted', async () => {
    const rows = Array.from({ length: 20 }, (_, i) => `A,Q1,2031-03-04 08:${String(i + 10)},9${i % 9}`).join('\n');
    const outcome = await importTexts({ 'x/items.csv': ITEMS, 'x/chart.csv': `${chart(rows)}`, 'x/late.csv': `${chart(rows)}\n${Array.from({ length: 30_000 }, (_, i) => `A,Q2,2031-03-05 ${String(Math.floor(i / 3600)).padStart(2, '0')}:${String(Math.floor(i / 60) % 60).padStart(2, '0')}:${String(i % 60).padStart(2, '0')},60`).join('\n')}\nA,Q9,2031-03-06 08:00,1` });
    expect(reportOf(outcome, 'x/late.csv').notes).toContain('"code" holds codes; what they mean was taken from items.csv. 1 row has a code that it does not list, and keeps the code.');
  });

  test('drugs by code are administrations, procedures by code events', async () => {
    const outcome = await importTexts({
      'x/items.csv': `${ITEMS}Q7,Arms tucked,\n`,
      'x/given.csv': 'case,code,time,amount,unit,category\nA,Q4,2031-03-04 08:00,100,mcg,drug push\nA,Q4,2031-03-04 08:05,50,mcg,drug push',
      'x/done.csv': 'case,code,time,category\nA,Q7,2031-03-04 08:02,positioning',
    });
    expect(outcome.cases[0]!.drugs.map(({ inn, amount, unit }) => [inn, amount, unit])).toEqual([['phenylephrine', 100, 'ug'], ['phenylephrine', 50, 'ug']]);
    expect(outcome.cases[0]!.events.map(({ term }) => term)).toEqual(['arms tucked']);
  });

  test('as a sheet beside its charts', async () => {
    const rows = (text: string): (string | number)[][] => text.trim().split('\n').map((line) => line.split(',').map((cell) => (/^\d+$/.test(cell) ? Number(cell) : cell)));
    const outcome = await importTexts({ 'x/book.xlsx': workbookBytes([{ name: 'Items', rows: rows(ITEMS) }, { name: 'Chart', rows: rows(chart()) }]) });
    expect(valuesOf(outcome.cases[0]!.channels.find(({ quantity }) => quantity === 'spo2')!)).toEqual([97, 96]);
    expect(reportOf(outcome, 'x/book.xlsx/Items')).toMatchObject({ layout: 'code table', container: { file: 'x/book.xlsx' } });
  });

  test('in single-byte text', async () => {
    const bytes = (text: string): Uint8Array => Uint8Array.from(text, (letter) => letter.charCodeAt(0));
    const outcome = await importTexts({ 'x/items.csv': bytes('code,Bezeichnung\nQ1,SpO2 Ohr\nQ2,Herzfrequenz\nQ3,Körpertemperatur\n'), 'x/chart.csv': bytes('case,code,time,value,Prüfer\nA,Q1,2031-03-04 08:00,97,ü\nA,Q3,2031-03-04 08:00,36.5,ü\nA,Q1,2031-03-04 08:01,96,ü\nA,Q3,2031-03-04 08:01,36.6,ü') });
    expect(outcome.cases[0]!.channels.map(({ quantity }) => quantity).sort()).toEqual(['spo2', 'temp']);
  });
});
