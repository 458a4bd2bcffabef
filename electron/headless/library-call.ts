import { decodeCase } from '../../core/persist/case-bytes.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import { askPassphrase, PASSPHRASE_VARIABLE } from '../store/ask-passphrase.ts';
import { listBackups } from '../store/library-backups.ts';
import type { LibraryFileOptions } from '../store/library-file.ts';
import { changePassphrase, createLibraryFile, LIBRARY_ENDING, openLibraryFile } from '../store/library-file.ts';
import { moveFolder } from '../store/move-folder.ts';
import { restoreBackup } from '../store/restore-backup.ts';

/** What is to be done with an encrypted library. */
export type LibraryCall =
  | { readonly command: 'library'; readonly action: 'create' | 'passphrase' | 'check' | 'backups'; readonly file: string }
  | { readonly command: 'library'; readonly action: 'move'; readonly folder: string; readonly file: string }
  | { readonly command: 'library'; readonly action: 'restore'; readonly file: string; readonly backup: string };

/** The environment variable that a new passphrase may come from where there is one already. */
export const NEW_PASSPHRASE_VARIABLE = 'LACUNA_NEW_PASSPHRASE';

const FORGOTTEN = 'Write the passphrase down and keep it in a safe place: when it is forgotten nobody can read the library any more.';

/** Does what is asked and says it line by line; returns the exit code: 0, or 1 when something is wrong with the library or the call. */
export async function runLibraryCall(call: LibraryCall, say: (line: string) => void, options: LibraryFileOptions & { readonly now: () => Date }): Promise<0 | 1> {
  try {
    return await act(call, say, options);
  } catch (error) {
    const { code, message, remedy } = toFailure(error);
    if (code === 'internal') throw error;
    say([message, remedy].filter(Boolean).join(' '));
    return 1;
  }
}

async function act(call: LibraryCall, say: (line: string) => void, options: LibraryFileOptions & { readonly now: () => Date }): Promise<0 | 1> {
  const ask = (): Promise<string> => askPassphrase('Passphrase of the library', PASSPHRASE_VARIABLE, { twice: false });
  const askNew = (variable: string): Promise<string> => askPassphrase('New passphrase', variable, { twice: true });
  switch (call.action) {
    case 'create': {
      const store = await createLibraryFile(withEnding(call.file), await askNew(PASSPHRASE_VARIABLE), options);
      await store.close();
      say(`The encrypted library is there. Open it with: npm start -- --library ${call.file}`);
      say(FORGOTTEN);
      return 0;
    }
    case 'move': {
      const { cases, documents, entries } = await moveFolder(call.folder, withEnding(call.file), await askNew(PASSPHRASE_VARIABLE), options);
      say(`${cases} cases, ${documents} documents and ${entries} entries of journals are in the encrypted library and were held against the folder.`);
      say('The folder is still there, not encrypted. Open the library, look at it, and then remove the folder yourself.');
      say(FORGOTTEN);
      return 0;
    }
    case 'passphrase': {
      await changePassphrase(call.file, await ask(), await askNew(NEW_PASSPHRASE_VARIABLE), options);
      say('The passphrase is changed. The earlier one still opens the library with the key file of a backup made before: if somebody else may know it, remove those backups, or make a new library.');
      return 0;
    }
    case 'check':
      return await check(call.file, await ask(), say, options);
    case 'backups': {
      const backups = await listBackups(call.file);
      for (const { at, byteLength, path } of backups) say(`${at}  ${(byteLength / 1e6).toFixed(1)} MB  ${path}`);
      if (backups.length === 0) say('There is no backup of this library yet. One is made whenever the library is opened and the last one is older than a day.');
      return 0;
    }
    case 'restore': {
      const { cases, aside } = await restoreBackup(call.file, call.backup, await askPassphrase('Passphrase of the backup', PASSPHRASE_VARIABLE, { twice: false }), options.now());
      say(`The backup was opened and read through: ${cases} cases. It is the library now.`);
      say(`What was there before is kept as ${aside}`);
      return 0;
    }
  }
}

async function check(file: string, passphrase: string, say: (line: string) => void, options: LibraryFileOptions): Promise<0 | 1> {
  const store = await openLibraryFile(file, passphrase, { ...options, checkLines: true, onBackupProblem: (error) => say(`No backup could be made: ${toFailure(error).message}`) });
  try {
    let damaged = 0;
    const lines = store.list();
    for (const { caseKey } of lines) {
      const problem = await store.readBytes(caseKey).then((bytes) => (decodeCase(bytes).ok ? null : 'its content is damaged'), (error: unknown) => toFailure(error).message);
      if (problem === null) continue;
      damaged += 1;
      say(`case ${caseKey}: ${problem}`);
    }
    say(`${lines.length - damaged} of ${lines.length} cases are whole, and everything else in the library is.`);
    return damaged === 0 ? 0 : 1;
  } finally {
    await store.close();
  }
}

function withEnding(file: string): string {
  if (file.endsWith(LIBRARY_ENDING)) return file;
  throw new FailureError({ code: 'bad-name', message: `The file of an encrypted library ends in ${LIBRARY_ENDING}.`, remedy: `Call it ${file.replace(/[/\\]+$/, '')}${LIBRARY_ENDING}` });
}
