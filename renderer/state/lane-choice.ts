import { DEFAULT_LANES } from '../../core/model/lane-choice.ts';
import type { LaneChoice } from '../../core/model/lane-choice.ts';
import type { HostConnection } from '../host/host-client.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

/** The lanes of the timeline as this library has them. */
export interface LaneChoiceStore extends ReadableStore<LaneChoice> {
  load(): Promise<void>;
  /** Shows the choice at once and keeps it; where that fails it stays for this window and the problem is told. */
  change(choice: LaneChoice): Promise<void>;
}

/** Returns the lanes of the program until those of the library are loaded. */
export function createLaneChoice(host: HostConnection, onProblem: (problem: Problem) => void): LaneChoiceStore {
  const store = createStore(DEFAULT_LANES);
  let last: Promise<unknown> = Promise.resolve();
  return {
    get: store.get,
    subscribe: store.subscribe,
    async load() {
      try {
        store.set(await host.getLanes());
      } catch (error) {
        onProblem(describeProblem(error, 'Reading the lanes of the timeline'));
      }
    },
    async change(choice) {
      store.set(choice);
      // One after the other, so that the last is what stays.
      last = last.then(() => host.saveLanes({ choice })).catch((error: unknown) => onProblem(describeProblem(error, 'Keeping the lanes of the timeline')));
      await last;
    },
  };
}
