import { caseLabels, inStoryOrder, STORY_PARTS } from '../../core/model/story.ts';
import type { Story, StoryMoment } from '../../core/model/story.ts';
import { createStore, type ReadableStore, type Store } from './store.ts';

export type PresentingCommand = 'next' | 'previous' | 'next part' | 'previous part' | 'first' | 'last' | 'collected view' | 'reveal' | 'black' | 'notes' | 'second window' | 'full screen' | 'keys' | 'end';

/** The place before the first moment. */
export const BEGINNING = -1;

/** A presentation that is going on. */
export interface Presentation {
  /** As it was when the presentation began: nothing that is edited elsewhere changes a screen. */
  readonly story: Story;
  readonly moments: readonly StoryMoment[];
  readonly labels: ReadonlyMap<string, string>;
  readonly startedAtMs: number;
  readonly hidesLater: boolean;
  /** The moment on the screen, from 0; `BEGINNING`: the screen before it; as many as there are: the end. */
  readonly at: number;
  readonly isBlack: boolean;
  /** Whether what came after the moment's instant is shown. */
  readonly isRevealed: boolean;
  readonly areNotesShown: boolean;
  readonly areKeysShown: boolean;
  /** Counts how often the collected view was asked for. */
  readonly collectedViews: number;
}

/** What is being presented, and the presenter's own window. */
export interface PresentationStore extends ReadableStore<Presentation | null> {
  start(story: Story, hidesLater: boolean): void;
  /** Does what a key asks for, as far as it is a matter of what is shown. */
  run(command: PresentingCommand): void;
  goTo(at: number): void;
  end(): void;
  /** null: there is none. */
  readonly presenterWindow: Store<Window | null>;
}

/** Returns the presentation at another of its moments: shown again from the view as it was collected. */
function moved(presentation: Presentation, at: number): Presentation {
  const next = Math.max(BEGINNING, Math.min(presentation.moments.length, at));
  return next === presentation.at ? presentation : { ...presentation, at: next, isRevealed: false, isBlack: false };
}

/** Returns the place of the first moment of the next (1) or an earlier (−1) part that has one; the end after the last part, the beginning before the first. Going back inside a part goes to its first moment. */
export function partStart(moments: readonly StoryMoment[], at: number, by: 1 | -1): number {
  const here = moments[at];
  if (at === BEGINNING) return by === 1 ? Math.min(0, moments.length) : BEGINNING;
  const rank = here === undefined ? STORY_PARTS.length : STORY_PARTS.indexOf(here.part);
  const first = (of: number): number => moments.findIndex(({ part }) => STORY_PARTS.indexOf(part) === of);
  if (by === -1 && here !== undefined && first(rank) < at) return first(rank);
  for (let other = rank + by; other >= 0 && other < STORY_PARTS.length; other += by) if (first(other) >= 0) return first(other);
  return by === 1 ? moments.length : BEGINNING;
}

/** Returns the presentation after a command; the same where the command changes nothing of it. */
export function afterCommand(presentation: Presentation, command: PresentingCommand): Presentation {
  const { at, moments } = presentation;
  switch (command) {
    case 'next':
      return moved(presentation, at + 1);
    case 'previous':
      return moved(presentation, at - 1);
    case 'next part':
      return moved(presentation, partStart(moments, at, 1));
    case 'previous part':
      return moved(presentation, partStart(moments, at, -1));
    case 'first':
      return moved(presentation, 0);
    case 'last':
      return moved(presentation, moments.length - 1);
    case 'black':
      return { ...presentation, isBlack: !presentation.isBlack };
    case 'reveal':
      return presentation.hidesLater ? { ...presentation, isRevealed: !presentation.isRevealed } : presentation;
    case 'notes':
      return { ...presentation, areNotesShown: !presentation.areNotesShown };
    case 'keys':
      return { ...presentation, areKeysShown: !presentation.areKeysShown };
    case 'collected view':
      return { ...presentation, collectedViews: presentation.collectedViews + 1 };
    case 'second window':
    case 'full screen':
    case 'end':
      return presentation;
  }
}

/** Returns the place for a presentation; none is going on. `now`: ms of the computer's clock, for the time that has passed. */
export function createPresentation(now: () => number): PresentationStore {
  const store = createStore<Presentation | null>(null);
  return {
    get: store.get,
    subscribe: store.subscribe,
    presenterWindow: createStore<Window | null>(null),
    start(story, hidesLater) {
      store.set({
        story, moments: inStoryOrder(story.moments), labels: caseLabels(story), startedAtMs: now(), hidesLater,
        at: BEGINNING, isBlack: false, isRevealed: false, areNotesShown: false, areKeysShown: false, collectedViews: 0,
      });
    },
    run(command) {
      const presentation = store.get();
      if (presentation !== null) store.set(afterCommand(presentation, command));
    },
    goTo(at) {
      const presentation = store.get();
      if (presentation !== null) store.set(moved(presentation, at));
    },
    end() {
      store.set(null);
    },
  };
}
