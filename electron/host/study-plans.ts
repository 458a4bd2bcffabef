import type { NextStudyOptions, PlannedStudy } from '../../core/model/next-study.ts';
import type { CaseWorkParts } from './case-work-parts.ts';
import { createKeptCaseResults } from './kept-case-results.ts';
import { createNamedJobs } from './named-jobs.ts';
import { nowAndThen } from './now-and-then.ts';

/** Plans of studies from the cases of the library: read case by case, then drawn in a worker. */
export interface StudyPlans {
  /**
   * Returns the study that is asked about, planned from the given cases with the parameters of the library.
   * Shape   each case once, whatever the order of the keys. What a case gave is kept for the next plan until the case or the
   *         parameters change.
   * Errors  rejects with a FailureError when cancelled, or when the same job is already running. A case that cannot be read is left
   *         out and listed with the reason.
   */
  plan(args: { readonly jobId: string; readonly caseKeys: readonly string[]; readonly options: NextStudyOptions }): Promise<PlannedStudy>;
  /** Returns whether such a job was running. */
  cancel(jobId: string): boolean;
}

/** Returns the plans of one host. */
export function createStudyPlans({ store, pool, casesAtOnce, closing, tell }: CaseWorkParts): StudyPlans {
  const keptOf = (selection: 'computed' | 'confirmed') =>
    createKeptCaseResults({ store, casesAtOnce, closing, setsKept: 1, entriesOf: store.reviews.ofCase, workOut: (bytes, caseKey, parameters, entries, hooks) => pool.studyCase(bytes, caseKey, parameters, entries, selection, hooks) });
  const kept = { computed: keptOf('computed'), confirmed: keptOf('confirmed') };
  const jobs = createNamedJobs({
    closing,
    running: { code: 'plan-running', message: 'This plan is already being worked out.', remedy: 'Wait until it is done, or cancel it.' },
    cancelled: 'The planning was cancelled.',
  });
  return {
    plan: ({ jobId, caseKeys, options }) =>
      jobs.run(jobId, async (signal) => {
        const tellStage = (stage: 'reading' | 'drawing') => (done: number, total: number) => tell({ kind: 'study-progress', jobId, stage, done, total });
        const parameters = await store.settings.readParameters();
        const { cases, leftOut } = await kept[options.dropouts ?? 'computed'].read(caseKeys, parameters, { signal, onProgress: tellStage('reading') });
        const study = await pool.planStudy(cases, options, { signal, onDrawn: nowAndThen(tellStage('drawing')) });
        return { study, parameters, cases: cases.length, notReviewed: cases.reduce((total, one) => total + one.notReviewed, 0), leftOut };
      }),
    cancel: jobs.cancel,
  };
}
