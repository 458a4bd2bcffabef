import { gzipSync, zipSync } from 'fflate';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { importFiles } from '../../../../core/pipeline/import-files.ts';
import { previewFile } from '../../../../core/pipeline/preview-file.ts';
import type { FilePreview, PreviewOutcome } from '../../../../core/model/file-preview.ts';
import { filePreviewSchema } from '../../../../core/model/file-preview-schema.ts';
import type { ReadingRules } from '../../../../core/model/mapping.ts';
import { readFile } from '../../../../core/readers/read-file.ts';
import { oruMessage } from '../../../builders/hl7v2.ts';
import { folderSources, memorySource, plainImport } from '../../../builders/byte-source.ts';

const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);

async function preview(body: string | Uint8Array, rules: ReadingRules = {}, file = 'case-a/table.csv', of = file): Promise<FilePreview> {
  const found = await previewFile(memorySource(of, typeof body === 'string' ? bytesOf(body) : body), { file, zone: null, rules, atLine: null }, plainImport().pseudonymOf);
  // What the host sends must pass the schema that the page holds it against.
  return filePreviewSchema.parse(JSON.parse(JSON.stringify(found)));
}

const becomes = (shown: FilePreview, line: number): readonly PreviewOutcome[] => shown.rows.find((row) => row.line === line)?.becomes ?? [];
const column = (shown: FilePreview, heading: string) => shown.columns.find((own) => own.heading === heading)!;

