import { describe, expect, it } from 'vitest';
import { readSource } from '../../../../core/readers/read-source.ts';
import { memorySource, plainImport } from '../../../builders/byte-source.ts';
import { importText, importTexts, valuesOf } from '../../../builders/import-text.ts';

const HEAD = 'time,SpO2,HR\n2031-03-04 08:00:00,97,60\n';

describe('files that are no tables end as a message with line and remedy', () => {
  it.each([
    ['0 bytes', new Uint8Array(0), 'empty'],
    ['blanks only', new TextEncoder().encode(' \n\n  \n'), 'only blanks'],
    ['an old spreadsheet workbook', Uint8Array.of(0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1), 'spreadsheet workbook'],
    ['the first bytes of a zip archive', Uint8Array.of(0x50, 0x4b, 3, 4, 20, 0, 6, 0), 'cut off'],
    ['a PDF', new TextEncoder().encode('%PDF-1.7\n1 0 obj'), 'PDF'],
    ['the first bytes of a gzip file', Uint8Array.of(0x1f, 0x8b, 8, 0, 0, 0), 'cut off'],
    ['a tar archive', Uint8Array.from({ length: 1024 }, (_, i) => 'ustar'.charCodeAt(i - 257) || (i < 50 ? 97 : 0)), 'tar archive'],
    ['a 7z archive', Uint8Array.of(0x37, 0x7a, 0xbc, 0xaf, 0x27, 0x1c, 0, 4), '7z archive'],
    ['binary junk', Uint8Array.from({ length: 5000 }, (_, i) => (i * 7919) % 251), 'binary'],
    ['NUL bytes', new Uint8Array(4096), 'binary'],
    ['prose', new TextEncoder().encode('This is a letter.\nIt holds no table.\n'), 'No table'],
    ['numbers without headings', new TextEncoder().encode('2031-03-04 08:00:00,97\n2031-03-04 08:00:10,96\n'), 'No headings'],
    ['headings without rows', new TextEncoder().encode('time,SpO2,HR\n'), ''],
    ['a truncated UTF-16 file', Uint8Array.of(0xff, 0xfe, 0x74, 0x00, 0x69), ''],
  ])('%s', async (_, bytes, message) => {
    const { report, outcome } = await importText(bytes);
    expect(outcome.cases).toEqual([]);
    expect(report.failure?.message).toContain(message);
    expect(report.failure?.remedy).toBeTruthy();
    expect(report).toMatchObject({ rows_read: 0, rows_accepted: 0, rows_rejected: 0 });
  });

  it.each([
    ['a picture', 'scan.csv', Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0, 1, 2, 3), 'scan.csv is '],
    ['binary junk', 'blob.csv', Uint8Array.from({ length: 5000 }, (_, i) => (i * 7919) % 251), 'blob.csv holds binary data, not a text table.'],
    ['an empty file', 'none.csv', new Uint8Array(0), 'none.csv is empty (0 bytes).'],
    ['no headings', 'bare.csv', new TextEncoder().encode('2031-03-04 08:00:00,97\n2031-03-04 08:00:10,96\n'), 'bare.csv: No headings were found'],
    ['headings alone', 'head.csv', new TextEncoder().encode('time,SpO2,HR\n'), 'head.csv'],
    ['one row that cannot be used', 'one.csv', new TextEncoder().encode('time,SpO2,HR\nnever,97,60\n'), 'one.csv'],
  ])('%s: the message names the file, and no folder', async (_, name, bytes, start) => {
    const { report } = await importText(bytes, {}, `case-a/${name}`);
    expect(report.failure?.message.slice(0, start.length)).toBe(start);
    expect(report.failure?.message).not.toContain('case-a');
  });

  it('the other files come in', async () => {
    const { cases, files } = await importTexts({ 'a/bad.csv': new Uint8Array(0), 'a/good.csv': `${HEAD}2031-03-04 08:00:10,96,61\n` });
    expect(files.map((file) => file.failure === null)).toEqual([false, true]);
    expect(cases).toHaveLength(1);
  });

  it('one line without an end, ever longer, is given up at once and in bounded memory', async () => {
    let handed = 0;
    const chunk = new Uint8Array(1 << 20).fill(65);
    const source = {
      relativePath: 'a/line.csv',
      folderName: 'a',
      byteLength: 1 << 30,
      async *open() {
        for (let i = 0; i < 64; i += 1) {
          handed += 1;
          yield chunk;
        }
      },
    };
    const reading = await readSource(source, plainImport());
    expect(reading.report.failure?.message).toContain('longer than 256 kB');
    expect(handed).toBeLessThan(70);
  });

  it('a line of several megabytes amid good ones is rejected alone, wherever chunks are cut', async () => {
    const text = `${HEAD}2031-03-04 08:00:10,${'9'.repeat(3_000_000)},61\n2031-03-04 08:00:20,95,62\n`;
    for (const piece of [1000, 65_536, 10_000_000]) {
      const reading = await readSource(memorySource('a/t.csv', new TextEncoder().encode(text), piece), plainImport());
      expect(reading.report.rejected).toEqual([{ reason: 'line longer than 1 MB', count: 1, first_line: 3 }]);
      expect(reading.report.rows_accepted).toBe(2);
      expect([...(reading.cases[0]?.channels[0]?.line ?? [])]).toEqual([2, 4]);
    }
  });

  it('a tail of NUL bytes, as after a power cut, costs no row', async () => {
    const { report, channel } = await importText(new TextEncoder().encode(`${HEAD}2031-03-04 08:00:10,96,61\n${'\u0000'.repeat(300)}`));
    expect(report.rows_accepted).toBe(2);
    expect(valuesOf(channel('spo2'))).toEqual([97, 96]);
  });

  it('aborting rejects with the reason of the signal', async () => {
    const controller = new AbortController();
    controller.abort(new Error('stopped by the user'));
    await expect(importText(HEAD, { signal: controller.signal })).rejects.toThrow('stopped by the user');
  });
});

