import { DEFAULT_COHORT_OPTIONS, type CohortOptions } from '../../core/model/cohort-options.ts';
import type { CohortResults } from '../../core/model/cohort-results.ts';
import type { HostConnection } from '../host/host-client.ts';
import { createOneJob } from './one-job.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore, type Store } from './store.ts';

/** What is asked: of which cases (null: of the whole library), and how. */
export interface CohortRequest {
  readonly caseKeys: readonly string[] | null;
  readonly options: CohortOptions;
}

/** `results` are the last ones that there are, whatever they were asked for. */
export type CohortState = { readonly results: CohortResults | null } & (
  | { readonly kind: 'none' }
  | { readonly kind: 'working'; readonly request: CohortRequest; readonly stage: 'reading' | 'working out'; readonly done: number; readonly total: number }
  | { readonly kind: 'ready'; readonly request: CohortRequest; readonly results: CohortResults }
  | { readonly kind: 'cancelled'; readonly request: CohortRequest }
  | { readonly kind: 'failed'; readonly request: CohortRequest; readonly problem: Problem }
);

/** The questions to many cases: how they are asked, and the answers. */
export interface CohortRun extends ReadableStore<CohortState> {
  readonly options: Store<CohortOptions>;
  readonly source: Store<'library' | 'chosen'>;
  /** Asks; an older question that is still worked out is cancelled. */
  ask(request: CohortRequest): Promise<void>;
  cancel(): void;
  /** Says that stored cases or definitions changed: what is shown is worked out anew when it is next asked for. */
  forget(): void;
  dispose(): void;
}

/** Returns the questions, with nothing asked yet. `newJobId` makes a name of 32 hexadecimal digits that no other work has. */
export function createCohortRun(host: HostConnection, newJobId: () => string): CohortRun {
  const store = createStore<CohortState>({ kind: 'none', results: null });
  const job = createOneJob(newJobId, (jobId) => host.cancelCohort({ jobId }));
  const stopListening = host.onEvent((event) => {
    const state = store.get();
    if (event.kind === 'cohort-progress' && state.kind === 'working' && job.isCurrent(event.jobId)) store.set({ ...state, stage: event.stage, done: event.done, total: event.total });
  });
  return {
    get: store.get,
    subscribe: store.subscribe,
    options: createStore<CohortOptions>(DEFAULT_COHORT_OPTIONS),
    source: createStore<'library' | 'chosen'>('library'),
    ask: (request) =>
      job.run((jobId) => host.cohort({ jobId, ...request }), () => store.set({ kind: 'working', request, stage: 'reading', done: 0, total: request.caseKeys?.length ?? 0, results: store.get().results }), {
        done: (results) => store.set({ kind: 'ready', request, results }),
        failed: (error) => store.set({ kind: 'failed', request, problem: describeProblem(error, 'Working out the answers'), results: store.get().results }),
      }),
    cancel() {
      const state = store.get();
      if (job.stop() && state.kind === 'working') store.set({ kind: 'cancelled', request: state.request, results: state.results });
    },
    forget() {
      job.stop();
      store.set({ kind: 'none', results: null });
    },
    dispose() {
      job.stop();
      stopListening();
    },
  };
}

/** Returns whether the state, whatever it is, is of exactly this request. */
export function isOfRequest(state: CohortState, { caseKeys, options }: CohortRequest): boolean {
  if (state.kind === 'none' || state.request.options !== options) return false;
  const asked = state.request.caseKeys;
  if (asked === null || caseKeys === null) return asked === caseKeys;
  return asked.length === caseKeys.length && asked.every((caseKey, i) => caseKey === caseKeys[i]);
}
