import type { CaseListRequest, CaseListResult, ListDecision } from '../../core/model/case-list.ts';
import type { AskedOfList, CaseListArgs } from '../../core/protocol/host-api.ts';
import type { HostConnection } from '../host/host-client.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export type CaseListState =
  | { readonly kind: 'none' }
  | { readonly kind: 'working'; /** What stood before, while it is worked out anew. */ readonly result: CaseListResult | null }
  | { readonly kind: 'ready'; readonly result: CaseListResult; readonly decisions: readonly ListDecision[]; /** Why the last change did not go through. */ readonly problem: Problem | null }
  | { readonly kind: 'failed'; readonly problem: Problem };

const FREE: CaseListRequest = { table: null, idColumn: null, dateColumn: null };

/** A list of cases held against the library. The file lasts as long as the window; what was decided about it is kept with the library. */
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
  let args: (CaseListArgs & { readonly asked: AskedOfList }) | null = null;
  /** What is staged, also while it was not read yet. */
  let staged: Pick<CaseListArgs, 'importId'> | null = null;
  let turn = 0;

  const resultOf = (state: CaseListState): CaseListResult | null => (state.kind === 'ready' || state.kind === 'working' ? state.result : null);

  /** Works a list out; where that fails and a result stood before, it stays, with what was asked for it. */
  async function workOut(next: CaseListArgs): Promise<void> {
    const mine = (turn += 1);
    const before = resultOf(store.get());
    staged = next;
    store.set({ kind: 'working', result: before });
    try {
      const { result, asked } = await host.reconcileCaseList(next);
      if (mine !== turn) return;
      args = { ...next, asked };
      store.set({ kind: 'ready', result, decisions: asked.decisions, problem: null });
    } catch (error) {
      if (mine !== turn) return;
      const problem = describeProblem(error, 'Reading the list');
      if (before === null || args === null) store.set({ kind: 'failed', problem });
      else store.set({ kind: 'ready', result: before, decisions: args.asked.decisions, problem });
    }
  }

  async function drop(): Promise<void> {
    turn += 1;
    const own = staged;
    staged = null;
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
        await workOut({ importId, file: file.name, asked: null });
      } catch (error) {
        if (mine === turn) store.set({ kind: 'failed', problem: describeProblem(error, 'Handing over the list') });
      }
    },
    async choose(change) {
      if (args !== null) await workOut({ ...args, asked: { request: change.table === undefined ? { ...args.asked.request, ...change } : { ...FREE, ...change }, decisions: [] } });
    },
    async decide(line, caseKey) {
      if (args === null) return;
      const others = args.asked.decisions.filter((decision) => decision.line !== line);
      // Rows are decided about as they were read: from now on the list is read so, whatever the library becomes.
      const list = resultOf(store.get())?.list;
      const request = list === undefined ? args.asked.request : { table: list.tables.length > 1 ? list.table : null, idColumn: list.idColumn, dateColumn: list.dateColumn };
      await workOut({ ...args, asked: { request, decisions: caseKey === undefined ? others : [...others, { line, caseKey }] } });
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
