import type { Failure } from '../../core/base/result.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';

/** Work that the page can cancel by the name it gave it. */
export interface NamedJobs {
  /**
   * Returns what the work gives.
   * Errors  rejects with a FailureError: that of `running` when a job of this name is not over, `cancelled` when it was cancelled or
   *         the host closes; else with the error of the work.
   */
  run<T>(jobId: string, work: (signal: AbortSignal) => Promise<T>): Promise<T>;
  /** Returns whether such a job was running. */
  cancel(jobId: string): boolean;
}

/** Returns the jobs of one kind; `running` and `cancelled` are what is said of a second one and of a cancelled one. */
export function createNamedJobs({ closing, running, cancelled }: { readonly closing: AbortSignal; readonly running: Failure; readonly cancelled: string }): NamedJobs {
  const jobs = new Map<string, AbortController>();
  return {
    async run(jobId, work) {
      if (jobs.has(jobId)) throw new FailureError(running);
      const own = new AbortController();
      jobs.set(jobId, own);
      const signal = AbortSignal.any([own.signal, closing]);
      try {
        return await work(signal);
      } catch (error) {
        if (signal.aborted) throw new FailureError({ code: 'cancelled', message: cancelled, remedy: 'Start it again whenever you like.' });
        throw error;
      } finally {
        jobs.delete(jobId);
      }
    },
    cancel(jobId) {
      const own = jobs.get(jobId);
      own?.abort();
      return own !== undefined;
    },
  };
}
