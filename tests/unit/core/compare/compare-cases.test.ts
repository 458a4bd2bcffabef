import { describe, expect, test } from 'vitest';
import { compareCases } from '../../../../core/compare/compare-cases.ts';
import { caseComparisonSchema } from '../../../../core/model/case-comparison-schema.ts';
import type { CaseRecord } from '../../../../core/model/case.ts';
import { buildCaseAnalysis, buildCaseRecord, buildChannel, buildDropout } from '../../../builders/stored-case.ts';

const plain = (over: Partial<CaseRecord> = {}) => ({ record: buildCaseRecord(over), analysis: buildCaseAnalysis() });
const file = (name: string, letter: string) => ({ name, sha256: letter.repeat(64), byteLength: 1, kind: 'trends' as const, clockOffsetMs: 0 });

describe('two readings of one case', () => {
  test('that are alike in all that is drawn and counted are the same, wherever in which file they stood', () => {
    const other = buildCaseRecord({ sources: [file('again.csv', 'c')], findings: [], channels: [buildChannel([98, 97, Number.NaN, 96], { line: Uint32Array.of(12, 13, 14, 15) })] });
    const found = compareCases(plain(), { record: other, analysis: buildCaseAnalysis() });
    expect(found).toMatchObject({ isSame: true, isContained: false, movedMs: 0, facts: [], sources: { added: ['again.csv'], removed: ['trends.csv'], same: 0 } });
    expect(found.channels.map((channel) => channel.state)).toEqual(['same']);
    expect(caseComparisonSchema.parse(found)).toEqual(found);
  });

  // Derived: the later reading lacks row 0 s, has another value at 1 s, a value where none was at 2 s, and a row more at 4 s.
  test('are told apart row by row, a value that turned up counting as a change', () => {
    const later = buildChannel([90, 96, 96, 99], { tMs: Float64Array.of(1000, 2000, 3000, 4000) });
    const found = compareCases(plain(), plain({ channels: [later] }));
    expect(found.channels).toEqual([
      { channelId: 'spo2@finger', label: 'SpO2', unit: '%', state: 'changed', rowsBefore: 4, rowsAfter: 4, rowsAdded: 1, rowsRemoved: 1, rowsChanged: 2, firstMs: 0, facts: [] },
    ]);
    expect(found.isSame).toBe(false);
  });

  test('whose first row differs are laid beside each other by their dates', () => {
    const origin = { ...buildCaseRecord().origin, epochMs: 1_900_000_001_000 };
    const events = buildCaseRecord().events.map((event) => ({ ...event, atMs: event.atMs - 1000 }));
    const drugs = buildCaseRecord().drugs.map((drug) => ({ ...drug, atMs: drug.atMs - 1000 }));
    const found = compareCases(plain(), plain({ origin, events, drugs, channels: [buildChannel([97, Number.NaN, 96])] }));
    expect(found).toMatchObject({ alignedBy: 'date', movedMs: 0, span: { before: { startMs: 0, endMs: 3000 }, after: { startMs: 1000, endMs: 3000 } } });
    expect(found.channels[0]).toMatchObject({ rowsRemoved: 1, rowsAdded: 0, rowsChanged: 0 });
    expect([found.events, found.drugs].map(({ added, removed, changed }) => added + removed + changed)).toEqual([0, 0]);
  });

  test('of which one was read in another zone are the same rows an hour later, and not a whole case removed and another added', () => {
    const origin = { ...buildCaseRecord().origin, epochMs: 1_900_000_000_000 + 3_600_000, zone: 'Europe/Oslo', zoneStated: true };
    const found = compareCases(plain(), plain({ origin }));
    expect(found).toMatchObject({ isSame: false, alignedBy: 'first row', movedMs: 3_600_000, facts: ['zone of the record: not stated, UTC taken → Europe/Oslo'] });
    expect(found.channels[0]!.state).toBe('same');
  });

  test('name a channel that came, one that went, and a unit that is another', () => {
    const pressure = buildChannel([80], { channelId: 'nibp-mean', quantity: 'nibp-mean', label: 'MAP', unit: 'mmHg', site: null });
    const found = compareCases(plain({ channels: [buildChannel([98]), pressure] }), plain({ channels: [buildChannel([98], { label: 'Sat' }), buildChannel([50], { channelId: 'heart-rate', label: 'HR' })] }));
    expect(found.channels.map(({ channelId, state, facts }) => [channelId, state, facts])).toEqual([['spo2@finger', 'changed', ['label: SpO2 → Sat']], ['nibp-mean', 'removed', []], ['heart-rate', 'added', []]]);
  });
});

