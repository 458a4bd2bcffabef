import { readFile, readdir, stat } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { KeptAside } from '../../core/protocol/library-calls.ts';
import { isSystemError } from '../host/atomic-write.ts';
import type { BackupContent } from './library-backups.ts';
import { readThrough } from './library-backups.ts';
import type { LibrarySecret } from './library-file.ts';
import { isFile, putInPlace } from './library-file.ts';
import { keysFrom, unwrapKey } from './library-key.ts';

/** When a backup was put in the place of a library, in the name of what is kept. */
const WHEN = /^(\d{4}-\d{2}-\d{2})T(\d{2})-(\d{2})-(\d{2})Z$/;

/**
 * Puts a backup in the place of a library, after a copy of it was opened and read through. What was there is kept beside it.
 * Returns where that lies, and what the backup holds. `secret`: the passphrase of the backup's day, which the library has from then
 * on; or the data key of the library, which then keeps its passphrase of today.
 * Errors  rejects with a FailureError: `backup-missing`, `backup-unusable`, `passphrase-wrong`, `library-damaged`, `case-unreadable`,
 *         `library-in-use`. The library is as it was then.
 */
export async function restoreBackup(path: string, backup: string, secret: LibrarySecret, now: Date): Promise<BackupContent & { readonly aside: string }> {
  const file = resolve(path);
  const from = resolve(backup);
  const ownKeyText = await readFile(`${from}.key`, 'utf8').catch((error: unknown) => {
    if (isSystemError(error, 'ENOENT')) throw backupMissing(basename(from));
    throw error;
  });
  const isOpened = typeof secret !== 'string';
  const keys = isOpened ? keysFrom(secret.dataKey) : await unwrapKey(ownKeyText, secret);
  const keyText = isOpened ? await readFile(`${file}.key`, 'utf8') : ownKeyText;
  const aside = await freeName(file, now);
  const content = await putInPlace(file, from, keyText, aside, (copy) =>
    readThrough(copy, keys).catch((error: unknown) => {
      if (!isOpened || !(error instanceof FailureError) || error.code !== 'library-damaged') throw error;
      throw new FailureError({
        code: 'backup-unusable',
        message: 'This backup does not open with the key of the library: it is damaged, or of another library that had the same name.',
        remedy: 'Take another backup. One of another library can be put back with its own passphrase: lacuna library restore.',
      });
    }),
  );
  return { aside, ...content };
}

/** Returns what backups took the place of, the newest first. */
export async function listKeptAside(path: string): Promise<readonly KeptAside[]> {
  const file = resolve(path);
  const beginning = `${basename(file)}.before-`;
  const found: KeptAside[] = [];
  for (const name of (await readdir(dirname(file))).filter((one) => one.startsWith(beginning)).sort().reverse()) {
    const when = name.slice(beginning.length);
    if (!WHEN.test(when)) continue; // its key, or what lies beside it
    const size = await stat(join(dirname(file), name)).then((stats) => stats.size, () => null); // null: a person has removed it just now
    if (size !== null) found.push({ name, at: when.replace(WHEN, '$1T$2:$3:$4Z'), byteLength: size });
  }
  return found;
}

/** Returns a name of this second, or of the first one after it, under which nothing is kept yet. */
async function freeName(file: string, now: Date): Promise<string> {
  for (let atMs = now.getTime(); ; atMs += 1000) {
    const name = `${file}.before-${new Date(atMs).toISOString().slice(0, 19).replaceAll(':', '-')}Z`;
    if (!(await isFile(name)) && !(await isFile(`${name}.key`))) return name;
  }
}

/** The failure that a library has no such backup. */
export function backupMissing(name: string): FailureError {
  return new FailureError({ code: 'backup-missing', message: `There is no backup "${name}" with its key file.`, remedy: 'Look at the list of backups again (lacuna library backups).' });
}
