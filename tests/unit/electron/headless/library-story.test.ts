import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { Deck } from '../../../../core/model/deck.ts';
import { writeStory, type StoryCall } from '../../../../electron/headless/library-story.ts';
import { buildReleaseCalls } from '../../../builders/release-calls.ts';
import { buildSampleStory } from '../../../builders/sample-story.ts';

const DECK: Deck = { title: 'Blind', language: 'en', header: '', footer: '', slides: [{ slideId: 'a', part: '', title: 'Told by Quillfeather at 14:32', blocks: [], notes: '' }] };
const host = { ...buildReleaseCalls(), listStories: () => Promise.resolve([buildSampleStory([])]), storyDeck: () => Promise.resolve(DECK) };

let folder: string;
let said: string[];
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-story-'));
  said = [];
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const say = (line: string): void => void said.push(line);
const call = (over: Partial<StoryCall> = {}): StoryCall => ({ command: 'library', action: 'story', library: 'x', story: 'Blind under the drapes', out: join(folder, 'out.html'), form: 'html', picture: 1, notes: false, marks: false, keepLaterBack: false, answers: null, ...over });

test('while something is open the run says a file of answers and writes nothing; filled in, it writes', async () => {
  expect(await writeStory(call(), host, say)).toBe(2);
  await expect(readFile(join(folder, 'out.html'))).rejects.toMatchObject({ code: 'ENOENT' });
  const asked = JSON.parse(said.join('\n')) as { schema: string; answers: { kind: string; text: string; decision: string; stands: string }[] };
  expect(asked.answers.map(({ kind, text }) => [kind, text])).toEqual([['name', 'Quillfeather'], ['clock time', '14:32']]);
  expect(asked.answers[0]?.stands).toContain('slide 1');
  const answers = join(folder, 'answers.json');
  await writeFile(answers, JSON.stringify({ ...asked, answers: asked.answers.map((one) => ({ ...one, decision: 'leave out' })) }));
  said = [];
  expect(await writeStory(call({ answers }), host, say)).toBe(0);
  const html = await readFile(join(folder, 'out.html'), 'utf8');
  expect(html).toContain('Told by […] at […]');
  expect(said.join(' ')).toContain('2 words and dates were replaced or left out');
  await expect(writeStory(call({ answers }), host, say)).rejects.toMatchObject({ code: 'file-there' });
});

test('a story that is not there, and a file that is none of answers, are said with their way out', async () => {
  await expect(writeStory(call({ story: 'Other' }), host, say)).rejects.toMatchObject({ code: 'story-missing', remedy: 'It holds: “Blind under the drapes”' });
  const twice = { ...host, listStories: () => Promise.resolve([buildSampleStory([]), buildSampleStory([], { storyId: 'b'.repeat(32) })]) };
  await expect(writeStory(call(), twice, say)).rejects.toMatchObject({ code: 'story-not-one' });
  expect(await writeStory(call({ story: 'b'.repeat(32) }), twice, say)).toBe(2);
  const answers = join(folder, 'answers.json');
  for (const text of ['{', '{"schema":"lacuna-release-answers/1","answers":[{"kind":"name","text":"x","decision":"","with":""}]}', '{"schema":"other","answers":[]}']) {
    await writeFile(answers, text);
    await expect(writeStory(call({ answers }), host, say)).rejects.toMatchObject({ code: 'answers-unreadable' });
  }
  await expect(writeStory(call({ answers: join(folder, 'none') }), host, say)).rejects.toMatchObject({ code: 'answers-unreadable' });
});
