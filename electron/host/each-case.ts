import type { UnreadCase } from '../../core/model/cohort-flow.ts';
import { toFailure } from '../../core/protocol/failure-error.ts';
import { inTurns } from './in-turns.ts';
import { nowAndThen } from './now-and-then.ts';

export interface EachCaseParts {
  /** Names of the cases by key. */
  readonly names: ReadonlyMap<string, string>;
  readonly casesAtOnce: number;
  readonly signal: AbortSignal;
  readonly onProgress: (done: number, total: number) => void;
}

/**
 * Returns what `work` makes of each case, some at a time, and the cases of which it makes nothing, with the reason.
 * Shape   both in the order of the keys; a case that the library does not have bears the name ''.
 * Errors  rejects with the reason of the signal.
 */
export async function eachCase<T>(keys: readonly string[], { names, casesAtOnce, signal, onProgress }: EachCaseParts, work: (caseKey: string) => Promise<T>): Promise<{ readonly made: readonly T[]; readonly leftOut: readonly UnreadCase[] }> {
  const progress = nowAndThen(onProgress);
  let done = 0;
  const ended = await inTurns(keys, casesAtOnce, async (caseKey): Promise<{ readonly made: T } | { readonly leftOut: UnreadCase }> => {
    signal.throwIfAborted();
    try {
      return { made: await work(caseKey) };
    } catch (error) {
      signal.throwIfAborted();
      return { leftOut: { caseKey, caseId: names.get(caseKey) ?? '', reason: toFailure(error).message } };
    } finally {
      progress((done += 1), keys.length);
    }
  });
  signal.throwIfAborted();
  return { made: ended.flatMap((one) => ('made' in one ? [one.made] : [])), leftOut: ended.flatMap((one) => ('leftOut' in one ? [one.leftOut] : [])) };
}
