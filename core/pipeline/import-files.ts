import type { ByteSource, ImportOptions, ImportOutcome } from '../readers/reader.ts';
import type { FileReading } from '../readers/reading.ts';
import { readSource } from '../readers/read-source.ts';
import { assembleCases } from './assemble-cases.ts';

export type { FileReading } from '../readers/reading.ts';
export { assembleCases } from './assemble-cases.ts';

/**
 * Returns one file read to its end, as plain data that can cross a thread.
 * Errors  bad content never throws: it is `failure` in the report. Rejects with the signal's reason when aborted, and with the
 *         source's own error when the bytes cannot be had.
 */
export function readFile(source: ByteSource, options: ImportOptions): Promise<FileReading> {
  return readSource(source, options);
}

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
    const reading = await readFile(source, {
      ...options,
      ...(onProgress === undefined ? {} : { onProgress: (progress) => onProgress({ ...progress, bytesDone: done + progress.bytesDone, bytesTotal }) }),
    });
    readings.push(reading);
    bytesBefore += source.byteLength;
  }
  return assembleCases(readings, options);
}
