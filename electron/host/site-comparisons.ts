import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { sameParameters } from '../../core/model/same-parameters.ts';
import type { CaseSiteFigures, SiteCohort } from '../../core/model/site-cohort.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import type { HostEvent } from '../../core/protocol/host-api.ts';
import type { AnalysisPool } from './analysis-pool.ts';
import type { CaseStore } from './case-store.ts';
import { inTurns } from './in-turns.ts';

/** Progress is told at most this often. */
const PROGRESS_EVERY_MS = 100;

export interface SiteComparisonParts {
  readonly store: CaseStore;
  readonly pool: AnalysisPool;
  readonly casesAtOnce: number;
  /** Aborted when the host closes. */
  readonly closing: AbortSignal;
  readonly tell: (event: HostEvent) => void;
}

/** Comparisons of sites over many cases: read case by case in the workers, so that neither window nor host waits. */
export interface SiteComparisons {
  /**
   * Returns the sites of the given cases against each other, with the parameters of the library.
   * Shape   each case once, whatever the order of the keys. What a case gave is kept for the next comparison until the case changes.
   * Errors  rejects with a FailureError when cancelled, or when the same job is already running. A case that cannot be read is
   *         left out and listed with the reason.
   */
  compare(args: { readonly jobId: string; readonly caseKeys: readonly string[] }): Promise<SiteCohort>;
  /** Returns whether such a job was running. */
  cancel(jobId: string): boolean;
}

interface KeptFigures {
  readonly revision: number | null;
  readonly figures: CaseSiteFigures;
}

/** Returns the comparisons of one host. */
export function createSiteComparisons({ store, pool, casesAtOnce, closing, tell }: SiteComparisonParts): SiteComparisons {
  const running = new Map<string, AbortController>();
  const kept = new Map<string, KeptFigures>();
  let keptFor: AnalysisParameters | null = null;

  async function figuresOf(caseKey: string, parameters: AnalysisParameters): Promise<CaseSiteFigures> {
    const revision = store.revisionOf(caseKey);
    const known = kept.get(caseKey);
    if (known !== undefined && known.revision === revision && keptFor === parameters) return known.figures;
    // The signal of the job is not handed on: a worker that is ended over one case costs more than the case.
    const answer = await pool.siteFigures(await store.readBytes(caseKey), caseKey, parameters, { signal: closing });
    if (!answer.ok) throw new FailureError(answer.failure);
    if (keptFor === parameters) kept.set(caseKey, { revision, figures: answer.value });
    return answer.value;
  }

  async function run(jobId: string, caseKeys: readonly string[], signal: AbortSignal): Promise<SiteCohort> {
    const read = await store.readParameters();
    if (keptFor === null || !sameParameters(keptFor, read)) {
      kept.clear();
      keptFor = read;
    }
    const parameters = keptFor;
    const names = new Map(store.list().map((summary) => [summary.caseKey, summary.caseId]));
    const keys = [...new Set(caseKeys)];
    const leftOut: { caseKey: string; caseId: string; reason: string }[] = [];
    let done = 0;
    let toldAt = -Infinity;
    const step = (): void => {
      done += 1;
      const now = performance.now();
      if (done < keys.length && now - toldAt < PROGRESS_EVERY_MS) return;
      toldAt = now;
      tell({ kind: 'comparison-progress', jobId, done, total: keys.length });
    };
    const found = await inTurns(keys, casesAtOnce, async (caseKey): Promise<CaseSiteFigures | null> => {
      signal.throwIfAborted();
      try {
        return await figuresOf(caseKey, parameters);
      } catch (error) {
        signal.throwIfAborted();
        leftOut.push({ caseKey, caseId: names.get(caseKey) ?? '', reason: toFailure(error).message });
        return null;
      } finally {
        step();
      }
    });
    const cases = found.filter((figures) => figures !== null);
    const compared = await pool.compareCases(cases, { signal });
    return { parameters, cases: cases.length, leftOut: leftOut.sort((a, b) => (a.caseKey < b.caseKey ? -1 : 1)), ...compared };
  }

  return {
    async compare({ jobId, caseKeys }) {
      if (running.has(jobId)) throw new FailureError({ code: 'comparison-running', message: 'This comparison is already running.', remedy: 'Wait until it ends, or cancel it.' });
      const own = new AbortController();
      running.set(jobId, own);
      const signal = AbortSignal.any([own.signal, closing]);
      try {
        return await run(jobId, caseKeys, signal);
      } catch (error) {
        if (signal.aborted) throw new FailureError({ code: 'cancelled', message: 'The comparison was cancelled.', remedy: 'Start it again whenever you like.' });
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
