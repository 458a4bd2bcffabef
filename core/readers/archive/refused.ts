import { digestOf, failed } from '../read-source.ts';
import type { ByteSource, ImportOptions } from '../reader.ts';
import type { FileReading } from '../reading.ts';
import { BrokenContainer } from './broken-container.ts';

/** Returns what `read` gives; where the container cannot be read, one reading that says so. Other errors go on. */
export async function orRefused(source: ByteSource, options: ImportOptions, read: () => Promise<FileReading[]>): Promise<FileReading[]> {
  try {
    return await read();
  } catch (error) {
    if (!(error instanceof BrokenContainer)) throw error;
    return [failed(source, await digestOrNone(source, options), '', error.message, error.line, error.remedy)];
  }
}

/** A damaged part of an archive has no digest: its bytes cannot be had. */
async function digestOrNone(source: ByteSource, options: ImportOptions): Promise<string> {
  try {
    return await digestOf(source, options);
  } catch (error) {
    if (error instanceof BrokenContainer) return '';
    throw error;
  }
}
