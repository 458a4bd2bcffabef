import type { AnalysisParameters } from '../../core/model/parameters.ts';
import type { PreparedCase } from '../../core/model/prepared-case.ts';
import type { HostConnection } from '../host/host-client.ts';
import { sameParameters } from '../../core/model/same-parameters.ts';
import { createNewest } from './newest.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

/** A case made ready for definitions to be tried on it. */
export type TrialState =
  | { readonly kind: 'none' }
  | { readonly kind: 'preparing'; readonly caseKey: string }
  | { readonly kind: 'ready'; readonly caseKey: string; readonly parameters: AnalysisParameters; readonly prepared: PreparedCase }
  | { readonly kind: 'failed'; readonly caseKey: string; readonly problem: Problem };

export interface TrialStore extends ReadableStore<TrialState> {
  /** Prepares a case with the statuses and bounds that `parameters` give; does nothing when that is what is there. */
  prepare(caseKey: string, parameters: AnalysisParameters): Promise<void>;
}

/** Returns the owner of the prepared case. */
export function createTrial(host: HostConnection): TrialStore {
  const store = createStore<TrialState>({ kind: 'none' });
  const newest = createNewest();
  return {
    get: store.get,
    subscribe: store.subscribe,
    async prepare(caseKey, parameters) {
      const state = store.get();
      if (state.kind === 'ready' && state.caseKey === caseKey && sameParameters(state.parameters, parameters)) return;
      // What is there of the same case stays until the new one has come, so that nothing jumps under the hand.
      if (state.kind !== 'ready' || state.caseKey !== caseKey) store.set({ kind: 'preparing', caseKey });
      try {
        const answer = await newest.run(() => host.prepareRobustness({ caseKey, parameters }));
        if (answer !== null) store.set({ kind: 'ready', caseKey, parameters, prepared: answer.value });
      } catch (error) {
        store.set({ kind: 'failed', caseKey, problem: describeProblem(error, 'Preparing the case') });
      }
    },
  };
}
