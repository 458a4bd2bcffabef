import type { HostConnection } from '../host/host-client.ts';
import { createOneJob } from './one-job.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export type ReportWorkState<T> =
  | { readonly kind: 'none' }
  | { readonly kind: 'working'; readonly stage: 'reading' | 'working out'; readonly done: number; readonly total: number }
  | { readonly kind: 'made'; readonly made: T }
  | { readonly kind: 'cancelled' }
  | { readonly kind: 'failed'; readonly problem: Problem };

/** Something that is made of many cases: a report, or a bundle. */
export interface ReportWork<A, T> extends ReadableStore<ReportWorkState<T>> {
  /** Makes it; what was being made before is cancelled. */
  make(args: A): Promise<void>;
  cancel(): void;
  /** Forgets what was made: it would be of other cases or definitions. */
  forget(): void;
  dispose(): void;
}

/** Returns that work, with nothing made yet. `doing` is what stands before the reason when it fails. */
export function createReportWork<A, T>(host: Pick<HostConnection, 'onEvent' | 'cancelReportWork'>, newJobId: () => string, doing: string, makeIt: (jobId: string, args: A) => Promise<T>): ReportWork<A, T> {
  const store = createStore<ReportWorkState<T>>({ kind: 'none' });
  const job = createOneJob(newJobId, (jobId) => host.cancelReportWork({ jobId }));
  const stopListening = host.onEvent((event) => {
    if (event.kind === 'cohort-progress' && job.isCurrent(event.jobId)) store.set({ kind: 'working', stage: event.stage, done: event.done, total: event.total });
  });
  return {
    get: store.get,
    subscribe: store.subscribe,
    make: (args) =>
      job.run((jobId) => makeIt(jobId, args), () => store.set({ kind: 'working', stage: 'reading', done: 0, total: 0 }), {
        done: (made) => store.set({ kind: 'made', made }),
        failed: (error) => store.set({ kind: 'failed', problem: describeProblem(error, doing) }),
      }),
    cancel() {
      if (job.stop()) store.set({ kind: 'cancelled' });
    },
    forget() {
      job.stop();
      store.set({ kind: 'none' });
    },
    dispose() {
      job.stop();
      stopListening();
    },
  };
}
