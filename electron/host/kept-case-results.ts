import type { Result } from '../../core/base/result.ts';
import type { UnreadCase } from '../../core/model/cohort-flow.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { sameParameters } from '../../core/model/same-parameters.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { EntriesOfCase } from '../../core/worker/analysis-service.ts';
import type { CaseStore } from './case-store.ts';
import type { CaseWorkParts } from './case-work-parts.ts';
import { eachCase } from './each-case.ts';

/** What each case of the library gives for one kind of work. */
export interface KeptCaseResults<T> {
  /**
   * Returns what the cases give under some parameters, some of them worked out at a time.
   * Shape   each case once, in the order of the keys; null: every case of the library. Left out, by key: what cannot be read, with
   *         the reason; its name is '' where the library has no such case.
   * Errors  rejects with the reason of the signal.
   */
  read(caseKeys: readonly string[] | null, parameters: AnalysisParameters, hooks: { readonly signal: AbortSignal; readonly onProgress: (done: number, total: number) => void }): Promise<{ readonly cases: readonly T[]; readonly leftOut: readonly UnreadCase[] }>;
}

export interface KeptCaseResultsOptions<T> extends Pick<CaseWorkParts, 'casesAtOnce' | 'closing'> {
  readonly store: Pick<CaseStore, 'list' | 'revisionOf' | 'readBytes'>;
  /** So many sets of parameters are kept at a time, those used last. */
  readonly setsKept: number;
  /** Returns what was said of a case. A case of which it cannot be had is left out: whether it may be counted is not known. */
  readonly entriesOf: (caseKey: string) => Promise<EntriesOfCase>;
  readonly workOut: (bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, entries: EntriesOfCase, hooks: { readonly signal: AbortSignal }) => Promise<Result<T>>;
}

interface KeptSet<T> {
  readonly parameters: AnalysisParameters;
  readonly byCase: Map<string, { readonly revision: number | null; readonly said: string; readonly result: T }>;
}

/** Returns the results of one kind; each is kept until its case changes or goes, something is said of it, or its parameters were not used for long. */
export function createKeptCaseResults<T>({ store, casesAtOnce, closing, setsKept, entriesOf, workOut }: KeptCaseResultsOptions<T>): KeptCaseResults<T> {
  let sets: readonly KeptSet<T>[] = [];

  function setFor(parameters: AnalysisParameters): KeptSet<T> {
    const known = sets.find((set) => sameParameters(set.parameters, parameters)) ?? { parameters, byCase: new Map() };
    sets = [known, ...sets.filter((set) => set !== known)].slice(0, setsKept);
    return known;
  }

  async function resultOf(caseKey: string, { parameters, byCase }: KeptSet<T>): Promise<T> {
    const revision = store.revisionOf(caseKey);
    const known = byCase.get(caseKey);
    const entries = await entriesOf(caseKey);
    // Entries are only added: the last one tells them all.
    const said = entries?.at(-1)?.hash ?? '';
    if (known !== undefined && known.revision === revision && known.said === said) return known.result;
    // The signal of the job is not handed on: a worker that is ended over one case costs more than the case.
    const answer = await workOut(await store.readBytes(caseKey), caseKey, parameters, entries, { signal: closing });
    if (!answer.ok) throw new FailureError(answer.failure);
    byCase.set(caseKey, { revision, said, result: answer.value });
    return answer.value;
  }

  return {
    async read(caseKeys, parameters, { signal, onProgress }) {
      const own = setFor(parameters);
      const names = new Map(store.list().map(({ caseKey, caseId }) => [caseKey, caseId]));
      for (const { byCase } of sets) for (const caseKey of byCase.keys()) if (!names.has(caseKey)) byCase.delete(caseKey); // removed from the library
      const keys = [...new Set(caseKeys ?? names.keys())];
      const { made, leftOut } = await eachCase(keys, { names, casesAtOnce, signal, onProgress }, async (caseKey) => await resultOf(caseKey, own));
      return { cases: made, leftOut: [...leftOut].sort((a, b) => (a.caseKey < b.caseKey ? -1 : 1)) };
    },
  };
}
