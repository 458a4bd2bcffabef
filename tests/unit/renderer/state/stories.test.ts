import { describe, expect, it } from 'vitest';
import type { Story } from '../../../../core/model/story.ts';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
import { encodeCase } from '../../../../core/persist/case-bytes.ts';
import { decodeCase } from '../../../../core/persist/case-bytes.ts';
import { createStories } from '../../../../renderer/state/stories.ts';
import { createStoryCases } from '../../../../renderer/state/story-cases.ts';
import type { HostConnection } from '../../../../renderer/host/host-client.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';
import { buildCaseAnalysis, buildCaseRecord } from '../../../builders/stored-case.ts';

/** A host that keeps stories as `electron/host/kept-stories.ts` does. */
function keepingHost(kept: Story[] = []) {
  const host = buildHostConnection({
    listStories: async () => [...kept],
    keepStory: async ({ story }) => {
      const at = kept.findIndex(({ storyId }) => storyId === story.storyId);
      if ((kept[at]?.revision ?? 0) !== story.revision) throw new FailureError({ code: 'story-changed', message: 'Changed meanwhile.', remedy: 'Open it again.' });
      kept.splice(at < 0 ? kept.length : at, at < 0 ? 0 : 1, { ...story, revision: story.revision + 1 });
      return [...kept];
    },
    removeStory: async ({ storyId }) => {
      kept.splice(kept.findIndex((story) => story.storyId === storyId), 1);
      return [...kept];
    },
  });
  return { host, kept };
}
let count = 0;
const newId = (): string => String(++count).padStart(32, '0');

describe('stories in the window', () => {
  it('are changed one after the other, each from what the one before has kept', async () => {
    const { host, kept } = keepingHost();
    const stories = createStories(host, newId);
    await stories.load();
    const made = await stories.add('Cold hands');
    // Both are asked for before either is kept: none is refused, none is lost.
    const both = await Promise.all([stories.change(made!.storyId, (story) => ({ ...story, question: 'Why?' })), stories.change(made!.storyId, (story) => ({ ...story, minutesPerCase: 15 }))]);
    expect(both).toEqual([true, true]);
    expect(kept).toEqual([{ ...made, question: 'Why?', minutesPerCase: 15, revision: 3 }]);
    stories.open(made!.storyId);
    expect(await stories.remove(made!.storyId)).toBe(true);
    expect(stories.get()).toMatchObject({ stories: [], openId: null });
  });

  it('say when another window was first, and begin the next change with what it kept', async () => {
    const { host, kept } = keepingHost();
    const stories = createStories(host, newId);
    await stories.load();
    const made = await stories.add('Cold hands');
    kept[0] = { ...kept[0]!, title: 'Warm hands', revision: 7 };
    expect(await stories.change(made!.storyId, (story) => ({ ...story, question: 'Why?' }))).toBe(false);
    expect(stories.get()).toMatchObject({ problem: { message: 'Changed meanwhile.' }, stories: [{ title: 'Warm hands' }] });
    expect(await stories.change(made!.storyId, (story) => ({ ...story, question: 'Why?' }))).toBe(true);
    expect(kept[0]).toMatchObject({ title: 'Warm hands', question: 'Why?', revision: 8 });
    expect(stories.get().problem).toBeNull();
  });
});

describe('the cases of a story', () => {
  const bytes = encodeCase(buildCaseRecord(), buildCaseAnalysis());
  const settle = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 20));

  it('are read once each; one that is gone or cannot be read says so, and may be tried again', async () => {
    const asked: string[] = [];
    let isBroken = true;
    const host = buildHostConnection({
      openCase: async (caseKey) => {
        asked.push(caseKey);
        if (caseKey === 'gone') throw new FailureError({ code: 'case-missing', message: 'No longer here.', remedy: '' });
        if (caseKey === 'torn' && isBroken) throw new FailureError({ code: 'case-unreadable', message: 'Torn.', remedy: 'Try again.' });
        return bytes;
      },
    });
    const cases = createStoryCases(host, decodeCase);
    cases.want(['one', 'gone', 'torn', 'one']);
    expect(cases.get().cases.get('one')).toEqual({ kind: 'reading' });
    await settle();
    expect(['one', 'gone', 'torn'].map((key) => cases.get().cases.get(key)?.kind)).toEqual(['open', 'gone', 'failed']);
    isBroken = false;
    cases.retry('torn');
    await settle();
    expect(cases.get().cases.get('torn')?.kind).toBe('open');
    expect(asked).toEqual(['one', 'gone', 'torn', 'torn']);
    // What is no longer wanted is let go; a change of the library reads the rest anew.
    cases.want(['one']);
    expect([...cases.get().cases.keys()]).toEqual(['one']);
    cases.refresh();
    await settle();
    expect(asked).toEqual(['one', 'gone', 'torn', 'torn', 'one']);
    expect(cases.get().cases.get('one')?.kind).toBe('open');
  });

  it('wait for one reading of the dictionary, whoever asks for it; one that failed is tried again', async () => {
    let asked = 0;
    const terms = { drugs: [], events: [], sites: [], quantities: [], units: [] } as unknown as Awaited<ReturnType<HostConnection['listKnownTerms']>>; // as empty as it can be: it is only handed on
    const cases = createStoryCases(buildHostConnection({
      listKnownTerms: async () => {
        asked += 1;
        await settle();
        if (asked === 1) throw new FailureError({ code: 'worker-died', message: 'The worker ended.', remedy: 'Try again.' });
        return terms;
      },
    }), decodeCase);
    expect(await Promise.all([cases.loadTerms(), cases.loadTerms()])).toEqual([null, null]);
    expect([asked, cases.get().termsProblem?.message]).toEqual([1, 'The worker ended.']);
    expect(await Promise.all([cases.loadTerms(), cases.loadTerms()])).toEqual([terms, terms]);
    expect(await cases.loadTerms()).toBe(terms);
    expect([asked, cases.get().termsProblem]).toEqual([2, null]);
  });
});
