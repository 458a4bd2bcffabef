import { readFile } from 'node:fs/promises';
import { basename, resolve } from 'node:path';
import { FailureError } from '../../core/protocol/failure-error.ts';
import { isSystemError } from '../host/atomic-write.ts';
import type { BackupContent } from './library-backups.ts';
import { readThrough } from './library-backups.ts';
import { putInPlace } from './library-file.ts';
import { unwrapKey } from './library-key.ts';

/**
 * Puts a backup in the place of a library, after it was opened with the passphrase of its day and read through. What was there
 * is kept beside it. Returns where that lies, and what the backup holds.
 * Errors  rejects with a FailureError: `backup-missing`, `passphrase-wrong`, `library-damaged`, `case-unreadable`, `library-in-use`.
 *         The library is as it was then.
 */
export async function restoreBackup(path: string, backup: string, passphrase: string, now: Date): Promise<BackupContent & { readonly aside: string }> {
  const file = resolve(path);
  const from = resolve(backup);
  const keyText = await readFile(`${from}.key`, 'utf8').catch((error: unknown) => {
    if (isSystemError(error, 'ENOENT')) throw new FailureError({ code: 'backup-missing', message: `There is no backup "${basename(from)}" with its key file.`, remedy: 'See which there are with: lacuna library backups' });
    throw error;
  });
  const content = await readThrough(from, await unwrapKey(keyText, passphrase));
  const aside = `${file}.before-${now.toISOString().slice(0, 19).replaceAll(':', '-')}Z`;
  await putInPlace(file, from, aside);
  return { aside, ...content };
}
