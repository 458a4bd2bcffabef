import { FailureError } from '../../core/protocol/failure-error.ts';
import { HOST_METHODS } from '../../core/protocol/host-api-schema.ts';
import type { HostApi, HostDescription, HostEvent } from '../../core/protocol/host-api.ts';
import type { Host } from './host.ts';

export interface LockableHostOptions {
  readonly productVersion: string;
  readonly door: HostDescription['door'];
  readonly libraryName: string;
  /** Idle minutes after which the page is to lock; 0: never. */
  readonly lockAfterMinutes: number;
  /** Returns a host over the library, opened with a passphrase; rejects with a FailureError when it does not open. */
  readonly open: (passphrase: string) => Promise<Host>;
}

/**
 * Returns a host over an encrypted library that is locked at first. Until it is unlocked every call but `describe` and
 * `unlockLibrary` rejects with `library-locked`. Locking closes the library: its key is not in memory any more.
 */
export function createLockableHost({ open, ...facts }: LockableHostOptions): Host {
  const listeners = new Set<(event: HostEvent) => void>();
  const emit = (event: HostEvent): void => {
    for (const listener of listeners) listener(event);
  };
  let inner: Host | null = null;
  /** Calls that are being answered: what they began must not be cut off by a lock. */
  let running = 0;
  /** Locking and unlocking follow one another. */
  let lastTurn: Promise<unknown> = Promise.resolve();
  function inTurn<T>(act: () => Promise<T>): Promise<T> {
    const next = lastTurn.then(act, act);
    lastTurn = next.catch(() => undefined);
    return next;
  }
  async function ask<T>(question: (host: Host) => Promise<T>): Promise<T> {
    if (inner === null) throw new FailureError({ code: 'library-locked', message: 'The library is locked.', remedy: 'Unlock it with its passphrase.' });
    running += 1;
    try {
      return await question(inner);
    } finally {
      running -= 1;
    }
  }
  // Every method of the protocol, each with the argument that it is called with: TypeScript cannot follow the union of them.
  const delegated = Object.fromEntries(Object.keys(HOST_METHODS).map((method) => [method, (args: unknown) => ask((host) => (host[method as keyof HostApi] as (args: unknown) => Promise<unknown>)(args))])) as unknown as HostApi;
  return {
    ...delegated,
    async describe() {
      return { productVersion: facts.productVersion, door: facts.door, libraryName: facts.libraryName, lock: { isLocked: inner === null, afterMinutes: facts.lockAfterMinutes } };
    },
    unlockLibrary: ({ passphrase }) =>
      inTurn(async () => {
        if (inner === null) {
          const opened = await open(passphrase);
          opened.onEvent(emit);
          inner = opened;
        }
        return { unlocked: true };
      }),
    lockLibrary: () =>
      inTurn(async () => {
        if (running > 0) throw new FailureError({ code: 'library-busy', message: 'The library is being read or written; it cannot be locked at this moment.', remedy: 'Wait until it is done, or cancel it, and lock it then.' });
        const closing = inner;
        inner = null;
        emit({ kind: 'library-locked' }); // first: closing may wait for a backup, and the page must be empty meanwhile
        await closing?.close();
        return { locked: true };
      }),
    openCase: (caseKey) => ask((host) => host.openCase(caseKey)),
    stageFile: (importId, relativePath, body) => ask((host) => host.stageFile(importId, relativePath, body)),
    finishReanalysis: () => ask((host) => host.finishReanalysis()),
    onEvent(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    close: () => inTurn(async () => {
      await inner?.close();
      inner = null;
    }),
  };
}
