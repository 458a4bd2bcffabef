import type { ByteSource, ImportOptions } from '../reader.ts';
import type { FileReading } from '../reading.ts';
import type { Carrier, Inside } from '../registry.ts';
import { officeKind, readWorkbook } from '../workbook/read-workbook.ts';
import { MAX_DEPTH } from './allowance.ts';
import { anyRange, type ByteRange } from './byte-range.ts';
import { BrokenContainer } from './broken-container.ts';
import { entryPath, isHiddenEntry } from './entry-name.ts';
import { tooDeep } from './gzip-carrier.ts';
import { Meter, openZipEntry } from './inflate.ts';
import { containerName, lastPart, moved, placeOf } from './part.ts';
import { orRefused } from './refused.ts';
import { readZipDirectory, type ZipEntry } from './zip-directory.ts';

/**
 * A zip archive: every file in it is read as if it lay in a folder of the archive's name. A workbook is such an archive too.
 * Source  APPNOTE.TXT 6.3.10, sections 4.3.7 (local heading), 4.3.16 (end of an empty archive), 8.5.4 (first part of several).
 */
export const ZIP: Carrier = {
  id: 'zip',
  isContainer: true,
  sniff: (head) => head[0] === 0x50 && head[1] === 0x4b && ((head[2] === 3 && head[3] === 4) || (head[2] === 5 && head[3] === 6) || (head[2] === 7 && head[3] === 8)),
  read: (source, options, inside) =>
    orRefused(source, options, async () => {
      const range = await anyRange(source);
      const entries = await readZipDirectory(range);
      const kind = officeKind(entries);
      if (kind === 'workbook') return readWorkbook(source, range, entries, options, inside.allowance);
      if (kind !== null) throw new BrokenContainer(`This file is ${kind}, which is not read.`, 'Save it as XLSX or CSV and import that.');
      return readArchive(source, range, entries, options, inside);
    }),
};

async function readArchive(source: ByteSource, range: ByteRange, entries: readonly ZipEntry[], options: ImportOptions, inside: Inside): Promise<FileReading[]> {
  if (inside.depth >= MAX_DEPTH) throw tooDeep();
  const files = entries.flatMap((entry) => {
    const path = entryPath(entry.name);
    return /[\\/]$/.test(entry.name) || path === '' || isHiddenEntry(path) ? [] : [{ entry, path }];
  });
  if (files.length === 0) throw new BrokenContainer('The archive holds no file.', 'Pack it again; check that the files were taken in.');
  inside.allowance.takeFiles(files.length);
  inside.allowance.foresee(files.reduce((sum, { entry }) => sum + entry.byteLength, 0));
  const own = source.relativePath;
  const around = placeOf(source);
  const uses = new Map<string, number>();
  const readings: FileReading[] = [];
  for (const { entry, path } of files) {
    options.signal?.throwIfAborted();
    const nth = (uses.get(path) ?? 0) + 1;
    uses.set(path, nth);
    const relativePath = `${own}/${nth === 1 ? path : `${path} (${nth})`}`;
    const slash = path.lastIndexOf('/');
    const meter = new Meter(inside.allowance);
    const part: ByteSource = {
      relativePath,
      folderName: slash === -1 ? containerName(source) : lastPart(path.slice(0, slash)),
      byteLength: entry.byteLength,
      open: () => openZipEntry(range, entry, meter),
    };
    readings.push(...(await orRefused(part, options, () => inside.read(part))));
  }
  if (files.length === 1) return readings.map((reading) => moved(reading, own, around));
  return readings.map((reading) => (reading.source.folder === own ? { ...reading, bundle: around } : reading));
}
