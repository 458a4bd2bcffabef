import { createHash } from 'node:crypto';
import { basename } from 'node:path';
import { setTimeout } from 'node:timers/promises';
import { FailureError } from '../../core/protocol/failure-error.ts';
import { HOST_METHODS } from '../../core/protocol/host-api-schema.ts';
import type { HostApi, HostDescription, HostEvent } from '../../core/protocol/host-api.ts';
import type { KeyKeeping, NamedLibrary } from '../../core/protocol/library-calls.ts';
import type { CaseStore } from '../host/case-store.ts';
import { openFolderStore } from '../host/folder-case-store.ts';
import type { Host } from '../host/host.ts';
import type { DeskApi } from '../host/no-library-desk.ts';
import type { KeyStore } from './key-store.ts';
import { listBackups } from './library-backups.ts';
import type { LibraryFileOptions, LibrarySecret, OpenLibraryFile } from './library-file.ts';
import { createLibraryFile, keyFileDigest, openLibraryFile, stateOfLibraryFile } from './library-file.ts';
import { checkPassphrase } from './library-key.ts';
import { moveFolder } from './move-folder.ts';
import type { OwnLibraries } from './own-libraries.ts';
import { backupMissing, listKeptAside, restoreBackup } from './restore-backup.ts';

/** Idle minutes that are shown for a library that is locked: its own are inside it. */
const LOCK_AFTER_MINUTES = 10;

/** So long a library that is to be closed is waited for: the page's own short calls are over by then. */
const PATIENCE_MS = 5000;
/** How often it is looked whether they are. */
const LOOK_MS = 20;

/** A library and where it lies. */
export interface LibraryPlace extends NamedLibrary {
  readonly path: string;
  /** Whether it lies in the user's own folder of libraries. */
  readonly isOwn: boolean;
}

export interface LibraryDeskOptions {
  readonly productVersion: string;
  readonly door: HostDescription['door'];
  /** The library that is opened first. */
  readonly first: LibraryPlace;
  readonly own: OwnLibraries;
  /** Idle minutes that overrule those of the library; null: the library's own. */
  readonly lockAfterMinutes: number | null;
  readonly keyStore: KeyStore;
  /** How long a call that is being answered is waited for before the library is called busy, ms. */
  readonly patienceMs?: number | undefined;
  /** Returns a host over an open library; closing it closes the library. */
  readonly startOver: (store: CaseStore, place: LibraryPlace) => Promise<Host>;
  readonly fileOptions: LibraryFileOptions;
  readonly now: () => Date;
}

/** The host of a window, which can change the library that it is over. */
export interface LibraryDesk extends Host {
  /** Opens the first library: a folder, or an encrypted one whose key is kept; another encrypted one stays locked. Errors  as the library's opening; `library-missing`. */
  begin(): Promise<void>;
}

type Open = { readonly host: Host; readonly store: CaseStore; readonly file: null } | { readonly host: Host; readonly store: OpenLibraryFile; readonly file: OpenLibraryFile };

/**
 * Returns the host of a window over one library at a time. While an encrypted one is locked, every call but those of the desk rejects
 * with `library-locked`. Locking closes the library: its key is not in memory any more.
 */
