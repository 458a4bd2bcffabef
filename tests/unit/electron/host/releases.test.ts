import { expect, test } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { DEFAULT_REPORT_SETTING } from '../../../../core/model/report-setting.ts';
import type { Story } from '../../../../core/model/story.ts';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
import { createReleases, type ReleaseParts } from '../../../../electron/host/releases.ts';

const moment = (caseKey: string): Story['moments'][number] => ({
  momentId: caseKey, part: 'situation', factor: null, title: caseKey, text: '', notes: '',
  view: { caseKey, clock: 'elapsed', startMs: 0, endMs: 1, instantMs: null, dropout: null, lanes: { lanes: [] }, isBoundShown: false, inputs: [] },
});
const STORY: Story = { storyId: 's', revision: 1, title: 'T', question: '', minutesPerCase: 12, hidesLater: false, moments: ['here', 'gone', 'unread'].map(moment) };

/* A case whose file the disk did not give was called gone from the library, on a slide for everybody. */
test('a case that cannot be read is handed on as such; only one that is gone is left out', async () => {
  let asked: unknown = null;
  const read = (caseKey: string): Promise<Uint8Array> => (caseKey === 'here' ? Promise.resolve(new Uint8Array(3)) : Promise.reject(new FailureError({ code: caseKey === 'gone' ? 'case-missing' : 'case-unreadable', message: 'No.' })));
  const parts = {
    closing: new AbortController().signal,
    exclusively: (work: () => Promise<unknown>) => work(),
    store: { reportSetting: { read: () => Promise.resolve(DEFAULT_REPORT_SETTING) }, settings: { readParameters: () => Promise.resolve(DEFAULT_PARAMETERS) }, stories: { list: () => Promise.resolve([STORY]) }, readBytes: read },
    pool: { storyDeck: (task: { readonly cases: unknown }) => { asked = task.cases; return Promise.resolve({}); } },
  } as unknown as ReleaseParts; // what slides of a story need of a host
  await createReleases(parts).storyDeck({ storyId: 's', wishes: { withNotes: false, withMarks: false, keepsLaterBack: false } });
  expect(asked).toEqual([{ caseKey: 'here', bytes: new Uint8Array(3), marks: [] }, { caseKey: 'unread', bytes: null, marks: [] }]);
});
