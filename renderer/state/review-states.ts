import type { ReviewState } from '../../core/model/review.ts';
import type { ReviewApi } from '../../core/protocol/review-api.ts';
import { createNewest } from './newest.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export type ReviewStatesState =
  | { readonly kind: 'loading' }
  | { readonly kind: 'ready'; readonly byCase: ReadonlyMap<string, ReviewState> }
  | { readonly kind: 'failed'; readonly problem: Problem };

/** How far every case of the library is reviewed. */
export interface ReviewStatesStore extends ReadableStore<ReviewStatesState> {
  /** Asks the host again; what is shown stays until the answer is there. */
  reload(): Promise<void>;
}

/** Returns the states, with nothing asked yet. */
export function createReviewStates(host: Pick<ReviewApi, 'listReviewStates'>): ReviewStatesStore {
  const store = createStore<ReviewStatesState>({ kind: 'loading' });
  const newest = createNewest();
  return {
    get: store.get,
    subscribe: store.subscribe,
    async reload() {
      try {
        const answer = await newest.run(() => host.listReviewStates());
        if (answer !== null) store.set({ kind: 'ready', byCase: new Map(answer.value.map((state) => [state.caseKey, state])) });
      } catch (error) {
        store.set({ kind: 'failed', problem: describeProblem(error, 'Reading the state of review') });
      }
    },
  };
}
