import type { SiteCohort } from '../../core/model/site-cohort.ts';
import type { CaseWorkParts } from './case-work-parts.ts';
import { createKeptCaseResults } from './kept-case-results.ts';
import { createNamedJobs } from './named-jobs.ts';

/** Comparisons of sites over many cases: read case by case in the workers, so that neither window nor host waits. */
export interface SiteComparisons {
  /**
   * Returns the sites of the given cases against each other, with the parameters of the library.
   * Shape   each case once, whatever the order of the keys. What a case gave is kept for the next comparison until the case or the
   *         parameters change.
   * Errors  rejects with a FailureError when cancelled, or when the same job is already running. A case that cannot be read is
   *         left out and listed with the reason.
   */
  compare(args: { readonly jobId: string; readonly caseKeys: readonly string[] }): Promise<SiteCohort>;
  /** Returns whether such a job was running. */
  cancel(jobId: string): boolean;
}

/** Returns the comparisons of one host. */
export function createSiteComparisons({ store, pool, casesAtOnce, closing, tell }: CaseWorkParts): SiteComparisons {
  const kept = createKeptCaseResults({ store, casesAtOnce, closing, setsKept: 1, entriesOf: store.reviews.ofCase, workOut: pool.siteFigures });
  const jobs = createNamedJobs({
    closing,
    running: { code: 'comparison-running', message: 'This comparison is already running.', remedy: 'Wait until it ends, or cancel it.' },
    cancelled: 'The comparison was cancelled.',
  });
  return {
    compare: ({ jobId, caseKeys }) =>
      jobs.run(jobId, async (signal) => {
        const parameters = await store.settings.readParameters();
        const { cases, leftOut } = await kept.read(caseKeys, parameters, { signal, onProgress: (done, total) => tell({ kind: 'comparison-progress', jobId, done, total }) });
        return { parameters, cases: cases.length, leftOut, ...(await pool.compareCases(cases, { signal })) };
      }),
    cancel: jobs.cancel,
  };
}
