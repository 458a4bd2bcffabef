import type { ConfirmedFigures } from '../../core/model/confirmed.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { sameParameters } from '../../core/model/same-parameters.ts';
import type { ReviewApi } from '../../core/protocol/review-api.ts';
import { createNewest, delay } from './newest.ts';
import { readingOf, type PreferenceStore } from './preferences.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

/** The case whose figures are asked for, and the definition under which its dropouts were found. */
export interface FollowedCase {
  readonly caseKey: string;
  readonly parameters: AnalysisParameters;
}

export type ConfirmedSumsState =
  /** No case is open, nothing is known yet, or nothing was said that this reader may see. */
  | { readonly kind: 'none' }
  | (FollowedCase & { readonly kind: 'ready'; readonly figures: ConfirmedFigures })
  | (FollowedCase & { readonly kind: 'failed'; readonly problem: Problem });

/** The figures on confirmed dropouts of the open case, from what the present reader may see. */
export interface ConfirmedSumsStore extends ReadableStore<ConfirmedSumsState> {
  /** Shows this case; null: none. */
  follow(next: FollowedCase | null): void;
  /** Asks the host again; what is shown stays until the answer is there. */
  reload(): Promise<void>;
  dispose(): void;
}

/** Several things that happen at once are one question. */
const ASK_WAIT_MS = 50;

/** Returns the figures of no case yet. */
export function createConfirmedSums(host: Pick<ReviewApi, 'confirmedFigures'>, preferences: Pick<PreferenceStore, 'get' | 'subscribe'>): ConfirmedSumsStore {
  const store = createStore<ConfirmedSumsState>({ kind: 'none' });
  const newest = createNewest();
  let followed: FollowedCase | null = null;
  const viewNow = (): { readonly by: string | null; readonly blinded: boolean } => ({ by: preferences.get().reader, blinded: readingOf(preferences.get()).isBlinded });
  const reload = async (): Promise<void> => {
    const view = viewNow();
    const asked = followed;
    // Blinded, and nobody has said who reads: what was said is shown to nobody.
    if (asked === null || (view.by === null && view.blinded)) {
      newest.cancel();
      store.set({ kind: 'none' });
      return;
    }
    try {
      const answer = await newest.run(async (signal) => {
        await delay(ASK_WAIT_MS, signal);
        signal.throwIfAborted();
        return await host.confirmedFigures({ ...asked, ...view });
      });
      if (answer !== null) store.set(answer.value === null ? { kind: 'none' } : { kind: 'ready', ...asked, figures: answer.value });
    } catch (error) {
      store.set({ kind: 'failed', ...asked, problem: describeProblem(error, 'Working out the figures of confirmed dropouts') });
    }
  };
  let lastView = JSON.stringify(viewNow());
  const stopWatching = preferences.subscribe(() => {
    const view = JSON.stringify(viewNow());
    if (view === lastView) return;
    lastView = view;
    // What the reader before was shown is not shown to this one, not even until the answer is there.
    store.set({ kind: 'none' });
    void reload();
  });
  return {
    get: store.get,
    subscribe: store.subscribe,
    follow(next) {
      if (next === followed || (next !== null && followed !== null && next.caseKey === followed.caseKey && sameParameters(next.parameters, followed.parameters))) return;
      if (next?.caseKey !== followed?.caseKey) store.set({ kind: 'none' });
      followed = next;
      void reload();
    },
    reload,
    dispose() {
      stopWatching();
      newest.cancel();
    },
  };
}
