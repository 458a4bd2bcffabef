import type { AnalyzedCase } from '../../core/report/case-context.ts';
import { DEFAULT_LANES } from '../../core/model/lane-choice.ts';
import { takeView, type Story, type StoryMoment, type StoryPart } from '../../core/model/story.ts';

/** Returns the key that a sample case has in these stories. */
export function sampleKey(at: number): string {
  return String(at + 1).padStart(32, '0');
}

/** Returns an invented story over cases: one moment of words in each part, and a view of the longest loss of each case. */
export function buildSampleStory(cases: readonly AnalyzedCase[], over: Partial<Story> = {}): Story {
  const moments: StoryMoment[] = [];
  const add = (part: StoryPart, title: string, text: string, rest: Partial<StoryMoment> = {}): void => {
    moments.push({ momentId: String(moments.length + 1).padStart(32, '0'), part, factor: null, title, text, notes: 'Ask the room what they would have looked at first.', view: null, ...rest });
  };
  add('follow-up', 'What became of the second sensor', 'A second sensor on the ear lobe was agreed for cases with tucked arms. It was placed in most of them.');
  for (const [i, { record, analysis }] of cases.entries()) {
    const dropouts = analysis.sites.flatMap((site) => site.dropouts);
    const longest = dropouts.reduce<(typeof dropouts)[number] | null>((most, one) => (most === null || one.lostMs.mid > most.lostMs.mid ? one : most), null);
    const at = longest?.firstLostMs ?? analysis.bounds.startMs;
    const view = takeView({
      caseKey: sampleKey(i), record, window: { startMs: at - 10 * 60_000, endMs: at + 15 * 60_000 }, instantMs: at, dropout: longest, lanes: DEFAULT_LANES, isBoundShown: true,
    });
    add(i === 0 ? 'situation' : 'known when', 'The longest loss', 'The signal went after the arms were tucked. The cuff was on the same side.', { view });
  }
  add('factors', 'The cable', 'The cable was pulled when the table was turned.', { factor: 'environment' });
  add('recommendations', 'What to change', 'Place a second sensor before the arms are tucked; measure again after three months.');
  return { storyId: 'a'.repeat(32), revision: 1, title: 'Blind under the drapes', question: 'Would a second sensor have covered the loss?', minutesPerCase: 12, hidesLater: true, moments, ...over };
}
