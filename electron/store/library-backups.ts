import { constants } from 'node:fs';
import { copyFile, readFile, readdir, rm, stat } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { setImmediate } from 'node:timers/promises';
import { UNFINISHED, isSystemError, writeAtomically } from '../host/atomic-write.ts';
import { makeFolder } from '../host/make-folder.ts';
import { writeFailure } from '../host/write-failure.ts';
import { buildCaseBodies } from './case-bodies.ts';
import { checkShelf } from './database-shelf.ts';
import { flushFile } from './flush-file.ts';
import type { LibraryDatabase } from './library-database.ts';
import { openDatabase } from './library-database.ts';
import type { LibraryKeys } from './library-key.ts';

/** A backup is made at the first start after this long. */
const DUE_AFTER_MS = 20 * 3_600_000;
/** Of so many days, and of so many months, the last backup is kept. */
const DAYS_KEPT = 7;
const MONTHS_KEPT = 12;
const BACKUP_FILE = /^(\d{4}-\d{2}-\d{2})T(\d{2})-(\d{2})-(\d{2})Z\.lacuna$/;

export interface OpenLibrary {
  readonly file: string;
  readonly database: LibraryDatabase;
  readonly keys: LibraryKeys;
}

/** A backup of a library, which was opened and read through when it was made. */
export interface Backup {
  readonly path: string;
  /** UTC, as in its name. */
  readonly at: string;
  readonly byteLength: number;
}

/** What was found in a backup when it was read through. */
export interface BackupContent {
  readonly cases: number;
}

/** Returns the backups of a library, the newest first. */
export async function listBackups(path: string): Promise<readonly Backup[]> {
  const folder = `${resolve(path)}.backups`;
  const names = await readdir(folder).catch((error: unknown): string[] => {
    if (isSystemError(error, 'ENOENT')) return [];
    throw error;
  });
  const found: Backup[] = [];
  for (const name of names.filter((one) => BACKUP_FILE.test(one) && names.includes(`${one}.key`)).sort().reverse()) {
    found.push({ path: join(folder, name), at: name.replace(BACKUP_FILE, '$1T$2:$3:$4Z'), byteLength: (await stat(join(folder, name))).size });
  }
  return found;
}

/** Makes a backup where the newest one is older than a day, and removes those that are not kept any more; returns whether one was made. */
export async function backUpWhenDue(library: OpenLibrary, now: Date): Promise<boolean> {
  const [newest] = await listBackups(library.file);
  if (newest !== undefined && now.getTime() - Date.parse(newest.at) < DUE_AFTER_MS) return false;
  await backUp(library, now);
  return true;
}

/**
 * Makes a backup: the file is copied while nothing is written to it, opened, and read through; then the ones that are not kept any
 * more are removed.
 * Errors  rejects with a FailureError: `library-damaged`, `case-unreadable` (no backup is kept of a library that
 *         is damaged, and none is removed), `disk-full`, `library-unwritable`. Nothing stays of the backup then.
 */
export async function backUp({ file, database, keys }: OpenLibrary, now: Date): Promise<Backup & BackupContent> {
  const folder = `${file}.backups`;
  try {
    await makeFolder(folder, 0o700);
    await removeHalf(folder);
    const { path, at } = await freePlace(folder, now);
    await database.whileStill(() => copyFile(file, path, constants.COPYFILE_FICLONE));
    const content = await readThrough(path, keys);
    await flushFile(path);
    await writeAtomically(`${path}.key`, await readFile(`${file}.key`)); // last: one without its key file counts as half
    await removeOld(file);
    return { path, at, byteLength: (await stat(path)).size, ...content };
  } catch (error) {
    await removeHalf(folder).catch(() => undefined); // the error itself is what is told
    throw error instanceof Error && 'syscall' in error ? writeFailure(error) : error;
  }
}

/** Returns a name of this second, or of the first one after it that no backup has: one that is there is never written over. */
async function freePlace(folder: string, now: Date): Promise<Pick<Backup, 'path' | 'at'>> {
  const names = await readdir(folder);
  for (let atMs = now.getTime(); ; atMs += 1000) {
    const second = new Date(atMs).toISOString().slice(0, 19);
    const name = `${second.replaceAll(':', '-')}Z.lacuna`;
    if (!names.includes(name)) return { path: join(folder, name), at: `${second}Z` };
  }
}

/** Opens a copy of a library and reads all of it. Errors  rejects as `backUp` does for a damaged one. */
export async function readThrough(path: string, keys: LibraryKeys): Promise<BackupContent> {
  const copy = await openDatabase(path, keys);
  try {
    checkShelf(copy, { withLines: true });
    const bodies = buildCaseBodies(copy);
    const cases = copy.all('SELECT body_id FROM cases');
    for (const row of cases) {
      bodies.read(row.integer('body_id'));
      await setImmediate(); // the window goes on meanwhile
    }
    return { cases: cases.length };
  } finally {
    copy.close();
    // The library below keeps its hold until memory is tidied: what it leaves beside the copy is empty.
    for (const ending of ['-wal', '-shm']) await rm(`${path}${ending}`, { force: true }).catch(() => undefined);
  }
}

/** Removes a backup that was being made when the program ended. */
async function removeHalf(folder: string): Promise<void> {
  const names = await readdir(folder);
  for (const name of names) {
    const whole = name.replace(/(-wal|-shm|\.key)$/, '');
    if (name.endsWith(UNFINISHED) || !names.includes(`${whole}.key`) || name !== whole && name !== `${whole}.key`) await rm(join(folder, name), { force: true });
  }
}

async function removeOld(file: string): Promise<void> {
  const backups = await listBackups(file);
  const kept = new Set<string>();
  const keepLastOf = (period: (backup: Backup) => string, count: number): void => {
    const last = new Map<string, string>();
    for (const backup of backups) if (!last.has(period(backup))) last.set(period(backup), backup.path); // the newest comes first
    for (const path of [...last.values()].slice(0, count)) kept.add(path);
  };
  keepLastOf(({ at }) => at.slice(0, 10), DAYS_KEPT);
  keepLastOf(({ at }) => at.slice(0, 7), MONTHS_KEPT);
  for (const { path } of backups) if (!kept.has(path)) for (const ending of ['.key', '']) await rm(`${path}${ending}`, { force: true });
}
