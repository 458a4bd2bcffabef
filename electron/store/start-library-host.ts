import { basename, dirname, resolve } from 'node:path';
import { productVersionOf, startHost } from '../host/start-host.ts';
import type { HostOptions } from '../host/host.ts';
import { PASSPHRASE_VARIABLE } from './ask-passphrase.ts';
import type { KeyStore } from './key-store.ts';
import type { LibraryDesk, LibraryPlace } from './library-desk.ts';
import { createLibraryDesk } from './library-desk.ts';
import { isLibraryFile, LIBRARY_ENDING } from './library-file.ts';
import type { OwnLibraries } from './own-libraries.ts';
import { buildOwnLibraries, FIRST_LIBRARY } from './own-libraries.ts';

export interface LibraryHostOptions {
  /** A folder, or the file of an encrypted library; null: the one of the user's own that was used last. */
  readonly library: string | null;
  /** Idle minutes after which an encrypted library is locked, in place of its own; 0: never; null: its own. */
  readonly lockAfterMinutes: number | null;
  readonly door: HostOptions['door'];
  readonly keyStore: KeyStore;
  /** The folder that holds package.json, dist/ and sample-cases/. */
  readonly root: URL;
}

/**
 * Returns the host of a window over a library, whichever kind it is; both doors start it this way. An encrypted one is locked, unless
 * its key is kept by the system or the environment holds its passphrase.
 * Errors  rejects with a FailureError when a folder cannot be used, or there is no such encrypted library.
 */
export async function startLibraryHost({ library, lockAfterMinutes, door, keyStore, root }: LibraryHostOptions, report: (error: unknown) => void): Promise<LibraryDesk> {
  const own = buildOwnLibraries();
  const firstPath = own.pathOf(FIRST_LIBRARY);
  const desk = createLibraryDesk({
    productVersion: await productVersionOf(root),
    door,
    first: library === null ? await lastUsed(own) : await namedPlace(own, library),
    own,
    lockAfterMinutes,
    keyStore,
    // Only the library of the first start is filled with the sample cases by itself.
    startOver: async (store, { path, form }) => (await startHost({ libraryFolder: form === 'folder' && path === firstPath ? null : path, openLibrary: store, door, root }, report)).host,
    fileOptions: { onBackupProblem: report },
    now: () => new Date(),
  });
  await desk.begin();
  const given = process.env[PASSPHRASE_VARIABLE];
  Reflect.deleteProperty(process.env, PASSPHRASE_VARIABLE); // the browser and the workers would inherit it
  const { lock } = await desk.describe();
  if (given !== undefined && given !== '' && lock?.isLocked === true) await desk.unlockLibrary({ passphrase: given });
  return desk;
}

/** The library that was used last, or the first one where that is gone. */
async function lastUsed(own: OwnLibraries): Promise<LibraryPlace> {
  const last = await own.lastUsed();
  const library = last !== null && (await own.isThere(last)) ? last : FIRST_LIBRARY;
  return { ...library, path: own.pathOf(library), isOwn: true };
}

async function namedPlace(own: OwnLibraries, library: string): Promise<LibraryPlace> {
  const path = resolve(library);
  const isOwn = dirname(path) === own.folder;
  return (await isLibraryFile(path)) ? { name: basename(path, LIBRARY_ENDING), form: 'encrypted', path, isOwn } : { name: basename(path), form: 'folder', path, isOwn };
}
