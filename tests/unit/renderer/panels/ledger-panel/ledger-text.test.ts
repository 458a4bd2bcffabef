import { describe, expect, test } from 'vitest';
import type { LedgerLine, LedgerRun } from '../../../../../core/model/ledger.ts';
import { casesText, fieldText, guessLines, ledgerSums, namesText, outcomeText, reasonGroups, shortDigest, stateText } from '../../../../../renderer/panels/ledger-panel/ledger-text.ts';
import { buildFileReport } from '../../../../builders/stand-in-pool.ts';

const LINE: LedgerLine = {
  importId: 'a'.repeat(32), state: 'complete', firstAt: '2031-04-01T08:00:00.000Z', lastAt: '2031-04-01T08:00:00.000Z', runs: 1, productVersion: '1', names: ['a.csv', 'b.csv', 'c.csv'],
  files: 5, filesFailed: 0, rowsRead: 10, rowsAccepted: 8, rowsRejected: 2, casesStored: 1, casesThere: 2, casesWaiting: 1, overruled: 0,
};
const A = buildFileReport({ file: 'a.csv', rows_read: 5, rows_accepted: 3, rows_rejected: 2, rejected: [{ reason: 'no time', count: 2, first_line: 3 }] });
const B = buildFileReport({ file: 'b.csv', rows_read: 9, rows_accepted: 2, rows_rejected: 7, rejected: [{ reason: 'no time', count: 1, first_line: 8 }, { reason: 'too short', count: 6, first_line: 2 }] });

test('the line of an import names files, cases and how it ended', () => {
  expect(namesText(LINE)).toBe('a.csv, b.csv, c.csv and 2 more');
  expect(namesText({ ...LINE, files: 0, names: [] })).toBe('no file');
  expect(casesText(LINE)).toBe('1 stored, 2 already there, 1 not decided');
  expect(casesText({ ...LINE, casesStored: 0, casesThere: 0, casesWaiting: 0 })).toBe('none');
  expect(stateText({ ...LINE, state: 'waiting' })).toBe('1 case not decided: the library keeps the earlier one');
  for (const state of ['complete', 'waiting', 'running', 'interrupted', 'cancelled', 'failed', 'damaged'] as const) expect(stateText({ ...LINE, state })).not.toBe('');
});

describe('the sums of a reading', () => {
  test('add up over files and over reasons', () => {
    expect(ledgerSums([A, B])).toEqual({ read: 14, accepted: 5, rejected: 9, rejectedByReason: 9, addUp: true });
  });
  test('do not when a reason is missing, or when the faults of two files even out', () => {
    expect(ledgerSums([{ ...A, rejected: [] }]).addUp).toBe(false);
    expect(ledgerSums([{ ...A, rows_read: 6 }, { ...B, rows_read: 8 }]).addUp).toBe(false);
  });
  test('have the rejected rows by reason, the most frequent first', () => {
    expect(reasonGroups([A, B]).map(({ reason, count, files }) => [reason, count, files.map(({ file }) => file)])).toEqual([['too short', 6, ['b.csv']], ['no time', 3, ['a.csv', 'b.csv']]]);
  });
});

test('what became of a case names the decision about it', () => {
  const one = { caseKey: 'k', caseId: 'K1', outcome: 'differs' as const, heldBy: null };
  const decided = (decision: 'replace' | 'keep old' | 'keep both') => outcomeText(one, [{ caseKey: 'k', caseId: 'K1', decision, storedAs: decision === 'keep both' ? 'K1 (2)' : null }]);
  expect(outcomeText(one, [])).toContain('nobody decided, the earlier one was kept');
  expect(decided('replace')).toContain('replaced');
  expect(decided('keep old')).toContain('the earlier one was kept');
  expect(decided('keep both')).toContain('the new one as K1 (2)');
  expect(outcomeText({ ...one, outcome: 'already there', heldBy: 'K9' }, [])).toBe('the library held it already as K9; not stored again');
});

test('what was overruled stands before the guesses that stood', () => {
  const guess = { field: 'zone', taken: 'UTC', because: 'none is stated', certainty: 'assumed' as const, alternatives: [] };
  const run = { files: [{ ...A, guesses: [guess] }], overruled: [{ file: 'b.csv', field: 'dateOrder', taken: 'x', said: '"mdy"', mapping: null }] } as unknown as LedgerRun; // the two fields it looks at
  expect(guessLines(run).map((line) => [line.file, line.kind])).toEqual([['b.csv', 'overruled'], ['a.csv', 'guess']]);
});

test('what a guess is about is said in words', () => {
  expect(['timeKind', 'dateOrder', 'columns', 'columns.SpO2. left'].map(fieldText)).toEqual(['kind of times', 'order in dates', 'headings', 'column “SpO2. left”']);
});

test('a digest is shown by its first signs', () => {
  expect(shortDigest('ab'.repeat(32))).toBe('abababababab…');
  expect(shortDigest('')).toBe('not opened');
});
