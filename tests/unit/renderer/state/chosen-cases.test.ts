import { describe, expect, it } from 'vitest';
import { chosenAmong, createChosenCases } from '../../../../renderer/state/chosen-cases.ts';
import { buildCaseSummary } from '../../../builders/case-summary.ts';

describe('chosen cases', () => {
  it('are taken in and out, one or many at a time', () => {
    const chosen = createChosenCases();
    let told = 0;
    chosen.subscribe(() => (told += 1));
    chosen.toggle('a');
    chosen.add(['b', 'c']);
    chosen.toggle('a');
    expect([...chosen.get()]).toEqual(['b', 'c']);
    chosen.remove(['b']);
    expect([...chosen.get()]).toEqual(['c']);
    chosen.clear();
    expect([...chosen.get()]).toEqual([]);
    expect(told).toBe(5);
  });

  it('count only where the library holds them and can open them, in its order, and outlive a case that is away', () => {
    const chosen = createChosenCases();
    chosen.add(['k3', 'k1', 'gone', 'bad']);
    const cases = [buildCaseSummary({ caseKey: 'k1' }), buildCaseSummary({ caseKey: 'k2' }), buildCaseSummary({ caseKey: 'k3' }), buildCaseSummary({ caseKey: 'bad', problem: 'cut short' })];
    expect(chosenAmong(cases, chosen.get()).map((summary) => summary.caseKey)).toEqual(['k1', 'k3']);
    expect(chosenAmong(cases.slice(1), chosen.get()).map((summary) => summary.caseKey)).toEqual(['k3']);
    expect(chosenAmong([...cases, buildCaseSummary({ caseKey: 'gone' })], chosen.get())).toHaveLength(3);
  });
});
