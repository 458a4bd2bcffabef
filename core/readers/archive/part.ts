import type { ByteSource, ImportOptions } from '../reader.ts';
import { digestOf } from '../read-source.ts';
import type { FileReading } from '../reading.ts';

/** A folder, as a reading names it. */
export interface Place {
  readonly folder: string;
  readonly folderName: string;
}

/** Returns the last part of a path. */
export function lastPart(path: string): string {
  return path.slice(path.lastIndexOf('/') + 1);
}

/** Returns the folder a file lies in. */
export function placeOf(source: ByteSource): Place {
  const slash = source.relativePath.lastIndexOf('/');
  return { folder: slash === -1 ? '' : source.relativePath.slice(0, slash), folderName: source.folderName };
}

/** Returns the name of a container as its parts' folder bears it: without the ending. */
export function containerName(source: ByteSource): string {
  const name = lastPart(source.relativePath);
  return name.replace(/\.[^.\s]{1,5}$/, '') || name;
}

/** Returns a reading with the folder `from` taken for `to`. */
export function moved(reading: FileReading, from: string, to: Place): FileReading {
  const { source, bundle } = reading;
  return {
    ...reading,
    ...(source.folder === from ? { source: { ...source, ...to } } : {}),
    ...(bundle?.folder === from ? { bundle: to } : {}),
  };
}

/** Returns readings that name the file on the disk which they came out of. */
export async function withContainer(readings: readonly FileReading[], source: ByteSource, options: ImportOptions): Promise<FileReading[]> {
  const container = { file: source.relativePath, sha256: await digestOf(source, options), byte_length: source.byteLength };
  return readings.map((reading) => ({ ...reading, report: { ...reading.report, container } }));
}