describe('columns that name persons', () => {
  const text = 'patient name,MRN,date of birth,time,SpO2\nInvented Person,123456,1961-01-01,2031-03-04 08:00:00,97\nInvented Person,123456,1961-01-01,not a time,96\n';

  it('are not kept, and are masked in the rejected rows', async () => {
    const { outcome, report } = await importText(text);
    const everything = JSON.stringify(outcome);
    expect(everything).not.toContain('Invented Person');
    expect(everything).not.toContain('123456');
    expect(everything).not.toContain('1961');
    expect(report.notes.join(' ')).toContain('"patient name", "date of birth"');
    expect(outcome.rejectedRows[0]?.row).toContain('[withheld]');
  });

  it('stay in the rejected rows when they are to be kept', async () => {
    const { outcome } = await importText(text, { keepIdentifiers: true });
    expect(outcome.rejectedRows[0]?.row).toContain('Invented Person');
  });
});

describe('mapping rules overrule what was found', () => {
  const mapping = (reading: object, match: object = {}): Parameters<typeof importText>[1] => ({ mapping: { schema: 'lacuna-mapping/1', name: 'm', files: [{ match, reading }] } });

  it('columns: quantity, site, unit', async () => {
    const { record, report } = await importText('zeitpunkt,kanal7,x\n2031-03-04 08:00:00,0.97,5\n2031-03-04 08:00:10,0.96,6\n', mapping({ columns: { kanal7: { quantity: 'spo2', site: 'ear lobe' }, x: { role: 'ignore' } } }));
    expect(record.channels.map((channel) => channel.channelId)).toEqual(['spo2@ear lobe']);
    expect(valuesOf(record.channels[0]!)).toEqual([97, 96]);
    expect(report.columns.find((column) => column.heading === 'x')?.readAs).toContain('as stated');
  });

  it('a file name pattern chooses the entry; others are read as found', async () => {
    const { cases } = await importTexts({ 'c/one-trend.csv': HEAD + '2031-03-04 08:00:10,96,61\n', 'd/two.csv': HEAD + '2031-03-04 08:00:10,96,61\n' }, mapping({ caseId: 'named' }, { fileName: '*-trend.csv' }));
    expect(cases.map((record) => record.caseId)).toEqual(['d', 'named']);
  });

  it('headings choose the entry', async () => {
    const { record } = await importText(HEAD + '2031-03-04 08:00:10,96,61\n', mapping({ zone: 'Europe/Berlin' }, { headings: ['spo2', 'HR'] }));
    expect(record.origin).toMatchObject({ zone: 'Europe/Berlin', zoneStated: true });
  });

  it('long names can be re-read and left out', async () => {
    const { record } = await importText('time,name,value\n2031-03-04 08:00:00,Chan A,97\n2031-03-04 08:00:10,Chan A,96\n2031-03-04 08:00:00,HR,60\n2031-03-04 08:00:10,HR,61\n', mapping({ columns: { 'Chan A': { quantity: 'spo2', site: 'toe' }, HR: { role: 'ignore' } } }));
    expect(record.channels.map((channel) => channel.channelId)).toEqual(['spo2@toe']);
  });

  it('time kind and decimal mark', async () => {
    const { record } = await importText('t,SpO2\n0,97\n1,96\n2,95\n', mapping({ timeKind: 'elapsed min' }));
    expect([...record.channels[0]!.tMs]).toEqual([0, 60_000, 120_000]);
  });
});

it('the counts of every column of a wide table are those of its accepted rows, however long the file is', async () => {
  // More rows than the head of a file by which its columns are told.
  const rows = Array.from({ length: 2400 }, (_, i) => `${i % 4 === 0 ? `nonsense ${i}` : i},97,${i % 3 === 0 ? '' : '70'},${i % 100 === 1 ? 'patient turned' : ''}`);
  const { report } = await importText(`Seconds,SpO2,HR,Remark\n${rows.join('\n')}\n`);
  expect(report).toMatchObject({ rows_read: 2400, rows_accepted: 1800, rows_rejected: 600 });
  expect(report.columns.map(({ heading, values, missing }) => [heading, values, missing])).toEqual([
    ['Seconds', 1800, 0],
    ['SpO2', 1800, 0],
    ['HR', 1200, 600],
    ['Remark', 24, 1776],
  ]);
});
