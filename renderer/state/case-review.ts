import type { CaseFlag, CaseReview, Judgement, StandingVerdict } from '../../core/model/review.ts';
import type { ReviewApi } from '../../core/protocol/review-api.ts';
import { createNewest } from './newest.ts';
import { readingOf, type PreferenceStore } from './preferences.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export type CaseReviewState =
  /** No case is open. */
  | { readonly kind: 'none' }
  /** Blinded reading is on and nobody has said who reads: what was said is shown to nobody. */
  | { readonly kind: 'no reader'; readonly caseKey: string }
  | { readonly kind: 'loading'; readonly caseKey: string }
  | { readonly kind: 'ready'; readonly caseKey: string; readonly reader: string | null; readonly review: CaseReview }
  | { readonly kind: 'failed'; readonly caseKey: string; readonly problem: Problem };

/** What became of the last thing that was to be written about the open case. */
export type Saving =
  | { readonly kind: 'idle' }
  | { readonly kind: 'saving'; readonly what: Written }
  /** The host has it on the disk. `at` is when, ISO 8601. */
  | { readonly kind: 'saved'; readonly what: Written; readonly at: string }
  | { readonly kind: 'failed'; readonly what: Written; readonly problem: Problem };

/** What was to be written; `dropoutId` null: about the whole case. */
export interface Written {
  readonly caseKey: string;
  readonly reader: string;
  readonly act: 'verdict' | 'taken back' | 'placed' | 'flags' | 'read' | 'revealed';
  readonly dropoutId: string | null;
}

/** The part of the host that this store asks. */
export type CaseReviewHost = Pick<ReviewApi, 'readReview' | 'giveVerdict' | 'takeVerdictBack' | 'placeVerdict' | 'flagCase' | 'markCaseRead' | 'revealCase'>;

/**
 * All that is in force about the open case, as the present reader may see it. Every change resolves with whether the host has
 * acknowledged it; what a failed one was about stays as it was.
 */
export interface CaseReviewStore extends ReadableStore<CaseReviewState> {
  readonly saving: ReadableStore<Saving>;
  /** Shows this case; null: none. */
  follow(caseKey: string | null): void;
  /** Asks the host again. */
  reload(): Promise<void>;
  give(dropoutId: string, judgement: Judgement): Promise<boolean>;
  takeBack(dropoutId: string): Promise<boolean>;
  place(entryId: string, dropoutId: string): Promise<boolean>;
  flag(flags: readonly CaseFlag[], note: string): Promise<boolean>;
  markRead(): Promise<boolean>;
  reveal(): Promise<boolean>;
  dispose(): void;
}

