import { describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../../core/model/parameters.ts';
import { compareAnalyses, countLinks, exceeds } from '../../../../../renderer/panels/definitions/effect.ts';
import { explainedKeys, PARAMETER_GROUPS } from '../../../../../renderer/panels/definitions/parameter-catalog.ts';
import { numberFault } from '../../../../../renderer/widgets/field.tsx';
import { buildCaseAnalysis } from '../../../../builders/stored-case.ts';

describe('the catalogue of parameters', () => {
  it('explains every parameter of the analysis, each once', () => {
    expect(explainedKeys().sort()).toEqual(Object.keys(DEFAULT_PARAMETERS).filter((key) => key !== 'name').sort());
  });
  it('allows its own defaults', () => {
    for (const entry of PARAMETER_GROUPS.flatMap((group) => group.entries)) {
      if (entry.kind === 'number') expect(numberFault(String(DEFAULT_PARAMETERS[entry.key] / entry.perUnit), entry.min, entry.max, entry.wholeOnly)).toBeNull();
      if (entry.kind === 'pair') for (const value of DEFAULT_PARAMETERS[entry.key]) expect(numberFault(String(value), entry.min, entry.max, false)).toBeNull();
    }
  });
});

describe('numberFault', () => {
  it.each([['30', true], ['2.5', true], ['.5', true], [' 7 ', true], ['', false], ['3o', false], ['1e3', false], ['1,5', false], ['-1', false], ['7201', false], ['NaN', false]])('takes %j: %s', (text, isUsable) => {
    expect(numberFault(text, 0, 7200, false) === null).toBe(isUsable);
  });
  it('asks for whole numbers where only they make sense', () => {
    expect([numberFault('10', 2, 100, true), numberFault('10.5', 2, 100, true)]).toEqual([null, 'only whole numbers make sense here.']);
  });
});

describe('the effect of a change', () => {
  it('sets before and after side by side, also for a site that is only in one', () => {
    const before = buildCaseAnalysis();
    const site = { ...before.sites[0]!, siteKey: 'toe' };
    const rows = compareAnalyses(before, { ...buildCaseAnalysis([]), sites: [...buildCaseAnalysis([]).sites, site] });
    expect(rows.map((row) => [row.siteKey, row.before?.count ?? null, row.after?.count ?? null])).toEqual([['finger', 1, 0], ['toe', null, 1], ['case', 0, 0]]);
  });
  it('counts links', () => {
    expect(countLinks(buildCaseAnalysis())).toBe(1);
  });
  /* The rule "more than 30 min in one anaesthetic": Freund 1991, J Clin Monit 7:253 (handbook 1.1). */
  it('answers a cumulative rule only where the bounds allow it', () => {
    const minutes = (low: number, mid: number, high: number): { low: number; mid: number; high: number } => ({ low: low * 60_000, mid: mid * 60_000, high: high * 60_000 });
    expect([exceeds(minutes(31, 32, 33), 1_800_000), exceeds(minutes(29, 31, 33), 1_800_000), exceeds(minutes(28, 29, 30), 1_800_000)]).toEqual(['met', 'cannot be told', 'not met']);
  });
});