describe('a table that is understood', () => {
  const TABLE = ['Time;SpO2 ear;Artefact;HR;Bed', '23.04.2031 08:00:00;97;;71;4', '23.04.2031 08:00:01;;;72;4', '23.04.2031 08:00:02;127;1;73;4', '23.04.2031 25:00:03;96;;73;4', '23.04.2031 08:00:04;95;1;74;4'].join('\n');

  test('shows each row beside what it becomes, with its line', async () => {
    const shown = await preview(TABLE);
    expect(shown.rows.map(({ line, part }) => [line, part])).toEqual([[1, 'headings'], [2, 'row'], [3, 'row'], [4, 'row'], [5, 'row'], [6, 'row']]);
    expect(shown.rows[1]!.cells).toEqual(['23.04.2031 08:00:00', '97', '', '71', '4']);
    expect(shown.rows[1]!.timeMs).toBe(Date.UTC(2031, 3, 23, 8));
    expect(becomes(shown, 2)).toContainEqual({ kind: 'value', column: 1, quantity: 'spo2', site: 'ear lobe', sensor: '', unit: '%', value: 97, isFlagged: false, isConverted: false });
    expect(becomes(shown, 3)).toContainEqual({ kind: 'missing', column: 1, quantity: 'spo2', site: 'ear lobe', sensor: '', why: 'empty', isFlagged: false });
    expect(becomes(shown, 4)).toContainEqual({ kind: 'missing', column: 1, quantity: 'spo2', site: 'ear lobe', sensor: '', why: 'filler', isFlagged: true });
    expect(becomes(shown, 5)).toEqual([{ kind: 'rejected', reason: 'time not readable' }]);
    expect(becomes(shown, 6)).toContainEqual({ kind: 'value', column: 1, quantity: 'spo2', site: 'ear lobe', sensor: '', unit: '%', value: 95, isFlagged: true, isConverted: false });
    expect([shown.rowsRead, shown.rowsAccepted, shown.rowsRejected, shown.isWhole]).toEqual([5, 4, 1, true]);
  });

  test('says of each column what it is, how sure that is, and what stands in it', async () => {
    const shown = await preview(TABLE);
    expect(column(shown, 'SpO2 ear')).toMatchObject({ index: 1, role: 'value', quantity: 'spo2', site: 'ear lobe', unit: '%', certainty: 'known', isWithheld: false });
    expect(column(shown, 'Time')).toMatchObject({ role: 'time', readAs: 'time' });
    expect(column(shown, 'Bed')).toMatchObject({ certainty: 'unknown', examples: ['4'] });
    expect(shown).toMatchObject({ layout: 'wide', kind: 'trends', encoding: 'utf-8', delimiter: ';', timeForm: 'timestamp', dateOrder: 'dmy', clock: 'absolute', failure: null });
  });

  test('shows fewer rows of a very wide table, and all hundred of an ordinary one', async () => {
    const table = (columns: number): string => ['Time', 'SpO2', ...Array.from({ length: columns - 2 }, (_, i) => `K${i}`)].join(';') + Array.from({ length: 200 }, (_, i) => `\n23.04.2031 08:0${Math.floor(i / 60)}:${String(i % 60).padStart(2, '0')};97${';1'.repeat(columns - 2)}`).join('');
    expect((await preview(table(20))).rows).toHaveLength(100);
    expect((await preview(table(200))).rows).toHaveLength(40);
  });

  test('follows the rules at once: another quantity, a site, a column left out', async () => {
    const shown = await preview(TABLE, { columns: { 'HR': { quantity: 'pulse-rate', site: 'toe' }, 'SpO2 ear': { role: 'ignore' } } });
    expect(becomes(shown, 2)).toEqual([{ kind: 'value', column: 3, quantity: 'pulse-rate', site: 'toe', sensor: '', unit: '/min', value: 71, isFlagged: false, isConverted: false }]);
    expect(column(shown, 'HR')).toMatchObject({ certainty: 'stated', quantity: 'pulse-rate', site: 'toe' });
  });

  test('adds the clock offset and reads in the zone that are stated', async () => {
    const shown = await preview(TABLE, { clockOffsetS: 90, zone: 'Europe/Berlin' });
    expect(shown.zone).toEqual({ name: 'Europe/Berlin', basis: 'stated' });
    expect(shown.rows[1]!.timeMs).toBe(Date.UTC(2031, 3, 23, 6, 1, 30)); // summer time is two hours before UTC; 90 s on top
  });

  test('reads dates the other way round when told to', async () => {
    const text = ['Time,SpO2', '03/04/2031 08:00:00,97', '03/04/2031 08:00:01,97'].join('\n');
    expect((await preview(text)).rows[1]!.timeMs).toBe(Date.UTC(2031, 3, 3, 8));
    expect((await preview(text, { dateOrder: 'mdy' })).rows[1]!.timeMs).toBe(Date.UTC(2031, 2, 4, 8));
  });

  test('keeps the cells of columns that name persons to itself', async () => {
    const shown = await preview(['Time,Patient name,SpO2', '2031-04-23 08:00:00,Ada Bell,97', '2031-04-23 08:00:01,Ada Bell,98'].join('\n'));
    expect(column(shown, 'Patient name')).toMatchObject({ isWithheld: true, examples: [] });
    expect(shown.rows[1]!.cells).toEqual(['2031-04-23 08:00:00', null, '97']);
    expect(JSON.stringify(shown)).not.toContain('Ada Bell');
  });
});

