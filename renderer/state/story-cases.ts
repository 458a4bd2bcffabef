import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { CaseMark } from '../../core/model/case-mark.ts';
import type { KnownTerms } from '../../core/model/known-terms.ts';
import type { HostConnection } from '../host/host-client.ts';
import type { DecodeCase } from './open-case.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

/** A case of a story, under the library's definition. */
export type StoryCase =
  | { readonly kind: 'reading' }
  | {
      readonly kind: 'open';
      readonly record: CaseRecord;
      readonly analysis: CaseAnalysis;
      /** Its marks and notes as a meeting may see them; null: they could not be read. */
      readonly marks: readonly CaseMark[] | null;
    }
  /** It is no longer in the library. */
  | { readonly kind: 'gone' }
  | { readonly kind: 'failed'; readonly problem: Problem };

export interface StoryCasesState {
  /** By key. */
  readonly cases: ReadonlyMap<string, StoryCase>;
  /** The words of the dictionary, without which nothing is shown; null: not read yet. */
  readonly terms: KnownTerms | null;
  readonly termsProblem: Problem | null;
}

/** The cases that the story in sight needs, read one after the other. */
export interface StoryCasesStore extends ReadableStore<StoryCasesState> {
  /** Reads what is not read yet, and the marks of what is; lets go of every other case. */
  want(caseKeys: readonly string[]): void;
  /** Reads the words of the dictionary; they do not change while the program runs. */
  loadTerms(): Promise<KnownTerms | null>;
  /** Stored cases, or the definition, changed: what is wanted is read anew. */
  refresh(): void;
  /** Reads one again that failed. */
  retry(caseKey: string): void;
}

/** Returns the place for the cases of a story; none is read. */
export function createStoryCases(host: HostConnection, decode: DecodeCase): StoryCasesStore {
  const store = createStore<StoryCasesState>({ cases: new Map(), terms: null, termsProblem: null });
  let wanted: readonly string[] = [];
  let isReading = false;
  /** Tells readings of before a change from those after it. */
  let round = 0;
  const put = (caseKey: string, read: StoryCase | null): void => {
    const cases = new Map(store.get().cases);
    if (read === null) cases.delete(caseKey);
    else cases.set(caseKey, read);
    store.set({ ...store.get(), cases });
  };

  async function read(caseKey: string): Promise<StoryCase> {
    try {
      const decoded = decode(await host.openCase(caseKey));
      if (!decoded.ok) throw decoded.failure;
      const { record, analysis } = decoded.value;
      return { kind: 'open', record, analysis: analysis ?? (await host.analyze({ caseKey, parameters: await host.getParameters() })), marks: await readMarks(caseKey) };
    } catch (error) {
      const code: unknown = typeof error === 'object' && error !== null ? Reflect.get(error, 'code') : null;
      return code === 'case-missing' ? { kind: 'gone' } : { kind: 'failed', problem: describeProblem(error, 'Reading a case of the story') };
    }
  }
  async function readMarks(caseKey: string): Promise<readonly CaseMark[] | null> {
    try {
      return await host.listShownMarks({ caseKey });
    } catch {
      // The moments that ask for them say so; everything else of the case can be shown.
      return null;
    }
  }
  /** Marks are set and written in the place Case while the case stays as it is. */
  async function readMarksAgain(caseKey: string): Promise<void> {
    const marks = await readMarks(caseKey);
    const now = store.get().cases.get(caseKey);
    if (now?.kind === 'open' && JSON.stringify(now.marks) !== JSON.stringify(marks)) put(caseKey, { ...now, marks });
  }
  async function readOn(): Promise<void> {
    if (isReading) return;
    isReading = true;
    for (;;) {
      const next = wanted.find((caseKey) => !store.get().cases.has(caseKey));
      if (next === undefined) break;
      const mine = round;
      put(next, { kind: 'reading' });
      const found = await read(next);
      if (mine === round && wanted.includes(next)) put(next, found);
      else put(next, null);
    }
    isReading = false;
  }
  /** Whoever asks while they are being read waits for the same answer. */
  let termsAsked: Promise<KnownTerms | null> | null = null;
  function loadTerms(): Promise<KnownTerms | null> {
    const { terms } = store.get();
    if (terms !== null) return Promise.resolve(terms);
    termsAsked ??= readTerms().finally(() => (termsAsked = null));
    return termsAsked;
  }
  async function readTerms(): Promise<KnownTerms | null> {
    try {
      const found = await host.listKnownTerms();
      store.set({ ...store.get(), terms: found, termsProblem: null });
      return found;
    } catch (error) {
      store.set({ ...store.get(), termsProblem: describeProblem(error, 'Reading the words of the dictionary') });
      return null;
    }
  }

  return {
    get: store.get,
    subscribe: store.subscribe,
    loadTerms,
    want(caseKeys) {
      wanted = [...new Set(caseKeys)];
      const { cases } = store.get();
      const kept = new Map([...cases].filter(([caseKey]) => wanted.includes(caseKey)));
      if (kept.size !== cases.size) store.set({ ...store.get(), cases: kept });
      for (const [caseKey, { kind }] of kept) if (kind === 'open') void readMarksAgain(caseKey);
      void loadTerms();
      void readOn();
    },
    refresh() {
      round++;
      if (store.get().cases.size > 0) store.set({ ...store.get(), cases: new Map() });
      void readOn();
    },
    retry(caseKey) {
      put(caseKey, null);
      void readOn();
    },
  };
}
