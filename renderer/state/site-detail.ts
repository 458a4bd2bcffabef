import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { sameParameters } from '../../core/model/same-parameters.ts';
import type { SiteDetail } from '../../core/model/site-detail.ts';
import type { HostConnection } from '../host/host-client.ts';
import { createNewest } from './newest.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export type SiteDetailState =
  | { readonly kind: 'none' }
  | { readonly kind: 'loading' }
  | { readonly kind: 'ready'; readonly detail: SiteDetail; readonly parameters: AnalysisParameters }
  | { readonly kind: 'failed'; readonly problem: Problem };

/** The sensors of one open case over time, read when first shown. */
export interface SiteDetailStore extends ReadableStore<SiteDetailState> {
  /** Reads what these parameters give, unless that is there already; a newer call overtakes an older one. */
  load(parameters: AnalysisParameters): Promise<void>;
  dispose(): void;
}

/** Returns the store of one case. */
export function createSiteDetail(host: HostConnection, caseKey: string): SiteDetailStore {
  const store = createStore<SiteDetailState>({ kind: 'none' });
  const newest = createNewest();
  return {
    get: store.get,
    subscribe: store.subscribe,
    async load(parameters) {
      const state = store.get();
      if (state.kind === 'ready' && sameParameters(state.parameters, parameters)) return;
      // What is shown stays until the new answer is there: the picture follows the definitions without a blink.
      if (state.kind !== 'ready') store.set({ kind: 'loading' });
      try {
        const answer = await newest.run(() => host.siteDetail({ caseKey, parameters }));
        if (answer !== null) store.set({ kind: 'ready', detail: answer.value, parameters });
      } catch (error) {
        store.set({ kind: 'failed', problem: describeProblem(error, 'Comparing the sites of this case') });
      }
    },
    dispose() {
      newest.cancel();
    },
  };
}
