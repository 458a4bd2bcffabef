import { mkdir, stat } from 'node:fs/promises';
import { dirname } from 'node:path';

/**
 * Makes a folder and those above it that are missing; returns the topmost one made, or undefined when it was there.
 * Node's own recursive `mkdir` never returns where a file system answers "no such file" for a parent that exists
 * (Linux's /proc does), so each level is made once, from the top.
 * Missing  `path` is absolute.
 * Errors   rejects with the system's error, or ENOTDIR where a file stands in the way.
 */
export async function makeFolder(path: string, mode = 0o777): Promise<string | undefined> {
  const missing: string[] = [];
  for (let at = path; ; at = dirname(at)) {
    const stats = await stat(at).catch((error: unknown) => {
      if (error instanceof Error && 'code' in error && error.code === 'ENOENT') return null;
      throw error;
    });
    if (stats?.isDirectory() === true) break;
    if (stats !== null || at === dirname(at)) throw Object.assign(new Error(`not a folder: ${at}`), { code: 'ENOTDIR' });
    missing.unshift(at);
  }
  for (const at of missing) {
    await mkdir(at, { mode }).catch((error: unknown) => {
      if (!(error instanceof Error && 'code' in error && error.code === 'EEXIST')) throw error; // another program was quicker
    });
  }
  return missing[0];
}
