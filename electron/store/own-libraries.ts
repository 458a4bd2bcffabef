import { readFile, readdir, stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { z } from 'zod';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { NamedLibrary } from '../../core/protocol/library-calls.ts';
import { isSystemError, writeAtomically } from '../host/atomic-write.ts';
import { defaultLibraryFolder } from '../host/library-folder.ts';
import { makeFolder } from '../host/make-folder.ts';
import { writeFailure } from '../host/write-failure.ts';
import { LIBRARY_ENDING, RESTORING_ENDING } from './library-file.ts';

/*
 * The folder in which a user's own libraries lie side by side, and the file that says which was used last:
 *   library/            the one that is there from the first start
 *   NAME/, NAME.lacuna  others, as a folder or encrypted
 *   last-library.json   which one the next start opens
 */

/** The library that is there from the first start. */
export const FIRST_LIBRARY: NamedLibrary = { name: 'library', form: 'folder' };

const LAST_FILE = 'last-library.json';
const lastSchema = z.object({ schema: z.literal('lacuna-last-library/1'), name: z.string(), form: z.enum(['folder', 'encrypted']) });

/** Names that Windows keeps for devices, whatever their ending. */
const DEVICE_NAME = /^(?:con|prn|aux|nul|com\d|lpt\d)(?:\.|$)/i;
const MAX_NAME = 60;

/** The user's own libraries. */
export interface OwnLibraries {
  readonly folder: string;
  /** Returns those that are there, in the order of their names. */
  list(): Promise<readonly NamedLibrary[]>;
  /** Returns where a library of this name lies or would lie. Errors  throws a FailureError `bad-name`. */
  pathOf(library: NamedLibrary): string;
  isThere(library: NamedLibrary): Promise<boolean>;
  /** Returns the library that was used last; null where none was ever chosen, or that cannot be read. */
  lastUsed(): Promise<NamedLibrary | null>;
  /** Errors  rejects with a FailureError when the disk refuses. */
  setLastUsed(library: NamedLibrary): Promise<void>;
}

/** Returns the user's own libraries, those of this platform's folder for programs when no other folder is given. */
export function buildOwnLibraries(folder: string = dirname(defaultLibraryFolder(process.env, process.platform))): OwnLibraries {
  function pathOf({ name, form }: NamedLibrary): string {
    checkName(name);
    return join(folder, form === 'encrypted' ? `${name}${LIBRARY_ENDING}` : name);
  }
  async function isThere(library: NamedLibrary): Promise<boolean> {
    const path = pathOf(library);
    if (library.form === 'folder') return (await kindOf(join(path, 'library.json'))) === 'file';
    return (await kindOf(path)) === 'file' || (await kindOf(`${path}${RESTORING_ENDING}`)) === 'file';
  }
  return {
    folder,
    pathOf,
    isThere,
    async list() {
      const names = await readdir(folder).catch((error: unknown): string[] => {
        if (isSystemError(error, 'ENOENT')) return [];
        throw error;
      });
      const found: NamedLibrary[] = [];
      const entries = new Set(names.map((name) => (name.endsWith(`${LIBRARY_ENDING}${RESTORING_ENDING}`) ? name.slice(0, -RESTORING_ENDING.length) : name)));
      for (const entry of [...entries].sort()) {
        const library: NamedLibrary = entry.endsWith(LIBRARY_ENDING) ? { name: entry.slice(0, -LIBRARY_ENDING.length), form: 'encrypted' } : { name: entry, form: 'folder' };
        if (isName(library.name) && (await isThere(library))) found.push(library);
      }
      return found;
    },
    async lastUsed() {
      try {
        const { name, form } = lastSchema.parse(JSON.parse(await readFile(join(folder, LAST_FILE), 'utf8')));
        return isName(name) ? { name, form } : null;
      } catch {
        return null; // a convenience: without it the first library is opened, and the others are one press away
      }
    },
    async setLastUsed({ name, form }) {
      try {
        await makeFolder(folder, 0o700);
        await writeAtomically(join(folder, LAST_FILE), `${JSON.stringify({ schema: 'lacuna-last-library/1', name, form })}\n`);
      } catch (error) {
        throw writeFailure(error);
      }
    },
  };
}

function isName(name: string): boolean {
  return /^[\p{L}\p{N}][\p{L}\p{N} ._-]*$/u.test(name) && !/[. ]$/.test(name) && name.length <= MAX_NAME && !DEVICE_NAME.test(name) && !name.toLowerCase().includes(LIBRARY_ENDING);
}

function checkName(name: string): void {
  if (isName(name)) return;
  throw new FailureError({
    code: 'bad-name',
    message: `“${name.slice(0, MAX_NAME)}” cannot be the name of a library.`,
    remedy: `Take up to ${MAX_NAME} letters, digits, blanks, hyphens or points, beginning with a letter or digit: it is the name of a file, such as “theatre 2031”, and must not be that of a patient.`,
  });
}

async function kindOf(path: string): Promise<'file' | 'folder' | null> {
  try {
    const found = await stat(path);
    return found.isFile() ? 'file' : found.isDirectory() ? 'folder' : null;
  } catch (error) {
    if (isSystemError(error, 'ENOENT', 'ENOTDIR')) return null;
    throw error;
  }
}
