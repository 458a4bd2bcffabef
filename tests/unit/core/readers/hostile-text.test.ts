import { describe, expect, test } from 'vitest';
import { importFiles } from '../../../../core/pipeline/import-files.ts';
import type { ByteSource } from '../../../../core/readers/reader.ts';
import { memorySource, plainImport } from '../../../builders/byte-source.ts';
import { importTexts, valuesOf } from '../../../builders/import-text.ts';

/* What a reader of delimited text must bear, from the list of hostile and broken files; the texts are made up. */

const GOOD = 'time,SpO2,HR\n2031-03-04 08:00:00,97,60\n2031-03-04 08:00:10,96,61\n2031-03-04 08:00:20,95,62\n';
const encoder = new TextEncoder();
const GIGABYTE = 1024 ** 3;

/** Returns a source whose bytes are made as they are read: `before`, then `length` times the same letter, then `after`. */
function endless(path: string, before: string, length: number, after: string): ByteSource {
  const chunk = new Uint8Array(1 << 20).fill(0x78);
  return {
    relativePath: path,
    folderName: 'case-b',
    byteLength: before.length + length + after.length,
    async *open() {
      if (before !== '') yield encoder.encode(before);
      for (let done = 0; done < length; done += chunk.length) yield chunk.subarray(0, Math.min(chunk.length, length - done));
      if (after !== '') yield encoder.encode(after);
    },
  };
}

const noDigest = plainImport({ createDigest: () => ({ update: () => undefined, hex: () => '' }) });

describe('what is no table at all', () => {
  test.each([
    ['a web page called a workbook', '<html><body><table><tr><td>Time</td><td>SpO2</td></tr></table></body></html>', /is a web page or XML/, 1],
    ['a second line without end', `time,SpO2\n${'9'.repeat(400_000)}\n2031-03-04 08:00:00,97\n`, /^table\.csv: Line 2 goes on for more than \d+ kB/, 2],
  ])('%s says so, with line and remedy', async (_, text, message, line) => {
    const { failure } = (await importTexts({ 'table.csv': text })).files[0] ?? { failure: null };
    expect(failure?.message).toMatch(message);
    expect(failure?.line).toBe(line);
    expect(failure?.remedy).toMatch(/\w/);
  });
});

describe('a line of a gigabyte', () => {
  test('in the middle of a table: that line is rejected, the rest is read, memory stays bounded', { timeout: 300_000 }, async () => {
    const before = process.memoryUsage().rss;
    const { files, cases } = await importFiles([endless('case-b/long.csv', GOOD, GIGABYTE, '\n2031-03-04 08:00:30,94,63\n'), memorySource('case-a/good.csv', encoder.encode(GOOD))], noDigest);
    expect(files[0]).toMatchObject({ rows_read: 5, rows_accepted: 4, rejected: [{ reason: 'line longer than 1 MB', count: 1, first_line: 5 }] });
    expect(process.memoryUsage().rss - before).toBeLessThan(300e6);
    expect(cases.map(({ caseId }) => caseId)).toEqual(['case-a', 'case-b']);
  });

  test('alone: no table, with file, line and remedy', { timeout: 300_000 }, async () => {
    const { files } = await importFiles([endless('case-b/long.csv', '', GIGABYTE, '')], noDigest);
    expect(files[0]?.failure).toEqual({ message: 'long.csv: The first line is longer than 256 kB: this is no table of rows.', line: 1, remedy: 'Export the data as CSV with one row per line.' });
  });
});

