import { DEFAULT_MINUTES_PER_CASE } from '../../core/model/story.ts';
import type { Story } from '../../core/model/story.ts';
import type { HostConnection } from '../host/host-client.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export interface StoriesState {
  /** null: not read yet. */
  readonly stories: readonly Story[] | null;
  /** The story that is edited; null: the list is shown. */
  readonly openId: string | null;
  /** Why the last thing that was asked for is not done; null: it is. */
  readonly problem: Problem | null;
}

/** The stories of the library. Every change is kept before it is shown. */
export interface StoriesStore extends ReadableStore<StoriesState> {
  load(): Promise<void>;
  /** Reads the stories again where they were read before. */
  refresh(): Promise<void>;
  open(storyId: string | null): void;
  /** What went wrong was read: it is said no longer. */
  forgetProblem(): void;
  /** Makes a story and returns it; null where it could not be kept. */
  add(title: string): Promise<Story | null>;
  /** Changes the story as it stands when its turn comes. Returns false where that could not be kept. */
  change(storyId: string, edit: (story: Story) => Story): Promise<boolean>;
  remove(storyId: string): Promise<boolean>;
}

/** Returns the stories, not read yet. */
export function createStories(host: HostConnection, newId: () => string): StoriesStore {
  const store = createStore<StoriesState>({ stories: null, openId: null, problem: null });
  const put = (part: Partial<StoriesState>): void => store.set({ ...store.get(), ...part });
  const find = (storyId: string): Story | null => store.get().stories?.find((story) => story.storyId === storyId) ?? null;
  let last: Promise<unknown> = Promise.resolve();

  /** Does one thing after the other, so that each begins with what the one before has kept. */
  function inTurn(doing: string, work: () => Promise<readonly Story[] | null>): Promise<boolean> {
    const mine = last.then(async () => {
      try {
        const stories = await work();
        if (stories === null) return false;
        const { openId } = store.get();
        put({ stories, problem: null, openId: stories.some(({ storyId }) => storyId === openId) ? openId : null });
        return true;
      } catch (error) {
        put({ problem: describeProblem(error, doing) });
        // What another window has kept meanwhile is what the next change begins with.
        if (isOvertaken(error)) await host.listStories().then((stories) => put({ stories }), () => undefined);
        return false;
      }
    });
    last = mine;
    return mine;
  }
  const load = async (): Promise<void> => {
    await inTurn('Reading the stories', () => host.listStories());
  };

  return {
    get: store.get,
    subscribe: store.subscribe,
    load,
    async refresh() {
      if (store.get().stories !== null) await load();
    },
    open(storyId) {
      put({ openId: storyId, problem: null });
    },
    forgetProblem() {
      if (store.get().problem !== null) put({ problem: null });
    },
    async add(title) {
      const story: Story = { storyId: newId(), revision: 0, title, question: '', minutesPerCase: DEFAULT_MINUTES_PER_CASE, hidesLater: false, moments: [] };
      return (await inTurn('Making the story', () => host.keepStory({ story }))) ? find(story.storyId) : null;
    },
    change(storyId, edit) {
      return inTurn('Keeping the story', async () => {
        const story = find(storyId);
        if (story === null) throw new Error('The story is no longer in the library: it was removed, perhaps in another window. What was typed last is not kept.');
        const next = edit(story);
        return next === story ? store.get().stories : await host.keepStory({ story: next });
      });
    },
    remove(storyId) {
      return inTurn('Removing the story', () => host.removeStory({ storyId }));
    },
  };
}

function isOvertaken(error: unknown): boolean {
  const code: unknown = typeof error === 'object' && error !== null ? Reflect.get(error, 'code') : null;
  return code === 'story-changed' || code === 'story-missing';
}
