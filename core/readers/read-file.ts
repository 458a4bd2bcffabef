import { Allowance } from './archive/allowance.ts';
import { withContainer } from './archive/part.ts';
import { firstLines, leadsTo, wholeLines } from './head-watch.ts';
import { readHead, readSource } from './read-source.ts';
import type { ByteSource, ImportOptions } from './reader.ts';
import type { FileReading } from './reading.ts';
import { carrierOf } from './registry.ts';

/**
 * Returns what one file holds: one reading, or one for every file of an archive and every sheet of a workbook.
 * Errors  as `readSource`.
 */
export function readFile(source: ByteSource, options: ImportOptions): Promise<FileReading[]> {
  return readAt(source, options, 0, new Allowance(source.byteLength));
}

async function readAt(source: ByteSource, options: ImportOptions, depth: number, allowance: Allowance): Promise<FileReading[]> {
  if (options.head !== undefined && !leadsTo(options.head, source.relativePath)) return [];
  const { bytes } = await readHead(source, options.signal);
  const carrier = carrierOf(bytes, source);
  if (carrier === null) return [await readSource(source, options)];
  if (options.head !== undefined && carrier.isContainer !== true) {
    const { relativePath, folderName, byteLength } = source;
    const isWhole = byteLength <= bytes.length;
    options.head.onHead({ bytes: isWhole ? bytes : wholeLines(bytes), isWhole, encoding: 'utf-8', cellEncoding: 'utf-8' });
    return carrier.read({ relativePath, folderName, byteLength, open: () => firstLines(source.open()) }, options, { depth, allowance, read: () => Promise.resolve([]) });
  }
  const readings = await carrier.read(source, options, { depth, allowance, read: (part) => readAt(part, options, depth + 1, allowance) });
  return depth === 0 && carrier.isContainer === true && options.head === undefined ? withContainer(readings, source, options) : readings;
}
