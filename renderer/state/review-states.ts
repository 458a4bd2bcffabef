import type { ReviewState } from '../../core/model/review.ts';
import type { ReviewApi } from '../../core/protocol/review-api.ts';
import { createNewest, delay } from './newest.ts';
import { readingOf, type PreferenceStore } from './preferences.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export type ReviewStatesState =
  | { readonly kind: 'loading' }
  | { readonly kind: 'ready'; readonly byCase: ReadonlyMap<string, ReviewState> }
  | { readonly kind: 'failed'; readonly problem: Problem };

/** How far every case of the library is reviewed, as the present reader may see it. */
export interface ReviewStatesStore extends ReadableStore<ReviewStatesState> {
  /** Asks the host again; what is shown stays until the answer is there. */
  reload(): Promise<void>;
  dispose(): void;
}

/** Several things that happen at once are one question. */
const ASK_WAIT_MS = 50;

/** Returns the states, with nothing asked yet; asked again when another reads, or the same one in another way. */
export function createReviewStates(host: Pick<ReviewApi, 'listReviewStates'>, preferences: Pick<PreferenceStore, 'get' | 'subscribe'>): ReviewStatesStore {
  const store = createStore<ReviewStatesState>({ kind: 'loading' });
  const newest = createNewest();
  const viewNow = (): { readonly by: string | null; readonly blinded: boolean } => ({ by: preferences.get().reader, blinded: readingOf(preferences.get()).isBlinded });
  const reload = async (): Promise<void> => {
    try {
      const answer = await newest.run(async (signal) => {
        await delay(ASK_WAIT_MS, signal);
        signal.throwIfAborted();
        return await host.listReviewStates(viewNow());
      });
      if (answer !== null) store.set({ kind: 'ready', byCase: new Map(answer.value.map((state) => [state.caseKey, state])) });
    } catch (error) {
      store.set({ kind: 'failed', problem: describeProblem(error, 'Reading the state of review') });
    }
  };
  let lastView = JSON.stringify(viewNow());
  const stopWatching = preferences.subscribe(() => {
    const view = JSON.stringify(viewNow());
    if (view === lastView) return;
    lastView = view;
    // What the reader before was shown is not shown to this one, not even until the answer is there.
    store.set({ kind: 'loading' });
    void reload();
  });
  return { get: store.get, subscribe: store.subscribe, reload, dispose: stopWatching };
}
