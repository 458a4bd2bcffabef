import type { CaseSummary } from '../../core/protocol/host-api.ts';
import { createStore, type ReadableStore } from './store.ts';

/**
 * The cases that were chosen for work on many: by key, so that the choice outlives every reading of the library.
 * A key stays chosen when its case is removed and counts for nothing until it is back.
 */
export interface ChosenCases extends ReadableStore<ReadonlySet<string>> {
  toggle(caseKey: string): void;
  /** Adds or takes away several at once. */
  add(caseKeys: Iterable<string>): void;
  remove(caseKeys: Iterable<string>): void;
  clear(): void;
}

/** Returns an empty choice. */
export function createChosenCases(): ChosenCases {
  const store = createStore<ReadonlySet<string>>(new Set());
  const change = (apply: (next: Set<string>) => void): void => {
    const next = new Set(store.get());
    apply(next);
    store.set(next);
  };
  return {
    get: store.get,
    subscribe: store.subscribe,
    toggle: (caseKey) =>
      change((next) => {
        if (!next.delete(caseKey)) next.add(caseKey);
      }),
    add: (caseKeys) =>
      change((next) => {
        for (const caseKey of caseKeys) next.add(caseKey);
      }),
    remove: (caseKeys) =>
      change((next) => {
        for (const caseKey of caseKeys) next.delete(caseKey);
      }),
    clear: () => store.set(new Set()),
  };
}

/** Returns the chosen cases that the library holds and can open, in the library's order. */
export function chosenAmong(cases: readonly CaseSummary[], chosen: ReadonlySet<string>): CaseSummary[] {
  return cases.filter((summary) => summary.problem === null && chosen.has(summary.caseKey));
}