/** Returns the review of no case yet. `onWritten` is called after every change that the host has acknowledged; `now` gives the time in ms. */
export function createCaseReview(host: CaseReviewHost, preferences: PreferenceStore, onWritten: (what: Written) => void, now: () => number): CaseReviewStore {
  const store = createStore<CaseReviewState>({ kind: 'none' });
  const saving = createStore<Saving>({ kind: 'idle' });
  const newest = createNewest();
  let caseKey: string | null = null;
  /** Writes go one after another, so that what the last one answers is the newest. */
  let line: Promise<unknown> = Promise.resolve();

  const reload = async (): Promise<void> => {
    const key = caseKey;
    if (key === null) {
      newest.cancel();
      store.set({ kind: 'none' });
      return;
    }
    const { reader } = preferences.get();
    const { isBlinded } = readingOf(preferences.get());
    if (reader === null && isBlinded) {
      newest.cancel();
      store.set({ kind: 'no reader', caseKey: key });
      return;
    }
    const shown = store.get();
    if (shown.kind !== 'ready' || shown.caseKey !== key || shown.reader !== reader) store.set({ kind: 'loading', caseKey: key });
    try {
      const answer = await newest.run(() => host.readReview({ caseKey: key, by: reader, blinded: isBlinded }));
      if (answer !== null) store.set({ kind: 'ready', caseKey: key, reader, review: answer.value });
    } catch (error) {
      store.set({ kind: 'failed', caseKey: key, problem: describeProblem(error, 'Reading what was said of this case') });
    }
  };

  /** Who reads how; what is shown depends on nothing else of the preferences. */
  const readingNow = (): string => JSON.stringify([preferences.get().reader, readingOf(preferences.get()).isBlinded]);
  let lastReading = readingNow();
  const stopWatching = preferences.subscribe(() => {
    const reading = readingNow();
    if (reading === lastReading) return;
    lastReading = reading;
    saving.set({ kind: 'idle' });
    void reload();
  });

  const write = ({ act, dropoutId }: Pick<Written, 'act' | 'dropoutId'>, ask: (args: { readonly caseKey: string; readonly by: string; readonly blinded: boolean }) => Promise<CaseReview>): Promise<boolean> => {
    const { reader } = preferences.get();
    const key = caseKey;
    if (reader === null || key === null) return Promise.resolve(false);
    const what: Written = { caseKey: key, reader, act, dropoutId };
    const blinded = readingOf(preferences.get()).isBlinded;
    saving.set({ kind: 'saving', what });
    const written = line.then(async () => {
      try {
        const review = await ask({ caseKey: key, by: reader, blinded });
        // Another case may have been opened meanwhile: what was written stands, only there is nothing to show it in.
        if (caseKey === key && preferences.get().reader === reader) {
          newest.cancel();
          store.set({ kind: 'ready', caseKey: key, reader, review });
        }
        onWritten(what);
        saving.set({ kind: 'saved', what, at: savedAt(review, what, reader) ?? new Date(now()).toISOString() });
        return true;
      } catch (error) {
        saving.set({ kind: 'failed', what, problem: describeProblem(error, WRITING[what.act]) });
        return false;
      }
    });
    line = written;
    return written;
  };

  return {
    get: store.get,
    subscribe: store.subscribe,
    saving,
    follow(next) {
      if (next === caseKey) return;
      caseKey = next;
      void reload();
    },
    reload,
    give: (dropoutId, judgement) => write({ act: 'verdict', dropoutId }, (args) => host.giveVerdict({ ...args, dropoutId, judgement })),
    takeBack: (dropoutId) => write({ act: 'taken back', dropoutId }, (args) => host.takeVerdictBack({ ...args, dropoutId })),
    place: (entryId, dropoutId) => write({ act: 'placed', dropoutId }, (args) => host.placeVerdict({ ...args, entryId, dropoutId })),
    flag: (flags, note) => write({ act: 'flags', dropoutId: null }, (args) => host.flagCase({ ...args, flags, note })),
    markRead: () => write({ act: 'read', dropoutId: null }, (args) => host.markCaseRead(args)),
    reveal: () => write({ act: 'revealed', dropoutId: null }, ({ caseKey: key, by }) => host.revealCase({ caseKey: key, by })),
    dispose() {
      stopWatching();
      newest.cancel();
    },
  };
}

const WRITING: Readonly<Record<Written['act'], string>> = {
  'verdict': 'Saving the verdict', 'taken back': 'Taking the verdict back', 'placed': 'Placing the verdict', 'flags': 'Saving the flags', 'read': 'Calling the case read', 'revealed': 'Revealing what others said',
};

/** Returns when the host wrote down the verdict that it was given, or null where the answer does not tell. */
function savedAt(review: CaseReview, what: Written, reader: string): string | null {
  if (what.act !== 'verdict' || what.dropoutId === null) return null;
  return ownVerdict(review, what.dropoutId, reader)?.at ?? null;
}

/** Returns the reader's own reading of a dropout that is in force, or null. Of several (dropouts that were joined) the one that counts. */
export function ownVerdict(review: CaseReview, dropoutId: string, reader: string | null): StandingVerdict | null {
  const verdicts = review.dropouts.find((dropout) => dropout.dropoutId === dropoutId)?.verdicts ?? [];
  return verdicts.find((verdict) => verdict.by === reader && verdict.role === 'reading' && verdict.isCounted) ?? null;
}