export function createLibraryDesk({ first, own, keyStore, ...options }: LibraryDeskOptions): LibraryDesk {
  const listeners = new Set<(event: HostEvent) => void>();
  const emit = (event: HostEvent): void => {
    for (const listener of listeners) listener(event);
  };
  let place = first;
  let open: Open | null = null;
  /** Calls that are being answered: what they began must not be cut off. */
  let running = 0;
  /** Whatever changes the library below follows one another. */
  let lastTurn: Promise<unknown> = Promise.resolve();
  function inTurn<T>(act: () => Promise<T>): Promise<T> {
    const next = lastTurn.then(act, act);
    lastTurn = next.catch(() => undefined);
    return next;
  }
  async function ask<T>(question: (host: Host) => Promise<T>): Promise<T> {
    if (open === null) throw new FailureError({ code: 'library-locked', message: 'The library is locked.', remedy: 'Unlock it with its passphrase.' });
    running += 1;
    try {
      return await question(open.host);
    } finally {
      running -= 1;
    }
  }

  async function startOver(given: Omit<Open, 'host'>, at: LibraryPlace): Promise<Open> {
    try {
      const host = await options.startOver(given.store, at);
      host.onEvent(emit);
      return { ...given, host } as Open; // the two fields of `given` fit each other
    } catch (error) {
      await given.store.close();
      throw error;
    }
  }

  async function openFolder(at: LibraryPlace): Promise<Open> {
    return await startOver({ store: await openFolderStore(at.path), file: null }, at);
  }

  async function openFile(at: LibraryPlace, secret: LibrarySecret): Promise<Open> {
    const file = await openLibraryFile(at.path, secret, options.fileOptions);
    return await startOver({ store: file, file }, at);
  }

  /** The open library as an encrypted one. */
  function encrypted(): OpenLibraryFile {
    if (place.form === 'folder') throw notEncrypted();
    if (open === null || open.file === null) throw new FailureError({ code: 'library-locked', message: 'The library is locked.', remedy: 'Unlock it with its passphrase.' });
    return open.file;
  }

  /** Waits until no call is being answered. Errors  `library-busy` where that takes too long: an import, a cohort. */
  async function untilQuiet(): Promise<void> {
    const until = performance.now() + (options.patienceMs ?? PATIENCE_MS);
    while (running > 0 && performance.now() < until) await setTimeout(LOOK_MS);
    if (running > 0) throw new FailureError({ code: 'library-busy', message: 'The library is being read or written; it cannot be closed at this moment.', remedy: 'Wait until it is done, or cancel it, and do it then.' });
  }

  async function closeOpen(): Promise<void> {
    const closing = open;
    open = null;
    await closing?.host.close();
  }

  /**
   * Goes on with another library, which the next start opens then; whatever page there is begins anew. What cannot be noted for the
   * next start is not done: a person would be back in the library that was left without knowing.
   */
  async function goOnWith(next: LibraryPlace, opened: Open | null): Promise<void> {
    try {
      await own.setLastUsed({ name: next.name, form: next.form });
    } catch (error) {
      await opened?.host.close();
      throw error;
    }
    const before = open;
    [place, open] = [next, opened];
    emit({ kind: 'library-locked' });
    await before?.host.close();
  }

  function ownPlace(library: NamedLibrary): LibraryPlace {
    return { ...library, path: own.pathOf(library), isOwn: true };
  }

  async function refuseTaken(at: LibraryPlace): Promise<void> {
    const isTaken = (await own.list()).some(({ name }) => name.toLowerCase() === at.name.toLowerCase()); // one disk in three takes the two for the same
    if (isTaken || (at.form === 'encrypted' && (await stateOfLibraryFile(at.path)) === 'locked')) throw new FailureError({ code: 'library-there', message: `There is already a library “${at.name}”.`, remedy: 'Choose another name, or open that library.' });
  }

  /** Names the library in the key store and says nothing about it. */
  const keyId = (): string => createHash('sha256').update(place.path).digest('hex').slice(0, 32);

  async function keptKey(): Promise<LibrarySecret | null> {
    const kept = (await keyStore.whyNot()) === null ? await keyStore.read(keyId()) : null;
    if (kept === null) return null;
    if (kept.keyFileDigest === (await keyFileDigest(place.path).catch(() => null))) return { dataKey: kept.dataKey };
    await keyStore.forget(keyId()); // another passphrase, or another library: what is kept is not of this one
    return null;
  }

  async function keyKeeping(): Promise<KeyKeeping> {
    if (place.form === 'folder') return { kind: 'none', why: 'A folder has no key.' };
    const why = await keyStore.whyNot();
    return why === null ? { kind: 'offered', isKept: (await keyStore.read(keyId())) !== null } : { kind: 'none', why };
  }

  async function backupAt(at: string): Promise<string> {
    const found = (await listBackups(place.path)).find((backup) => backup.at === at);
    if (found === undefined) throw backupMissing(at);
    return found.path;
  }

  const minutes = (): number => options.lockAfterMinutes ?? open?.store.settings.lockAfterMinutes ?? LOCK_AFTER_MINUTES;

  const desk: DeskApi = {
    async describe() {
      return { productVersion: options.productVersion, door: options.door, libraryName: place.name, lock: place.form === 'folder' ? null : { isLocked: open === null, afterMinutes: minutes() } };
    },
    unlockLibrary: ({ passphrase }) =>
      inTurn(async () => {
        if (open === null) open = await openFile(place, passphrase);
        return { unlocked: true };
      }),
    lockLibrary: () =>
      inTurn(async () => {
        if (place.form === 'folder') throw notEncrypted();
        await untilQuiet();
        const closing = open;
        open = null;
        emit({ kind: 'library-locked' }); // first: closing may wait for a backup, and the page must be empty meanwhile
        await closing?.host.close();
        return { locked: true };
      }),
    async describeLibrary() {
      const { name, form, isOwn } = place;
      return {
        open: { name, form },
        isOwn,
        others: (await own.list()).filter((other) => !isOwn || other.name !== name || other.form !== form),
        lockAfter: form === 'folder' ? null : { minutes: minutes(), isOverruled: options.lockAfterMinutes !== null },
        keyKeeping: await keyKeeping(),
        keptAside: form === 'folder' ? [] : await listKeptAside(place.path),
        isUndecided: isOwn && open?.file === null && !open.store.settings.staysFolder,
      };
    },
    createLibrary: ({ name, form, passphrase }) =>
      inTurn(async () => {
        await untilQuiet();
        const at = ownPlace({ name, form });
        await refuseTaken(at);
        if (form === 'folder') {
          await goOnWith(at, await openFolder(at));
          return { cases: 0 };
        }
        const file = await createLibraryFile(at.path, passphrase ?? '', options.fileOptions);
        await goOnWith(at, await startOver({ store: file, file }, at));
        return { cases: 0 };
      }),
    moveLibrary: ({ name, passphrase }) =>
      inTurn(async () => {
        if (place.form !== 'folder') throw new FailureError({ code: 'not-a-folder', message: 'The library that is open is encrypted already.', remedy: 'Give it another passphrase, or make a new library.' });
        await untilQuiet();
        const from = place;
        const at = ownPlace({ name, form: 'encrypted' });
        checkPassphrase(passphrase); // before the open library is closed for it
        // The first library is called as the new one may be called: only other encrypted ones are in its way.
        if ((await stateOfLibraryFile(at.path)) === 'locked') throw new FailureError({ code: 'library-there', message: `There is already a library “${name}”.`, remedy: 'Choose another name, or open that library.' });
        await closeOpen();
        try {
          const { cases } = await moveFolder(from.path, at.path, passphrase, options.fileOptions);
          await goOnWith(at, await openFile(at, passphrase));
          return { cases };
        } catch (error) {
          if (place === from) open = await openFolder(from).catch(() => null); // it is as it was; the first error is what is told
          throw error;
        }
      }),
    openOtherLibrary: ({ name, form }) =>
      inTurn(async () => {
        await untilQuiet();
        const at = ownPlace({ name, form });
        if (!(await own.isThere(at))) throw new FailureError({ code: 'library-missing', message: `There is no library “${name}” any more.`, remedy: 'Look at the list again.' });
        await goOnWith(at, form === 'folder' ? await openFolder(at) : null);
        return { isLocked: form === 'encrypted' };
      }),
    changePassphrase: ({ before, after }) =>
      inTurn(async () => {
        await encrypted().changePassphrase(before, after);
        await keyStore.forget(keyId()); // whoever changes it may want nobody else to come in
        return { changed: true as const };
      }),
    setLockAfter: ({ minutes: wanted }) =>
      inTurn(async () => {
        await encrypted().settings.change({ lockAfterMinutes: wanted });
        emit({ kind: 'lock-changed' });
        return { minutes: wanted };
      }),
    keepKey: ({ isKept }) =>
      inTurn(async () => {
        const { dataKey } = encrypted();
        const why = await keyStore.whyNot();
        if (why !== null) throw new FailureError({ code: 'no-key-store', message: why, remedy: 'Type the passphrase at every start.' });
        if (isKept) await keyStore.keep(keyId(), { dataKey, keyFileDigest: await keyFileDigest(place.path) });
        else await keyStore.forget(keyId());
        return { isKept };
      }),
    async listBackups() {
      if (place.form === 'folder') throw notEncrypted();
      return (await listBackups(place.path)).map(({ at, byteLength }) => ({ at, byteLength }));
    },
    async backUpNow() {
      const { at, byteLength, cases } = await encrypted().backUpNow(options.now());
      return { at, byteLength, cases };
    },
    restoreBackup: ({ at, passphrase }) =>
      inTurn(async () => {
        if (place.form === 'folder') throw notEncrypted();
        await untilQuiet();
        const backup = await backupAt(at);
        const wasOpen = open?.file ?? null;
        const secret: LibrarySecret = wasOpen === null ? (passphrase ?? '') : { dataKey: wasOpen.dataKey };
        await closeOpen();
        try {
          const { cases, aside } = await restoreBackup(place.path, backup, secret, options.now());
          open = await openFile(place, secret);
          emit({ kind: 'library-locked' });
          return { cases, keptAs: basename(aside) };
        } catch (error) {
          if (wasOpen !== null) open = await openFile(place, secret).catch(() => null); // it is as it was
          if (wasOpen !== null && open === null) emit({ kind: 'library-locked' });
          throw error;
        }
      }),
    stayWithFolder: async () => {
      if (open?.file === null) await open.store.settings.change({ staysFolder: true });
      return { stays: true };
    },
  };
  // Every method of the protocol, each with the argument that it is called with: TypeScript cannot follow the union of them.
  const delegated = Object.fromEntries(Object.keys(HOST_METHODS).map((method) => [method, (args: unknown) => ask((host) => (host[method as keyof HostApi] as (args: unknown) => Promise<unknown>)(args))])) as unknown as HostApi;
  return {
    ...delegated,
    ...desk,
    begin: () =>
      inTurn(async () => {
        if (place.form === 'folder') open = await openFolder(place);
        else {
          if ((await stateOfLibraryFile(place.path)) === 'new') throw new FailureError({ code: 'library-missing', message: `There is no encrypted library ${place.path}.`, remedy: 'Make one in the window, or with: npm run --silent lacuna -- library create FILE' });
          const kept = await keptKey();
          // What keeps it from opening is told to whoever types its passphrase.
          if (kept !== null) open = await openFile(place, kept).catch(() => null);
        }
      }),
    openCase: (caseKey) => ask((host) => host.openCase(caseKey)),
    stageFile: (importId, relativePath, body) => ask((host) => host.stageFile(importId, relativePath, body)),
    finishReanalysis: () => ask((host) => host.finishReanalysis()),
    onEvent(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    close: () => inTurn(closeOpen),
  };
}

function notEncrypted(): FailureError {
  return new FailureError({ code: 'not-encrypted', message: 'This library is a folder: it is not encrypted, cannot be locked and has no backups of its own.', remedy: 'Move it into an encrypted library first.' });
}
