import { strFromU8, strToU8, zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { importText, importTexts, valuesOf, secondsOf } from '../../../../builders/import-text.ts';
import { serialOf, workbookBytes, workbookParts, type SheetCell, type SheetSpec } from '../../../../builders/workbook-bytes.ts';

const at = (second: number): SheetCell => ({ serial: serialOf(`2031-03-04T08:00:${String(second).padStart(2, '0')}`), as: 'dateTime' });
const HEAD: readonly SheetCell[] = ['Time', 'SpO2', 'HR'];
const trends = (name = 'Trends', over: Partial<SheetSpec> = {}): SheetSpec => ({ name, rows: [HEAD, [at(0), 97, 60], [at(10), 96, 61], [at(20), 95, 62]], ...over });

const read = (sheets: readonly SheetSpec[], options = {}): ReturnType<typeof importText> => importText(workbookBytes(sheets, options), {}, 'case-a/export.dat');

/** Returns a workbook of one sheet of trends with one part changed by hand. */
function changed(part: string, change: (text: string) => string): Uint8Array {
  const parts = workbookParts([trends()]);
  return zipSync({ ...parts, [part]: strToU8(change(strFromU8(parts[part]!))) });
}

describe('a workbook', () => {
  it('is found by its content and read like a text table, lines being the rows of the sheet', async () => {
    const { report, record, channel } = await read([trends()]);
    expect(report).toMatchObject({ file: 'case-a/export.dat/Trends', kind: 'trends', encoding: 'xlsx', layout: 'wide', rows_read: 3, rows_accepted: 3, failure: null });
    expect(record.caseId).toBe('case-a');
    expect(record.origin.epochMs).toBe(Date.UTC(2031, 2, 4, 8));
    expect(valuesOf(channel('spo2'))).toEqual([97, 96, 95]);
    expect(secondsOf(channel('spo2'))).toEqual([0, 10, 20]);
    expect([...channel('spo2').line]).toEqual([2, 3, 4]);
  });

  it('names the workbook, its size and digest beside the sheet’s own', async () => {
    const bytes = workbookBytes([trends()]);
    const { report } = await importText(bytes, {}, 'case-a/export.dat');
    expect(report.container).toMatchObject({ file: 'case-a/export.dat', byte_length: bytes.length });
    expect(report.container?.sha256).not.toBe(report.sha256);
  });

  it('keeps row numbers over rows that are left out, and says which row was rejected', async () => {
    const { report, outcome } = await read([{ name: 'T', rows: [['Ward export'], null, null, HEAD, [at(0), 97, 60], null, ['soon', 96, 61], [at(20), 95, 62]] }]);
    expect(report.notes).toContain('Headings: line 4.');
    expect(report.rejected).toEqual([{ reason: 'time not readable', count: 1, first_line: 7 }]);
    expect(outcome.rejectedRows).toMatchObject([{ file: 'case-a/export.dat/T', line: 7 }]);
  });

  it('reads texts where they stand in the sheet, and elements with a namespace prefix', async () => {
    const rows: SheetCell[][] = [[{ inline: 'Time' }, { inline: 'SpO2' }], [at(0), 97], [at(10), { inline: '96' }]];
    const { channel } = await read([{ name: 'T', rows }], { prefix: 'x' });
    expect(valuesOf(channel('spo2'))).toEqual([97, 96]);
  });

  it('joins the runs of a rich text, leaves reading aids out, and decodes what XML cannot hold', async () => {
    const bytes = changed('xl/sharedStrings.xml', (text) => text.replace('<si><t xml:space="preserve">SpO2</t></si>', '<si><r><t>Sp</t></r><r><t>O2</t></r><rPh sb="0" eb="1"><t>HR</t></rPh></si>').replace('>HR<', '>HR_x000D_<'));
    const { report } = await importText(bytes);
    expect(report.columns.map((column) => column.heading)).toEqual(['Time', 'SpO2', 'HR']);
  });

  it('reads dates of the 1904 system', async () => {
    const rows: SheetCell[][] = [[...HEAD], [{ serial: serialOf('2031-03-04T08:00:00', true), as: 'dateTime' }, 97, 60], [{ serial: serialOf('2031-03-04T08:00:10', true), as: 'ownDateTime' }, 96, 61]];
    const { record, channel } = await read([{ name: 'T', rows }], { is1904: true });
    expect(record.origin.epochMs).toBe(Date.UTC(2031, 2, 4, 8));
    expect(secondsOf(channel('spo2'))).toEqual([0, 10]);
  });

  it('reads date and clock time in two columns, and clock times alone over midnight', async () => {
    const day = { serial: serialOf('2031-03-04T00:00:00'), as: 'date' } as const;
    const clock = (hour: number): SheetCell => ({ serial: hour / 24, as: 'time' });
    const two = await read([{ name: 'T', rows: [['Date', 'Time', 'SpO2'], [day, clock(8), 97], [day, clock(9), 96]] }]);
    expect(two.record.origin.epochMs).toBe(Date.UTC(2031, 2, 4, 8));
    const night = await read([{ name: 'T', rows: [['Time', 'SpO2'], [clock(23), 97], [clock(24), 96], [clock(25), 95]] }]);
    expect(night.record.origin.clock).toBe('time of day');
    expect(secondsOf(night.channel('spo2'))).toEqual([0, 3600, 7200]);
  });

  it('reads percent as it is shown, exactly, and says so', async () => {
    const percent = (value: number): SheetCell => ({ serial: value, as: 'percent' });
    const { report, channel } = await read([{ name: 'T', rows: [['Time', 'SpO2', 'PI'], [at(0), percent(0.57), { serial: 0.015, as: 'ownPercent' }], [at(10), percent(0.97), { serial: 0.02, as: 'ownPercent' }]] }]);
    expect(valuesOf(channel('spo2'))).toEqual([57, 97]);
    expect(valuesOf(channel('perfusion-index'))).toEqual([1.5, 2]);
    expect(report.notes).toContain('4 cells are formatted as percent and read as shown: 0.97 as 97 (column B, C).');
    expect(report.guesses.map((guess) => guess.field)).not.toContain('columns.SpO2');
  });

  it('reads the value stored with a formula, and says where none is', async () => {
    const rows: SheetCell[][] = [[...HEAD], [at(0), { formula: 'B9', value: 97 }, 60], [at(10), { formula: 'B10' }, 61], [at(20), { formula: 'IF(1,"95","")', value: '95' }, 62]];
    const { report, channel } = await read([{ name: 'T', rows }]);
    expect(valuesOf(channel('spo2'))).toEqual([97, null, 95]);
    expect(report.notes).toContain('2 cells are formulas; the values stored with them were read, nothing was computed.');
    expect(report.notes.find((note) => note.startsWith('1 formula has no stored value (first: row 3), read as empty.'))).toBeDefined();
  });

  it('takes error cells and booleans for no value, and counts the errors', async () => {
    const { report, channel } = await read([{ name: 'T', rows: [[...HEAD], [at(0), { error: '#DIV/0!' }, 60], [at(10), { error: '#N/A' }, 61], [at(20), 95, true]] }]);
    expect(valuesOf(channel('spo2'))).toEqual([null, null, 95]);
    expect(report.notes).toContain('2 cells hold an error such as #N/A instead of a value (first: row 2).');
  });

  it('reads hidden sheets and says so; empty sheets are no failure', async () => {
    const { outcome } = await read([trends(), { name: 'Old', state: 'veryHidden', rows: [['x']] }, { name: 'Sheet3', rows: [] }]);
    expect(outcome.files.map((file) => file.file)).toEqual(['case-a/export.dat/Trends', 'case-a/export.dat/Old', 'case-a/export.dat/Sheet3']);
    expect(outcome.files[1]?.notes[0]).toBe('The sheet is hidden in the workbook; it was read all the same.');
    expect(outcome.files[1]?.failure).not.toBeNull();
    expect(outcome.files[2]).toMatchObject({ notes: ['The sheet is empty.'], failure: null, rows_read: 0 });
  });

  it('keeps text whole that holds delimiters, quote marks and line breaks', async () => {
    const rows: SheetCell[][] = [['Time', 'Event'], [at(0), '"arms tucked", left; right'], [at(10), 'head down\nsteep\t30°'], [at(20), 'plain | text']];
    const { record, report } = await read([{ name: 'Events', rows }]);
    expect(record.events.map((event) => event.text)).toEqual(['"arms tucked", left; right', 'head down steep 30°', 'plain | text']);
    expect(report.notes).toContain('Line breaks or tabs in 1 cell were read as blanks.');
  });

  it('obeys a mapping, whatever it says of delimiters', async () => {
    const mapping = { schema: 'lacuna-mapping/1', name: 'm', files: [{ match: { fileName: '*/T' }, reading: { delimiter: ';', encoding: 'utf-16le', columns: { Wert: { quantity: 'spo2', site: 'finger' } } } }] } as const;
    const { channel } = await importText(workbookBytes([{ name: 'T', rows: [['Time', 'Wert'], [at(0), 97], [at(10), 96]] }]), { mapping });
    expect(valuesOf(channel('spo2', 'finger'))).toEqual([97, 96]);
  });
});

describe('the case to which sheets belong', () => {
  const drugs: SheetSpec = { name: 'Drugs', rows: [['Time', 'Drug', 'Dose', 'Unit'], [at(5), 'phenylephrine', 100, 'mcg']] };

  it('is one case with all sheets of a workbook', async () => {
    const { cases } = await importTexts({ 'x/K01.xlsx': workbookBytes([trends(), drugs]) });
    expect(cases.map((own) => [own.caseId, own.channels.length, own.drugs.length])).toEqual([['K01', 2, 1]]);
  });

  it('is each workbook’s own where a folder holds several', async () => {
    const { cases } = await importTexts({ 'x/K01.xlsx': workbookBytes([trends(), drugs]), 'x/K02.xlsx': workbookBytes([trends(), drugs]) });
    expect(cases.map((own) => own.caseId)).toEqual(['K01', 'K02']);
  });

  it('is that of the folder where one workbook lies beside other files of the case', async () => {
    const text = 'time,drug,dose,unit\n2031-03-04 08:00:12,ephedrine,6,mg\n';
    const { cases } = await importTexts({ 'K07/all.xlsx': workbookBytes([trends(), drugs]), 'K07/late.csv': text });
    expect(cases.map((own) => [own.caseId, own.drugs.length])).toEqual([['K07', 2]]);
  });
});

describe('a damaged or foreign workbook ends as a message with a remedy', () => {
  const parts = workbookParts([trends()]);
  const without = (name: string): Uint8Array => zipSync(Object.fromEntries(Object.entries(parts).filter(([own]) => own !== name)));
  const row = (inner: string) => (text: string) => text.replace('</sheetData>', `${inner}</sheetData>`);
  const sheet = 'xl/worksheets/sheet1.xml';
  it.each([
    ['a missing sheet', without(sheet), 'is missing'],
    ['a missing list of sheets', without('xl/workbook.xml'), 'is missing'],
    ['no main part', changed('_rels/.rels', (text) => text.replace('officeDocument"', 'other"')), 'does not say where its sheets are'],
    ['a text document', changed('xl/workbook.xml', () => '<document/>'), 'no workbook'],
    ['a binary workbook', changed('_rels/.rels', (text) => text.replace('workbook.xml', 'workbook.bin')), 'binary workbook'],
    ['XML that ends too early', changed(sheet, (text) => text.slice(0, -40)), 'no well-formed XML'],
    ['XML that is none', changed(sheet, () => 'time,SpO2\n1,2\n'), 'no well-formed XML'],
    ['bytes that are no UTF-8', zipSync({ ...parts, [sheet]: Uint8Array.of(60, 97, 62, 0xc3, 0x28) }), 'no well-formed XML'],
    ['a document type with entities', changed(sheet, (text) => text.replace('<worksheet', '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;">]><worksheet').replace('</sheetData>', '<row r="9"><c t="str"><v>&b;</v></c></row></sheetData>')), 'no well-formed XML'],
    ['an unknown entity', changed(sheet, row('<row r="9"><c t="str"><v>&b;</v></c></row>')), 'no well-formed XML'],
    ['deep XML', changed(sheet, row('<a>'.repeat(5000) + '</a>'.repeat(5000))), 'no well-formed XML'],
    ['a token without end', changed(sheet, row(`<row r="9"><c t="str"><v>${'x'.repeat(3 << 20)}</v></c></row>`)), 'no well-formed XML'],
    ['text in many pieces that is too long for a cell', changed(sheet, row(`<row r="9"><c t="str"><v>${`${'x'.repeat(30_000)}<b/>`.repeat(60)}</v></c></row>`)), 'too long'],
    ['rows out of order', changed(sheet, row('<row r="2"></row>')), 'rows are not in order'],
    ['a row inside a cell', changed(sheet, row('<row r="9"><c r="A9"><row r="10"/><v>1</v></c></row>')), 'inside another'],
    ['a cell inside a cell', changed(sheet, row('<row r="9"><c r="A9"><c r="B9"/></c></row>')), 'in no row'],
    ['a cell outside of rows', changed(sheet, row('<c r="A9"><v>1</v></c>')), 'in no row'],
    ['a row beyond the last', changed(sheet, row('<row r="99999999"></row>')), 'rows are not in order'],
    ['cells out of order', changed(sheet, row('<row r="9"><c r="B9"><v>1</v></c><c r="A9"><v>1</v></c></row>')), 'not in order'],
    ['a column beyond the last', changed(sheet, row('<row r="9"><c r="ZZZZ9"><v>1</v></c></row>')), 'not in order'],
    ['a text that is not there', changed(sheet, row('<row r="9"><c r="A9" t="s"><v>4711</v></c></row>')), 'a text that is not there'],
    ['no sheets', changed('xl/workbook.xml', (text) => text.replace(/<sheet [^>]*>/, '')), 'has no sheet'],
    ['an OpenDocument file', zipSync({ mimetype: strToU8('application/vnd.oasis.opendocument.spreadsheet'), 'content.xml': strToU8('<x/>'), 'META-INF/manifest.xml': strToU8('<x/>') }), 'OpenDocument'],
  ])('%s', async (_, bytes, message) => {
    const { report, outcome } = await importText(bytes);
    expect(outcome.cases).toEqual([]);
    expect(report.failure?.message).toContain(message);
    expect(report.failure?.remedy).toBeTruthy();
  });

  it('names the row to which it came', async () => {
    const { report } = await importText(changed(sheet, row('<row r="9"><c r="A9" t="s"><v>4711</v></c></row>')));
    expect(report.failure?.line).toBe(9);
  });

  it('costs its own sheet only', async () => {
    const two = workbookParts([trends('Good'), trends('Bad')]);
    const { files, cases } = await importTexts({ 'a/b.xlsx': zipSync({ ...two, 'xl/worksheets/sheet2.xml': strToU8('<worksheet>') }) });
    expect(files.map((file) => file.failure === null)).toEqual([true, false]);
    expect(cases).toHaveLength(1);
  });

  it('a few cells far to the right do not fill the memory', async () => {
    const wide = Array.from({ length: 20_000 }, (_, i) => `<row r="${i + 9}"><c r="XFD${i + 9}"><v>1</v></c></row>`).join('');
    const { report } = await importText(changed(sheet, row(wide)));
    expect(report.failure?.message).toMatch(/times as large as the file|could be used/);
  });
});
