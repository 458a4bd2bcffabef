import { describe, expect, it } from 'vitest';
import { createStoryCases } from '../../../../renderer/state/story-cases.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';
import { buildCaseAnalysis, buildCaseRecord } from '../../../builders/stored-case.ts';

const MARK = { markId: 'a'.repeat(32), clock: 'elapsed', startMs: 5000, endMs: null, text: 'look again' } as const;
const settle = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 0));

describe('the marks of the cases of a story', () => {
  it('come with the case as a meeting may see them, and are read again when the story is come back to', async () => {
    let marks: readonly (typeof MARK)[] = [MARK];
    let opened = 0;
    const host = buildHostConnection({ openCase: () => { opened++; return Promise.resolve(new Uint8Array()); }, listShownMarks: () => Promise.resolve(marks), listMarks: () => Promise.reject(new Error('never asked for')) });
    const cases = createStoryCases(host, () => ({ ok: true, value: { record: buildCaseRecord(), analysis: buildCaseAnalysis() } }));
    cases.want(['aa']);
    await settle();
    expect(cases.get().cases.get('aa')).toMatchObject({ kind: 'open', marks: [MARK] });
    marks = [];
    cases.want(['aa']);
    await settle();
    expect(cases.get().cases.get('aa')).toMatchObject({ kind: 'open', marks: [] });
    expect(opened).toBe(1);
  });

  it('that cannot be read leave the rest of the case', async () => {
    const host = buildHostConnection({ openCase: () => Promise.resolve(new Uint8Array()), listShownMarks: () => Promise.reject(new Error('torn')) });
    const cases = createStoryCases(host, () => ({ ok: true, value: { record: buildCaseRecord(), analysis: buildCaseAnalysis() } }));
    cases.want(['aa']);
    await settle();
    expect(cases.get().cases.get('aa')).toMatchObject({ kind: 'open', marks: null });
  });
});