describe('a table that is not understood', () => {
  const TABLE = ['Stunde,Kanal 7,Kanal 8', '08:00:00,97,71', '08:00:10,96,72', '08:00:20,,73', '08:00:30,95,74'].join('\n');

  test('is shown as it stands, with columns to be settled, and is understood once one of them is', async () => {
    const before = await preview(TABLE);
    expect(before.failure?.message).toContain('no column that this program knows');
    expect(before.columns.map(({ heading, certainty }) => [heading, certainty])).toEqual([['Stunde', 'unknown'], ['Kanal 7', 'unknown'], ['Kanal 8', 'unknown']]);
    expect(before.headings).toEqual(['Stunde', 'Kanal 7', 'Kanal 8']);
    expect(before.rows[1]!.cells).toEqual(['08:00:00', '97', '71']);
    const after = await preview(TABLE, { columns: { 'Kanal 7': { quantity: 'spo2', site: 'ear lobe' } } });
    expect(after.failure).toBeNull();
    expect(becomes(after, 2)).toContainEqual(expect.objectContaining({ kind: 'value', quantity: 'spo2', site: 'ear lobe', value: 97 }));
    expect(after.rows[1]!.timeMs).toBe(8 * 3_600_000);
  });

  test('keeps the cells of columns that name persons to itself all the same', async () => {
    const text = ['Patient name;Kanal 7', 'Ada Bell;97', 'Ada Bell;96', 'Ada Bell;95'].join('\n');
    const shown = await preview(text);
    expect(shown.failure).not.toBeNull();
    expect(column(shown, 'Patient name')).toMatchObject({ isWithheld: true, examples: [] });
    expect(JSON.stringify(shown)).not.toContain('Ada Bell');
    expect(JSON.stringify(await preview(text, { columns: { 'Patient name': { identifier: 'keep' } } }))).toContain('Ada Bell');
  });

  test('without headings has its columns numbered', async () => {
    const shown = await preview(['2031-04-23 08:00:00,97,71', '2031-04-23 08:00:10,96,72', '2031-04-23 08:00:20,95,73'].join('\n'));
    expect(shown.failure?.message).toContain('No headings');
    expect(shown.columns.map(({ heading }) => heading)).toEqual(['column 1', 'column 2', 'column 3']);
    const after = await preview(['2031-04-23 08:00:00,97,71', '2031-04-23 08:00:10,96,72', '2031-04-23 08:00:20,95,73'].join('\n'), { columns: { 'column 2': { quantity: 'spo2' } } });
    expect(becomes(after, 1)).toContainEqual(expect.objectContaining({ kind: 'value', quantity: 'spo2', value: 97 }));
  });

  test('that is no text says so', async () => {
    const shown = await preview(new Uint8Array([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 13]));
    expect(shown.failure?.message).toContain('a picture');
    expect(shown.rows).toEqual([]);
  });
});

describe('other kinds of tables', () => {
  test('drugs and events: what each row becomes, and the words nobody knows', async () => {
    const shown = await preview(['time,note', '2031-04-23 08:00:00,phenylephrine 100 mcg IV', '2031-04-23 08:01:00,left arm tucked', '2031-04-23 08:02:00,zorblaxin 5 mg', '2031-04-23 08:03:00,radio on'].join('\n'));
    expect(becomes(shown, 2)).toEqual([expect.objectContaining({ kind: 'drug', inn: 'phenylephrine', amount: 100, unit: 'ug', route: 'iv', form: 'bolus', isVasopressor: true })]);
    expect(becomes(shown, 3)).toEqual([expect.objectContaining({ kind: 'event', event: 'position', term: 'arms tucked', phase: 'start' })]);
    expect(becomes(shown, 5)).toEqual([expect.objectContaining({ kind: 'event', event: 'note', text: 'radio on' })]);
    expect(shown.unknownPhrases).toEqual(expect.arrayContaining([{ text: 'radio on', kind: 'event', count: 1, firstLine: 5 }, { text: 'zorblaxin', kind: 'drug', count: 1, firstLine: 4 }]));
  });

  test('a phrase that is explained becomes what was said', async () => {
    const shown = await preview(['time,note', '2031-04-23 08:02:00,zorblaxin 5 mg', '2031-04-23 08:03:00,OP table down'].join('\n'), {
      phrases: { 'zorblaxin': { means: 'drug', inn: 'norepinephrine' }, 'OP table down': { means: 'event', kind: 'position', term: 'head down' } },
    });
    expect(becomes(shown, 2)).toEqual([expect.objectContaining({ kind: 'drug', inn: 'norepinephrine', isVasopressor: true, amount: 5, unit: 'mg' })]);
    expect(becomes(shown, 3)).toEqual([expect.objectContaining({ kind: 'event', event: 'position', term: 'head down', phase: 'start' })]);
    expect(shown.unknownPhrases).toEqual([]);
  });

  test('a long table: names are settled like columns', async () => {
    const text = ['time,name,value,unit', '2031-04-23 08:00:00,SpO2,97,%', '2031-04-23 08:00:00,Pleth Kanal B,96,', '2031-04-23 08:00:10,SpO2,96,%', '2031-04-23 08:00:10,Pleth Kanal B,95,'].join('\n');
    const shown = await preview(text);
    expect(column(shown, 'Pleth Kanal B')).toMatchObject({ index: -1, certainty: 'unknown' });
    const after = await preview(text, { columns: { 'Pleth Kanal B': { quantity: 'spo2', site: 'nasal ala' } } });
    expect(becomes(after, 3)).toEqual([expect.objectContaining({ kind: 'value', column: -1, quantity: 'spo2', site: 'nasal ala', value: 96 })]);
    expect(column(after, 'Pleth Kanal B')).toMatchObject({ certainty: 'stated', quantity: 'spo2', site: 'nasal ala' });
  });

  test('a case list: rows are facts of cases', async () => {
    const shown = await preview(['case,service,ASA', 'a1,ortho,2', 'a2,gynae,3'].join('\n'));
    expect(becomes(shown, 2)).toEqual([{ kind: 'facts' }]);
  });
});

