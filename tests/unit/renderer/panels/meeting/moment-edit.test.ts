import { expect, test } from 'vitest';
import type { Story, StoryMoment } from '../../../../../core/model/story.ts';
import { withMoment, withMomentMoved, withoutMoment } from '../../../../../renderer/panels/meeting/moment-edit.ts';

const moment = (momentId: string, part: StoryMoment['part']): StoryMoment => ({ momentId, part, factor: null, title: momentId, text: '', notes: '', view: null });
const STORY: Story = { storyId: 's', revision: 1, title: 'T', question: '', minutesPerCase: 12, hidesLater: false, moments: [moment('a', 'situation'), moment('b', 'situation'), moment('c', 'factors')] };
const order = (story: Story): string[] => story.moments.map(({ momentId, part }) => `${momentId} ${part}`);

test('a moment moves within its part, then into the next part at its near end, and stays at the ends of the story', () => {
  expect(order(withMomentMoved(STORY, 'a', 1))).toEqual(['b situation', 'a situation', 'c factors']);
  // From the end of the situation into the background, which is empty, and on until it stands before the factor that is there.
  let story = STORY;
  const parts: string[] = [];
  for (let i = 0; i < 8; i++) {
    story = withMomentMoved(story, 'b', 1);
    parts.push(order(story).find((line) => line.startsWith('b'))!);
  }
  expect(parts).toEqual(['b background', 'b known when', 'b assessment', 'b factors', 'b factors', 'b went well', 'b recommendations', 'b recommendations']);
  expect(order(story)).toEqual(['a situation', 'c factors', 'b recommendations']);
  expect(withMomentMoved(story, 'b', 1)).toBe(story);
  expect(order(withMomentMoved(STORY, 'c', -1))).toEqual(['a situation', 'b situation', 'c assessment']);
  expect(withMomentMoved(STORY, 'gone', 1)).toBe(STORY);
});

test('a moment that is changed keeps its place; in another part it comes last and bears no factor outside the factors', () => {
  expect(order(withMoment(STORY, 'a', (one) => ({ ...one, title: 'new' })))).toEqual(['a situation', 'b situation', 'c factors']);
  const moved = withMoment({ ...STORY, moments: STORY.moments.map((one) => (one.momentId === 'c' ? { ...one, factor: 'task' } : one)) }, 'c', (one) => ({ ...one, part: 'situation' }));
  expect(moved.moments[2]).toMatchObject({ momentId: 'c', part: 'situation', factor: null });
  expect(withMoment(STORY, 'gone', (one) => one)).toBe(STORY);
  expect(order(withoutMoment(STORY, 'b'))).toEqual(['a situation', 'c factors']);
});
