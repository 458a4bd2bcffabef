import { describe, expect, it } from 'vitest';
import { markTimes } from '../../../../../core/model/case-mark.ts';
import { takeView } from '../../../../../core/model/story.ts';
import type { KnownTerms } from '../../../../../core/model/known-terms.ts';
import { presentedCase } from '../../../../../core/model/presented-case.ts';
import { presentedLanes } from '../../../../../core/model/presented-lanes.ts';
import { proposeMoment } from '../../../../../renderer/panels/meeting/moment-proposal.ts';
import { showMoment } from '../../../../../renderer/panels/meeting/shown-view.ts';
import { buildCaseAnalysis, buildCaseRecord, buildChannel, buildDropout } from '../../../../builders/stored-case.ts';

const TERMS: KnownTerms = { drugs: [{ inn: 'phenylephrine', isVasopressor: true }], events: [{ kind: 'position', term: 'arms tucked' }] };
const RECORD = buildCaseRecord({ caseId: 'Smith, J', channels: [buildChannel(Array.from({ length: 120 }, (_, i) => (i > 1 && i < 32 ? Number.NaN : 97)))] });
const DROPOUT = buildDropout();
const ANALYSIS = buildCaseAnalysis([DROPOUT]);
const VIEW = takeView({ caseKey: 'a'.repeat(32), record: RECORD, window: { startMs: 0, endMs: 60_000 }, instantMs: 2000, dropout: DROPOUT, lanes: { lanes: [] }, isBoundShown: true });
const MARK = { markId: 'd'.repeat(32), ...markTimes(RECORD.origin, 1000, null), text: 'The arm was tucked here.' };
const OPEN = { kind: 'open', record: RECORD, analysis: ANALYSIS, marks: [MARK] } as const;

describe('a view of a story over its case of today', () => {
  it('is shown as it was collected, without the case’s name, its dropout under the presented name', () => {
    const state = showMoment({ view: VIEW }, OPEN, TERMS, 'Case A');
    expect(state).toMatchObject({ kind: 'shown', shown: { window: { startMs: 0, endMs: 60_000 }, instantMs: 2000, isBoundShown: true, dropoutId: 'dropout 1', remarks: [], record: { caseId: 'Case A' } } });
    if (state?.kind !== 'shown') return;
    expect(state.shown.viewport.get()).toEqual({ startMs: 0, endMs: 60_000 });
    expect(state.shown.viewport.getCursorMs()).toBe(2000);
    expect(state.shown.boundShown.get()).toBe(true);
    expect(JSON.stringify(state.shown)).not.toContain('Smith');
  });

  it('waits for its case and for the dictionary; a case that is gone, torn or without its clock is named, and nothing of it shown', () => {
    expect([showMoment({ view: VIEW }, undefined, TERMS, 'A'), showMoment({ view: VIEW }, OPEN, null, 'A'), showMoment({ view: VIEW }, { kind: 'reading' }, TERMS, 'A')].map((state) => state?.kind)).toEqual(['reading', 'reading', 'reading']);
    expect(showMoment({ view: VIEW }, { kind: 'gone' }, TERMS, 'A')).toMatchObject({ kind: 'not shown', why: expect.stringContaining('no longer in the library') });
    expect(showMoment({ view: VIEW }, { kind: 'failed', problem: { message: 'Torn.', remedy: null } }, TERMS, 'A')).toMatchObject({ kind: 'not shown', problem: { message: 'Torn.' } });
    expect(showMoment({ view: VIEW }, { ...OPEN, record: { ...RECORD, origin: { ...RECORD.origin, clock: 'elapsed', epochMs: null } } }, TERMS, 'A')).toMatchObject({ kind: 'not shown', why: expect.stringContaining('clock') });
  });

  it('says what changed since', () => {
    const state = showMoment({ view: VIEW }, { ...OPEN, record: { ...RECORD, sources: RECORD.sources.map((source) => ({ ...source, clockOffsetMs: 1000 })) }, analysis: buildCaseAnalysis([]) }, TERMS, 'A');
    expect(state?.kind === 'shown' && state.shown.remarks).toEqual(['The dropout that it points at is no longer computed under the definition.', 'The clock of one of its files was set since: the view may show another stretch of it.']);
  });

  it('shows marks and notes only where the moment asks for them, in the place where they were pinned', () => {
    expect(showMoment({ view: VIEW }, OPEN, TERMS, 'Case A')).toMatchObject({ shown: { marks: [] } });
    expect(showMoment({ view: VIEW, showsMarks: true }, OPEN, TERMS, 'Case A')).toMatchObject({ shown: { marks: [{ mark: MARK, place: { startMs: 1000, endMs: 1000 }, isNumbered: false }] } });
    expect(showMoment({ view: VIEW, showsMarks: true }, { ...OPEN, marks: null }, TERMS, 'Case A')).toMatchObject({ shown: { marks: [], remarks: ['The marks and notes of its case could not be read: none is shown.'] } });
    expect(showMoment({ view: null, showsMarks: true }, OPEN, TERMS, 'Case A')).toBeNull();
  });

  it('keeps marks back with everything that came after the instant', () => {
    expect(showMoment({ view: VIEW, showsMarks: true }, OPEN, TERMS, 'Case A', { record: RECORD, analysis: ANALYSIS })).toMatchObject({ kind: 'shown', shown: { marks: [] } });
  });

  it('of what was known then keeps its stretch although the record ends before it', () => {
    const then = { record: { ...RECORD, channels: [buildChannel([97, 97, Number.NaN])] }, analysis: buildCaseAnalysis([], { bounds: { startMs: 0, endMs: 2000, startFrom: 'first row', endFrom: 'last row' } }) };
    expect(showMoment({ view: VIEW }, OPEN, TERMS, 'Case A', then)).toMatchObject({ kind: 'shown', shown: { window: { startMs: 0, endMs: 60_000 }, dropoutId: null } });
  });
});

