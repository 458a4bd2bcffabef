import { basename } from 'node:path';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { Host, HostOptions } from '../host/host.ts';
import { createLockableHost } from '../host/lockable-host.ts';
import { productVersionOf, startHost } from '../host/start-host.ts';
import { PASSPHRASE_VARIABLE } from './ask-passphrase.ts';
import { isLibraryFile, LIBRARY_ENDING, openLibraryFile, stateOfLibraryFile } from './library-file.ts';

export interface LibraryHostOptions {
  /** A folder, or the file of an encrypted library; null: the user's own library. */
  readonly library: string | null;
  /** Idle minutes after which an encrypted library is locked; 0: never. */
  readonly lockAfterMinutes: number;
  readonly door: HostOptions['door'];
  /** The folder that holds package.json, dist/ and sample-cases/. */
  readonly root: URL;
}

/**
 * Returns the host over a library, whichever kind it is; both doors start it this way. An encrypted one is locked, unless the
 * environment holds its passphrase.
 * Errors  rejects with a FailureError when a folder cannot be used, or there is no such encrypted library.
 */
export async function startLibraryHost({ library, lockAfterMinutes, door, root }: LibraryHostOptions, report: (error: unknown) => void): Promise<Host> {
  if (library === null || !(await isLibraryFile(library))) return (await startHost({ libraryFolder: library, door, root }, report)).host;
  if ((await stateOfLibraryFile(library)) === 'new') throw new FailureError({ code: 'library-missing', message: `There is no encrypted library ${library}.`, remedy: 'Make one with: npm run --silent lacuna -- library create FILE' });
  const host = createLockableHost({
    productVersion: await productVersionOf(root),
    door,
    libraryName: basename(library, LIBRARY_ENDING),
    lockAfterMinutes,
    async open(passphrase) {
      const openLibrary = await openLibraryFile(library, passphrase, { onBackupProblem: report });
      return (await startHost({ libraryFolder: library, openLibrary, door, root }, report)).host;
    },
  });
  const given = process.env[PASSPHRASE_VARIABLE];
  Reflect.deleteProperty(process.env, PASSPHRASE_VARIABLE); // the browser and the workers would inherit it
  if (given !== undefined && given !== '') await host.unlockLibrary({ passphrase: given });
  return host;
}
