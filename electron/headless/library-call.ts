import { readFile, stat } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import type { SharedDefinitions } from '../../core/model/shared-definitions.ts';
import { decodeCase } from '../../core/persist/case-bytes.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import type { TakenDefinitions, TakenKind } from '../../core/protocol/library-calls.ts';
import { writeAtomically } from '../host/atomic-write.ts';
import type { CaseStore } from '../host/case-store.ts';
import { openFolderStore } from '../host/folder-case-store.ts';
import type { Host } from '../host/host.ts';
import { systemCode } from '../host/write-failure.ts';
import { askPassphrase, PASSPHRASE_VARIABLE } from '../store/ask-passphrase.ts';
import { listBackups } from '../store/library-backups.ts';
import type { LibraryFileOptions } from '../store/library-file.ts';
import { changePassphrase, createLibraryFile, isLibraryFile, LIBRARY_ENDING, openLibraryFile } from '../store/library-file.ts';
import { moveFolder } from '../store/move-folder.ts';
import { restoreBackup } from '../store/restore-backup.ts';
import { writeStory, type StoryCall } from './library-story.ts';
import { checkActionsFile, writeActions } from './library-actions.ts';
import type { LibraryActionsCall } from './library-actions.ts';

/** What is to be done with an encrypted library. */
export type LibraryCall =
  | { readonly command: 'library'; readonly action: 'create' | 'passphrase' | 'check' | 'backups'; readonly file: string }
  | { readonly command: 'library'; readonly action: 'move'; readonly folder: string; readonly file: string }
  | { readonly command: 'library'; readonly action: 'restore'; readonly file: string; readonly backup: string }
  /** `library`: a folder or a file. */
  | { readonly command: 'library'; readonly action: 'share' | 'take'; readonly library: string; readonly file: string }
  | LibraryActionsCall
  | StoryCall;

export interface LibraryCallOptions extends LibraryFileOptions {
  readonly now: () => Date;
  /** Returns a host over an open library; closing it closes the library. */
  readonly hostOver: (store: CaseStore) => Host;
}

/** The environment variable that a new passphrase may come from where there is one already. */
export const NEW_PASSPHRASE_VARIABLE = 'LACUNA_NEW_PASSPHRASE';

const FORGOTTEN = 'Write the passphrase down and keep it in a safe place: when it is forgotten nobody can read the library any more.';

/** Does what is asked and says it line by line; returns the exit code: 0; 1 when something is wrong with the library or the call; 2 when something has to be answered before a story may leave. */
export async function runLibraryCall(call: LibraryCall, say: (line: string) => void, options: LibraryCallOptions): Promise<0 | 1 | 2> {
  try {
    return await act(call, say, options);
  } catch (error) {
    const { code, message, remedy } = toFailure(error);
    if (code === 'internal') throw error;
    say([message, remedy].filter(Boolean).join(' '));
    return 1;
  }
}

async function act(call: LibraryCall, say: (line: string) => void, options: LibraryCallOptions): Promise<0 | 1 | 2> {
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
      if (!(await isThere(join(call.folder, 'library.json')))) throw libraryMissing(call.folder); // opening it would make an empty one
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
    case 'share': {
      if (await isThere(call.file)) throw new FailureError({ code: 'file-there', message: `There is a file ${call.file} already.`, remedy: 'Choose another name, or remove it.' });
      const { text } = await withHost(call.library, options, ask, (host) => host.shareDefinitions());
      await writeAtomically(resolve(call.file), text).catch((error: unknown) => {
        throw new FailureError({ code: 'file-unwritable', message: `The file ${call.file} could not be written (${systemCode(error)}).`, remedy: 'Choose another place.' });
      });
      const { mappings, parameterSets, protocols, charts, notShared } = JSON.parse(text) as SharedDefinitions; // written by ourselves just now
      say(`${mappings.length} mappings, ${parameterSets.length} sets of definitions, ${protocols.length} protocols and ${charts.length} definitions of quality charts are in ${call.file}.`);
      for (const { what, why } of notShared) say(`not in it: ${what} (${why})`);
      return 0;
    }
    case 'actions': {
      const form = await checkActionsFile(call.out);
      return await withHost(call.library, options, ask, (host) => writeActions(host, call, form, options.now(), say));
    }
    case 'story':
      return await withHost(call.library, options, ask, (host) => writeStory(call, host, say));
    case 'take': {
      const text = await readFile(resolve(call.file), 'utf8').catch((error: unknown) => {
        throw new FailureError({ code: 'file-missing', message: `The file ${call.file} could not be read (${systemCode(error)}).`, remedy: 'Check its path.' });
      });
      const taken = await withHost(call.library, options, ask, (host) => host.takeDefinitions({ text }));
      for (const [kind, { added, alreadyThere, leftOut }] of Object.entries(taken) as [keyof TakenDefinitions, TakenKind][]) { // the record that the host has just made
        say(`${KINDS[kind]}: ${added.length} added, ${alreadyThere.length} already there, ${leftOut.length} left out`);
        for (const { name, why } of leftOut) say(`left out: ${name}: ${why}`);
      }
      return 0;
    }
  }
}

const KINDS: Readonly<Record<keyof TakenDefinitions, string>> = { mappings: 'mappings', parameterSets: 'sets of definitions', protocols: 'protocols', charts: 'quality charts' };

/** Opens a library of either kind, which must be there, for one question. */
async function withHost<T>(library: string, options: LibraryCallOptions, ask: () => Promise<string>, question: (host: Host) => Promise<T>): Promise<T> {
  const isFile = await isLibraryFile(library);
  if (!isFile && !(await isThere(join(library, 'library.json')))) throw libraryMissing(library);
  const host = options.hostOver(isFile ? await openLibraryFile(library, await ask(), options) : await openFolderStore(library));
  try {
    return await question(host);
  } finally {
    await host.close();
  }
}

function libraryMissing(library: string): FailureError {
  return new FailureError({ code: 'library-missing', message: `There is no library ${library}.`, remedy: 'Check the path: the folder of a library holds a file library.json.' });
}

async function isThere(path: string): Promise<boolean> {
  return await stat(resolve(path)).then(() => true, () => false);
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
