import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { STORY_LIMITS } from '../../../../core/model/story.ts';
import type { Story, StoryMoment } from '../../../../core/model/story.ts';
import { buildFolderShelf } from '../../../../electron/host/folder-shelf.ts';
import { buildKeptStories } from '../../../../electron/host/kept-stories.ts';
import type { LibraryDocument } from '../../../../electron/host/library-shelf.ts';

let folder: string;
let path: string;
let document: LibraryDocument;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-stories-'));
  path = join(folder, 'stories.json');
  document = buildFolderShelf(folder).document('stories');
});
afterEach(async () => {
  await rm(folder, { recursive: true, force: true });
});

function story(digit: string, part: Partial<Story> = {}): Story {
  return { storyId: digit.repeat(32), revision: 0, title: `Story ${digit}`, question: '', minutesPerCase: 12, hidesLater: false, moments: [], ...part };
}
function words(digit: string, part: StoryMoment['part'], text = ''): StoryMoment {
  return { momentId: digit.repeat(32), part, factor: null, title: digit, text, notes: '', view: null };
}

describe('stories', () => {
  it('are kept in the order in which they were made, with their moments in the order of the parts, and there for the next program', async () => {
    const stories = buildKeptStories(document);
    expect(await stories.list()).toEqual([]);
    await stories.keep(story('2'));
    await stories.keep(story('1', { title: '  Cold hands ', moments: [words('a', 'recommendations'), words('b', 'situation'), words('c', 'situation')] }));
    expect(await buildKeptStories(document).list()).toEqual([
      story('2', { revision: 1 }),
      story('1', { revision: 1, title: 'Cold hands', moments: [words('b', 'situation'), words('c', 'situation'), words('a', 'recommendations')] }),
    ]);
  });

  it('refuse a change of what another window has changed meanwhile, and of what is gone', async () => {
    const stories = buildKeptStories(document);
    const [kept] = await stories.keep(story('1'));
    await stories.keep({ ...kept!, question: 'Would a second site have helped?' });
    await expect(stories.keep({ ...kept!, question: 'another' })).rejects.toMatchObject({ code: 'story-changed' });
    expect((await stories.list())[0]).toMatchObject({ question: 'Would a second site have helped?', revision: 2 });
    expect(await stories.remove(kept!.storyId)).toEqual([]);
    await expect(stories.keep({ ...kept!, revision: 2 })).rejects.toMatchObject({ code: 'story-missing' });
    await expect(stories.remove(kept!.storyId)).rejects.toMatchObject({ code: 'story-missing' });
    await expect(stories.keep(story('3', { title: ' ' }))).rejects.toMatchObject({ code: 'no-title' });
  });

  it('leave no word on the disk when they, or a moment of theirs, are removed', async () => {
    const stories = buildKeptStories(document);
    const [kept] = await stories.keep(story('1', { moments: [words('a', 'situation', 'Anaesthetist left the room'), words('b', 'situation', 'second')] }));
    await stories.keep({ ...kept!, moments: [words('b', 'situation', 'second')] });
    expect(await readFile(path, 'utf8')).not.toContain('left the room');
    await stories.remove(kept!.storyId);
    expect(await readFile(path, 'utf8')).not.toContain('second');
  });

  it('are bounded', async () => {
    const full = Array.from({ length: STORY_LIMITS.stories }, (_, i) => story('0', { storyId: i.toString(16).padStart(32, '0'), revision: 1 }));
    await writeFile(path, JSON.stringify({ schema: 'lacuna-stories/1', stories: full }));
    const stories = buildKeptStories(document);
    await expect(stories.keep(story('f'))).rejects.toMatchObject({ code: 'stories-full' });
    expect(await stories.keep({ ...full[3]!, title: 'one that is there may change' })).toHaveLength(STORY_LIMITS.stories);
  });

  it('that are damaged, or of a later version, are said to be, and are not written over', async () => {
    for (const text of ['{"schema":"lacuna-stories/1","stories":[{"storyId":"x"', '{"schema":"lacuna-stories/2","stories":[]}']) {
      await writeFile(path, text);
      const stories = buildKeptStories(document);
      await expect(stories.list()).rejects.toMatchObject({ code: 'stories-damaged' });
      await expect(stories.keep(story('1'))).rejects.toMatchObject({ code: 'stories-damaged' });
      await expect(stories.remove('1'.repeat(32))).rejects.toMatchObject({ code: 'stories-damaged' });
      expect(await readFile(path, 'utf8')).toBe(text);
    }
  });
});
