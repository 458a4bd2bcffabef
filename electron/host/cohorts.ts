import type { CohortCase } from '../../core/model/cohort-case.ts';
import type { UnreadCase } from '../../core/model/cohort-flow.ts';
import type { CohortOptions } from '../../core/model/cohort-options.ts';
import type { CohortResults } from '../../core/model/cohort-results.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { sameParameters } from '../../core/model/same-parameters.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import { inTurns } from './in-turns.ts';
import type { SiteComparisonParts } from './site-comparisons.ts';

/** Progress is told at most this often. */
const PROGRESS_EVERY_MS = 100;

/** Cohorts of the library's cases: read case by case in the workers, then worked out in one of them. */
export interface Cohorts {
  /**
   * Returns everything that is stated about a cohort, with the parameters of the library.
   * Shape   each case once, whatever the order of the keys; null: every case. What a case gave is kept for the next cohort until the
   *         case or the parameters change.
   * Errors  rejects with a FailureError when cancelled, when the same job is already running, or when cases are to be compared by a
   *         column that names persons. A case that cannot be read stands
   *         in the flow with the reason.
   */
  workOut(args: { readonly jobId: string; readonly caseKeys: readonly string[] | null; readonly options: CohortOptions }): Promise<CohortResults>;
  /** Returns whether such a job was running. */
  cancel(jobId: string): boolean;
}

/** Returns the cohorts of one host. */
export function createCohorts({ store, pool, casesAtOnce, closing, tell }: SiteComparisonParts): Cohorts {
  const running = new Map<string, AbortController>();
  const kept = new Map<string, { readonly revision: number | null; readonly one: CohortCase }>();
  let keptFor: AnalysisParameters | null = null;

  async function caseOf(caseKey: string, parameters: AnalysisParameters): Promise<CohortCase> {
    const revision = store.revisionOf(caseKey);
    const known = kept.get(caseKey);
    if (known !== undefined && known.revision === revision && keptFor === parameters) return known.one;
    // The signal of the job is not handed on: a worker that is ended over one case costs more than the case.
    const answer = await pool.cohortCase(await store.readBytes(caseKey), caseKey, parameters, { signal: closing });
    if (!answer.ok) throw new FailureError(answer.failure);
    if (keptFor === parameters) kept.set(caseKey, { revision, one: answer.value });
    return answer.value;
  }

  /** Returns a function that tells how far a stage is, now and then. */
  function teller(jobId: string, stage: 'reading' | 'working out'): (done: number, total: number) => void {
    let toldAt = -Infinity;
    return (done, total) => {
      const now = performance.now();
      if (done < total && now - toldAt < PROGRESS_EVERY_MS) return;
      toldAt = now;
      tell({ kind: 'cohort-progress', jobId, stage, done, total });
    };
  }

  async function run(jobId: string, caseKeys: readonly string[] | null, options: CohortOptions, signal: AbortSignal): Promise<CohortResults> {
    const read = await store.readParameters();
    if (keptFor === null || !sameParameters(keptFor, read)) {
      kept.clear();
      keptFor = read;
    }
    const parameters = keptFor;
    const lines = store.list();
    const names = new Map(lines.map((summary) => [summary.caseKey, summary.caseId]));
    for (const caseKey of kept.keys()) if (!names.has(caseKey)) kept.delete(caseKey); // removed from the library
    const keys = [...new Set(caseKeys ?? names.keys())];
    const unread: UnreadCase[] = [];
    const tellRead = teller(jobId, 'reading');
    let done = 0;
    const found = await inTurns(keys, casesAtOnce, async (caseKey): Promise<CohortCase | null> => {
      signal.throwIfAborted();
      try {
        return await caseOf(caseKey, parameters);
      } catch (error) {
        signal.throwIfAborted();
        unread.push({ caseKey, caseId: names.get(caseKey) ?? '', reason: toFailure(error).message });
        return null;
      } finally {
        tellRead((done += 1), keys.length);
      }
    });
    const cases = found.filter((one) => one !== null);
    const worked = await pool.cohort(cases, unread, options, parameters, { signal, onFigures: teller(jobId, 'working out') });
    if (!worked.ok) throw new FailureError(worked.failure);
    return worked.value;
  }

  return {
    async workOut({ jobId, caseKeys, options }) {
      if (running.has(jobId)) throw new FailureError({ code: 'cohort-running', message: 'This cohort is already being worked out.', remedy: 'Wait until it is done, or cancel it.' });
      const own = new AbortController();
      running.set(jobId, own);
      const signal = AbortSignal.any([own.signal, closing]);
      try {
        return await run(jobId, caseKeys, options, signal);
      } catch (error) {
        if (signal.aborted) throw new FailureError({ code: 'cancelled', message: 'The work on the cohort was cancelled.', remedy: 'Start it again whenever you like.' });
        throw error;
      } finally {
        running.delete(jobId);
      }
    },
    cancel(jobId) {
      const own = running.get(jobId);
      own?.abort();
      return own !== undefined;
    },
  };
}