describe('broken files end in a message that names file, line and remedy, and the others come in', () => {
  test.each([
    ['no bytes', new Uint8Array(0)],
    ['blanks only', encoder.encode(' \n\t\n  \n')],
    ['binary junk', Uint8Array.from({ length: 4000 }, (_, i) => (i * 7919) % 256)],
    ['a picture', Uint8Array.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 13])],
    ['text that is no table', encoder.encode('To whom it may concern\nplease find attached\nnothing at all\n')],
    ['a table cut off in its headings', encoder.encode('time,Sp')],
    ['half a mark of two-byte text', Uint8Array.from([0xff, 0xfe, 0x74])],
  ])('%s', async (_, bytes) => {
    const { files, cases } = await importTexts({ 'case-a/good.csv': GOOD, 'case-b/bad.csv': bytes });
    const bad = files[1];
    expect(bad?.failure?.message).toContain('bad.csv');
    expect(bad?.failure?.line).toBe(1);
    expect(bad?.failure?.remedy ?? '').not.toBe('');
    expect(cases.map(({ caseId }) => caseId)).toEqual(['case-a']);
  });

  test('cut off in a row: what is whole is read, the last row with its missing cells', async () => {
    const { files, cases } = await importTexts({ 'case-a/cut.csv': GOOD.slice(0, GOOD.lastIndexOf(',62')) });
    expect(files[0]).toMatchObject({ rows_read: 3, rows_accepted: 3 });
    expect(files[0]?.notes).toContain('1 row has fewer cells than there are headings; the missing cells were taken as empty.');
    expect(valuesOf(cases[0]!.channels.find(({ quantity }) => quantity === 'heart-rate')!)).toEqual([60, 61, null]);
  });

  test('the ending of the name says nothing', async () => {
    const { files, cases } = await importTexts({ 'case-a/trends.xlsx': GOOD, 'case-b/x.edf': GOOD, 'case-c/x.json.gz': GOOD });
    expect(files.map(({ failure, layout }) => [failure, layout])).toEqual([[null, 'wide'], [null, 'wide'], [null, 'wide']]);
    expect(cases).toHaveLength(3);
  });

  test('two encodings in one file: each cell by its own', async () => {
    const latin = Uint8Array.from('2031-03-04 08:00:30,94,63,Rückenlage\n', (letter) => letter.charCodeAt(0));
    const bytes = Uint8Array.from([...encoder.encode('time,SpO2,HR,note\n2031-03-04 08:00:20,95,62,Rückenlage\n'), ...latin]);
    const { files, cases } = await importTexts({ 'case-a/mixed.csv': bytes });
    expect(cases[0]?.events.map(({ text }) => text)).toEqual(['Rückenlage']);
    expect(files[0]?.notes).toContain('1 cell is UTF-8 among single bytes and was read so.');
  });

  test('NUL and signs that turn the direction of text: no crash, no value made up', async () => {
    const nul = String.fromCharCode(0);
    const { files, cases } = await importTexts({ 'case-a/nul.csv': `${GOOD}2031-03-04 08:00:30,9${nul}4,63\n2031-03-04 08:00:40,\u202e79,64\n2031-03-04 08:00:50,93\u2069,65\n` });
    const [report] = files;
    expect(report?.rows_read).toBe(6);
    expect(report?.rows_accepted).toBe((report?.rows_read ?? 0) - (report?.rows_rejected ?? 0));
    const known = valuesOf(cases[0]!.channels.find(({ quantity }) => quantity === 'spo2')!).filter((value) => value !== null);
    for (const value of known) expect([97, 96, 95, 93]).toContain(value);
  });
});

test('a printed log whose heading line has thousands of words is refused with the line and what to do', async () => {
  const heading = ['Time               ', 'SpO2', 'HR', ...Array.from({ length: 5497 }, () => 'S')].join('  ');
  const lines = [heading, ...[0, 10, 20, 30].map((s) => `2031-03-04 08:00:${String(s).padStart(2, '0')}  98    70`)];
  const { files } = await importTexts({ 'case-a/broken.txt': lines.join('\n') });
  expect(files[0]?.failure).toMatchObject({ message: 'broken.txt: The headings name 5500 columns; a table with more than 5000 is not read.', remedy: 'Look whether the file is damaged. If every time has a column of its own, export it with a row for each time.' });
});
