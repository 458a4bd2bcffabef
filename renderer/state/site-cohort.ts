import type { SiteCohort } from '../../core/model/site-cohort.ts';
import type { HostConnection } from '../host/host-client.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export type SiteCohortState =
  | { readonly kind: 'none' }
  | { readonly kind: 'working'; readonly caseKeys: readonly string[]; readonly done: number }
  | { readonly kind: 'ready'; readonly caseKeys: readonly string[]; readonly cohort: SiteCohort }
  | { readonly kind: 'cancelled'; readonly caseKeys: readonly string[] }
  | { readonly kind: 'failed'; readonly caseKeys: readonly string[]; readonly problem: Problem };

/** The comparison of sites over the chosen cases. */
export interface SiteCohortStore extends ReadableStore<SiteCohortState> {
  /** Compares these cases; an older comparison that is still running is cancelled. */
  compare(caseKeys: readonly string[]): Promise<void>;
  cancel(): void;
  /** Says that stored cases or definitions changed: what is shown is worked out anew when it is next asked for. */
  forget(): void;
  dispose(): void;
}

/** Returns the comparison, with nothing compared yet. `newJobId` makes a name of 32 hexadecimal digits that no other work has. */
export function createSiteCohort(host: HostConnection, newJobId: () => string): SiteCohortStore {
  const store = createStore<SiteCohortState>({ kind: 'none' });
  let current: string | null = null;
  let currentKeys: readonly string[] = [];
  const stopListening = host.onEvent((event) => {
    if (event.kind === 'comparison-progress' && event.jobId === current) store.set({ kind: 'working', caseKeys: currentKeys, done: event.done });
  });
  const stop = (): void => {
    if (current === null) return;
    // Whether it was still running does not matter: its answer is no longer waited for.
    host.cancelComparison({ jobId: current }).catch(() => undefined);
    current = null;
  };
  return {
    get: store.get,
    subscribe: store.subscribe,
    async compare(caseKeys) {
      stop();
      const jobId = newJobId();
      current = jobId;
      currentKeys = caseKeys;
      store.set({ kind: 'working', caseKeys, done: 0 });
      try {
        const cohort = await host.compareSites({ jobId, caseKeys });
        if (current === jobId) store.set({ kind: 'ready', caseKeys, cohort });
      } catch (error) {
        if (current === jobId) store.set({ kind: 'failed', caseKeys, problem: describeProblem(error, 'Comparing the sites') });
      } finally {
        if (current === jobId) current = null;
      }
    },
    cancel() {
      if (current === null) return;
      stop();
      store.set({ kind: 'cancelled', caseKeys: currentKeys });
    },
    forget() {
      stop();
      store.set({ kind: 'none' });
    },
    dispose() {
      stop();
      stopListening();
    },
  };
}

/** Returns whether a comparison, in whatever state, is of exactly these cases. */
export function isOf(state: SiteCohortState, caseKeys: readonly string[]): boolean {
  return state.kind !== 'none' && state.caseKeys.length === caseKeys.length && state.caseKeys.every((caseKey, i) => caseKey === caseKeys[i]);
}
