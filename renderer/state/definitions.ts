import { PARAMETER_PRESETS, UNSAVED_SET_NAME } from '../../core/model/parameter-presets.ts';
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
  /** Sets saved under a name, those of the program left out. */
  readonly sets: readonly AnalysisParameters[];
}

export interface DefinitionsStore extends ReadableStore<DefinitionsState> {
  load(): Promise<void>;
  change(part: Partial<AnalysisParameters>): void;
  /** Goes back to what the library uses. */
  revert(): void;
  /** Goes to the program's own defaults (not saved until asked). */
  resetToDefaults(): void;
  /** Puts a whole set on trial. */
  choose(parameters: AnalysisParameters): void;
  /** Keeps the draft under a name, in place of a set of that name. Returns whether it was kept. */
  saveAs(name: string): Promise<boolean>;
  removeSet(name: string): Promise<void>;
  /** Puts the set on trial that the text of a parameters file holds. Returns whether it could be read. */
  readSet(text: string): Promise<boolean>;
  /** Stores the draft for the whole library. Returns the new library figures, or null when that failed. */
  saveForLibrary(): Promise<readonly CaseSummary[] | null>;
}

/** Gives a set the name of the known set that it equals, or says that it is nobody's. */
function named(parameters: AnalysisParameters, sets: readonly AnalysisParameters[]): AnalysisParameters {
  const known = [...PARAMETER_PRESETS.map((preset) => preset.parameters), ...sets].find((set) => sameParameters(set, parameters));
  return { ...parameters, name: known?.name ?? UNSAVED_SET_NAME };
}

/** Returns the analysis parameters: the saved set and the one being tried. */
export function createDefinitions(host: HostConnection): DefinitionsStore {
  const store = createStore<DefinitionsState>({ saved: null, draft: DEFAULT_PARAMETERS, saving: 'no', problem: null, sets: [] });
  const newest = createNewest();
  /** Runs a call about the sets and keeps what it says of the problem. */
  const withSets = async (what: string, work: () => Promise<Partial<DefinitionsState>>): Promise<boolean> => {
    try {
      const change = await work();
      store.set({ ...store.get(), problem: null, ...change });
      return true;
    } catch (error) {
      store.set({ ...store.get(), problem: describeProblem(error, what) });
      return false;
    }
  };
  return {
    get: store.get,
    subscribe: store.subscribe,
    async load() {
      await withSets('Reading the saved sets', async () => ({ sets: await host.listParameterSets() }));
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
      store.set({ ...store.get(), draft: named({ ...store.get().draft, ...part }, store.get().sets) });
    },
    revert() {
      const state = store.get();
      // What could not be stored is not on trial any more: nothing has failed that still matters.
      store.set({ ...state, draft: state.saved ?? DEFAULT_PARAMETERS, problem: null });
    },
    choose(parameters) {
      store.set({ ...store.get(), draft: parameters });
    },
    async saveAs(name) {
      const parameters = { ...store.get().draft, name };
      return await withSets('Keeping the set', async () => ({ sets: await host.saveParameterSet({ parameters }), draft: parameters }));
    },
    async removeSet(name) {
      await withSets('Removing the set', async () => {
        const sets = await host.removeParameterSet({ name });
        return { sets, draft: named(store.get().draft, sets) };
      });
    },
    async readSet(text) {
      return await withSets('Reading the file', async () => ({ draft: await host.readParameterSet({ text }) }));
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