describe('lanes of a view', () => {
  it('bear names of quantities instead of those of the file; lanes of channels that are not presented fall away', () => {
    const record = { channels: [buildChannel([1], { quantity: 'resp-rate', label: 'RR bay 3', site: null }), buildChannel([1], { quantity: 'other', label: 'Dr K pump', site: null })] };
    const wish = (laneName: string) => ({ laneName, isShown: true, heightPx: 80 });
    expect(presentedLanes({ lanes: [wish('spo2'), wish('channel RR bay 3'), wish('channel Dr K pump'), wish('channel of another case')] }, record)).toEqual({ lanes: [wish('spo2'), wish('channel Respiratory rate')] });
  });
});

describe('proposed words', () => {
  const shown = presentedCase(RECORD, ANALYSIS, 'Case A', TERMS);
  it('of a dropout are facts on record, with times from the first row, and no cause', () => {
    const proposal = proposeMoment(shown.record, shown.analysis, { startMs: 0, endMs: 60_000 }, shown.analysis.sites[0]!.dropouts[0]!);
    // Derived from the builder: first lost 2 s, first good 32 s, lost 25 to 35 s, 97 % before, 92 % after, phenylephrine 100 ug at 0.5 s.
    expect(proposal).toEqual({
      part: 'known when', title: 'finger: SpO2 lost at +0:00:02',
      text: 'No SpO2 at the finger from +0:00:02 of the record; back there at +0:00:32, lost between 25 s and 35 s.\nSpO2 97 % before and 92 % after.\nOn record before it: phenylephrine 100 µg at +0:00:00.',
    });
    expect(proposal.text).not.toMatch(/because|caused|due to|owing|led to|after which|therefore/i);
  });
  it('without a dropout name the stretch and what was given and done in it', () => {
    const proposal = proposeMoment(shown.record, { ...shown.analysis, exposures: [] }, { startMs: 0, endMs: 60_000 }, null);
    expect(proposal).toEqual({ part: 'background', title: '+0:00:00 to +0:01:00', text: '1 min of the record.\nOn record in it: phenylephrine 100 µg at +0:00:00.' });
  });
});
