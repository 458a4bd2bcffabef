import type { HostConnection } from '../host/host-client.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

/** Work over all reviewed cases of the library. `before`: what stood while it is worked out anew. */
export type ReviewWorkState<T> =
  | { readonly kind: 'none' }
  | { readonly kind: 'working'; readonly done: number; readonly total: number; readonly before: T | null }
  | { readonly kind: 'ready'; readonly answer: T }
  | { readonly kind: 'cancelled' }
  | { readonly kind: 'failed'; readonly problem: Problem };

/** One question at a time; an older one that is still being worked out is cancelled. */
export interface ReviewWork<A, T> extends ReadableStore<ReviewWorkState<T>> {
  ask(args: A): Promise<void>;
  /** Asks the last question again; nothing where none was asked. */
  again(): Promise<void>;
  cancel(): void;
  /** Says that another reader looks, or the same one in another way: what the one before was shown is not shown to this one. */
  forget(): void;
  dispose(): void;
}

/** Returns a store with nothing asked. `doing` begins the sentence of a problem; `newJobId` makes a name that no other work has. */
export function createReviewWork<A, T>(host: Pick<HostConnection, 'onEvent' | 'cancelReviewWork'>, newJobId: () => string, doing: string, question: (jobId: string, args: A) => Promise<T>): ReviewWork<A, T> {
  const store = createStore<ReviewWorkState<T>>({ kind: 'none' });
  let current: string | null = null;
  let last: { readonly args: A } | null = null;
  const stopListening = host.onEvent((event) => {
    const state = store.get();
    if (event.kind === 'review-progress' && event.jobId === current && state.kind === 'working') store.set({ ...state, done: event.done, total: event.total });
  });
  const stop = (): void => {
    if (current === null) return;
    // Whether it was still running does not matter: its answer is no longer waited for.
    host.cancelReviewWork({ jobId: current }).catch(() => undefined);
    current = null;
  };
  async function ask(args: A): Promise<void> {
    stop();
    last = { args };
    const jobId = newJobId();
    current = jobId;
    const state = store.get();
    store.set({ kind: 'working', done: 0, total: 0, before: state.kind === 'ready' ? state.answer : state.kind === 'working' ? state.before : null });
    try {
      const answer = await question(jobId, args);
      if (current === jobId) store.set({ kind: 'ready', answer });
    } catch (error) {
      if (current === jobId) store.set({ kind: 'failed', problem: describeProblem(error, doing) });
    } finally {
      if (current === jobId) current = null;
    }
  }
  return {
    get: store.get,
    subscribe: store.subscribe,
    ask,
    async again() {
      if (last !== null) await ask(last.args);
    },
    cancel() {
      if (current === null) return;
      stop();
      store.set({ kind: 'cancelled' });
    },
    forget() {
      stop();
      last = null;
      store.set({ kind: 'none' });
    },
    dispose() {
      stop();
      stopListening();
    },
  };
}
