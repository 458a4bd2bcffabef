import { describe, expect, it } from 'vitest';
import type { Guess } from '../../../../core/model/import-report.ts';
import { alternativeOverrule, columnOverrule, countOverrules, mergeOverrules, NO_OVERRULES, overruleList, sameOverrules, withOverrule, withoutOverrule } from '../../../../renderer/state/overrules.ts';

const dayFirst = { field: 'dateOrder', label: 'day first', rules: { dateOrder: 'dmy' } } as const;
const monthFirst = { field: 'dateOrder', label: 'month first', rules: { dateOrder: 'mdy' } } as const;
const finger = columnOverrule('SpO2', { role: 'value', quantity: 'spo2', site: 'finger' }, 'SpO2 is at the finger');
const noBed = columnOverrule('Bed', { role: 'ignore' }, 'Bed is left out');

describe('overrules', () => {
  it('lets the later word on a field take the place of the earlier one', () => {
    const set = withOverrule(withOverrule(NO_OVERRULES, 'a.csv', dayFirst), 'a.csv', monthFirst);
    expect(set.get('a.csv')).toEqual([monthFirst]);
  });
  it('joins what is said about several columns', () => {
    expect(mergeOverrules([finger, dayFirst, noBed])).toEqual({
      dateOrder: 'dmy', columns: { SpO2: { role: 'value', quantity: 'spo2', site: 'finger' }, Bed: { role: 'ignore' } },
    });
  });
  it('says nothing where nothing was said', () => {
    expect(mergeOverrules([])).toEqual({});
    expect(overruleList(NO_OVERRULES, ['a.csv'])).toEqual([]);
  });
  it('keeps the files apart and in the order of the report', () => {
    const set = withOverrule(withOverrule(NO_OVERRULES, 'b.csv', monthFirst), 'a.csv', noBed);
    expect(overruleList(set, ['a.csv', 'b.csv', 'c.csv'])).toEqual([
      { file: 'a.csv', rules: { columns: { Bed: { role: 'ignore' } } } },
      { file: 'b.csv', rules: { dateOrder: 'mdy' } },
    ]);
  });
  it('takes a word back, and forgets a file about which nothing is left', () => {
    const set = withOverrule(NO_OVERRULES, 'a.csv', dayFirst);
    expect(withoutOverrule(set, 'a.csv', 'dateOrder').size).toBe(0);
    expect(withoutOverrule(set, 'a.csv', 'zone')).toEqual(set);
    expect(set.get('a.csv')).toEqual([dayFirst]);
  });
  it('counts, and compares whatever the order of files', () => {
    const one = withOverrule(withOverrule(NO_OVERRULES, 'a.csv', dayFirst), 'b.csv', noBed);
    const other = withOverrule(withOverrule(NO_OVERRULES, 'b.csv', noBed), 'a.csv', dayFirst);
    expect([countOverrules(one), sameOverrules(one, other), sameOverrules(one, NO_OVERRULES)]).toEqual([2, true, false]);
  });
  it('turns a chosen alternative of a guess into its rules', () => {
    const guess: Guess = { field: 'dateOrder', taken: 'day first', because: '…', certainty: 'likely', alternatives: [{ label: 'month first', rules: { dateOrder: 'mdy' } }] };
    expect([alternativeOverrule(guess, 0), alternativeOverrule(guess, 1)]).toEqual([monthFirst, null]);
  });
});
