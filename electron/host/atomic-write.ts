import { randomBytes } from 'node:crypto';
import { open, rename, rm } from 'node:fs/promises';
import { dirname } from 'node:path';

/** Ends the name of every file that is still being written; whoever finds one at start may delete it. */
export const UNFINISHED = '.unfinished';

/**
 * Writes a file so that after a crash there is either the old one or the whole new one:
 * beside it, flushed to the disk, renamed over it, the folder's entry flushed as well.
 */
export async function writeAtomically(path: string, bytes: Uint8Array | string): Promise<void> {
  const beside = `${path}.${randomBytes(6).toString('hex')}${UNFINISHED}`;
  try {
    const file = await open(beside, 'wx', 0o600);
    try {
      await file.writeFile(bytes);
      await file.sync();
    } finally {
      await file.close();
    }
    await renamePatiently(beside, path);
  } catch (error) {
    await rm(beside, { force: true });
    throw error;
  }
  await flushFolder(dirname(path));
}

/** Virus scanners on Windows hold a new file for a moment, and the rename is refused until they let go. */
export async function renamePatiently(from: string, to: string): Promise<void> {
  for (let attempt = 0; ; attempt += 1) {
    try {
      await rename(from, to);
      return;
    } catch (error) {
      if (process.platform !== 'win32' || attempt === 6 || !isSystemError(error, 'EPERM', 'EACCES', 'EBUSY')) throw error;
      await new Promise((resolve) => setTimeout(resolve, 20 * 2 ** attempt));
    }
  }
}

/** Windows has no way to flush a folder; there the rename is as durable as its journal makes it. */
export async function flushFolder(path: string): Promise<void> {
  if (process.platform === 'win32') return;
  const folder = await open(path, 'r');
  try {
    await folder.sync();
  } finally {
    await folder.close();
  }
}

/** Returns whether `error` is a refusal of the operating system with one of `codes`. */
export function isSystemError(error: unknown, ...codes: readonly string[]): boolean {
  return error instanceof Error && 'code' in error && typeof error.code === 'string' && codes.includes(error.code);
}
