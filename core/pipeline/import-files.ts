import type { ByteSource, ImportOptions, ImportOutcome } from '../readers/reader.ts';
import type { FileReading } from '../readers/reading.ts';
import { readFile } from '../readers/read-file.ts';
import { assembleCases } from './assemble-cases.ts';

export type { FileReading } from '../readers/reading.ts';
export { readFile } from '../readers/read-file.ts';
export { assembleCases } from './assemble-cases.ts';

/**
 * Returns the cases that files hold, with a report of each file, read one after another.
 * Errors  never throws for bad input; aborting rejects with the signal's reason.
 */
export async function importFiles(sources: readonly ByteSource[], options: ImportOptions): Promise<ImportOutcome> {
  const readings: FileReading[] = [];
  const bytesTotal = sources.reduce((sum, source) => sum + source.byteLength, 0);
  let bytesBefore = 0;
  const { onProgress } = options;
  for (const source of sources) {
    const done = bytesBefore;
    const own = await readFile(source, {
      ...options,
      ...(onProgress === undefined ? {} : { onProgress: (progress) => onProgress({ ...progress, bytesDone: done + Math.min(progress.bytesDone, source.byteLength), bytesTotal }) }),
    });
    readings.push(...own);
    bytesBefore += source.byteLength;
  }
  return assembleCases(readings, options);
}
