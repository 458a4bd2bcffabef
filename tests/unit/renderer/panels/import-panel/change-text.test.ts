import { expect, test } from 'vitest';
import { createCaseClock } from '../../../../../renderer/format/time-text.ts';
import { changeCountsText, channelRowsText, decisionText, dropoutText, entryText, filesText, freeName, spanText, unchangedText, verdictsText } from '../../../../../renderer/panels/import-panel/change-text.ts';
import { buildCaseComparison } from '../../../../builders/case-comparison.ts';
import { buildCaseRecord } from '../../../../builders/stored-case.ts';

const CHANGE = { caseKey: 'k', caseId: 'K1', rows: { added: 12, removed: 0, changed: 1 }, events: 0, drugs: 2, dropouts: 1, decision: null, storedAs: null };
const clock = createCaseClock(buildCaseRecord().origin);

test('what differs is said in counts, and never in nothing', () => {
  expect(changeCountsText(CHANGE)).toBe('12 rows more, 1 row with another value, 2 drug entries, 1 dropout or blind interval');
  expect(changeCountsText({ ...CHANGE, rows: { added: 0, removed: 0, changed: 0 }, drugs: 0, dropouts: null })).toBe('times, names or units only');
});

test('a decision, or that there is none, is said in words', () => {
  expect(decisionText(CHANGE)).toBe('not decided: the library keeps the earlier one');
  expect(decisionText({ ...CHANGE, decision: 'keep both', storedAs: 'K1 (2)' })).toBe('both kept, the new one as “K1 (2)”');
});

test('a case that is there under another name is named with it', () => {
  expect(unchangedText({ caseId: 'a', heldBy: { caseKey: 'k', caseId: 'a' } })).toBe('a');
  expect(unchangedText({ caseId: 'b', heldBy: { caseKey: 'k', caseId: 'a' } })).toBe('b (the library holds it as a)');
});

test('the name proposed for a second case is free', () => {
  expect(freeName('K1', new Set(['K1', 'K1 (2)', 'K1 (4)']))).toBe('K1 (3)');
});

test('rows are written as a sum that adds up', () => {
  const [channel] = buildCaseComparison().channels;
  expect(channelRowsText({ ...channel!, rowsBefore: 600, rowsRemoved: 3, rowsAdded: 1012, rowsAfter: 1609, rowsChanged: 1 })).toBe('600 − 3 + 1,012 = 1,609; 1 with another value');
});

test('drugs, events and dropouts are written with the time of the record and their limits', () => {
  const [change] = buildCaseComparison().drugs.list; // the one drug is gone
  expect(entryText(change!.before, clock)).toBe(`${clock.clock(500)} phenylephrine 100 mcg IV (phenylephrine, bolus, 100 ug)`);
  expect(entryText(change!.after, clock)).toBe('–');
  expect(dropoutText({ firstLostMs: 0, firstGoodMs: 30_000, lostMs: { low: 25_000, mid: 30_000, high: 35_000 }, restoredBy: 'same site' }, clock)).toBe(`from ${clock.clock(0)}, lost 25–35 s, mid 30 s, restored at the same site`);
});

test('a case of which only the clock was read otherwise says so instead of naming every row', () => {
  const moved = buildCaseComparison({ origin: { ...buildCaseRecord().origin, epochMs: 1_900_000_000_000 - 3_600_000 } });
  expect(spanText(moved, clock).at(-1)).toContain('lies 1 h earlier than in the library: only its clock or zone was read otherwise');
});

test('what becomes of verdicts is said before a case is replaced', () => {
  expect(verdictsText(null)).toBe('Nobody has given a verdict on this case.');
  expect(verdictsText('not told')).toContain('they stay');
  expect(verdictsText({ verdicts: 1, same: 1, moved: 0, split: 0, joined: 0, withoutDropout: 0 })).toBe('1 verdict is in force on this case. If it is replaced it stays: 1 at the same dropout.');
  expect(verdictsText({ verdicts: 7, same: 2, moved: 1, split: 1, joined: 2, withoutDropout: 1 })).toBe(
    '7 verdicts are in force on this case. If it is replaced all stay: 2 at the same dropout, 1 at a dropout with other bounds, 1 over several dropouts, 2 together at one dropout, 1 at no dropout, to be placed by hand.',
  );
});

test('a file of the same name with other bytes is named once, and the others on their side', () => {
  expect(filesText({ same: 0, added: ['known.csv'], removed: ['known.csv'] })).toBe('No file is the same, byte for byte. Of the same name with other bytes: known.csv.');
  expect(filesText({ same: 2, added: ['new.csv'], removed: ['old.csv'] })).toBe('2 files are the same, byte for byte. Only the library’s was read from old.csv. Only the new one was read from new.csv.');
});
