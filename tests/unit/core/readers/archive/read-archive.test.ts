import { readFileSync } from 'node:fs';
import { gzipSync as zlibGzip } from 'node:zlib';
import { strToU8, zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { FREE_BYTES, MAX_FILES } from '../../../../../core/readers/archive/allowance.ts';
import { crc32 } from '../../../../../core/readers/archive/crc32.ts';
import { decodeEntryName, entryPath, isHiddenEntry, plainName } from '../../../../../core/readers/archive/entry-name.ts';
import { importFiles } from '../../../../../core/pipeline/import-files.ts';
import { memorySource, plainImport } from '../../../../builders/byte-source.ts';
import { importText, importTexts, valuesOf } from '../../../../builders/import-text.ts';
import { serialOf, workbookBytes } from '../../../../builders/workbook-bytes.ts';

const TABLE = 'time,SpO2,HR\n2031-03-04 08:00:00,97,60\n2031-03-04 08:00:10,96,61\n2031-03-04 08:00:20,95,62\n';
const DRUGS = 'time,drug,dose,unit\n2031-03-04 08:00:05,phenylephrine,100,mcg\n';
const fixture = (name: string): Uint8Array => new Uint8Array(readFileSync(new URL(`../../../../fixtures/carriers/${name}`, import.meta.url)));
const zip = (files: Readonly<Record<string, string | Uint8Array>>): Uint8Array => zipSync(Object.fromEntries(Object.entries(files).map(([name, body]) => [name, typeof body === 'string' ? strToU8(body) : body])));
const book = workbookBytes([{ name: 'Trends', rows: [['Time', 'SpO2'], [{ serial: serialOf('2031-03-04T08:00:00'), as: 'dateTime' }, 97], [{ serial: serialOf('2031-03-04T08:00:10'), as: 'dateTime' }, 96]] }]);

/** Changes a 16- or 32-bit field of the first entry of the table of contents. */
function patched(bytes: Uint8Array, field: number, value: number, width: 2 | 4 = 2): Uint8Array {
  const out = bytes.slice();
  const at = Buffer.from(out).indexOf(Buffer.from([0x50, 0x4b, 1, 2]));
  const view = new DataView(out.buffer);
  if (width === 2) view.setUint16(at + field, value, true);
  else view.setUint32(at + field, value, true);
  return out;
}

describe('a gzip file', () => {
  it('stands for the file in it, in its own folder', async () => {
    const packed = zlibGzip(TABLE);
    const { cases, files } = await importTexts({ 'K01/trends.csv.gz': packed, 'K01/drugs.csv': DRUGS });
    const plain = await importTexts({ 'K01/trends.csv': TABLE, 'K01/drugs.csv': DRUGS });
    expect(cases.map((own) => [own.caseId, own.drugs.length])).toEqual([['K01', 1]]);
    expect(files[0]).toMatchObject({ file: 'K01/trends.csv.gz', rows_read: 3, failure: null, container: { file: 'K01/trends.csv.gz', byte_length: packed.length } });
    expect(files[0]).toMatchObject({ sha256: plain.files[0]?.sha256, byte_length: TABLE.length });
    expect(cases[0]?.channels).toEqual(plain.cases[0]?.channels);
  });

  it.each([1, 3, 4096])('may have several members (cut in pieces of %i bytes)', async (piece) => {
    const { cases } = await importFiles([memorySource('a/x', fixture('two-members.gz'), piece)], plainImport());
    expect(valuesOf(cases[0]!.channels.find((channel) => channel.quantity === 'spo2')!)).toEqual([97, 96, 95]);
  });

  it('is refused wherever it is cut off', async () => {
    const packed = fixture('two-members.gz');
    // A cut between the two members leaves a whole file: nothing in it can tell.
    const border = Buffer.from(packed).indexOf(Buffer.from([0x1f, 0x8b, 8]), 1);
    for (let length = 3; length < packed.length; length += 1) {
      const { report, outcome } = await importText(packed.subarray(0, length));
      if (length === border) continue;
      expect(report.failure?.message).toContain('damaged or cut off');
      expect(outcome.cases).toEqual([]);
    }
  });

  it('is refused when its checksum does not fit', async () => {
    const packed = new Uint8Array(zlibGzip(TABLE));
    packed[packed.length - 6]! ^= 1;
    expect((await importText(packed)).report.failure?.message).toContain('damaged');
  });
});

describe('a zip archive', () => {
  it('is read like a folder: one report for each file, cases by its folders', async () => {
    const { cases, files } = await importTexts({ 'in/two.bin': fixture('two-cases-streamed.zip') });
    expect(files.map((file) => [file.file, file.rows_read, file.failure])).toEqual([
      ['in/two.bin/K01/trends.csv', 3, null],
      ['in/two.bin/K01/drugs.csv', 1, null],
      ['in/two.bin/K02/trends.csv', 3, null],
    ]);
    expect(cases.map((own) => [own.caseId, own.drugs.length])).toEqual([['K01', 1], ['K02', 0]]);
    expect(files.every((file) => file.container?.file === 'in/two.bin')).toBe(true);
  });

  it.each([
    ['old-names.zip', 'Über Säle'],
    ['long-sizes.zip', 'in'],
  ])('%s, written by another program, is read', async (name, caseId) => {
    const { cases, files } = await importTexts({ [`in/${name}`]: fixture(name) });
    expect(files.map((file) => file.failure)).toEqual(files.map(() => null));
    expect(cases.map((own) => own.caseId)).toEqual([caseId]);
    expect(valuesOf(cases[0]!.channels.find((channel) => channel.quantity === 'spo2')!)).toEqual([97, 96, 95]);
  });

  it.each(['four-sheets.xlsx', 'date-system-1904.xlsx', 'formulas-and-runs.xlsx'])('%s, written by another program, is read', async (name) => {
    const { cases } = await importTexts({ [`in/${name}`]: fixture(name) });
    const values = (quantity: string): unknown => valuesOf(cases[0]!.channels.find((channel) => channel.quantity === quantity)!);
    expect(cases[0]?.origin.epochMs).toBe(Date.UTC(2031, 2, 4, 8));
    expect(values('spo2')).toEqual([97, 96, 95]);
    expect(values('heart-rate')).toEqual([60, 61, 62]);
  });

  it('names its case after itself, or after the folder of files that it lies beside', async () => {
    const packed = zip({ 'trends.csv': TABLE, 'drugs.csv': DRUGS });
    expect((await importTexts({ 'in/K05.zip': packed })).cases.map((own) => own.caseId)).toEqual(['K05']);
    expect((await importTexts({ 'in/K05.zip': packed, 'in/K06.zip': zip({ 'trends.csv': TABLE, 'drugs.csv': `${DRUGS}\n` }) })).cases.map((own) => own.caseId)).toEqual(['K05', 'K06']);
    const beside = await importTexts({ 'K07/all.zip': packed, 'K07/late.csv': 'time,event\n2031-03-04 08:00:15,arms tucked\n' });
    expect(beside.cases.map((own) => [own.caseId, own.drugs.length, own.events.length])).toEqual([['K07', 1, 1]]);
    expect((await importTexts({ 'K08/t.zip': zip({ 'trends.csv': TABLE }), 'K08/d.zip': zip({ 'drugs.csv': DRUGS }) })).cases.map((own) => [own.caseId, own.drugs.length])).toEqual([['K08', 1]]);
  });

  it('may lie in another one, and hold gzip files and workbooks; a third archive is not opened', async () => {
    const inner = zip({ 'a/trends.csv': TABLE, 'b/book': book, 'c/t.gz': new Uint8Array(zlibGzip(TABLE)) });
    const { files } = await importTexts({ 'x.zip': zip({ 'in.zip': inner, 'd/note.csv': DRUGS }) });
    expect(files.map((file) => [file.file, file.failure?.message ?? null])).toEqual([
      ['x.zip/in.zip/a/trends.csv', null],
      ['x.zip/in.zip/b/book/Trends', null],
      ['x.zip/in.zip/c/t.gz', 't.gz: This is an archive in an archive in an archive.'],
      ['x.zip/d/note.csv', null],
    ]);
    const deep = await importTexts({ 'x.zip': zip({ 'y.zip': zip({ 'z.zip': zip({ 'a.csv': TABLE }), 'b.csv': TABLE }) }) });
    expect(deep.files.map((file) => file.failure?.message.includes('an archive in an archive') ?? null)).toEqual([true, null]);
  });

  it('keeps two files of one name apart, and no name leads out of it or hides what it says', async () => {
    const twice = zip({ 'a/t.csv': TABLE, 'a/u.csv': TABLE });
    const bytes = Buffer.from(twice.map((byte) => (byte === 'u'.charCodeAt(0) ? 't'.charCodeAt(0) : byte)));
    expect((await importTexts({ 'x.zip': new Uint8Array(bytes) })).files.map((file) => file.file)).toEqual(['x.zip/a/t.csv', 'x.zip/a/t.csv (2)']);
    expect(entryPath('../../up/./a.csv')).toBe('up/a.csv');
    expect(entryPath('C:\\cases\\K01\\a.csv')).toBe('C:/cases/K01/a.csv');
    expect(entryPath('/a\u0000b\u202evsc.csv')).toBe('a\ufffdb\ufffdvsc.csv');
    expect(plainName('Trends\n\u2066x')).toBe('Trends\ufffd\ufffdx');
    expect(['__MACOSX/a', 'a/.b/c', '.DS_Store', 'a.b/c'].map(isHiddenEntry)).toEqual([true, true, true, false]);
  });

  it('decodes names by the flag, else by UTF-8 where it fits, else by code page 437', () => {
    // Source of the code page: APPNOTE.TXT 6.3.10, appendix D; 0x84 is ä, 0xE1 is ß there.
    expect(decodeEntryName(Uint8Array.of(0x84, 0xe1), false)).toBe('äß');
    expect(decodeEntryName(strToU8('äß'), false)).toBe('äß');
    expect(decodeEntryName(Uint8Array.of(0x84), true)).toBe('\ufffd');
  });
});

describe('a damaged or hostile archive ends as a message with a remedy', () => {
  const good = zip({ 'a/t.csv': TABLE });
  const two = zip({ 'a/t.csv': TABLE, 'a/u.csv': DRUGS });

  it('wherever it is cut off', async () => {
    for (let length = 4; length < good.length; length += 1) {
      const { report, outcome } = await importText(good.subarray(0, length));
      expect(report.failure?.message).toContain('cut off');
      expect(report.failure?.remedy).toBeTruthy();
      expect(outcome.cases).toEqual([]);
    }
  });

  it.each([
    ['protected by a password', patched(good, 8, 1), 'password'],
    ['packed in an unusual way', patched(good, 10, 14), 'LZMA'],
    ['a checksum that does not fit', patched(good, 16, 1, 4), 'damaged'],
    ['a size that is too small', patched(good, 24, 5, 4), 'damaged'],
    ['a size that is too large', patched(good, 24, 500, 4), 'damaged'],
    ['an entry beyond the end', patched(good, 42, 9000, 4), 'outside'],
    ['an entry that lies elsewhere', patched(good, 42, 1, 4), 'does not lie where'],
    ['two entries in one place', (() => {
      const out = two.slice();
      const second = Buffer.from(out).lastIndexOf(Buffer.from([0x50, 0x4b, 1, 2]));
      new DataView(out.buffer).setUint32(second + 42, 0, true);
      return out;
    })(), 'same place'],
    ['no file', zip({ 'a/.hidden': 'x' }), 'no file'],
  ])('%s', async (_, bytes, message) => {
    const { report, outcome } = await importText(bytes);
    expect(outcome.cases).toEqual([]);
    expect(report.failure?.message).toContain(message);
    expect(report.failure?.remedy).toBeTruthy();
  });

  it('too many files', async () => {
    const many = zip(Object.fromEntries(Array.from({ length: MAX_FILES + 1 }, (_, i) => [`a/${i}`, 'x'])));
    expect((await importText(many)).report.failure?.message).toContain(`more than ${MAX_FILES} files`);
  });

  it('a file that swells beyond measure is given up before its end, whatever size it states', async () => {
    const zeros = new Uint8Array(FREE_BYTES * 2);
    const honest = zipSync({ 'a/bomb.csv': zeros }, { level: 9 });
    expect((await importText(honest)).report.failure?.message).toContain('times as large as the file');
    const lying = await importText(patched(honest, 24, 1000, 4));
    expect(lying.report.failure?.message).toContain('damaged');
    expect((await importText(new Uint8Array(zlibGzip(zeros)))).report.failure?.message).toContain('times as large as the file');
  });

  it('archives that swell one inside the other are given up too', async () => {
    const zeros = new Uint8Array(FREE_BYTES / 4);
    const inner = zip(Object.fromEntries(Array.from({ length: 8 }, (_, i) => [`${i}.csv`, zeros])));
    const { files } = await importTexts({ 'x.zip': zip({ 'a.zip': inner }) });
    expect(files.some((file) => file.failure?.message.includes('times as large as the file'))).toBe(true);
    expect(files.every((file) => file.failure !== null)).toBe(true);
  });

  it('costs only the file concerned: the others in the archive and beside it come in', async () => {
    const bad = patched(two, 16, 1, 4);
    const { files, cases } = await importTexts({ 'x.zip': bad, 'b/t.csv': TABLE });
    expect(files.map((file) => file.failure === null)).toEqual([false, true, true]);
    expect(cases.map((own) => own.caseId)).toEqual(['a', 'b']);
  });

  it('is not told from its name', async () => {
    expect((await importText(TABLE, {}, 'a/x.xlsx')).report).toMatchObject({ failure: null, rows_read: 3 });
    expect((await importText(good, {}, 'a/x.csv')).report).toMatchObject({ file: 'a/x.csv/a/t.csv', rows_read: 3 });
    expect((await importText(book, {}, 'a/x.txt')).report).toMatchObject({ file: 'a/x.txt/Trends', rows_read: 2 });
  });
});

describe('the checksum', () => {
  it('is that of RFC 1952, over pieces as over the whole', () => {
    // Source: the check value of CRC-32 in the published catalogues of CRC algorithms, "123456789" → CBF43926 (from memory).
    const bytes = strToU8('123456789');
    expect(crc32(bytes)).toBe(0xcbf43926);
    expect(crc32(bytes.subarray(4), crc32(bytes.subarray(0, 4)))).toBe(0xcbf43926);
    const packed = zlibGzip(TABLE);
    expect(crc32(strToU8(TABLE))).toBe(packed.readUInt32LE(packed.length - 8));
  });
});
