import { createHash } from 'node:crypto';
import { open, readFile, rename, rm, stat } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { FailureError } from '../../core/protocol/failure-error.ts';
import { isSystemError } from './atomic-write.ts';
import type { StagedFile, StagingArea } from './case-store.ts';
import { beginWork, endWork, prepareCase, preparedFile, readRun } from './import-work.ts';
import { makeFolder } from './make-folder.ts';
import { asideFile } from './publication.ts';
import { writeFailure } from './write-failure.ts';

/** More files than any folder of exports holds; a folder chosen by mistake (a whole disk) is stopped here. */
const MAX_FILES = 20_000;
const MAX_PATH = 4096;

const heldFile = (folder: string, caseKey: string): string => join(folder, 'held', `${caseKey}.case`);

/** A staging area with what the store has to know of it. */
export interface FolderStaging extends StagingArea {
  readonly folder: string;
  /** Cases that this import has put into the library, and whether each had one of its name put aside for it. */
  readonly stored: Map<string, boolean>;
  /** Whether a run is going on that a later start may go on with. */
  hasWork(): boolean;
  /** Whether that run is an earlier program's and has not been gone on with. */
  isLeftOver(): boolean;
}

/** Returns a staging area whose files lie in `folder` under running numbers: their names stay out of the disk. `files`, `stored`: what is there already. */
export function buildFolderStaging(importId: string, folder: string, isResumable: boolean, files: StagedFile[] = [], stored = new Map<string, boolean>()): FolderStaging {
  let next = files.length;
  let isLeftOver = files.length > 0;
  let hasWork = isLeftOver;
  return {
    importId,
    folder,
    files,
    stored,
    hasWork: () => hasWork,
    isLeftOver: () => isLeftOver,
    async begin(run) {
      const named = files.map(({ path, relativePath, byteLength, sha256 }) => ({ name: basename(path), relativePath, byteLength, sha256 }));
      hasWork = isResumable;
      isLeftOver = false;
      return await beginWork(folder, { schema: 'lacuna-import-run/1', ...run, files: named, stored: Object.fromEntries(stored) }, isResumable);
    },
    prepare: (made) => prepareCase(folder, made),
    readReady: (caseKey) => readFile(preparedFile(folder, caseKey)),
    readAside: (caseKey) => readFile(asideFile(folder, caseKey)),
    async hold(caseKey) {
      await makeFolder(join(folder, 'held'), 0o700);
      await rename(preparedFile(folder, caseKey), heldFile(folder, caseKey));
    },
    readHeld: (caseKey) => readFile(heldFile(folder, caseKey)),
    async end() {
      hasWork = false;
      isLeftOver = false;
      await endWork(folder);
    },
    async stage(relativePath, body) {
      const cleaned = cleanRelativePath(relativePath);
      if (files.length >= MAX_FILES) throw new FailureError({ code: 'too-many-files', message: `More than ${MAX_FILES} files were chosen.`, remedy: 'Choose the folder that holds the exports, or fewer files at a time.' });
      next += 1;
      const path = join(folder, `${String(next).padStart(6, '0')}.input`);
      const { byteLength, sha256 } = await writeStream(path, cleaned, body);
      const staged = { path, relativePath: cleaned, byteLength, sha256 };
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

/**
 * Returns the staging area of an import that was interrupted while it ran; null where none was running, or where a staged file is
 * not there as it was.
 */
export async function reopenFolderStaging(importId: string, folder: string): Promise<FolderStaging | null> {
  const run = await readRun(folder);
  if (run === null || run.files.length === 0) return null;
  const files = run.files.map(({ name, ...facts }): StagedFile => ({ path: join(folder, name), ...facts }));
  for (const { path, byteLength } of files) {
    const found = await stat(path).catch(() => null);
    if (found?.size !== byteLength) return null;
  }
  return buildFolderStaging(importId, folder, true, files, new Map(Object.entries(run.stored)));
}

async function writeStream(path: string, relativePath: string, body: AsyncIterable<Uint8Array>): Promise<Pick<StagedFile, 'byteLength' | 'sha256'>> {
  let byteLength = 0;
  const hash = createHash('sha256');
  try {
    const file = await open(path, 'wx', 0o600);
    try {
      for await (const chunk of body) {
        hash.update(chunk);
        await file.writeFile(chunk);
        byteLength += chunk.byteLength;
      }
    } finally {
      await file.close();
    }
    return { byteLength, sha256: hash.digest('hex') };
  } catch (error) {
    await rm(path, { force: true });
    if (isSystemError(error, 'ENOSPC', 'EDQUOT')) throw new FailureError({ code: 'disk-full', message: `The disk is full; ${relativePath} could not be taken in.`, file: relativePath, remedy: 'Make room on the disk that holds the library and import again.' });
    if (isSystemError(error, 'EROFS', 'EACCES', 'EPERM', 'EIO', 'ENOENT')) throw writeFailure(error);
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
