import type { ByteSource } from '../reader.ts';
import type { Carrier } from '../registry.ts';
import { MAX_DEPTH } from './allowance.ts';
import { BrokenContainer } from './broken-container.ts';
import { Meter, openGzip } from './inflate.ts';
import { orRefused } from './refused.ts';

/**
 * A gzip file: stands for the one file in it, under its own name and in its own folder.
 * Source  RFC 1952, section 2.3.1 (identification 1F 8B, method 8).
 */
export const GZIP: Carrier = {
  id: 'gzip',
  isContainer: true,
  sniff: (head) => head[0] === 0x1f && head[1] === 0x8b,
  read: (source, options, inside) =>
    orRefused(source, options, async () => {
      if (inside.depth >= MAX_DEPTH) throw tooDeep();
      const meter = new Meter(inside.allowance);
      // A gzip file does not say how much is in it (its trailer counts modulo 4 GB), so it is unpacked once to know and to check it.
      let byteLength = options.head === undefined ? 0 : Infinity;
      for await (const bytes of options.head === undefined ? openGzip(source.open(), meter) : []) {
        options.signal?.throwIfAborted();
        byteLength += bytes.length;
      }
      const part: ByteSource = { relativePath: source.relativePath, folderName: source.folderName, byteLength, open: () => openGzip(source.open(), meter) };
      const readings = await inside.read(part);
      return readings.map((reading) => ({ ...reading, report: { ...reading.report, notes: ['Unpacked from gzip; digest and size are those of the unpacked file.', ...reading.report.notes] } }));
    }),
};

/** Returns what is said of an archive in an archive in an archive. */
export function tooDeep(): BrokenContainer {
  return new BrokenContainer('This is an archive in an archive in an archive.', 'Unpack the outer ones and import what they hold.');
}
