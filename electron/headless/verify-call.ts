import { stat } from 'node:fs/promises';
import { basename, join, resolve } from 'node:path';
import type { TrailCheck } from '../../core/model/review.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import { isSystemError } from '../host/atomic-write.ts';
import { buildFolderShelf } from '../host/folder-shelf.ts';
import { buildKeptReviews } from '../host/kept-reviews.ts';
import { lockLibrary } from '../host/library-lock.ts';
import type { LibraryLock } from '../host/library-lock.ts';
import type { LibraryShelf } from '../host/library-shelf.ts';
import { askPassphrase, PASSPHRASE_VARIABLE } from '../store/ask-passphrase.ts';
import { isLibraryFile, LIBRARY_ENDING, readLibraryShelf } from '../store/library-file.ts';

/** A library whose trail is to be checked. */
export interface VerifyCall {
  readonly command: 'verify';
  /** A folder, or the file of an encrypted library. */
  readonly library: string;
  /** A hash that was noted earlier and must be in the trail. */
  readonly head: string | undefined;
  readonly json: boolean;
}

/** What checking came to, as `--json` writes it. `problems` null: nothing could be checked. */
export interface VerifySummary {
  readonly product_version: string;
  readonly library: string;
  readonly entries: number;
  readonly head: string;
  readonly problems: TrailCheck['problems'] | null;
  readonly exit_code: 0 | 1 | 2;
}

/**
 * Checks the trail of a library, which no other program may have open, and says line by line what was found. Nothing is changed.
 * Returns what was found; exit code 0: nothing wrong; 1: something is, or the library is damaged; 2: it could not be looked at.
 */
export async function runVerifyCall({ library, head }: VerifyCall, productVersion: string, say: (line: string) => void): Promise<VerifySummary> {
  const named = { product_version: productVersion, library: basename(resolve(library), LIBRARY_ENDING) };
  try {
    const check = await readShelf(library, (shelf) => buildKeptReviews(shelf.journal('reviews'), shelf.document('trail-head')).check(head ?? null));
    for (const { place, kind, message } of check.problems) say(`entry ${place}: ${kind}: ${message}`);
    if (check.problems.length > 0) say(`${count(check.entries)}. The trail is not as it was written; put the library’s reviews back from a backup, and keep what is there now.`);
    else say(check.entries === 0 ? 'The trail has no entry yet.' : `${count(check.entries)}: none was altered, removed or put in another order. The last has the hash ${check.head}`);
    if (check.problems.length === 0 && check.entries > 0) say('Note this hash apart from the library: with --head it shows later that the trail goes on from here and was not written anew.');
    return { ...named, ...check, exit_code: check.problems.length === 0 ? 0 : 1 };
  } catch (error) {
    const { code, message, remedy } = toFailure(error);
    if (code === 'internal') throw error;
    say([message, remedy].filter(Boolean).join(' '));
    return { ...named, entries: 0, head: '', problems: null, exit_code: code === 'library-damaged' ? 1 : 2 };
  }
}

async function readShelf<T>(library: string, read: (shelf: LibraryShelf) => Promise<T>): Promise<T> {
  if (await isLibraryFile(library)) return await readLibraryShelf(library, await askPassphrase('Passphrase of the library', PASSPHRASE_VARIABLE, { twice: false }), read);
  const folder = resolve(library);
  const isLibrary = await stat(join(folder, 'library.json')).then((found) => found.isFile(), () => false);
  if (!isLibrary) throw new FailureError({ code: 'library-missing', message: `${library} is no library of this program: it has no file library.json.`, remedy: 'Name the folder of a library, or the file of an encrypted one.' });
  const lock = await lockUnlessReadOnly(folder);
  try {
    return await read(buildFolderShelf(folder));
  } finally {
    await lock?.release();
  }
}

/** What nobody can write to, such as a copy on a disc, needs no lock. */
async function lockUnlessReadOnly(folder: string): Promise<LibraryLock | null> {
  try {
    return await lockLibrary(join(folder, 'lock'), basename(folder));
  } catch (error) {
    if (isSystemError(error, 'EROFS', 'EACCES', 'EPERM')) return null;
    throw error;
  }
}

function count(entries: number): string {
  return entries === 1 ? '1 entry was read' : `${entries} entries were read`;
}
