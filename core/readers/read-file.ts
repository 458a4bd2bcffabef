import { shownPath } from '../identity/shown-path.ts';
import { Allowance } from './archive/allowance.ts';
import { withContainer } from './archive/part.ts';
import { chooseRules } from './choose-rules.ts';
import { firstLines, leadsTo, wholeLines, type HeadWatch } from './head-watch.ts';
import { readHead, readSource } from './read-source.ts';
import type { ByteSource, ImportOptions } from './reader.ts';
import type { FileReading } from './reading.ts';
import { carrierOf, type Inside } from './registry.ts';
import type { Shelf } from './shelf.ts';
import { withhold } from './withhold.ts';

/**
 * Returns what one file holds: one reading, or one for every file of an archive and every sheet of a workbook.
 * What identifies persons stays here: see `withhold`.
 * Errors  as `readSource`.
 */
export function readFile(source: ByteSource, options: ImportOptions): Promise<FileReading[]> {
  return readAt(source, options, 0, new Allowance(source.byteLength)).then((readings) => readings.map((reading) => withhold(reading, options, options.shelf)));
}

async function readAt(source: ByteSource, options: ImportOptions, depth: number, allowance: Allowance): Promise<FileReading[]> {
  if (options.head !== undefined && !leadsTo(options.head, shownPath(source.relativePath, options))) return [];
  const { bytes } = await readHead(source, options.signal);
  const carrier = carrierOf(bytes, source);
  if (carrier === null) return [asided(await readSource(source, options), options.shelf)];
  const inside: Inside = { depth, allowance, read: (part) => readAt(part, options, depth + 1, allowance) };
  if (carrier.isContainer !== true) {
    // These choose their rules by the file's name alone.
    const name = chooseRules(options.mapping, source.relativePath, null, shownPath(source.relativePath, options))?.name ?? '';
    const named = name === '' ? {} : { mapping: name };
    const readings = await carrier.read(options.head === undefined ? source : headOf(source, bytes, options.head), options, inside);
    return readings.map((reading) => asided({ ...reading, report: { ...reading.report, ...named } }, options.shelf));
  }
  const readings = (await carrier.read(source, options, inside)).map((reading) => asided(reading, options.shelf));
  return depth === 0 && options.head === undefined ? withContainer(readings, source, options) : readings;
}

/** Returns a reading with the cases set aside that are still in memory: an archive may have many parts. */
function asided(reading: FileReading, shelf: Shelf | undefined): FileReading {
  return shelf === undefined ? reading : { ...reading, cases: reading.cases.map((own) => (own.aside === undefined ? shelf.setAside(own) : own)) };
}

/** Returns a source of the first lines of a file that is no table, and shows them to a preview. */
function headOf(source: ByteSource, bytes: Uint8Array, watch: HeadWatch): ByteSource {
  const { relativePath, folderName, byteLength } = source;
  const isWhole = byteLength <= bytes.length;
  watch.onHead({ bytes: isWhole ? bytes : wholeLines(bytes), isWhole, encoding: 'utf-8', cellEncoding: 'utf-8' });
  return { relativePath, folderName, byteLength, open: () => firstLines(source.open()) };
}
