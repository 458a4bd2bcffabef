import { describe, expect, it } from 'vitest';
import { buildInfusions } from '../../../../core/model/infusions.ts';
import { drugOf } from '../../../builders/drug.ts';

describe('buildInfusions', () => {
  it('makes steps of start, change, pause and stop, and runs on to the end of the case when never stopped', () => {
    const rate = (atS: number, form: 'infusion start' | 'infusion rate' | 'infusion stop', amount: number | null) => drugOf({ inn: 'norepinephrine', atS, form, amount, unit: 'ug/kg/min' });
    const [infusion] = buildInfusions([rate(0, 'infusion start', 0.05), rate(600, 'infusion rate', 0.1), rate(900, 'infusion rate', 0), rate(1200, 'infusion rate', 0.02)], 3_600_000);
    expect(infusion?.steps.map(({ startMs, endMs, rate: step, text }) => [startMs / 1000, endMs / 1000, step, text])).toEqual([
      [0, 600, 0.05, '0.05 µg/kg/min'],
      [600, 900, 0.1, '0.1 µg/kg/min'],
      [1200, 3600, 0.02, '0.02 µg/kg/min'],
    ]);
    expect(infusion?.highestRate).toBe(0.1);
  });
  it('says that no rate was stated rather than draw nothing', () => {
    expect(buildInfusions([drugOf({ inn: 'vasopressin', atS: 0, form: 'infusion start', amount: null })], 10_000)[0]?.steps[0]?.text).toBe('rate not stated');
  });
  it('puts vasopressors first', () => {
    const other = drugOf({ inn: 'propofol', atS: 0, form: 'infusion start', isVasopressor: false });
    const pressor = drugOf({ inn: 'phenylephrine', atS: 600, form: 'infusion start' });
    expect(buildInfusions([other, pressor], 1_000_000).map((infusion) => infusion.name)).toEqual(['phenylephrine', 'propofol']);
  });
});
