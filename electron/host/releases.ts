import type { Result } from '../../core/base/result.ts';
import type { CaseMark } from '../../core/model/case-mark.ts';
import { casesOfStory } from '../../core/model/story.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import type { ReleaseApi, WrittenRelease } from '../../core/protocol/release-api.ts';
import type { ReleasedFile } from '../../core/worker/write-release.ts';
import type { AnalysisPool } from './analysis-pool.ts';
import type { CaseStore } from './case-store.ts';

export interface ReleaseParts {
  readonly store: Pick<CaseStore, 'reportSetting' | 'stories' | 'marks' | 'readBytes' | 'settings'>;
  readonly pool: Pick<AnalysisPool, 'releaseList' | 'releaseReport' | 'releaseSheets' | 'storyDeck' | 'releaseDeck'>;
  readonly closing: AbortSignal;
  /** One change of the library at a time. */
  readonly exclusively: <T>(work: () => Promise<T>) => Promise<T>;
}

/** Returns the calls about what leaves the library. Nothing is kept of what was asked or answered: it names what identifies somebody. */
export function createReleases({ store, pool, closing, exclusively }: ReleaseParts): ReleaseApi {
  return {
    getReportSetting: () => store.reportSetting.read(),
    saveReportSetting: ({ setting }) => exclusively(() => store.reportSetting.keep(setting)),
    listRelease: ({ content, answers }) => pool.releaseList(content, answers, { signal: closing }),
    async writeReport({ document, answers, form, fileName }) {
      return writtenOf(fileName, await pool.releaseReport(document, answers, form, { signal: closing }));
    },
    async writeSheets({ sheets, answers, form, fileName }) {
      return writtenOf(fileName, await pool.releaseSheets(sheets, answers, form, { signal: closing }));
    },
    async storyDeck({ storyId, wishes }) {
      const story = (await store.stories.list()).find((one) => one.storyId === storyId);
      if (story === undefined) throw new FailureError({ code: 'story-missing', message: 'This story is no longer in the library.', remedy: 'Go back to the list of stories.' });
      const [{ confidentialityText }, parameters] = [await store.reportSetting.read(), await store.settings.readParameters()];
      const marksOf = async (caseKey: string): Promise<readonly CaseMark[]> => (wishes.withMarks ? await store.marks.list(caseKey) : []);
      // What the disk does not give is not gone: the slides say which of the two it is.
      const read = await Promise.all(casesOfStory(story).map(async (caseKey) => {
        const marks = await marksOf(caseKey);
        return await store.readBytes(caseKey).then((bytes) => [{ caseKey, bytes, marks }], (error: unknown) => (toFailure(error).code === 'case-missing' ? [] : [{ caseKey, bytes: null, marks }]));
      }));
      return await pool.storyDeck({ story, cases: read.flat(), parameters, header: confidentialityText, wishes }, { signal: closing });
    },
    async writeDeck({ deck, answers, form, picture }) {
      return writtenOf(form === 'svg' || form === 'png' ? 'picture' : 'slides', await pool.releaseDeck(deck, answers, form, picture, { signal: closing }));
    },
  };
}

function writtenOf(name: string, released: Result<ReleasedFile>): WrittenRelease {
  if (!released.ok) throw new FailureError(released.failure);
  const { bytes, mediaType, ending, notInFont } = released.value;
  return { fileName: `${name}${ending}`, mediaType, base64: Buffer.from(bytes).toString('base64'), notInFont };
}