describe('containers', () => {
  const INNER = ['Time,SpO2', '2031-04-23 08:00:00,97', '2031-04-23 08:00:01,98'].join('\n');

  test('a part of an archive is named as the report names it; the others are passed by', async () => {
    const zip = zipSync({ 'one/trends.csv': bytesOf(INNER), 'one/other.csv': bytesOf('Time,HR\n2031-04-23 08:00:00,70\n') });
    const shown = await preview(zip, {}, 'all.zip/one/trends.csv', 'all.zip');
    expect(shown.file).toBe('all.zip/one/trends.csv');
    expect(becomes(shown, 2)).toEqual([expect.objectContaining({ kind: 'value', quantity: 'spo2', value: 97 })]);
    expect((await preview(zip, {}, 'all.zip/none.csv', 'all.zip')).failure?.message).toContain('no longer there');
  });

  test('a gzip file is looked into', async () => {
    const shown = await preview(gzipSync(bytesOf(INNER)), {}, 'trends.csv.gz');
    expect(becomes(shown, 3)).toEqual([expect.objectContaining({ kind: 'value', value: 98 })]);
  });
});

describe('files without cells', () => {
  const at = (second: number): string => `2031030408000${second}+0000`;
  const obx = (second: number, value: number): string => `OBX|1|NM|150456^MDC_PULS_OXIM_SAT_O2^MDC|1.1.1.1|${value}|262688^MDC_DIM_PERCENT^MDC|||||F|||${at(second)}`;

  test('results of HL7 v2: each segment beside its value, and nothing of the patient', async () => {
    const shown = await preview(oruMessage([obx(0, 97), obx(1, 96)]), {}, 'case-a/results.hl7');
    expect(shown.layout).toBe('hl7 v2');
    const values = shown.rows.filter((row) => row.becomes.some((outcome) => outcome.kind === 'value'));
    expect(values.map((row) => [row.cells[0]!.slice(0, 6), row.timeMs])).toEqual([['OBX|1|', Date.UTC(2031, 2, 4, 8)], ['OBX|1|', Date.UTC(2031, 2, 4, 8, 0, 1)]]);
    expect(JSON.stringify(shown)).not.toContain('NotToBeKept');
    expect(JSON.stringify(shown)).not.toContain('Not-To-Be-Kept');
    const [name] = shown.columns;
    const toe = await preview(oruMessage([obx(0, 97), obx(1, 96)]), { columns: { [name!.key]: { site: 'toe' } } }, 'case-a/results.hl7');
    expect(toe.columns[0]).toMatchObject({ certainty: 'stated', site: 'toe' });
  });

  test('resources of FHIR: what each becomes, and none of their text', async () => {
    const resource = (second: number, value: number): string => JSON.stringify({
      resourceType: 'Observation', status: 'final', subject: { display: 'Ada Bell' }, code: { coding: [{ system: 'http://loinc.org', code: '59408-5' }] },
      effectiveDateTime: `2031-03-04T08:00:0${second}Z`, valueQuantity: { value, unit: '%', system: 'http://unitsofmeasure.org', code: '%' },
    });
    const shown = await preview([resource(0, 97), resource(1, 96)].join('\n'), {}, 'case-a/observations.ndjson');
    expect(shown.rows.map((row) => [row.line, row.timeMs, row.becomes.map((outcome) => (outcome.kind === 'value' ? outcome.value : outcome.kind))])).toEqual([[1, Date.UTC(2031, 2, 4, 8), [97]], [2, Date.UTC(2031, 2, 4, 8, 0, 1), [96]]]);
    expect(JSON.stringify(shown)).not.toContain('Ada Bell');
  });
});

