import type { CaseMs } from '../../core/base/brand.ts';
import type { Interval } from '../../core/base/interval.ts';
import type { CaseOrigin } from '../../core/model/case.ts';
import { markTimes, placeOfMark } from '../../core/model/case-mark.ts';
import type { CaseMark } from '../../core/model/case-mark.ts';
import type { HostConnection } from '../host/host-client.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

/** A mark and where it stands in the open case; null: nobody can say (see `placeOfMark`). */
export interface PlacedMark {
  readonly mark: CaseMark;
  readonly place: Interval | null;
  /** false: it is in no list that its number would lead to. */
  readonly isNumbered?: boolean | undefined;
}

export interface CaseMarksState {
  /** In time order; null: not read yet. */
  readonly marks: readonly PlacedMark[] | null;
  readonly chosenId: string | null;
  readonly problem: Problem | null;
  /** The last change and how it was before: what can be taken back. null `was`: the mark was not there. */
  readonly undo: { readonly words: string; readonly markId: string; readonly was: CaseMark | null } | null;
}

/** The marks and notes of one open case. Every change is kept before it is shown. */
export interface CaseMarksStore extends ReadableStore<CaseMarksState> {
  load(): Promise<void>;
  choose(markId: string | null): void;
  /** Marks an instant (`endMs` null) or a span, with an empty note, and chooses it. */
  add(startMs: CaseMs, endMs: CaseMs | null): Promise<void>;
  write(markId: string, text: string): Promise<void>;
  move(markId: string, startMs: CaseMs, endMs: CaseMs | null): Promise<void>;
  remove(markId: string): Promise<void>;
  undo(): Promise<void>;
}

export interface CaseMarksParts {
  readonly host: HostConnection;
  readonly caseKey: string;
  readonly origin: CaseOrigin;
  readonly newId: () => string;
}

/** Returns the marks of a case, not read yet. */
export function createCaseMarks({ host, caseKey, origin, newId }: CaseMarksParts): CaseMarksStore {
  const store = createStore<CaseMarksState>({ marks: null, chosenId: null, problem: null, undo: null });
  const placed = (marks: readonly CaseMark[]): PlacedMark[] => marks.map((mark) => ({ mark, place: placeOfMark(mark, origin) }));
  const markOf = (markId: string): CaseMark | null => store.get().marks?.find(({ mark }) => mark.markId === markId)?.mark ?? null;
  let last: Promise<unknown> = Promise.resolve();

  /** Carries out one change after the other. */
  function carryOut(doing: string, change: () => Promise<readonly CaseMark[]>, after: Partial<CaseMarksState>): Promise<void> {
    const next = last.then(async () => {
      try {
        store.set({ ...store.get(), marks: placed(await change()), problem: null, ...after });
      } catch (error) {
        store.set({ ...store.get(), problem: describeProblem(error, doing) });
      }
    });
    last = next;
    return next;
  }
  const keep = (mark: CaseMark, words: string, chosenId = store.get().chosenId): Promise<void> =>
    carryOut('Keeping the mark', () => host.keepMark({ caseKey, mark }), { chosenId, undo: { words, markId: mark.markId, was: markOf(mark.markId) } });
  const takeAway = (markId: string, undo: CaseMarksState['undo']): Promise<void> =>
    carryOut('Removing the mark', () => host.removeMark({ caseKey, markId }), { chosenId: null, undo });

  return {
    get: store.get,
    subscribe: store.subscribe,
    load: () => carryOut('Reading the marks of the case', () => host.listMarks({ caseKey }), {}),
    choose(markId) {
      if (store.get().chosenId !== markId) store.set({ ...store.get(), chosenId: markId });
    },
    add(startMs, endMs) {
      const markId = newId();
      return keep({ markId, ...markTimes(origin, startMs, endMs), text: '' }, 'Mark added.', markId);
    },
    async write(markId, text) {
      const mark = markOf(markId);
      if (mark !== null && mark.text !== text) await keep({ ...mark, text }, 'Note changed.');
    },
    async move(markId, startMs, endMs) {
      const mark = markOf(markId);
      if (mark !== null) await keep({ ...mark, ...markTimes(origin, startMs, endMs) }, 'Mark moved.');
    },
    async remove(markId) {
      const mark = markOf(markId);
      if (mark !== null) await takeAway(markId, { words: 'Mark removed.', markId, was: mark });
    },
    async undo() {
      const { undo } = store.get();
      if (undo === null) return;
      if (undo.was === null) await takeAway(undo.markId, null);
      else {
        const { was } = undo;
        await carryOut('Bringing the mark back', () => host.keepMark({ caseKey, mark: was }), { chosenId: was.markId, undo: null });
      }
    },
  };
}
