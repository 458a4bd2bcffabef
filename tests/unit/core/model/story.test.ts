import { describe, expect, test } from 'vitest';
import { caseLabels, inStoryOrder, placeView, plannedMinutes, takeView } from '../../../../core/model/story.ts';
import type { Story, StoryMoment, StoryView } from '../../../../core/model/story.ts';
import { storySchema } from '../../../../core/model/story-schema.ts';
import { DEFAULT_LANES } from '../../../../core/model/lane-choice.ts';
import { buildCaseAnalysis, buildCaseRecord, buildDropout } from '../../../builders/stored-case.ts';

const RECORD = buildCaseRecord();
const DROPOUT = buildDropout();
const ANALYSIS = buildCaseAnalysis([DROPOUT]);
const view = (part: Partial<Parameters<typeof takeView>[0]> = {}): StoryView =>
  takeView({ caseKey: 'a'.repeat(32), record: RECORD, window: { startMs: 0, endMs: 60_000 }, instantMs: 2000, dropout: DROPOUT, lanes: DEFAULT_LANES, isBoundShown: true, ...part });
const moment = (digit: string, part: Partial<StoryMoment> = {}): StoryMoment => ({ momentId: digit.repeat(32), part: 'situation', factor: null, title: digit, text: '', notes: '', view: null, ...part });

describe('a view of a case', () => {
  test('finds its stretch, instant and dropout again', () => {
    expect(placeView(view(), RECORD, ANALYSIS)).toEqual({ kind: 'placed', window: { startMs: 0, endMs: 60_000 }, instantMs: 2000, dropout: { state: 'same', dropout: DROPOUT }, isClockSet: false, hasOtherInputs: false });
    expect(placeView(view({ dropout: null, instantMs: null }), RECORD, ANALYSIS)).toMatchObject({ instantMs: null, dropout: null });
  });

  test('stays at its clock time when the case is read again with 40 s more at its start', () => {
    // Derived: the origin is 40 s earlier, so every instant of the case is 40 000 ms later.
    const later = { ...RECORD, origin: { ...RECORD.origin, epochMs: (RECORD.origin.epochMs ?? 0) - 40_000 } };
    const moved = buildDropout({ dropoutId: 'finger-42000', lastGoodMs: 41_000, firstLostMs: 42_000, lastLostMs: 71_000, firstGoodMs: 72_000 });
    expect(placeView(view(), later, buildCaseAnalysis([moved]))).toMatchObject({ window: { startMs: 40_000, endMs: 100_000 }, instantMs: 42_000, dropout: { state: 'same', dropout: moved } });
  });

  test('takes the dropout that overlaps most, at its own sensor only, and says when its instants changed or none is computed', () => {
    const [short, long] = [buildDropout({ dropoutId: 'one', firstLostMs: 2000, lastLostMs: 9000, firstGoodMs: 10_000 }), buildDropout({ dropoutId: 'two', number: 1, lastGoodMs: 11_000, firstLostMs: 12_000, lastLostMs: 39_000, firstGoodMs: 40_000 })];
    expect(placeView(view(), RECORD, buildCaseAnalysis([short, long]))).toMatchObject({ dropout: { state: 'moved', dropout: { dropoutId: 'two' } } });
    // One with the same number and sensor, elsewhere in time, is another one.
    expect(placeView(view(), RECORD, buildCaseAnalysis([buildDropout({ lastGoodMs: 99_000, firstLostMs: 100_000, lastLostMs: 140_000, firstGoodMs: 141_000 })]))).toMatchObject({ dropout: 'not computed' });
    const elsewhere = buildCaseAnalysis([DROPOUT]);
    expect(placeView(view(), RECORD, { sites: elsewhere.sites.map((site) => ({ ...site, siteKey: 'toe' })) })).toMatchObject({ dropout: 'not computed' });
  });

  test('says that nobody can tell where it stands when the record has lost its date, and when a clock was set or files changed', () => {
    expect(placeView(view(), { ...RECORD, origin: { ...RECORD.origin, epochMs: null, clock: 'elapsed' } }, ANALYSIS)).toEqual({ kind: 'clock lost' });
    expect(placeView(view(), { ...RECORD, sources: RECORD.sources.map((source) => ({ ...source, clockOffsetMs: 60_000 })) }, ANALYSIS)).toMatchObject({ isClockSet: true, hasOtherInputs: false });
    expect(placeView(view(), { ...RECORD, sources: RECORD.sources.map((source) => ({ ...source, sha256: 'cd'.repeat(32) })) }, ANALYSIS)).toMatchObject({ isClockSet: false, hasOtherInputs: true });
  });
});

describe('a story', () => {
  test('is told by parts, whatever order its moments came in, and calls cases by letters as they appear', () => {
    const at = (caseKey: string): StoryView => view({ caseKey: caseKey.repeat(32) });
    const moments = [moment('1', { part: 'recommendations' }), moment('2', { part: 'background', view: at('b') }), moment('3', { part: 'situation', view: at('c') }), moment('4', { part: 'background', view: at('a') }), moment('5', { part: 'follow-up' })];
    expect(inStoryOrder(moments).map(({ title }) => title)).toEqual(['5', '3', '2', '4', '1']);
    expect([...caseLabels({ moments })]).toEqual([['c'.repeat(32), 'Case A'], ['b'.repeat(32), 'Case B'], ['a'.repeat(32), 'Case C']]);
    const many = Array.from({ length: 28 }, (_, i) => moment('0', { momentId: i.toString(16).padStart(32, '0'), view: view({ caseKey: i.toString(16).padStart(32, '0') }) }));
    expect([...caseLabels({ moments: many }).values()].slice(25)).toEqual(['Case Z', 'Case AA', 'Case AB']);
  });

  test('is planned by its cases: three cases at 12 min are 36 min, none is one', () => {
    expect(plannedMinutes({ minutesPerCase: 12, moments: ['a', 'b', 'c', 'a'].map((key, i) => moment(String(i), { view: view({ caseKey: key.repeat(32) }) })) })).toBe(36);
    expect(plannedMinutes({ minutesPerCase: 12, moments: [moment('1')] })).toBe(12);
  });

  test('is refused with two moments of one id, or a view that ends before it begins', () => {
    const story: Story = { storyId: 'f'.repeat(32), revision: 0, title: 'Cold hands', question: '', minutesPerCase: 12, hidesLater: true, moments: [moment('1', { view: view() })] };
    expect(storySchema.safeParse(story).success).toBe(true);
    expect(storySchema.safeParse({ ...story, moments: [moment('1'), moment('1')] }).success).toBe(false);
    expect(storySchema.safeParse({ ...story, moments: [moment('1', { view: { ...view(), endMs: view().startMs - 1 } })] }).success).toBe(false);
    expect(storySchema.safeParse({ ...story, patient: 'x' }).success).toBe(false);
  });
});
