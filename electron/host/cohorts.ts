import type { CohortExport } from '../../core/model/cohort-export.ts';
import type { CohortOptions } from '../../core/model/cohort-options.ts';
import type { CohortResults } from '../../core/model/cohort-results.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { CaseWorkParts } from './case-work-parts.ts';
import { createKeptCaseResults } from './kept-case-results.ts';
import { createNamedJobs } from './named-jobs.ts';
import { nowAndThen } from './now-and-then.ts';

/** Cohorts of the library's cases: read case by case in the workers, then worked out in them. */
export interface Cohorts {
  /**
   * Returns everything that is stated about a cohort, with the parameters of the library.
   * Shape   each case once, whatever the order of the keys; null: every case. What a case gave is kept for the next cohort until the
   *         case or the parameters change.
   * Errors  rejects with a FailureError when cancelled, when the same job is already running, or when cases are to be compared by a
   *         column that names persons. A case that cannot be read stands in the flow with the reason.
   */
  workOut(args: { readonly jobId: string; readonly caseKeys: readonly string[] | null; readonly options: CohortOptions }): Promise<CohortResults>;
  /** Returns the same as it is written out, for work that is named and ended elsewhere. */
  exported(args: { readonly jobId: string; readonly caseKeys: readonly string[] | null; readonly options: CohortOptions }, signal: AbortSignal): Promise<CohortExport>;
  /** Returns whether such a job was running. */
  cancel(jobId: string): boolean;
}

/** Returns the cohorts of one host. */
export function createCohorts({ store, pool, casesAtOnce, closing, tell }: CaseWorkParts): Cohorts {
  const kept = createKeptCaseResults({ store, casesAtOnce, closing, setsKept: 1, entriesOf: store.reviews.ofCase, workOut: pool.cohortCase });
  const jobs = createNamedJobs({
    closing,
    running: { code: 'cohort-running', message: 'This cohort is already being worked out.', remedy: 'Wait until it is done, or cancel it.' },
    cancelled: 'The work on the cohort was cancelled.',
  });
  const tellStages = (jobId: string) => (stage: 'reading' | 'working out') => (done: number, total: number) => tell({ kind: 'cohort-progress', jobId, stage, done, total });
  return {
    async exported({ jobId, caseKeys, options }, signal) {
      const tellStage = tellStages(jobId);
      const parameters = await store.settings.readParameters();
      const { cases, leftOut } = await kept.read(caseKeys, parameters, { signal, onProgress: tellStage('reading') });
      const worked = await pool.cohortExport(cases, leftOut, options, parameters, { signal, onFigures: nowAndThen(tellStage('working out')) });
      if (!worked.ok) throw new FailureError(worked.failure);
      return worked.value;
    },
    workOut: ({ jobId, caseKeys, options }) =>
      jobs.run(jobId, async (signal) => {
        const tellStage = tellStages(jobId);
        const parameters = await store.settings.readParameters();
        const { cases, leftOut } = await kept.read(caseKeys, parameters, { signal, onProgress: tellStage('reading') });
        const worked = await pool.cohort(cases, leftOut, options, parameters, { signal, onFigures: nowAndThen(tellStage('working out')) });
        if (!worked.ok) throw new FailureError(worked.failure);
        return worked.value;
      }),
    cancel: jobs.cancel,
  };
}
