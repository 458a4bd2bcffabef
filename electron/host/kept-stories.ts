import { z } from 'zod';
import { inStoryOrder, STORY_LIMITS } from '../../core/model/story.ts';
import type { Story } from '../../core/model/story.ts';
import { storySchema } from '../../core/model/story-schema.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { StoryStore } from './case-store.ts';
import type { LibraryDocument } from './library-shelf.ts';

const SCHEMA = 'lacuna-stories/1';
const fileSchema = z.object({ schema: z.literal(SCHEMA), stories: z.array(storySchema) });

/**
 * Returns the stories that are kept in a document. What is removed is gone from the disk: words about a case may name a person.
 * Missing  no text: no story.
 * Errors   rejects with a FailureError: `stories-damaged`, `stories-full`, `story-changed`, `story-missing`, `no-title`, or what the disk refused.
 */
export function buildKeptStories(document: LibraryDocument): StoryStore {
  async function list(): Promise<readonly Story[]> {
    const text = await document.read();
    try {
      return text === null ? [] : fileSchema.parse(JSON.parse(text)).stories;
    } catch {
      throw new FailureError({ code: 'stories-damaged', message: 'The stories of the library cannot be read.', remedy: `${document.wayBack}. Nothing is written over what is there.` });
    }
  }
  async function write(stories: readonly Story[]): Promise<readonly Story[]> {
    await document.replace(`${JSON.stringify({ schema: SCHEMA, stories })}\n`);
    return stories;
  }
  return {
    list,
    async keep(story) {
      if (story.title.trim() === '') throw new FailureError({ code: 'no-title', message: 'The story has no title.', remedy: 'Give it one that names no person.' });
      const stories = await list();
      const stored = stories.find(({ storyId }) => storyId === story.storyId);
      const kept: Story = { ...story, title: story.title.trim(), revision: story.revision + 1, moments: inStoryOrder(story.moments) };
      if (stored === undefined) {
        if (story.revision !== 0) throw storyMissing();
        if (stories.length >= STORY_LIMITS.stories) throw new FailureError({ code: 'stories-full', message: `A library can have ${STORY_LIMITS.stories} stories.`, remedy: 'Remove stories that are no longer told.' });
        return await write([...stories, kept]);
      }
      if (stored.revision !== story.revision) throw new FailureError({ code: 'story-changed', message: 'The story was changed in another window meanwhile.', remedy: 'Look at what was kept there and make your change again; what you typed stands in its field until you do.' });
      return await write(stories.map((one) => (one.storyId === story.storyId ? kept : one)));
    },
    async remove(storyId) {
      const stories = await list();
      if (!stories.some((story) => story.storyId === storyId)) throw storyMissing();
      return await write(stories.filter((story) => story.storyId !== storyId));
    },
  };
}

function storyMissing(): FailureError {
  return new FailureError({ code: 'story-missing', message: 'The story is no longer in the library: it was removed, perhaps in another window.', remedy: 'Go back to the list of stories.' });
}
