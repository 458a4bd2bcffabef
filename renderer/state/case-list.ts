import type { CaseListRequest, CaseListResult, ListDecision } from '../../core/model/case-list.ts';
import type { CaseListArgs } from '../../core/protocol/host-api.ts';
import type { HostConnection } from '../host/host-client.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export type CaseListState =
  | { readonly kind: 'none' }
  | { readonly kind: 'working'; /** What stood before, while it is worked out anew. */ readonly result: CaseListResult | null }
  | { readonly kind: 'ready'; readonly result: CaseListResult; readonly decisions: readonly ListDecision[]; /** Why the last change did not go through. */ readonly problem: Problem | null }
  | { readonly kind: 'failed'; readonly problem: Problem };

const FREE: CaseListRequest = { table: null, idColumn: null, dateColumn: null };

/** A list of cases held against the library. The file and what was decided about it last as long as the window. */
export interface CaseListStore extends ReadableStore<CaseListState> {
  open(file: File): Promise<void>;
  /** Reads the list with another table or column; decisions about rows of the former reading are dropped. */
  choose(change: Partial<CaseListRequest>): Promise<void>;
  /** Accepts a case for a row, says that it is none of those proposed (null), or takes back what was said (undefined). */
  decide(line: number, caseKey: string | null | undefined): Promise<void>;
  /** Holds the same list against the library as it is now. */
  refresh(): Promise<void>;
  /** Returns case-list.csv; null with a problem in the state where it could not be made. */
  text(): Promise<string | null>;
  close(): Promise<void>;
}

/** Returns a store with no list chosen. */
export function createCaseList(host: HostConnection): CaseListStore {
  const store = createStore<CaseListState>({ kind: 'none' });
  let args: CaseListArgs | null = null;
  let turn = 0;

  const resultOf = (state: CaseListState): CaseListResult | null => (state.kind === 'ready' || state.kind === 'working' ? state.result : null);

  /** Works a list out; where that fails and a result stood before, it stays, with what was asked for it. */
  async function workOut(next: CaseListArgs): Promise<void> {
    const mine = (turn += 1);
    const before = resultOf(store.get());
    const wasAsked = args;
    args = next;
    store.set({ kind: 'working', result: before });
    try {
      const result = await host.reconcileCaseList(next);
      if (mine === turn) store.set({ kind: 'ready', result, decisions: next.decisions, problem: null });
    } catch (error) {
      if (mine !== turn) return;
      const problem = describeProblem(error, 'Reading the list');
      if (before === null || wasAsked === null) store.set({ kind: 'failed', problem });
      else {
        args = wasAsked;
        store.set({ kind: 'ready', result: before, decisions: wasAsked.decisions, problem });
      }
    }
  }

  async function drop(): Promise<void> {
    turn += 1;
    const own = args;
    args = null;
    store.set({ kind: 'none' });
    // A staging that is already gone needs no end.
    if (own !== null) await host.endImport({ importId: own.importId }).catch(() => undefined);
  }

  return {
    get: store.get,
    subscribe: store.subscribe,
    async open(file) {
      await drop();
      store.set({ kind: 'working', result: null });
      const mine = turn;
      try {
        const { importId } = await host.beginImport();
        await host.stageFile(importId, file.name, file);
        if (mine !== turn) {
          await host.endImport({ importId });
          return;
        }
        await workOut({ importId, file: file.name, request: FREE, decisions: [] });
      } catch (error) {
        if (mine === turn) store.set({ kind: 'failed', problem: describeProblem(error, 'Handing over the list') });
      }
    },
    async choose(change) {
      if (args !== null) await workOut({ ...args, request: change.table === undefined ? { ...args.request, ...change } : { ...FREE, ...change }, decisions: [] });
    },
    async decide(line, caseKey) {
      if (args === null) return;
      const others = args.decisions.filter((decision) => decision.line !== line);
      await workOut({ ...args, decisions: caseKey === undefined ? others : [...others, { line, caseKey }] });
    },
    async refresh() {
      if (args !== null && store.get().kind !== 'failed') await workOut(args);
    },
    async text() {
      if (args === null) return null;
      try {
        return (await host.caseListText(args)).text;
      } catch (error) {
        const state = store.get();
        if (state.kind === 'ready') store.set({ ...state, problem: describeProblem(error, 'Writing the table') });
        return null;
      }
    },
    close: drop,
  };
}
