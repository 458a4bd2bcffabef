import type { Result } from '../../core/base/result.ts';
import type { CohortExport } from '../../core/model/cohort-export.ts';
import type { CohortOptions } from '../../core/model/cohort-options.ts';
import type { CohortResults } from '../../core/model/cohort-results.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { AnalysisPool } from './analysis-pool.ts';
import type { CaseWorkParts } from './case-work-parts.ts';
import { createKeptCaseResults } from './kept-case-results.ts';
import { createNamedJobs } from './named-jobs.ts';
import { nowAndThen } from './now-and-then.ts';

/** Which cases of the library; null: every one. */
interface CohortAsked {
  readonly jobId: string;
  readonly caseKeys: readonly string[] | null;
  readonly options: CohortOptions;
}

/** What a worker makes of the cases of a cohort. */
type CohortWork<T> = (...args: Parameters<AnalysisPool['cohort']>) => Promise<Result<T>>;

/** Cohorts of the library's cases: read case by case in the workers, then worked out in them. */
export interface Cohorts {
  /**
   * Returns everything that is stated about a cohort, with the parameters of the library.
   * Shape   each case once, whatever the order of the keys; null: every case. What a case gave is kept for the next cohort until the
   *         case or the parameters change.
   * Errors  rejects with a FailureError when cancelled, when the same job is already running, or when cases are to be compared by a
   *         column that names persons. A case that cannot be read stands in the flow with the reason.
   */
  workOut(asked: CohortAsked): Promise<CohortResults>;
  /** Returns the same as it is written out, for work that is named and ended elsewhere. */
  exported(asked: CohortAsked, signal: AbortSignal): Promise<CohortExport>;
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
  /** Reads the cases and has a worker make its part of them. */
  const over = async <T>({ jobId, caseKeys, options }: CohortAsked, signal: AbortSignal, work: CohortWork<T>): Promise<T> => {
    const tellStage = (stage: 'reading' | 'working out') => (done: number, total: number) => tell({ kind: 'cohort-progress', jobId, stage, done, total });
    const parameters = await store.settings.readParameters();
    const { cases, leftOut } = await kept.read(caseKeys, parameters, { signal, onProgress: tellStage('reading') });
    tellStage('working out')(0, cases.length);
    const worked = await work(cases, leftOut, options, parameters, { signal, onFigures: nowAndThen(tellStage('working out')) });
    if (!worked.ok) throw new FailureError(worked.failure);
    return worked.value;
  };
  return {
    exported: (asked, signal) => over(asked, signal, pool.cohortExport),
    workOut: (asked) => jobs.run(asked.jobId, (signal) => over(asked, signal, pool.cohort)),
    cancel: jobs.cancel,
  };
}
