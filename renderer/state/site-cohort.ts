import type { SiteCohort } from '../../core/model/site-cohort.ts';
import type { HostConnection } from '../host/host-client.ts';
import { createOneJob } from './one-job.ts';
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
  const job = createOneJob(newJobId, (jobId) => host.cancelComparison({ jobId }));
  let currentKeys: readonly string[] = [];
  const stopListening = host.onEvent((event) => {
    if (event.kind === 'comparison-progress' && job.isCurrent(event.jobId)) store.set({ kind: 'working', caseKeys: currentKeys, done: event.done });
  });
  return {
    get: store.get,
    subscribe: store.subscribe,
    compare(caseKeys) {
      const begun = (): void => {
        currentKeys = caseKeys;
        store.set({ kind: 'working', caseKeys, done: 0 });
      };
      return job.run((jobId) => host.compareSites({ jobId, caseKeys }), begun, {
        done: (cohort) => store.set({ kind: 'ready', caseKeys, cohort }),
        failed: (error) => store.set({ kind: 'failed', caseKeys, problem: describeProblem(error, 'Comparing the sites') }),
      });
    },
    cancel() {
      if (job.stop()) store.set({ kind: 'cancelled', caseKeys: currentKeys });
    },
    forget() {
      job.stop();
      store.set({ kind: 'none' });
    },
    dispose() {
      job.stop();
      stopListening();
    },
  };
}

/** Returns whether a comparison, in whatever state, is of exactly these cases. */
export function isOf(state: SiteCohortState, caseKeys: readonly string[]): boolean {
  return state.kind !== 'none' && state.caseKeys.length === caseKeys.length && state.caseKeys.every((caseKey, i) => caseKey === caseKeys[i]);
}
