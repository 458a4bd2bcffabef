import type { HostEvent } from '../../core/protocol/host-api.ts';
import type { HostConnection } from '../host/host-client.ts';
import { createOneJob } from './one-job.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

/** What tells how far such work is. */
type WorkProgress = Extract<HostEvent, { readonly kind: 'cohort-progress' | 'study-progress' }>;

export type WorkOverCasesState<T> =
  | { readonly kind: 'none' }
  | { readonly kind: 'working'; readonly stage: WorkProgress['stage']; readonly done: number; readonly total: number }
  | { readonly kind: 'made'; readonly made: T }
  | { readonly kind: 'cancelled' }
  | { readonly kind: 'failed'; readonly problem: Problem };

/** Something that is made of many cases: a report, a bundle, the plan of a study. */
export interface WorkOverCases<A, T> extends ReadableStore<WorkOverCasesState<T>> {
  /** Makes it; what was being made before is cancelled. */
  make(args: A): Promise<void>;
  cancel(): void;
  /** Forgets what was made: it would be of other cases or definitions. */
  forget(): void;
  dispose(): void;
}

export interface WorkOverCasesParts<A, T> {
  readonly host: Pick<HostConnection, 'onEvent'>;
  /** Makes a name of 32 hexadecimal digits that no other work has. */
  readonly newJobId: () => string;
  readonly cancelAtHost: (jobId: string) => Promise<unknown>;
  readonly progress: WorkProgress['kind'];
  /** What stands before the reason when it fails. */
  readonly doing: string;
  readonly makeIt: (jobId: string, args: A) => Promise<T>;
}

/** Returns that work, with nothing made yet. */
export function createWorkOverCases<A, T>({ host, newJobId, cancelAtHost, progress, doing, makeIt }: WorkOverCasesParts<A, T>): WorkOverCases<A, T> {
  const store = createStore<WorkOverCasesState<T>>({ kind: 'none' });
  const job = createOneJob(newJobId, cancelAtHost);
  const stopListening = host.onEvent((event) => {
    if ((event.kind === 'cohort-progress' || event.kind === 'study-progress') && event.kind === progress && job.isCurrent(event.jobId)) store.set({ kind: 'working', stage: event.stage, done: event.done, total: event.total });
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
