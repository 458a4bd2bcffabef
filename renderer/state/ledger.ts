import type { LedgerImport, LedgerLine } from '../../core/model/ledger.ts';
import type { HostConnection } from '../host/host-client.ts';
import { createNewest } from './newest.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export type LedgerState =
  | { readonly kind: 'closed' }
  | { readonly kind: 'loading' }
  | { readonly kind: 'list'; readonly lines: readonly LedgerLine[] }
  | { readonly kind: 'import'; readonly opened: LedgerImport }
  /** `isList`: whether it was the list that could not be read, not one import. */
  | { readonly kind: 'failed'; readonly isList: boolean; readonly problem: Problem };

export interface LedgerStore extends ReadableStore<LedgerState> {
  /** Shows the list of imports. */
  showList(): Promise<void>;
  /** Shows one import, with the reading asked for or the last that went through. */
  open(importId: string, run: number | null): Promise<void>;
  /** Asks the host again for what is shown; nothing while nothing was asked for yet. */
  refresh(): Promise<void>;
}

/** Returns the ledger as this window looks at it. Nothing is asked of the host before it is first shown. */
export function createLedger(host: HostConnection): LedgerStore {
  const store = createStore<LedgerState>({ kind: 'closed' });
  const newest = createNewest();
  let shown: (() => Promise<LedgerState>) | null = null;
  let isList = true;

  const load = async (): Promise<void> => {
    if (shown === null) return;
    try {
      const answer = await newest.run(shown);
      if (answer !== null) store.set(answer.value);
    } catch (error) {
      store.set({ kind: 'failed', isList, problem: describeProblem(error, 'Reading the ledger') });
    }
  };
  const show = (ask: () => Promise<LedgerState>): Promise<void> => {
    shown = ask;
    store.set({ kind: 'loading' });
    return load();
  };
  return {
    get: store.get,
    subscribe: store.subscribe,
    showList: () => {
      isList = true;
      return show(async () => ({ kind: 'list', lines: await host.listLedger() }));
    },
    open: (importId, run) => {
      isList = false;
      return show(async () => ({ kind: 'import', opened: await host.openLedger({ importId, run }) }));
    },
    refresh: load,
  };
}
