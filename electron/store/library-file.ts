import { createHash } from 'node:crypto';
import type { Stats } from 'node:fs';
import { access, constants, copyFile, mkdtemp, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { basename, dirname, join, resolve } from 'node:path';
import { FailureError } from '../../core/protocol/failure-error.ts';
import { flushFolder, isSystemError, renamePatiently, writeAtomically } from '../host/atomic-write.ts';
import type { CaseStore } from '../host/case-store.ts';
import type { LibraryLock } from '../host/library-lock.ts';
import { lockLibrary } from '../host/library-lock.ts';
import type { LibraryShelf } from '../host/library-shelf.ts';
import { makeFolder } from '../host/make-folder.ts';
import { systemCode, writeFailure } from '../host/write-failure.ts';
import { buildDatabaseStore } from './database-case-store.ts';
import { buildDatabaseShelf } from './database-shelf.ts';
import { flushFile } from './flush-file.ts';
import type { Backup, BackupContent } from './library-backups.ts';
import { backUp, backUpWhenDue } from './library-backups.ts';
import type { LibraryDatabase } from './library-database.ts';
import { openDatabase } from './library-database.ts';
import type { LibraryKeys, PassphraseCost } from './library-key.ts';
import { drawKeys, keysFrom, unwrapKey, wrapKey } from './library-key.ts';

/*
 * A library as one encrypted file, and what lies beside it:
 *   NAME.lacuna            everything: cases, documents, journals; encrypted
 *   NAME.lacuna-wal, -shm  changes on their way into it while it is open; encrypted
 *   NAME.lacuna.key        the wrapped key (library-key.ts); of no use without the passphrase, and needed with it
 *   NAME.lacuna.unfinished a mark that the library is being made and holds nothing yet
 *   NAME.lacuna.coming     with its .key: a backup that is being read through before it takes the library’s place
 *   NAME.lacuna.restoring  a note that it is taking that place, and as what the library is kept; whoever opens the library next does what is left
 *   NAME.lacuna.lock       which program has the library open
 *   NAME.lacuna.incoming/  files of imports that are not over, as they came; removed at the end of each, and at every start
 *   NAME.lacuna.backups/   a file and its key file for each backup
 */
export const LIBRARY_ENDING = '.lacuna';
/** Behind the name of a library’s file. */
export const RESTORING_ENDING = '.restoring';

/** What holds the content: the database, what lies beside it while it is open or after a crash, and its key. */
const LIBRARY_ENDINGS = ['', '-wal', '-shm', '.key'] as const;

const keyFileOf = (path: string): string => `${path}.key`;
const markOf = (path: string): string => `${path}.unfinished`;
const comingOf = (path: string): string => `${path}.coming`;
const restoringOf = (path: string): string => `${path}${RESTORING_ENDING}`;

export interface LibraryFileOptions {
  /** What a passphrase costs to try; the recommended cost when left out. */
  readonly cost?: PassphraseCost;
  /** What backups are dated with. */
  readonly now?: () => Date;
  /** Whether the lines of all entries are looked at before it opens; else whenever they are read. */
  readonly checkLines?: boolean;
  /** Told why the automatic backup did not succeed. */
  readonly onBackupProblem?: (error: unknown) => void;
}

/** What opens a library: its passphrase, or the data key that was kept for it. */
export type LibrarySecret = string | { readonly dataKey: Uint8Array };

/** An encrypted library that is open, with what only its file can do. */
export interface OpenLibraryFile extends CaseStore {
  readonly dataKey: Uint8Array;
  /** Makes a backup now; one that is being made already is waited for. Errors  as `backUp`. */
  backUpNow(now: Date): Promise<Backup & BackupContent>;
  /** Gives the library another passphrase. Errors  `passphrase-wrong`, `passphrase-short`, or what the disk refused; the earlier one holds then. */
  changePassphrase(before: string, after: string): Promise<void>;
}

/** What a person has to say before a library can be opened. */
export type LibraryFileState = 'new' | 'locked';

/** Returns whether a path names a library that is one file, by its ending or because a file lies there. */
export async function isLibraryFile(path: string): Promise<boolean> {
  if (path.endsWith(LIBRARY_ENDING)) return !(await isFolder(path));
  return await isFile(path);
}

/**
 * Returns whether there is a library at `path` to be opened, or none yet.
 * Errors  rejects with a FailureError `library-incomplete` when one of its two files is missing.
 */
export async function stateOfLibraryFile(path: string): Promise<LibraryFileState> {
  const [hasFile, hasKey, wasBeingMade, isBeingRestored] = await Promise.all([isFile(path), isFile(keyFileOf(path)), isFile(markOf(path)), isFile(restoringOf(path))]);
  if (isBeingRestored) return 'locked'; // whatever of it is in its place at this moment: opening it does the rest
  // Nothing was ever acknowledged of a library whose making was cut short.
  if (wasBeingMade || (!hasFile && !hasKey)) return 'new';
  if (hasFile && hasKey) return 'locked';
  const gone = hasFile ? basename(keyFileOf(path)) : basename(path);
  throw new FailureError({
    code: 'library-incomplete',
    message: `The file ${gone} of the library is missing.`,
    remedy: hasFile ? 'Put it back, or take the key file of one of the library’s backups: the key in it is the same, and its passphrase is the one of that day. Without a key file the library cannot be read by anyone.' : 'Put it back, or restore the library from one of its backups.',
  });
}

/**
 * Makes a library at `path` and returns it open. `fill` puts in what it is to hold from its beginning: it comes to be with that, or not at all.
 * Errors  rejects with a FailureError: `passphrase-short`, `library-there`, `library-in-use`, `library-unusable`, or what the disk refused.
 */
export async function createLibraryFile(path: string, passphrase: string, options: LibraryFileOptions = {}, fill: (database: LibraryDatabase) => Promise<void> = async () => undefined): Promise<OpenLibraryFile> {
  const file = resolve(path);
  return await locked(file, async (lock) => {
    if ((await stateOfLibraryFile(file)) === 'locked') throw new FailureError({ code: 'library-there', message: `There is already a library "${basename(file)}".`, remedy: 'Open it with its passphrase, or choose another name.' });
    const keys = drawKeys();
    const keyText = await wrapKey(keys, passphrase, options.cost);
    // The mark is there before the first byte and goes after the last: what lies beside it was never acknowledged.
    await writeAtomically(markOf(file), '');
    await removeLibrary(file);
    let database: LibraryDatabase | null = null;
    try {
      await writeFile(file, '', { mode: 0o600 }); // what is made beside it takes its mode
      database = await openDatabase(file, keys);
      await fill(database);
      await writeAtomically(keyFileOf(file), keyText);
      await rm(markOf(file));
      await flushFolder(dirname(file));
    } catch (error) {
      database?.close();
      await removeLibrary(file);
      await rm(markOf(file), { force: true });
      throw error;
    }
    return await build(file, database, keys, lock, options);
  });
}

/**
 * Returns the library at `path`, open.
 * Errors  rejects with a FailureError: `passphrase-wrong`, `key-damaged`, `library-newer`, `library-damaged`, `library-missing`,
 *         `library-incomplete`, `library-in-use`, `library-unusable`.
 */
export async function openLibraryFile(path: string, secret: LibrarySecret, options: LibraryFileOptions = {}): Promise<OpenLibraryFile> {
  const file = resolve(path);
  return await locked(file, async (lock) => {
    const keys = await readKeys(file, secret);
    return await build(file, await openDatabase(file, keys), keys, lock, options);
  });
}

/**
 * Returns what `read` makes of the shelf of a library that no other program has open. Nothing is written but, where an earlier version
 * made it, the form of this version. On a disk that nobody can write to, the library is read from a copy of its files, encrypted as they are,
 * in a folder of its own among the system's temporary ones; it is removed afterwards.
 * Errors  as `openLibraryFile`; what does not fit its seal is for `read` to find.
 */
export async function readLibraryShelf<T>(path: string, passphrase: string, read: (shelf: LibraryShelf) => Promise<T>, isReadOnly: (folder: string) => Promise<boolean> = isReadOnlyDisk): Promise<T> {
  const file = resolve(path);
  if (!(await isFile(file)) || !(await isReadOnly(dirname(file)))) return await readLocked(file, passphrase, read);
  const folder = await mkdtemp(join(tmpdir(), 'lacuna-copy-'));
  try {
    const copy = join(folder, basename(file));
    // With what tells that it was being made or restored: the copy is dealt with as the library would be.
    for (const ending of [...LIBRARY_ENDINGS.filter((one) => one !== '-shm'), '.unfinished', '.coming', '.coming.key', RESTORING_ENDING]) if (await isFile(`${file}${ending}`)) await copyFile(`${file}${ending}`, `${copy}${ending}`);
    return await readLocked(copy, passphrase, read);
  } catch (error) {
    if (isSystemError(error, 'ENOSPC', 'EDQUOT')) throw new FailureError({ code: 'disk-full', message: `The library "${basename(file)}" lies on a disk that cannot be written to, and there is no room for the copy that it is read from.`, remedy: COPY_ELSEWHERE });
    throw error;
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

const COPY_ELSEWHERE = 'Copy the files of the library elsewhere (the one that ends with .lacuna, its .key, and -wal where there is one), to a folder that can be written to, and name the copy.';

/** Returns whether nobody can write into a folder because of the disk that it lies on. */
async function isReadOnlyDisk(folder: string): Promise<boolean> {
  return await access(folder, constants.W_OK).then(() => false, (error: unknown) => isSystemError(error, 'EROFS'));
}

async function readLocked<T>(file: string, passphrase: string, read: (shelf: LibraryShelf) => Promise<T>): Promise<T> {
  return await locked(file, async (lock) => {
    const database = await openDatabase(file, await readKeys(file, passphrase));
    try {
      return await read(buildDatabaseShelf(database));
    } finally {
      database.close();
      await lock.release();
    }
  });
}

/**
 * Gives a library another passphrase; its content is not written anew. Backups keep the passphrase of their day.
 * Errors  as `openLibraryFile`, and `passphrase-short`; the earlier passphrase holds then.
 */
export async function changePassphrase(path: string, before: string, after: string, { cost }: LibraryFileOptions = {}): Promise<void> {
  const file = resolve(path);
  await locked(file, async (lock) => {
    await rewrap(file, before, after, cost);
    await lock.release();
  });
}

async function rewrap(file: string, before: string, after: string, cost: PassphraseCost | undefined): Promise<void> {
  const text = await wrapKey(await readKeys(file, before), after, cost);
  try {
    await writeAtomically(keyFileOf(file), text);
  } catch (error) {
    throw writeFailure(error);
  }
}

/** Returns the SHA-256 of a library's key file: it changes with the passphrase. */
export async function keyFileDigest(path: string): Promise<string> {
  return createHash('sha256').update(await readFile(keyFileOf(resolve(path)))).digest('hex');
}

async function readKeys(file: string, secret: LibrarySecret): Promise<LibraryKeys> {
  if ((await stateOfLibraryFile(file)) === 'new') throw new FailureError({ code: 'library-missing', message: `There is no library "${basename(file)}".`, remedy: 'Check the path, or make a new library with: lacuna library create' });
  return typeof secret === 'string' ? await unwrapKey(await readFile(keyFileOf(file), 'utf8'), secret) : keysFrom(secret.dataKey);
}

/** Runs `work` with the library's lock, which is given free when it fails. */
async function locked<T>(file: string, work: (lock: LibraryLock) => Promise<T>): Promise<T> {
  let lock: LibraryLock | null = null;
  try {
    await makeFolder(dirname(file), 0o700);
    lock = await lockLibrary(`${file}.lock`, basename(file));
    await finishRestore(file);
    return await work(lock);
  } catch (error) {
    await lock?.release();
    if (error instanceof FailureError) throw error;
    if (isSystemError(error, 'ENOSPC', 'EDQUOT')) throw writeFailure(error);
    if (error instanceof Error && 'syscall' in error) throw new FailureError({ code: 'library-unusable', message: `The library "${basename(file)}" cannot be used (${systemCode(error)}).`, remedy: (await isFile(file)) ? `Its folder has to be writable: change its rights. ${COPY_ELSEWHERE}` : 'Choose another place with --library, or change the rights of its folder: it has to be writable.' });
    throw error;
  }
}

async function build(file: string, database: LibraryDatabase, keys: LibraryKeys, lock: LibraryLock, { now = () => new Date(), onBackupProblem = () => undefined, checkLines = false, cost }: LibraryFileOptions): Promise<OpenLibraryFile> {
  try {
    let backedUp: Promise<unknown> = Promise.resolve();
    const store = await buildDatabaseStore({
      database,
      checkLines,
      libraryName: basename(file, LIBRARY_ENDING),
      incoming: `${file}.incoming`,
      beforeClose: async () => void (await backedUp),
      afterClose: () => lock.release(),
    });
    // Without waiting for it: the library is open meanwhile. One that does not succeed is told, and tried again at the next start.
    backedUp = backUpWhenDue({ file, database, keys }, now()).then(() => undefined, onBackupProblem);
    // Put onto the store itself: a copy of it would freeze what it says of itself.
    return Object.assign(store, {
      dataKey: keys.data,
      backUpNow(at: Date) {
        const made = backedUp.then(() => backUp({ file, database, keys }, at));
        backedUp = made.catch(() => undefined); // told to whoever asked for it
        return made;
      },
      changePassphrase: (before: string, after: string) => rewrap(file, before, after, cost),
    });
  } catch (error) {
    database.close();
    throw error;
  }
}

/**
 * Puts a backup in the place of the library once `look` has passed its copy; what was there is kept under `aside` until a person
 * removes it. The backup itself is only read. `keyText`: the key file that is to go with it.
 * Errors  as `locked`, or those of `look`: the library is as it was then. Cut short later, it is done by whoever opens the library next.
 */
export async function putInPlace<T>(path: string, backup: string, keyText: string, aside: string, look: (copy: string) => Promise<T>): Promise<T> {
  const file = resolve(path);
  return await locked(file, async (lock) => {
    const coming = comingOf(file);
    let seen: T;
    try {
      await copyFile(backup, coming);
      seen = await look(coming);
      await flushFile(coming);
      await writeAtomically(keyFileOf(coming), keyText);
      await writeAtomically(restoringOf(file), basename(aside)); // the last thing that a full disk can refuse: from here on names change only
    } catch (error) {
      await rm(restoringOf(file), { force: true });
      await removeLibrary(coming); // with what was kept beside it while it was looked at
      throw error;
    }
    await finishRestore(file);
    await lock.release();
    return seen;
  });
}

/** Does what is left of putting a backup in the library's place; every step can be done twice. Without a note it was never begun on. */
async function finishRestore(file: string): Promise<void> {
  const coming = comingOf(file);
  const named = await readFile(restoringOf(file), 'utf8').catch((error: unknown) => {
    if (isSystemError(error, 'ENOENT')) return null;
    throw error;
  });
  if (named === null) {
    await removeLibrary(coming);
    return;
  }
  const aside = resolve(dirname(file), basename(named));
  // What lies in the place is the library as it was for as long as what is to come has not left its own.
  if (await isFile(coming)) for (const ending of ['', '-wal', '-shm']) await renameIfThere(`${file}${ending}`, `${aside}${ending}`);
  if (await isFile(keyFileOf(coming))) await renameIfThere(keyFileOf(file), keyFileOf(aside));
  await renameIfThere(keyFileOf(coming), keyFileOf(file));
  await renameIfThere(coming, file);
  await rm(markOf(file), { force: true }); // else what was restored would count as one that never came to be
  await flushFolder(dirname(file));
  await rm(restoringOf(file), { force: true });
}

async function renameIfThere(from: string, to: string): Promise<void> {
  if (await isFile(from)) await renamePatiently(from, to);
}

async function removeLibrary(file: string): Promise<void> {
  for (const ending of LIBRARY_ENDINGS) await rm(`${file}${ending}`, { force: true });
}

/** Returns whether a file lies at `path`. Errors  rejects with the system's error where that cannot be told. */
export async function isFile(path: string): Promise<boolean> {
  return (await statOf(path))?.isFile() === true;
}

async function isFolder(path: string): Promise<boolean> {
  return (await statOf(path))?.isDirectory() === true;
}

async function statOf(path: string): Promise<Stats | null> {
  try {
    return await stat(path);
  } catch (error) {
    if (isSystemError(error, 'ENOENT', 'ENOTDIR')) return null;
    throw error;
  }
}
