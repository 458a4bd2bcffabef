import type { Result } from '../../core/base/result.ts';
import type { CaseMark } from '../../core/model/case-mark.ts';
import { tallyOf, type ReleaseTally } from '../../core/model/release.ts';
import { casesOfStory } from '../../core/model/story.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import type { ReleaseApi, WrittenRelease } from '../../core/protocol/release-api.ts';
import { answeredBundle, openFailure } from '../../core/model/release-answers.ts';
import type { ReleasedFile } from '../../core/worker/write-release.ts';
import type { AnalysisPool } from './analysis-pool.ts';
import type { CaseStore } from './case-store.ts';
import type { HeldBundle, MadeBundles } from './made-bundles.ts';
import type { Reviews } from './reviews.ts';
import { savedDetail } from './saved-detail.ts';

export interface ReleaseParts {
  readonly store: Pick<CaseStore, 'reportSetting' | 'stories' | 'marks' | 'readBytes' | 'settings' | 'list'>;
  readonly pool: Pick<AnalysisPool, 'releaseList' | 'releaseReport' | 'releaseSheets' | 'storyDeck' | 'releaseDeck'>;
  readonly closing: AbortSignal;
  /** One change of the library at a time. */
  readonly exclusively: <T>(work: () => Promise<T>) => Promise<T>;
  readonly bundles: Pick<MadeBundles, 'of'>;
  readonly reviews: Pick<Reviews, 'note'>;
}

/** What left, for the trail. */
interface Left {
  readonly by: string | undefined;
  readonly what: string;
  readonly caseKeys: readonly string[] | null;
}

/**
 * Returns the calls about what leaves the library. Of what was asked and answered only numbers are kept: the words name what identifies
 * somebody. That a file left is in the trail before the file is handed out.
 */
export function createReleases({ store, pool, closing, exclusively, bundles, reviews }: ReleaseParts): ReleaseApi {
  async function handOut(name: string, released: Result<ReleasedFile>, left: Left): Promise<WrittenRelease> {
    if (!released.ok) throw new FailureError(released.failure);
    const { bytes, mediaType, ending, notInFont, tally } = released.value;
    await noteLeft(left, bytes, tally);
    return { fileName: `${name}${ending}`, mediaType, base64: Buffer.from(bytes).toString('base64'), notInFont };
  }

  async function noteLeft({ by, what, caseKeys }: Left, bytes: Uint8Array, tally: ReleaseTally): Promise<void> {
    const [only] = caseKeys ?? [];
    await reviews.note([{ by, act: 'file written out', caseKey: caseKeys?.length === 1 && only !== undefined ? only : null, detail: savedDetail({ what, caseKeys, tally, bytes }) }]);
  }

  /** null: of all cases; undefined: nobody said. */
  function keysOf(caseKeys: readonly string[] | null | undefined): readonly string[] | null {
    return caseKeys === undefined ? null : (caseKeys ?? store.list().map(({ caseKey }) => caseKey));
  }

  function heldBundle(bundleId: string): HeldBundle {
    const held = bundles.of(bundleId);
    if (held === null) throw new FailureError({ code: 'bundle-gone', message: 'This bundle is no longer here: another one was made since, or the library was opened anew.', remedy: 'Make the bundle again.' });
    return held;
  }

  return {
    getReportSetting: () => store.reportSetting.read(),
    saveReportSetting: ({ setting }) => exclusively(() => store.reportSetting.keep(setting)),
    listRelease: ({ content, answers }) => pool.releaseList(content, answers, { signal: closing }),
    async writeReport({ document, answers, form, fileName, caseKeys, by }) {
      return await handOut(fileName, await pool.releaseReport(document, answers, form, { signal: closing }), { by, what: `${fileName.replaceAll('-', ' ')}, ${form}`, caseKeys: keysOf(caseKeys) });
    },
    async writeSheets({ sheets, answers, form, fileName, caseKeys, by }) {
      return await handOut(fileName, await pool.releaseSheets(sheets, answers, form, { signal: closing }), { by, what: `${fileName.replaceAll('-', ' ')}, ${form}`, caseKeys: keysOf(caseKeys) });
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
    async writeDeck({ deck, answers, form, picture, storyId, by }) {
      const isPicture = form === 'svg' || form === 'png';
      const story = storyId === undefined ? undefined : (await store.stories.list()).find((one) => one.storyId === storyId);
      const what = `${isPicture ? `picture ${picture + 1}` : 'slides'}${storyId === undefined ? '' : ` of story ${storyId.slice(0, 8)}`}, ${form}`;
      return await handOut(isPicture ? 'picture' : 'slides', await pool.releaseDeck(deck, answers, form, picture, { signal: closing }), { by, what, caseKeys: story === undefined ? null : casesOfStory(story) });
    },
    async listBundle({ bundleId, answers }) {
      return answeredBundle(heldBundle(bundleId).list, answers);
    },
    async writeBundle({ bundleId, answers, by }) {
      const { zip, fileName, caseKeys, ...held } = heldBundle(bundleId);
      const list = answeredBundle(held.list, answers);
      if (list.open > 0) throw new FailureError(openFailure(list));
      await noteLeft({ by, what: 'research bundle, zip', caseKeys }, zip, tallyOf(list));
      return { fileName, mediaType: 'application/zip', base64: Buffer.from(zip).toString('base64'), notInFont: '' };
    },
  };
}