describe('the sample cases and the carriers of the fixtures', () => {
  const folders = ['../../../../sample-cases/cases', '../../../fixtures/carriers'].map((path) => fileURLToPath(new URL(path, import.meta.url)));
  const sources = folders.flatMap((folder) => folderSources(folder)).filter((source) => !source.relativePath.endsWith('.md'));

  test('every file and part that is read to its end for a preview has the rows, columns and guesses of its reading', async () => {
    let compared = 0;
    for (const source of sources) {
      for (const { report, rejectedRows } of await readFile(source, plainImport())) {
        const shown = await previewFile(source, { file: report.file, zone: null, rules: {}, atLine: null }, plainImport().pseudonymOf);
        filePreviewSchema.parse(shown);
        expect(shown.file).toBe(report.file);
        expect(shown.columns.map(({ readAs }) => readAs), report.file).toHaveLength(report.columns.length);
        if (!shown.isWhole) continue;
        compared += 1;
        expect([shown.rowsRead, shown.rowsAccepted, shown.rowsRejected], report.file).toEqual([report.rows_read, report.rows_accepted, report.rows_rejected]);
        expect(shown.columns.map(({ readAs }) => readAs), report.file).toEqual(report.columns.map(({ readAs }) => readAs));
        expect(shown.guesses, report.file).toEqual(report.guesses);
        const reasons = new Map(rejectedRows.map(({ line, reason }) => [line, reason]));
        for (const row of shown.rows) for (const outcome of row.becomes) if (outcome.kind === 'rejected') expect(reasons.get(row.line), `${report.file}:${row.line}`).toBe(outcome.reason);
      }
    }
    expect(compared).toBeGreaterThan(30);
  }, 120_000);
});

