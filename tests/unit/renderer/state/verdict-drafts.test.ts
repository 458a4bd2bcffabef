import { describe, expect, it } from 'vitest';
import { boundsFault, createVerdictDrafts, draftCount, draftFault, EMPTY_DRAFT, judgementOf, sameDraft, type VerdictDraft } from '../../../../renderer/state/verdict-drafts.ts';

const PLACE = { reader: 'Ada', caseKey: 'a', dropoutId: 'finger@1000' };
const BOUNDS = { lastGoodMs: 0, firstLostMs: 1000, lastLostMs: 5000, firstGoodMs: 6000 };
const DRAFT: VerdictDraft = { verdict: 'motion', certainty: 'possible', note: 'arm moved', correctedBounds: BOUNDS };

function storageOf(held = new Map<string, string>()) {
  return { held, getItem: (key: string) => held.get(key) ?? null, setItem: (key: string, value: string) => void held.set(key, value) };
}

describe('verdicts that are not saved', () => {
  it('outlive a reload of the page, each reader’s and each dropout’s by itself', () => {
    const storage = storageOf();
    const drafts = createVerdictDrafts(storage, () => true);
    drafts.keep(PLACE, DRAFT);
    drafts.keep({ ...PLACE, reader: 'Ben' }, { ...DRAFT, verdict: 'no loss' });
    const again = createVerdictDrafts(storage, () => true);
    expect(again.find(PLACE)).toEqual(DRAFT);
    expect(again.find({ ...PLACE, reader: 'Ben' })?.verdict).toBe('no loss');
    expect(again.find({ ...PLACE, dropoutId: 'finger@2000' })).toBeNull();
    expect([draftCount(again.get(), 'Ada', 'a'), draftCount(again.get(), 'Ada', 'b')]).toEqual([1, 0]);
    again.drop(PLACE);
    expect(createVerdictDrafts(storage, () => true).find(PLACE)).toBeNull();
  });

  it('leave no free text in the browser’s storage where the library is encrypted', () => {
    const storage = storageOf();
    const drafts = createVerdictDrafts(storage, () => false);
    drafts.keep(PLACE, DRAFT);
    expect(drafts.find(PLACE)?.note).toBe('arm moved');
    expect([...storage.held.values()].join('')).not.toContain('arm moved');
    expect(createVerdictDrafts(storage, () => false).find(PLACE)).toEqual({ ...DRAFT, note: '' });
  });

  it('begin empty over a storage that holds something else, is denied or is full', () => {
    const full = { getItem: () => '{"x":{"verdict":"what I like"}}', setItem: () => { throw new Error('full'); } };
    const drafts = createVerdictDrafts(full, () => true);
    expect(drafts.get().size).toBe(0);
    drafts.keep(PLACE, DRAFT);
    expect(drafts.find(PLACE)).toEqual(DRAFT);
    expect(createVerdictDrafts(null, () => true).get().size).toBe(0);
    expect(createVerdictDrafts({ getItem: () => 'not json', setItem: () => undefined }, () => true).get().size).toBe(0);
  });

  it('say what they lack: a verdict, a certainty except for “cannot tell”, bounds in order', () => {
    expect(draftFault(EMPTY_DRAFT)).toContain('verdict');
    expect(draftFault({ ...DRAFT, certainty: null })).toContain('sure');
    expect(draftFault({ ...DRAFT, verdict: 'cannot tell', certainty: null })).toBeNull();
    expect(judgementOf({ ...DRAFT, verdict: 'cannot tell', certainty: 'certain', note: ' ' })).toEqual({ verdict: 'cannot tell', certainty: null, note: '', correctedBounds: BOUNDS });
    expect(judgementOf({ ...DRAFT, correctedBounds: { ...BOUNDS, lastGoodMs: 1000 } })).toBeNull();
    expect([
      boundsFault(BOUNDS), boundsFault({ ...BOUNDS, lastLostMs: null, firstGoodMs: null }), boundsFault({ ...BOUNDS, lastLostMs: null }), boundsFault({ ...BOUNDS, lastLostMs: 500 }), boundsFault({ ...BOUNDS, firstGoodMs: 5000 }),
    ].map((fault) => fault === null)).toEqual([true, true, false, false, false]);
  });

  it('are compared by what they say', () => {
    expect([sameDraft(DRAFT, { ...DRAFT, correctedBounds: { ...BOUNDS } }), sameDraft(DRAFT, { ...DRAFT, note: '' }), sameDraft(DRAFT, { ...DRAFT, correctedBounds: null })]).toEqual([true, false, false]);
  });
});
