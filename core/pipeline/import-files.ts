import type { ByteSource, ImportOptions, ImportOutcome } from '../readers/reader.ts';
import type { FileReading } from '../readers/reading.ts';
import { readFile } from '../readers/read-file.ts';
import { assembleCases } from './assemble-cases.ts';
import { codeFactsOf, secondReading } from './code-tables.ts';

export type { FileReading } from '../readers/reading.ts';
export { readFile } from '../readers/read-file.ts';
export { assembleCases } from './assemble-cases.ts';

/**
 * Returns the cases that files hold, with a report of each file, read one after another. Files with columns of codes that a list
 * of codes among the files explains are read a second time, with it.
 * Errors  never throws for bad input; aborting rejects with the signal's reason.
 */
export async function importFiles(sources: readonly ByteSource[], options: ImportOptions): Promise<ImportOutcome> {
  const byFile: FileReading[][] = [];
  const bytesTotal = sources.reduce((sum, source) => sum + source.byteLength, 0);
  let bytesBefore = 0;
  const { onProgress } = options;
  for (const source of sources) {
    const done = bytesBefore;
    const own = await readFile(source, {
      ...options,
      ...(onProgress === undefined ? {} : { onProgress: (progress) => onProgress({ ...progress, bytesDone: done + Math.min(progress.bytesDone, source.byteLength), bytesTotal }) }),
    });
    byFile.push(own);
    bytesBefore += source.byteLength;
  }
  const second = secondReading(byFile.map((readings) => readings.map(codeFactsOf)));
  if (second === null) return assembleCases(byFile.flat(), options);
  const readings = await Promise.all(byFile.map(async (before, i) => {
    const source = sources[i];
    return source !== undefined && second.again.includes(i) ? await readFile(source, { ...options, codeTables: second.codeTables }) : before;
  }));
  return assembleCases(readings.flat(), options);
}
