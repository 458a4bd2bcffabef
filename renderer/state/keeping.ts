import type { LibraryOverview, RemovedImport } from '../../core/protocol/library-calls.ts';
import type { HostConnection } from '../host/host-client.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export type KeepingState =
  | { readonly kind: 'loading' }
  | { readonly kind: 'ready'; readonly overview: LibraryOverview }
  | { readonly kind: 'failed'; readonly problem: Problem };

/** How the open library is kept, which others there are, and what was removed of imports that were cut short. */
export interface KeepingStore extends ReadableStore<KeepingState> {
  /** Asks the host again; what is shown stays until the answer is there. */
  load(): Promise<void>;
  readonly removed: ReadableStore<readonly RemovedImport[]>;
  /** Says that the person has read of them. Returns why that could not be kept, else null. */
  forgetRemoved(): Promise<Problem | null>;
  /** Says that records may be kept in this folder. */
  stayWithFolder(): Promise<Problem | null>;
}

/** Returns the store over a host. */
export function createKeeping(host: HostConnection): KeepingStore {
  const store = createStore<KeepingState>({ kind: 'loading' });
  const removed = createStore<readonly RemovedImport[]>([]);
  async function load(): Promise<void> {
    try {
      const [overview, gone] = await Promise.all([host.describeLibrary(), host.removedImports()]);
      store.set({ kind: 'ready', overview });
      removed.set(gone);
    } catch (error) {
      store.set({ kind: 'failed', problem: describeProblem(error, 'Asking how the library is kept') });
    }
  }
  async function change(act: () => Promise<unknown>, doing: string): Promise<Problem | null> {
    try {
      await act();
      await load();
      return null;
    } catch (error) {
      return describeProblem(error, doing);
    }
  }
  return {
    get: store.get,
    subscribe: store.subscribe,
    load,
    removed,
    forgetRemoved: () => change(() => host.forgetRemovedImports(), 'Taking the remark away'),
    stayWithFolder: () => change(() => host.stayWithFolder(), 'Keeping your choice'),
  };
}
