import type { CaseSummary } from '../../core/protocol/host-api.ts';
import type { HostConnection } from '../host/host-client.ts';
import { createNewest } from './newest.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export type LibraryState =
  | { readonly kind: 'loading' }
  | { readonly kind: 'ready'; readonly cases: readonly CaseSummary[] }
  | { readonly kind: 'failed'; readonly problem: Problem };

export interface LibraryStore extends ReadableStore<LibraryState> {
  /** Asks the host again; what is shown stays until the answer is there. */
  reload(): Promise<void>;
  /** Takes a list that another call brought along. */
  accept(cases: readonly CaseSummary[]): void;
  remove(caseKey: string): Promise<void>;
}

/** Returns the list of cases as the host has it. */
export function createLibrary(host: HostConnection): LibraryStore {
  const store = createStore<LibraryState>({ kind: 'loading' });
  const newest = createNewest();
  const reload = async (): Promise<void> => {
    if (store.get().kind === 'failed') store.set({ kind: 'loading' });
    try {
      const answer = await newest.run(() => host.listCases());
      if (answer !== null) store.set({ kind: 'ready', cases: answer.value });
    } catch (error) {
      store.set({ kind: 'failed', problem: describeProblem(error, 'Reading the library') });
    }
  };
  return {
    get: store.get,
    subscribe: store.subscribe,
    reload,
    accept(cases) {
      newest.cancel();
      store.set({ kind: 'ready', cases });
    },
    async remove(caseKey) {
      await host.removeCase({ caseKey });
      await reload();
    },
  };
}
