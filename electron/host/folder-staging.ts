import { open, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { FailureError } from '../../core/protocol/failure-error.ts';
import { isSystemError } from './atomic-write.ts';
import type { StagedFile, StagingArea } from './case-store.ts';

/** More files than any folder of exports holds; a folder chosen by mistake (a whole disk) is stopped here. */
const MAX_FILES = 20_000;
const MAX_PATH = 4096;

/** Returns a staging area whose files lie in `folder` under running numbers: their names stay out of the disk. */
export function buildFolderStaging(importId: string, folder: string): StagingArea {
  const files: StagedFile[] = [];
  let next = 0;
  return {
    importId,
    files,
    async stage(relativePath, body) {
      const cleaned = cleanRelativePath(relativePath);
      if (files.length >= MAX_FILES) throw new FailureError({ code: 'too-many-files', message: `More than ${MAX_FILES} files were chosen.`, remedy: 'Choose the folder that holds the exports, or fewer files at a time.' });
      next += 1;
      const path = join(folder, `${String(next).padStart(6, '0')}.input`);
      const byteLength = await writeStream(path, cleaned, body);
      const staged = { path, relativePath: cleaned, byteLength };
      const earlier = files.findIndex((file) => file.relativePath === cleaned);
      if (earlier === -1) files.push(staged);
      else await rm(files.splice(earlier, 1, staged)[0]?.path ?? path, { force: true });
      return { byteLength };
    },
    async keepOnly(names) {
      for (const { path, relativePath } of files) if (!names.has(relativePath)) await rm(path, { force: true });
      const kept = files.flatMap((file) => {
        const name = names.get(file.relativePath);
        return name === undefined ? [] : [{ ...file, relativePath: name }];
      });
      files.splice(0, files.length, ...kept);
    },
  };
}

async function writeStream(path: string, relativePath: string, body: AsyncIterable<Uint8Array>): Promise<number> {
  let byteLength = 0;
  try {
    const file = await open(path, 'wx', 0o600);
    try {
      for await (const chunk of body) {
        await file.writeFile(chunk);
        byteLength += chunk.byteLength;
      }
    } finally {
      await file.close();
    }
    return byteLength;
  } catch (error) {
    await rm(path, { force: true });
    if (isSystemError(error, 'ENOSPC', 'EDQUOT')) throw new FailureError({ code: 'disk-full', message: `The disk is full; ${relativePath} could not be taken in.`, file: relativePath, remedy: 'Make room on the disk that holds the library and import again.' });
    throw error;
  }
}

/**
 * Returns a path relative to what the user chose, with '/' between its parts.
 * Errors  throws a FailureError when it is absolute, climbs out with '..', or is no path at all.
 */
export function cleanRelativePath(text: string): string {
  const parts = text.replaceAll('\\', '/').split('/').filter((part) => part !== '' && part !== '.');
  const isAbsolute = /^([/\\]|[A-Za-z]:[/\\])/.test(text);
  if (parts.length === 0 || isAbsolute || parts.includes('..') || text.length > MAX_PATH || /[\u0000-\u001f]/.test(text)) {
    throw new FailureError({ code: 'bad-path', message: 'A file came with a name that is no path inside the chosen folder.', remedy: 'Choose the files or the folder again.' });
  }
  return parts.join('/');
}
