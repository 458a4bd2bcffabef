/** Runs asynchronous work of which only the latest counts. */
export interface Newest {
  /**
   * Starts `work` and aborts what ran before. Resolves with its value, or with `null` when a later run
   * (or `dispose`) overtook it. Errors of overtaken work are dropped; those of the latest reject.
   */
  run<T>(work: (signal: AbortSignal) => Promise<T>): Promise<{ readonly value: T } | null>;
  /** Aborts what runs; later runs may follow. */
  cancel(): void;
}

/** Returns a runner in which a newer run overtakes every older one. */
export function createNewest(): Newest {
  let current: AbortController | null = null;
  return {
    async run(work) {
      current?.abort();
      const mine = new AbortController();
      current = mine;
      try {
        const value = await work(mine.signal);
        return mine.signal.aborted ? null : { value };
      } catch (error) {
        if (mine.signal.aborted) return null;
        throw error;
      } finally {
        if (current === mine) current = null;
      }
    },
    cancel() {
      current?.abort();
      current = null;
    },
  };
}

/** Resolves after `ms`, at once when `signal` aborts. */
export function delay(ms: number, signal: AbortSignal): Promise<void> {
  return new Promise((resolve) => {
    const done = (): void => {
      clearTimeout(timer);
      signal.removeEventListener('abort', done);
      resolve();
    };
    const timer = setTimeout(done, ms);
    signal.addEventListener('abort', done);
    if (signal.aborted) done();
  });
}
