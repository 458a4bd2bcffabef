import { Allowance } from './archive/allowance.ts';
import { withContainer } from './archive/part.ts';
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
  const { bytes } = await readHead(source, options.signal);
  const carrier = carrierOf(bytes, source);
  if (carrier === null) return [await readSource(source, options)];
  const readings = await carrier.read(source, options, { depth, allowance, read: (part) => readAt(part, options, depth + 1, allowance) });
  return depth === 0 && carrier.isContainer === true ? withContainer(readings, source, options) : readings;
}
