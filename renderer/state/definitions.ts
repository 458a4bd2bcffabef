import { DEFAULT_PARAMETERS, type AnalysisParameters } from '../../core/model/parameters.ts';
import { sameParameters } from '../../core/model/same-parameters.ts';
import type { CaseSummary } from '../../core/protocol/host-api.ts';
import type { HostConnection } from '../host/host-client.ts';
import { createNewest } from './newest.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export interface DefinitionsState {
  /** What the library uses; null until the host has answered. */
  readonly saved: AnalysisParameters | null;
  /** What the open case is looked at with. */
  readonly draft: AnalysisParameters;
  readonly saving: 'no' | 'working';
  readonly problem: Problem | null;
}

export interface DefinitionsStore extends ReadableStore<DefinitionsState> {
  load(): Promise<void>;
  change(part: Partial<AnalysisParameters>): void;
  /** Goes back to what the library uses. */
  revert(): void;
  /** Goes to the program's own defaults (not saved until asked). */
  resetToDefaults(): void;
  /** Stores the draft for the whole library. Returns the new library figures, or null when that failed. */
  saveForLibrary(): Promise<readonly CaseSummary[] | null>;
}

function named(parameters: AnalysisParameters): AnalysisParameters {
  return { ...parameters, name: sameParameters(parameters, DEFAULT_PARAMETERS) ? DEFAULT_PARAMETERS.name : 'own' };
}

/** Returns the analysis parameters: the saved set and the one being tried. */
export function createDefinitions(host: HostConnection): DefinitionsStore {
  const store = createStore<DefinitionsState>({ saved: null, draft: DEFAULT_PARAMETERS, saving: 'no', problem: null });
  const newest = createNewest();
  return {
    get: store.get,
    subscribe: store.subscribe,
    async load() {
      try {
        const answer = await newest.run(() => host.getParameters());
        if (answer === null) return;
        const before = store.get();
        const untouched = before.saved === null || sameParameters(before.saved, before.draft);
        store.set({ ...before, saved: answer.value, draft: untouched ? answer.value : before.draft, problem: null });
      } catch (error) {
        store.set({ ...store.get(), problem: describeProblem(error, 'Reading the definitions') });
      }
    },
    change(part) {
      store.set({ ...store.get(), draft: named({ ...store.get().draft, ...part }) });
    },
    revert() {
      const state = store.get();
      store.set({ ...state, draft: state.saved ?? DEFAULT_PARAMETERS });
    },
    resetToDefaults() {
      store.set({ ...store.get(), draft: DEFAULT_PARAMETERS });
    },
    async saveForLibrary() {
      const { draft } = store.get();
      store.set({ ...store.get(), saving: 'working', problem: null });
      try {
        const cases = await host.saveParameters({ parameters: draft });
        store.set({ ...store.get(), saved: draft, saving: 'no' });
        return cases;
      } catch (error) {
        store.set({ ...store.get(), saving: 'no', problem: describeProblem(error, 'Storing the definitions') });
        return null;
      }
    },
  };
}
