import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { sameParameters } from '../../core/model/same-parameters.ts';
import type { HostConnection } from '../host/host-client.ts';
import { createNewest } from './newest.ts';
import type { DecodeCase } from './open-case.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export type OtherCaseState =
  | { readonly kind: 'none' }
  | { readonly kind: 'opening' }
  | { readonly kind: 'open'; readonly caseKey: string; readonly record: CaseRecord; readonly analysis: CaseAnalysis }
  | { readonly kind: 'failed'; readonly problem: Problem };

/** A second case beside the open one, read only. */
export interface OtherCaseStore extends ReadableStore<OtherCaseState> {
  /** Opens a case under the definition of the open one; a newer call overtakes an older one. */
  open(caseKey: string, parameters: AnalysisParameters): Promise<void>;
  close(): void;
}

/** Returns the place for a second case; none is open. */
export function createOtherCase(host: HostConnection, decode: DecodeCase): OtherCaseStore {
  const store = createStore<OtherCaseState>({ kind: 'none' });
  const newest = createNewest();
  return {
    get: store.get,
    subscribe: store.subscribe,
    async open(caseKey, parameters) {
      store.set({ kind: 'opening' });
      try {
        const answer = await newest.run(async () => {
          const decoded = decode(await host.openCase(caseKey));
          if (!decoded.ok) throw decoded.failure;
          const { record, analysis } = decoded.value;
          return { record, analysis: analysis !== null && sameParameters(analysis.parameters, parameters) ? analysis : await host.analyze({ caseKey, parameters }) };
        });
        if (answer !== null) store.set({ kind: 'open', caseKey, ...answer.value });
      } catch (error) {
        store.set({ kind: 'failed', problem: describeProblem(error, 'Opening the second case') });
      }
    },
    close() {
      newest.cancel();
      store.set({ kind: 'none' });
    },
  };
}