describe('a large file', () => {
  const rows = Array.from({ length: 60_000 }, (_, i) => `2031-04-23 ${String(8 + Math.floor(i / 3600)).padStart(2, '0')}:${String(Math.floor(i / 60) % 60).padStart(2, '0')}:${String(i % 60).padStart(2, '0')},${i === 2000 ? '---' : 97},${60 + (i % 30)}`);
  const bytes = bytesOf(['Time,SpO2,HR', ...rows].join('\n'));

  test('is read at its head only, and further rows worth a look follow the first', async () => {
    let taken = 0;
    const source = memorySource('x/large.csv', bytes);
    const counted = { ...source, async *open() { for await (const chunk of source.open()) { taken += chunk.length; yield chunk; } } };
    const shown = await previewFile(counted, { file: 'x/large.csv', zone: null, rules: {}, atLine: null }, plainImport().pseudonymOf);
    expect(taken).toBeLessThan(bytes.length / 2);
    expect(shown.isWhole).toBe(false);
    expect(shown.rowsRead).toBeGreaterThan(5000);
    expect(shown.rowsRejected).toBe(0);
    expect(shown.rows).toHaveLength(101);
    expect(shown.rows.at(-1)).toMatchObject({ line: 2002, becomes: expect.arrayContaining([expect.objectContaining({ kind: 'missing', why: 'filler' })]) });
  });

  test('gives the same values as the import', async () => {
    const shown = await previewFile(memorySource('x/large.csv', bytes), { file: 'x/large.csv', zone: null, rules: {}, atLine: null }, plainImport().pseudonymOf);
    const { cases } = await importFiles([memorySource('x/large.csv', bytes)], plainImport());
    const channel = cases[0]!.channels.find((own) => own.quantity === 'heart-rate')!;
    const shownValues = shown.rows.flatMap((row) => row.becomes.flatMap((outcome) => (outcome.kind === 'value' && outcome.quantity === 'heart-rate' ? [[row.line, outcome.value]] : [])));
    expect(shownValues.length).toBeGreaterThan(90);
    for (const [line, value] of shownValues) expect(channel.value[channel.line.indexOf(line!)]).toBe(value);
  });

  test.each([['\n', 'utf8'], ['\r\n', 'utf8'], ['\r', 'utf8'], ['\r\n', 'utf16le']] as const)('shows a line far down that is asked for, with its neighbours (lines end %j, %s)', async (end, encoding) => {
    const broken = [...rows];
    broken[40_000] = '2031-04-23 99:99:99,97,60';
    const text = new Uint8Array(Buffer.from(`\uFEFF${['Time,SpO2,HR', ...broken].join(end)}`, encoding));
    const line = 40_002;
    const shown = await previewFile(memorySource('x/large.csv', text, 50_001), { file: 'x/large.csv', zone: null, rules: {}, atLine: line }, plainImport().pseudonymOf);
    expect(shown.rows.slice(-41).map((row) => row.line)).toEqual(Array.from({ length: 41 }, (_, i) => line - 10 + i));
    expect(shown.rows.find((row) => row.line === line)).toMatchObject({ cells: ['2031-04-23 99:99:99', '97', '60'], becomes: [{ kind: 'rejected', reason: 'time not readable' }] });
    const after = shown.rows.find((row) => row.line === line + 1)!;
    expect(after.cells[0]).toBe(broken[40_001]!.split(',')[0]);
    expect(after.timeMs).toBe(Date.UTC(2031, 3, 23, 8) + 40_001_000);
    expect(shown.rowsRejected).toBe(1);
  });

  test('shows a line inside its head with its neighbours, and none that is not there', async () => {
    const near = await previewFile(memorySource('x/large.csv', bytes), { file: 'x/large.csv', zone: null, rules: {}, atLine: 3000 }, plainImport().pseudonymOf);
    expect(near.rows.filter((row) => row.line > 2500).map((row) => row.line)).toEqual(Array.from({ length: 41 }, (_, i) => 2990 + i));
    const none = await previewFile(memorySource('x/large.csv', bytes), { file: 'x/large.csv', zone: null, rules: {}, atLine: 90_000 }, plainImport().pseudonymOf);
    expect(none.rows.at(-1)!.line).toBe(2002);
  });

  test('in two-byte letters is cut between lines', async () => {
    const utf16 = new Uint8Array(Buffer.from(`\uFEFF${['Time,SpO2,HR', ...rows].join('\r\n')}`, 'utf16le'));
    const shown = await previewFile(memorySource('x/large.csv', utf16), { file: 'x/large.csv', zone: null, rules: {}, atLine: null }, plainImport().pseudonymOf);
    expect(shown.encoding).toBe('utf-16le');
    expect(shown.rowsRejected).toBe(0);
    expect(shown.rowsRead).toBe(shown.rowsAccepted);
  });
});