describe('events and drugs', () => {
  const [drug] = buildCaseRecord().drugs;
  const [event] = buildCaseRecord().events;

  test('with another dose, at another time, or with another text are changes of one entry', () => {
    const found = compareCases(
      plain({ drugs: [drug!, { ...drug!, atMs: 9000 }], events: [event!, { ...event!, atMs: 60_000 }] }),
      plain({ drugs: [{ ...drug!, amount: 200, text: 'phenylephrine 200 mcg IV' }, { ...drug!, atMs: 9000 }], events: [event!, { ...event!, atMs: 90_000 }] }),
    );
    expect(found.drugs).toMatchObject({ before: 2, after: 2, added: 0, removed: 0, changed: 1 });
    expect(found.drugs.list[0]).toMatchObject({ state: 'changed', before: { atMs: 500, reading: 'phenylephrine, bolus, 100 ug' }, after: { reading: 'phenylephrine, bolus, 200 ug' } });
    expect(found.events.list).toMatchObject([{ state: 'changed', before: { atMs: 60_000 }, after: { atMs: 90_000 } }]);
  });

  test('that came or went are listed as such', () => {
    const found = compareCases(plain({ drugs: [drug!] }), plain({ drugs: [{ ...drug!, inn: 'ephedrine', text: 'ephedrine 6 mg', atMs: 7000 }], events: [] }));
    expect(found.drugs.list.map((change) => [change.state, (change.before ?? change.after)?.text])).toEqual([['removed', 'phenylephrine 100 mcg IV'], ['added', 'ephedrine 6 mg']]);
    expect(found.events).toMatchObject({ added: 0, removed: 1, changed: 0 });
  });
});

describe('dropouts', () => {
  test('that overlap are one dropout with other bounds; the others appeared or vanished', () => {
    const longer = buildDropout({ firstGoodMs: 40_000, lostMs: { low: 33_000, mid: 38_000, high: 43_000 } });
    const late = buildDropout({ firstLostMs: 90_000, lastLostMs: 120_000, firstGoodMs: 121_000 });
    const gone = buildDropout({ firstLostMs: 300_000, lastLostMs: 330_000, firstGoodMs: 331_000 });
    const found = compareCases({ record: buildCaseRecord(), analysis: buildCaseAnalysis([buildDropout(), gone]) }, { record: buildCaseRecord(), analysis: buildCaseAnalysis([longer, late]) });
    expect(found.dropouts).toMatchObject({ before: 2, after: 2, added: 1, removed: 1, changed: 1 });
    expect(found.dropouts!.list.map(({ state, before, after }) => [state, before?.lostMs.mid ?? null, after?.lostMs.mid ?? null])).toEqual([['changed', 30_000, 38_000], ['added', null, 30_000], ['removed', 30_000, null]]);
  });

  test('are not known where a case was not analysed', () => {
    expect(compareCases({ record: buildCaseRecord(), analysis: null }, plain()).dropouts).toBeNull();
  });
});

describe('a reading of a part of the files of a stored case', () => {
  const sources = [file('trends.csv', 'a'), file('drugs.csv', 'b')];
  const drugs = buildCaseRecord().drugs.map((drug) => ({ ...drug, source: { sourceIndex: 1, line: 2 } }));
  const whole = plain({ sources, drugs });

  test('is contained in it', () => {
    expect(compareCases(whole, plain({ sources: [sources[0]!], drugs: [] }))).toMatchObject({ isSame: false, isContained: true });
  });
  test('is not when it was read otherwise, so that something of these very files is missing', () => {
    expect(compareCases(whole, plain({ sources: [sources[0]!], drugs: [], channels: [] })).isContained).toBe(false);
    expect(compareCases(whole, plain({ sources, drugs: [] })).isContained).toBe(false);
  });
  test('is not when it holds a file that the case does not have', () => {
    expect(compareCases(whole, plain({ sources: [sources[0]!, file('more.csv', 'd')], drugs: [] })).isContained).toBe(false);
  });
});
