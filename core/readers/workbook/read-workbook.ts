import { countWords } from '../../base/count-words.ts';
import type { Allowance } from '../archive/allowance.ts';
import type { ByteRange } from '../archive/byte-range.ts';
import { plainName } from '../archive/entry-name.ts';
import { BrokenContainer } from '../archive/broken-container.ts';
import { containerName, moved, placeOf } from '../archive/part.ts';
import { orRefused } from '../archive/refused.ts';
import { Meter } from '../archive/inflate.ts';
import type { ZipEntry } from '../archive/zip-directory.ts';
import { failed, readSource } from '../read-source.ts';
import type { ByteSource, ImportOptions } from '../reader.ts';
import type { FileReading } from '../reading.ts';
import { PackageParts } from './package-parts.ts';
import { SheetText, type SheetFacts } from './sheet-text.ts';
import { readWorkbookParts, type SheetPart, type WorkbookParts } from './workbook-parts.ts';

/** What is known of the text that a sheet is turned into, whatever a mapping says of the file. */
const SHEET_RULES = { encoding: 'utf-8', delimiter: 'tab' } as const;

/** Returns what kind of office document a zip archive is by its entries; null for an archive of files. */
export function officeKind(entries: readonly ZipEntry[]): 'workbook' | 'an OpenDocument file' | null {
  const names = new Set(entries.map((entry) => entry.name.toLowerCase()));
  if (names.has('[content_types].xml') && names.has('_rels/.rels')) return 'workbook';
  if (names.has('mimetype') && names.has('content.xml') && names.has('meta-inf/manifest.xml')) return 'an OpenDocument file';
  return null;
}

/**
 * Returns a reading for every sheet of a workbook. Sheets belong to the folder of the workbook; where more than one holds data,
 * they make a folder of their own.
 * Errors  throws BrokenContainer when the workbook as a whole cannot be read; a damaged sheet is a reading with `failure`.
 */
export async function readWorkbook(source: ByteSource, range: ByteRange, entries: readonly ZipEntry[], options: ImportOptions, allowance: Allowance): Promise<FileReading[]> {
  const parts = new PackageParts(range, entries, allowance);
  const book = await readWorkbookParts(parts);
  if (book.sheets.length === 0) throw new BrokenContainer('The workbook has no sheet.', 'Save it anew in a spreadsheet program, or export CSV.');
  allowance.takeFiles(book.sheets.length);
  const own = source.relativePath;
  const around = placeOf(source);
  const readings: FileReading[] = [];
  for (const [i, sheet] of book.sheets.entries()) {
    options.signal?.throwIfAborted();
    const name = plainName(sheet.name).replaceAll('/', '_').trim() || `sheet ${i + 1}`;
    readings.push(...(await readSheet(`${own}/${name}`, containerName(source), sheet, parts, book, options, allowance)));
  }
  const isAlone = readings.filter((reading) => reading.cases.length > 0).length <= 1;
  return readings.map((reading) => (isAlone ? moved(reading, own, around) : { ...reading, bundle: around }));
}

async function readSheet(relativePath: string, folderName: string, sheet: SheetPart, parts: PackageParts, book: WorkbookParts, options: ImportOptions, allowance: Allowance): Promise<FileReading[]> {
  let facts: SheetFacts | null = null;
  const { part } = sheet;
  const meter = new Meter(allowance);
  const source: ByteSource = {
    relativePath,
    folderName,
    // Known only once it is read; no more than this much can be said before.
    byteLength: Infinity,
    async *open() {
      if (part === null) return;
      const text = new SheetText(book);
      facts = text.facts;
      for await (const bytes of parts.open(part)) yield* metered(text.push(bytes), text.facts, meter);
      yield* metered(text.finish(), text.facts, meter);
    },
  };
  const notes = sheet.isHidden ? ['The sheet is hidden in the workbook; it was read all the same.'] : [];
  if (part === null) return [asSheet(failed(source, '', '', '', null, null), null, [...notes, 'The sheet holds a chart or a dialogue and no cells.'], true)];
  const readings = await orRefused(source, options, async () => [await readSource(source, options, 'scan', SHEET_RULES)]);
  return readings.map((reading) => asSheet(reading, facts, notes, false));
}

/** Hands on the rows of a sheet; a few cells far to the right can make more text than they take in the file, so it counts too. */
function* metered(rows: Iterable<Uint8Array>, facts: SheetFacts, meter: Meter): Generator<Uint8Array> {
  for (const bytes of rows) {
    meter.reach(facts.bytes);
    yield bytes;
  }
}

/** Returns a sheet's reading with what its text does not tell. */
function asSheet(reading: FileReading, facts: SheetFacts | null, notes: readonly string[], isNoTable: boolean): FileReading {
  const isEmpty = facts !== null && facts.isWhole && facts.cells === 0;
  const byteLength = facts?.bytes ?? 0;
  return {
    ...reading,
    source: { ...reading.source, byteLength },
    report: {
      ...reading.report,
      encoding: 'xlsx',
      delimiter: 'sheet columns',
      byte_length: byteLength,
      notes: [...notes, ...(isEmpty ? ['The sheet is empty.'] : []), ...(facts === null ? [] : factNotes(facts)), ...reading.report.notes],
      failure: isEmpty || isNoTable ? null : reading.report.failure,
    },
  };
}

function factNotes(facts: SheetFacts): string[] {
  const notes: string[] = [];
  const filled = facts.formulas - facts.emptyFormulas;
  if (filled > 0) notes.push(`${countWords(filled, 'cell is a formula', 'cells are formulas')}; the values stored with them were read, nothing was computed.`);
  if (facts.emptyFormulas > 0) {
    notes.push(`${countWords(facts.emptyFormulas, 'formula has', 'formulas have')} no stored value (first: row ${facts.firstEmptyFormula}), read as empty. Open the workbook in a spreadsheet program and save it, so that values are stored.`);
  }
  if (facts.errors > 0) notes.push(`${countWords(facts.errors, 'cell holds', 'cells hold')} an error such as #N/A instead of a value (first: row ${facts.firstError}).`);
  if (facts.percent > 0) notes.push(`${countWords(facts.percent, 'cell is', 'cells are')} formatted as percent and read as shown: 0.97 as 97 (column ${[...facts.percentColumns].slice(0, 8).join(', ')}).`);
  if (facts.dates > 0) notes.push(`${countWords(facts.dates, 'number is', 'numbers are')} formatted as date or time and read as such.`);
  if (facts.hiddenRows > 0) notes.push(`${countWords(facts.hiddenRows, 'row is', 'rows are')} hidden in the sheet, and read all the same.`);
  if (facts.breaks > 0) notes.push(`Line breaks or tabs in ${countWords(facts.breaks, 'cell', 'cells')} were read as blanks.`);
  return notes;
}
