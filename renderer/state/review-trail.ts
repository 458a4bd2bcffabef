import type { ListedEntry, TrailCheck } from '../../core/model/review.ts';
import type { ReviewApi } from '../../core/protocol/review-api.ts';
import { createNewest } from './newest.ts';
import { readingOf, type PreferenceStore } from './preferences.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

/** Entries fetched at a time. */
const PAGE_SIZE = 100;
/** Most that the host gives at once. */
const MOST_AT_ONCE = 1000;

export type TrailState =
  | { readonly kind: 'closed' }
  | { readonly kind: 'loading' }
  /** Newest first. `isLoadingMore` while earlier ones are fetched. */
  | { readonly kind: 'ready'; readonly entries: readonly ListedEntry[]; readonly total: number; readonly isLoadingMore: boolean }
  | { readonly kind: 'failed'; readonly problem: Problem };

export type CheckState =
  | { readonly kind: 'none' }
  | { readonly kind: 'checking' }
  /** `head`: the hash that was noted earlier and had to be there; null where none was given. */
  | { readonly kind: 'checked'; readonly check: TrailCheck; readonly head: string | null }
  | { readonly kind: 'failed'; readonly problem: Problem };

/** The trail of everything that was said and done, as this window looks at it. */
export interface ReviewTrailStore extends ReadableStore<TrailState> {
  readonly check: ReadableStore<CheckState>;
  /** Shows the newest entries. */
  show(): Promise<void>;
  /** Fetches earlier ones. */
  more(): Promise<void>;
  /** Checks the whole trail; `head`, where it is not null, must be in it. */
  verify(head: string | null): Promise<void>;
  /** Says that something was added: what is shown is fetched again, and a check is no longer one of all of it. */
  refresh(): Promise<void>;
  /** Another reads, or otherwise: what was listed for the one before is let go of. */
  readAnew(): Promise<void>;
}

/** Returns the trail, as the present reader may see it, with nothing asked of the host before it is first shown. */
export function createReviewTrail(host: Pick<ReviewApi, 'listTrail' | 'checkTrail'>, preferences: Pick<PreferenceStore, 'get'>): ReviewTrailStore {
  const store = createStore<TrailState>({ kind: 'closed' });
  const check = createStore<CheckState>({ kind: 'none' });
  const newest = createNewest();
  const list = (before: number | null, limit: number): ReturnType<ReviewApi['listTrail']> => {
    const now = preferences.get();
    return host.listTrail({ before, limit, by: now.reader, blinded: readingOf(now).isBlinded });
  };
  const load = async (): Promise<void> => {
    const state = store.get();
    // Whoever had looked further back goes on looking there.
    const limit = state.kind === 'ready' ? Math.min(MOST_AT_ONCE, Math.max(PAGE_SIZE, state.entries.length)) : PAGE_SIZE;
    try {
      const answer = await newest.run(() => list(null, limit));
      if (answer !== null) store.set({ kind: 'ready', ...answer.value, isLoadingMore: false });
    } catch (error) {
      store.set({ kind: 'failed', problem: describeProblem(error, 'Reading the trail') });
    }
  };
  return {
    get: store.get,
    subscribe: store.subscribe,
    check,
    async show() {
      if (store.get().kind !== 'ready') store.set({ kind: 'loading' });
      await load();
    },
    async more() {
      const state = store.get();
      const last = state.kind === 'ready' ? state.entries.at(-1) : undefined;
      if (state.kind !== 'ready' || last === undefined || state.isLoadingMore) return;
      store.set({ ...state, isLoadingMore: true });
      try {
        const answer = await newest.run(() => list(last.entry.place, PAGE_SIZE));
        if (answer !== null) store.set({ kind: 'ready', entries: [...state.entries, ...answer.value.entries], total: answer.value.total, isLoadingMore: false });
      } catch (error) {
        store.set({ kind: 'failed', problem: describeProblem(error, 'Reading the trail') });
      }
    },
    async verify(head) {
      check.set({ kind: 'checking' });
      try {
        check.set({ kind: 'checked', check: await host.checkTrail({ head }), head });
      } catch (error) {
        check.set({ kind: 'failed', problem: describeProblem(error, 'Checking the trail') });
      }
    },
    async refresh() {
      if (check.get().kind === 'checked') check.set({ kind: 'none' });
      if (store.get().kind !== 'closed') await load();
    },
    async readAnew() {
      if (store.get().kind === 'closed') return;
      store.set({ kind: 'loading' });
      await load();
    },
  };
}
