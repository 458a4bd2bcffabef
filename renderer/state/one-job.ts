/** What becomes of a job that is still the current one when it ends. */
export interface JobOutcome<T> {
  done(made: T): void;
  failed(error: unknown): void;
}

/** One job of the host at a time. */
export interface OneJob {
  /** Whether this is the job that is waited for. */
  isCurrent(jobId: string): boolean;
  /** Whether any is waited for. */
  isRunning(): boolean;
  /** Starts a job; what ran before is cancelled, and its answer is no longer waited for. Never rejects: `outcome` is told. */
  run<T>(work: (jobId: string) => Promise<T>, begun: () => void, outcome: JobOutcome<T>): Promise<void>;
  /** Cancels what runs. Returns whether anything did. */
  stop(): boolean;
}

/** Returns that, with nothing running. `newJobId` makes a name of 32 hexadecimal digits that no other work has. */
export function createOneJob(newJobId: () => string, cancelAtHost: (jobId: string) => Promise<unknown>): OneJob {
  let current: string | null = null;
  const stop = (): boolean => {
    if (current === null) return false;
    // Whether it was still running does not matter: its answer is no longer waited for.
    cancelAtHost(current).catch(() => undefined);
    current = null;
    return true;
  };
  return {
    isCurrent: (jobId) => jobId === current,
    isRunning: () => current !== null,
    async run(work, begun, outcome) {
      stop();
      const jobId = newJobId();
      current = jobId;
      begun();
      try {
        const made = await work(jobId);
        if (current === jobId) outcome.done(made);
      } catch (error) {
        if (current === jobId) outcome.failed(error);
      } finally {
        if (current === jobId) current = null;
      }
    },
    stop,
  };
}
