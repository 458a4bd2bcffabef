import type { NextStudyOptions, PlannedStudy } from '../../core/model/next-study.ts';
import type { HostConnection } from '../host/host-client.ts';
import { createOneJob } from './one-job.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export type StudyPlanState =
  | { readonly kind: 'none' }
  | { readonly kind: 'working'; readonly stage: 'reading' | 'drawing'; readonly done: number; readonly total: number }
  | { readonly kind: 'ready'; readonly planned: PlannedStudy }
  | { readonly kind: 'cancelled' }
  | { readonly kind: 'failed'; readonly problem: Problem };

/** The plan of a next study. */
export interface StudyPlanStore extends ReadableStore<StudyPlanState> {
  /** Plans a study from these cases; an older plan that is still being worked out is cancelled. */
  plan(caseKeys: readonly string[], options: NextStudyOptions): Promise<void>;
  cancel(): void;
  /** Says that stored cases or definitions changed: the plan is of them no longer. */
  forget(): void;
  dispose(): void;
}

/** Returns a store with nothing planned. `newJobId` makes a name of 32 hexadecimal digits that no other work has. */
export function createStudyPlan(host: HostConnection, newJobId: () => string): StudyPlanStore {
  const store = createStore<StudyPlanState>({ kind: 'none' });
  const job = createOneJob(newJobId, (jobId) => host.cancelStudy({ jobId }));
  const stopListening = host.onEvent((event) => {
    if (event.kind === 'study-progress' && job.isCurrent(event.jobId)) store.set({ kind: 'working', stage: event.stage, done: event.done, total: event.total });
  });
  return {
    get: store.get,
    subscribe: store.subscribe,
    plan: (caseKeys, options) =>
      job.run((jobId) => host.planStudy({ jobId, caseKeys, options }), () => store.set({ kind: 'working', stage: 'reading', done: 0, total: caseKeys.length }), {
        done: (planned) => store.set({ kind: 'ready', planned }),
        failed: (error) => store.set({ kind: 'failed', problem: describeProblem(error, 'Planning the study') }),
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
