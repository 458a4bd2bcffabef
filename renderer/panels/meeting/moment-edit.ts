import { inStoryOrder, STORY_PARTS } from '../../../core/model/story.ts';
import type { Story, StoryMoment } from '../../../core/model/story.ts';

/** Returns a name that no other moment has. */
export function newMomentId(): string {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** Returns the story with one moment changed; the same story where it has no such moment. */
export function withMoment(story: Story, momentId: string, edit: (moment: StoryMoment) => StoryMoment): Story {
  if (!story.moments.some((moment) => moment.momentId === momentId)) return story;
  // One that moves to another part comes last there.
  const before = story.moments.find((moment) => moment.momentId === momentId);
  const after = before === undefined ? undefined : edit(before);
  if (before === undefined || after === undefined) return story;
  if (after.part === before.part) return { ...story, moments: story.moments.map((moment) => (moment === before ? after : moment)) };
  return { ...story, moments: inStoryOrder([...story.moments.filter((moment) => moment !== before), after.part === 'factors' ? after : { ...after, factor: null }]) };
}

/** Returns the story without a moment. */
export function withoutMoment(story: Story, momentId: string): Story {
  return { ...story, moments: story.moments.filter((moment) => moment.momentId !== momentId) };
}

/**
 * Returns the story with a moment one place earlier (−1) or later (1). At the edge of its part it goes into the next part that way, at its
 * near end; at the first and the last part it stays.
 */
export function withMomentMoved(story: Story, momentId: string, by: 1 | -1): Story {
  const moments = inStoryOrder(story.moments);
  const from = moments.findIndex((moment) => moment.momentId === momentId);
  const moment = moments[from];
  if (moment === undefined) return story;
  const neighbour = moments[from + by];
  if (neighbour?.part === moment.part) {
    const next = [...moments];
    next[from] = neighbour;
    next[from + by] = moment;
    return { ...story, moments: next };
  }
  const part = STORY_PARTS[STORY_PARTS.indexOf(moment.part) + by];
  if (part === undefined) return story;
  const moved: StoryMoment = { ...moment, part, factor: part === 'factors' ? moment.factor : null };
  const rest = moments.filter((one) => one !== moment);
  return { ...story, moments: inStoryOrder(by === 1 ? [moved, ...rest] : [...rest, moved]) };
}
