import { describe, expect, it } from 'vitest';
import type { Story, StoryMoment } from '../../../../core/model/story.ts';
import { PRESENTING_KEYS, presentingCommandOf } from '../../../../renderer/panels/meeting/presenting/presenting-keys.ts';
import { BEGINNING, createPresentation, partStart } from '../../../../renderer/state/presentation.ts';
import { TIMELINE_KEYS } from '../../../../renderer/timeline/keys.ts';

const moment = (momentId: string, part: StoryMoment['part']): StoryMoment => ({ momentId, part, factor: null, title: momentId, text: '', notes: '', view: null });
const STORY: Story = { storyId: 's', revision: 1, title: 'T', question: '', minutesPerCase: 12, hidesLater: true, moments: [moment('a', 'situation'), moment('b', 'situation'), moment('c', 'assessment'), moment('d', 'recommendations')] };

describe('a presentation', () => {
  it('begins before the first moment, goes from moment to moment and to the end, never beyond, and hides and shows anew at each', () => {
    const presentation = createPresentation(() => 1000);
    presentation.run('next');
    expect(presentation.get()).toBeNull();
    presentation.start(STORY, true);
    const seen: number[] = [];
    const at = (): number => presentation.get()!.at;
    presentation.run('reveal');
    presentation.run('black');
    expect(presentation.get()).toMatchObject({ isRevealed: true, isBlack: true, startedAtMs: 1000 });
    for (const command of ['next', 'next', 'next', 'next', 'next', 'next', 'previous', 'first', 'previous', 'previous', 'last'] as const) {
      presentation.run(command);
      seen.push(at());
    }
    expect(seen).toEqual([0, 1, 2, 3, 4, 4, 3, 0, -1, -1, 3]);
    expect(presentation.get()).toMatchObject({ isRevealed: false, isBlack: false });
    presentation.goTo(99);
    expect(at()).toBe(4);
    presentation.end();
    expect(presentation.get()).toBeNull();
  });

  it('reveals nothing where nothing is hidden, and counts how often the collected view is asked for', () => {
    const presentation = createPresentation(() => 0);
    presentation.start(STORY, false);
    presentation.run('reveal');
    presentation.run('collected view');
    presentation.run('collected view');
    expect(presentation.get()).toMatchObject({ isRevealed: false, collectedViews: 2, at: BEGINNING });
  });

  it('goes from part to part over those that are empty; back goes to the start of the part first', () => {
    const { moments } = STORY;
    expect([-1, 0, 1, 2, 3, 4].map((at) => partStart(moments, at, 1))).toEqual([0, 2, 2, 3, 4, 4]);
    expect([-1, 0, 1, 2, 3, 4].map((at) => partStart(moments, at, -1))).toEqual([-1, -1, 0, 0, 2, 3]);
  });
});

describe('keys of the presentation', () => {
  it('are one command each and take none from the timeline but page up, page down', () => {
    const keys = PRESENTING_KEYS.flatMap((binding) => binding.keys);
    expect(new Set(keys).size).toBe(keys.length);
    const ofTimeline = new Set(TIMELINE_KEYS.flatMap((binding) => binding.keys));
    expect(keys.filter((key) => ofTimeline.has(key))).toEqual(['PageDown', 'PageUp']);
  });
  it('are found with and without shift, and left alone with control, alt or meta', () => {
    const press = (key: string, part: object = {}) => presentingCommandOf({ key, shiftKey: false, ctrlKey: false, metaKey: false, altKey: false, ...part });
    expect([press('PageDown'), press('PageDown', { shiftKey: true }), press(' '), press('B', { shiftKey: true }), press('?', { shiftKey: true }), press('n'), press('ArrowRight')]).toEqual(['next', 'next part', 'next', 'black', 'keys', null, null]);
    expect([press('q', { ctrlKey: true }), press('f', { metaKey: true }), press('r', { altKey: true })]).toEqual([null, null, null]);
  });
});
