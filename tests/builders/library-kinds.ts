import type { CaseStore } from '../../electron/host/case-store.ts';
import { openFolderStore } from '../../electron/host/folder-case-store.ts';
import { createLibraryFile, openLibraryFile, stateOfLibraryFile } from '../../electron/store/library-file.ts';

/** A passphrase of tests. */
export const PASSPHRASE = 'four words that match nothing';
/** The least that Argon2id can be asked: a test must not wait for what is meant to be slow. */
export const CHEAP = { cost: { memoryKiB: 8, iterations: 1, parallelism: 1 } } as const;

export interface LibraryKind {
  readonly kind: 'a folder' | 'an encrypted file';
  /** Opens the library at `path`, made when it is not there yet. */
  open(path: string): Promise<CaseStore>;
}

/** Every way in which a library is kept: the contract of the store holds for each. */
export const LIBRARY_KINDS: readonly LibraryKind[] = [
  { kind: 'a folder', open: openFolderStore },
  { kind: 'an encrypted file', open: async (path) => ((await stateOfLibraryFile(path)) === 'new' ? await createLibraryFile(path, PASSPHRASE, CHEAP) : await openLibraryFile(path, PASSPHRASE, CHEAP)) },
];
