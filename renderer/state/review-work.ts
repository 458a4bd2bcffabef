import type { HostConnection } from '../host/host-client.ts';
import { createOneJob } from './one-job.ts';
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
  const job = createOneJob(newJobId, (jobId) => host.cancelReviewWork({ jobId }));
  let last: { readonly args: A } | null = null;
  const stopListening = host.onEvent((event) => {
    const state = store.get();
    if (event.kind === 'review-progress' && job.isCurrent(event.jobId) && state.kind === 'working') store.set({ ...state, done: event.done, total: event.total });
  });
  function ask(args: A): Promise<void> {
    last = { args };
    const begun = (): void => {
      const state = store.get();
      store.set({ kind: 'working', done: 0, total: 0, before: state.kind === 'ready' ? state.answer : state.kind === 'working' ? state.before : null });
    };
    return job.run((jobId) => question(jobId, args), begun, {
      done: (answer) => store.set({ kind: 'ready', answer }),
      failed: (error) => store.set({ kind: 'failed', problem: describeProblem(error, doing) }),
    });
  }
  return {
    get: store.get,
    subscribe: store.subscribe,
    ask,
    async again() {
      if (last !== null) await ask(last.args);
    },
    cancel() {
      if (job.stop()) store.set({ kind: 'cancelled' });
    },
    forget() {
      job.stop();
      last = null;
      store.set({ kind: 'none' });
    },
    dispose() {
      job.stop();
      stopListening();
    },
  };
}
