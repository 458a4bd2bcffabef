import { describe, expect, it } from 'vitest';
import { findDrug } from '../../../../core/terms/find-drug.ts';
import { doseFlags, parseDose } from '../../../../core/terms/parse-dose.ts';

describe('what was not given', () => {
  it.each([
    ['no phenylephrine given', 'says it was not given: phenylephrine'],
    ['consider ephedrine', 'only planned, ready or mentioned: ephedrine'],
    ['total phenylephrine 800 mcg', 'states a total of doses: phenylephrine'],
    ['phenylephrine 0 mg', 'states a dose of 0: phenylephrine'],
    ['good response to ephedrine', 'only mentioned: ephedrine'],
  ])('%s: %s', (text, flag) => {
    const read = parseDose(text);
    expect(read).toMatchObject({ drug: null, ambiguous: [], isGiven: false });
    expect(read.flags[0]).toBe(flag);
  });

  it('is given otherwise', () => {
    expect(parseDose('phenylephrine 100 mcg').isGiven).toBe(true);
    expect(parseDose('phenylephrine infusion discontinued')).toMatchObject({ form: 'infusion stop', isGiven: true });
    expect(parseDose('nothing of the kind').isGiven).toBe(true);
  });
});

describe('several drugs in one entry', () => {
  it('reads the first and says that another is named', () => {
    const read = parseDose('ephedrine 6 mg, phenylephrine 100 mcg');
    expect(read).toMatchObject({ amount: 6, unit: 'mg', form: 'bolus' });
    expect(read.drug?.inn).toBe('ephedrine');
    expect(read.flags).toEqual(['also names phenylephrine: read apart if it was given']);
  });

  it('takes each dose from its own side', () => {
    expect(parseDose('phenylephrine 100 mcg then fentanyl 50 mcg').amount).toBe(100);
    expect(parseDose('propofol 150 mg + ephedrine 6 mg')).toMatchObject({ amount: 150, unit: 'mg' });
  });
});

describe('totals of parts', () => {
  it('is free of binary tails', () => {
    expect(parseDose('phenylephrine 0.1 mg x3').amount).toBe(0.3);
    expect(parseDose('phenylephrine 0.1 + 0.2 mg').amount).toBe(0.3);
  });

  it('judges each part, not their sum', () => {
    expect(parseDose('ephedrine 10 mg x 12').flags.join()).not.toContain('times the upper');
    expect(parseDose('ephedrine 150 mg x 2').flags.join()).toContain('12.5 times the upper usual bolus');
  });
});

describe('doseFlags', () => {
  const phenylephrine = findDrug('phenylephrine').term;

  it('asks for a unit and judges nothing without one', () => {
    expect(doseFlags(phenylephrine, 100, '')).toEqual(['no unit stated']);
    expect(doseFlags(null, 100, '')).toEqual(['no unit stated']);
  });

  it('starts at ten times', () => {
    expect(doseFlags(phenylephrine, 2499, 'ug')).toEqual([]);
    expect(doseFlags(phenylephrine, 2500, 'ug')).toEqual(['10 times the upper usual bolus']);
    expect(doseFlags(phenylephrine, 4, 'ug')).toEqual(['10 times below the lower usual bolus']);
    expect(doseFlags(phenylephrine, 0.1, 'ug')).toEqual(['400 times below the lower usual bolus; likely mg']);
  });

  it('says when the unit measures something else', () => {
    expect(doseFlags(phenylephrine, 1, '[iU]')).toEqual(['unit [iU] does not fit phenylephrine (usually ug)']);
    expect(doseFlags(phenylephrine, 1, 'mL')).toEqual(['dose stated as a volume or ampoule: strength not known']);
  });

  it('leaves rates, doses per weight and drugs without a range alone', () => {
    expect(doseFlags(phenylephrine, 5000, 'ug/min')).toEqual([]);
    expect(doseFlags(phenylephrine, 5000, 'ug/kg')).toEqual([]);
    expect(doseFlags(findDrug('dobutamine').term, 5000, 'mg')).toEqual([]);
    expect(doseFlags(null, 5000, 'mg')).toEqual([]);
  });
});

it('keeps the unit in brackets after a name for a number that follows', () => {
  expect(parseDose('Norepinephrine (mcg/min) 8')).toMatchObject({ form: 'infusion rate', amount: 8, unit: 'ug/min' });
  expect(parseDose('Norepinephrine (mcg/min) 0')).toMatchObject({ form: 'infusion stop', amount: 0 });
});

it('reads nothing out of an empty text', () => {
  expect(parseDose('')).toEqual({ drug: null, ambiguous: [], form: 'bolus', amount: null, unit: '', route: null, parts: 1, flags: ['no drug recognised'], isGiven: true });
});
