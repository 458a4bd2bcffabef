import { isAsked, releaseKey, type ReleaseAnswer, type ReleaseKind, type ReleaseList, type ReleaseToken } from '../../core/model/release.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export interface ReleaseDeskState {
  /** null: not made yet. It is that of the answers of a moment ago while another is made. */
  readonly list: ReleaseList | null;
  readonly isMaking: boolean;
  readonly problem: Problem | null;
  readonly answers: readonly ReleaseAnswer[];
}

/** What would go out, and what is said about it. Nothing of it is kept: the words identify somebody. */
export interface ReleaseDesk extends ReadableStore<ReleaseDeskState> {
  start(): void;
  /** Says something of one word; null takes back what was said. */
  answer(of: Pick<ReleaseToken, 'kind' | 'text'>, said: Pick<ReleaseAnswer, 'decision' | 'with'> | null): void;
  /** Says the same of everything of a kind that has no answer yet. */
  answerAll(kind: ReleaseKind, decision: 'keep' | 'leave out'): void;
}

/** Asks the host for everything that would go out with these answers. */
export type ListLeaving = (answers: readonly ReleaseAnswer[]) => Promise<ReleaseList>;

/** Returns a desk over what is to leave; `answered` is what was said about it in another form. Lists are asked for one after the other, and only the newest counts. */
export function createReleaseDesk(listLeaving: ListLeaving, answered: readonly ReleaseAnswer[] = []): ReleaseDesk {
  const store = createStore<ReleaseDeskState>({ list: null, isMaking: false, problem: null, answers: answered });
  const put = (part: Partial<ReleaseDeskState>): void => store.set({ ...store.get(), ...part });
  let asked = 0;
  function make(answers: readonly ReleaseAnswer[]): void {
    asked += 1;
    const mine = asked;
    put({ answers, isMaking: true, problem: null });
    listLeaving(answers).then(
      (list) => {
        if (mine === asked) put({ list, isMaking: false });
      },
      (error: unknown) => {
        if (mine === asked) put({ isMaking: false, problem: describeProblem(error, 'Listing what would go out') });
      },
    );
  }
  const without = (of: Pick<ReleaseToken, 'kind' | 'text'>): readonly ReleaseAnswer[] => store.get().answers.filter((one) => releaseKey(one) !== releaseKey(of));
  return {
    get: store.get,
    subscribe: store.subscribe,
    start: () => make(store.get().answers),
    answer({ kind, text }, said) {
      make(said === null ? without({ kind, text }) : [...without({ kind, text }), { kind, text, ...said }]);
    },
    answerAll(kind, decision) {
      const { list, answers } = store.get();
      const open = (list?.tokens ?? []).filter((token) => token.kind === kind && isAsked(kind) && !token.isKept);
      const keys = new Set(open.map(releaseKey));
      make([...answers.filter((one) => !keys.has(releaseKey(one))), ...open.map(({ text }) => ({ kind, text, decision, with: '' }))]);
    },
  };
}
