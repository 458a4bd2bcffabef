import { stat } from 'node:fs/promises';
import { resolve } from 'node:path';
import type { DeckForm } from '../../core/model/deck.ts';
import type { Story } from '../../core/model/story.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import { writeAtomically } from '../host/atomic-write.ts';
import type { Host } from '../host/host.ts';
import { systemCode } from '../host/write-failure.ts';
import { openAnswers, readAnswers } from './release-answers.ts';

/** A story of a library is to be written as slides or as a picture. */
export interface StoryCall {
  readonly command: 'library';
  readonly action: 'story';
  /** A folder or a file. */
  readonly library: string;
  /** Its title, or its id where two have one title. */
  readonly story: string;
  readonly out: string;
  readonly form: DeckForm;
  /** From 1. */
  readonly picture: number;
  readonly notes: boolean;
  /** Marks and notes that were pinned to the cases. */
  readonly marks: boolean;
  /** Each picture first as recorded until the instant of its moment. */
  readonly keepLaterBack: boolean;
  /** A file of answers. */
  readonly answers: string | null;
  /** Local name of who does it, for the trail. */
  readonly by?: string | undefined;
}

/**
 * Writes a story of a library as a file; returns 0. Returns 2, with what has to be answered said as the text of a file of answers, while
 * something is open: nothing is written then.
 * Errors  rejects with a FailureError: `story-missing`, `story-not-one`, `answers-unreadable`, `file-there`, `file-unwritable`, `no-picture`.
 */
export async function writeStory(call: StoryCall, host: Pick<Host, 'listStories' | 'storyDeck' | 'listRelease' | 'writeDeck'>, say: (line: string) => void): Promise<0 | 2> {
  const answers = call.answers === null ? [] : await readAnswers(call.answers);
  if (await stat(resolve(call.out)).then(() => true, () => false)) throw new FailureError({ code: 'file-there', message: `There is a file ${call.out} already.`, remedy: 'Choose another name, or remove it.' });
  const { storyId } = storyCalled(await host.listStories(), call.story);
  const deck = await host.storyDeck({ storyId, wishes: { withNotes: call.notes, withMarks: call.marks, keepsLaterBack: call.keepLaterBack } });
  const list = await host.listRelease({ content: { kind: 'deck', deck }, answers });
  if (list.open > 0) {
    say(openAnswers(list, answers));
    return 2;
  }
  const { base64, notInFont } = await host.writeDeck({ deck, answers, form: call.form, picture: call.picture - 1, storyId, ...(call.by === undefined ? {} : { by: call.by }) });
  await writeAtomically(resolve(call.out), Buffer.from(base64, 'base64')).catch((error: unknown) => {
    throw new FailureError({ code: 'file-unwritable', message: `The file ${call.out} could not be written (${systemCode(error)}).`, remedy: 'Choose another place.' });
  });
  say(`${deck.slides.length} slides: ${call.form === 'svg' || call.form === 'png' ? `picture ${call.picture} of them` : 'all of them'} in ${call.out}. ${list.removals.length} words and dates were replaced or left out.`);
  if (notInFont !== '') say(`It shows \u25a1 for characters that its font does not have: ${notInFont}`);
  return 0;
}

function storyCalled(stories: readonly Story[], name: string): Story {
  const found = stories.filter(({ storyId, title }) => storyId === name || title === name);
  const [one] = found;
  if (one !== undefined && found.length === 1) return one;
  if (one !== undefined) throw new FailureError({ code: 'story-not-one', message: `${found.length} stories have this title.`, remedy: `Name the one that is meant by its id: ${found.map(({ storyId }) => storyId).join(', ')}` });
  throw new FailureError({ code: 'story-missing', message: 'There is no story of this title in the library.', remedy: stories.length === 0 ? 'It holds no story yet: make one in the window.' : `It holds: ${stories.map(({ title }) => `“${title}”`).join(', ')}` });
}
