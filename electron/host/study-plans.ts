import type { NextStudyOptions, PlannedStudy, StudyCase } from '../../core/model/next-study.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { sameParameters } from '../../core/model/same-parameters.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import type { SiteComparisonParts } from './site-comparisons.ts';
import { inTurns } from './in-turns.ts';

/** Progress is told at most this often. */
const PROGRESS_EVERY_MS = 100;

/** Plans of studies from the cases of the library: read case by case, then drawn in a worker. */
export interface StudyPlans {
  /**
   * Returns the study that is asked about, planned from the given cases with the parameters of the library.
   * Shape   each case once, whatever the order of the keys. What a case gave is kept for the next plan until the case changes.
   * Errors  rejects with a FailureError when cancelled, or when the same job is already running. A case that cannot be read is left
   *         out and listed with the reason.
   */
  plan(args: { readonly jobId: string; readonly caseKeys: readonly string[]; readonly options: NextStudyOptions }): Promise<PlannedStudy>;
  /** Returns whether such a job was running. */
  cancel(jobId: string): boolean;
}

/** Returns the plans of one host. */
export function createStudyPlans({ store, pool, casesAtOnce, closing, tell }: SiteComparisonParts): StudyPlans {
  const running = new Map<string, AbortController>();
  const kept = new Map<string, { readonly revision: number | null; readonly study: StudyCase }>();
  let keptFor: AnalysisParameters | null = null;

  async function caseOf(caseKey: string, parameters: AnalysisParameters): Promise<StudyCase> {
    const revision = store.revisionOf(caseKey);
    const known = kept.get(caseKey);
    if (known !== undefined && known.revision === revision && keptFor === parameters) return known.study;
    // The signal of the job is not handed on: a worker that is ended over one case costs more than the case.
    const answer = await pool.studyCase(await store.readBytes(caseKey), caseKey, parameters, { signal: closing });
    if (!answer.ok) throw new FailureError(answer.failure);
    if (keptFor === parameters) kept.set(caseKey, { revision, study: answer.value });
    return answer.value;
  }

  /** Returns a function that tells how far a stage is, now and then. */
  function teller(jobId: string, stage: 'reading' | 'drawing'): (done: number, total: number) => void {
    let toldAt = -Infinity;
    return (done, total) => {
      const now = performance.now();
      if (done < total && now - toldAt < PROGRESS_EVERY_MS) return;
      toldAt = now;
      tell({ kind: 'study-progress', jobId, stage, done, total });
    };
  }

  async function run(jobId: string, caseKeys: readonly string[], options: NextStudyOptions, signal: AbortSignal): Promise<PlannedStudy> {
    const read = await store.readParameters();
    if (keptFor === null || !sameParameters(keptFor, read)) {
      kept.clear();
      keptFor = read;
    }
    const parameters = keptFor;
    const names = new Map(store.list().map((summary) => [summary.caseKey, summary.caseId]));
    const keys = [...new Set(caseKeys)];
    const leftOut: { caseKey: string; caseId: string; reason: string }[] = [];
    const tellRead = teller(jobId, 'reading');
    let done = 0;
    const found = await inTurns(keys, casesAtOnce, async (caseKey): Promise<StudyCase | null> => {
      signal.throwIfAborted();
      try {
        return await caseOf(caseKey, parameters);
      } catch (error) {
        signal.throwIfAborted();
        leftOut.push({ caseKey, caseId: names.get(caseKey) ?? '', reason: toFailure(error).message });
        return null;
      } finally {
        tellRead((done += 1), keys.length);
      }
    });
    const cases = found.filter((one) => one !== null);
    const study = await pool.planStudy(cases, options, { signal, onDrawn: teller(jobId, 'drawing') });
    return { study, parameters, cases: cases.length, leftOut: leftOut.sort((a, b) => (a.caseKey < b.caseKey ? -1 : 1)) };
  }

  return {
    async plan({ jobId, caseKeys, options }) {
      if (running.has(jobId)) throw new FailureError({ code: 'plan-running', message: 'This plan is already being worked out.', remedy: 'Wait until it is done, or cancel it.' });
      const own = new AbortController();
      running.set(jobId, own);
      const signal = AbortSignal.any([own.signal, closing]);
      try {
        return await run(jobId, caseKeys, options, signal);
      } catch (error) {
        if (signal.aborted) throw new FailureError({ code: 'cancelled', message: 'The planning was cancelled.', remedy: 'Start it again whenever you like.' });
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
