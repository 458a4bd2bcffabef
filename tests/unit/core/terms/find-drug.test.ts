import { describe, expect, it } from 'vitest';
import dictionary from '../../../../core/terms/dictionary.json' with { type: 'json' };
import { findDrug } from '../../../../core/terms/find-drug.ts';
import { editDistance } from '../../../../core/terms/spelling.ts';

const inn = (name: string, route?: string): string | null => findDrug(name, route).term?.inn ?? null;

describe('a drug cell', () => {
  it.each([
    ['Norepinephrine (mcg/min)', 'norepinephrine'],
    ['Norepinephrine (ml/hr)', 'norepinephrine'],
    ['Propofol ()', 'propofol'],
    ['Levophed-k', 'norepinephrine'],
    ['PHENYLEPHRINE 10 MG IN NS 250 ML', 'phenylephrine'],
    ['ephedrine sulfate 5 mg/ml syringe', 'ephedrine'],
    ['NE', 'norepinephrine'],
    ['PE gtt', 'phenylephrine'],
    ['eph', 'ephedrine'],
    ['met', 'metaraminol'],
    ['vaso (units/min)', 'vasopressin'],
    ['Metronidazole', 'metronidazole'],
    ['Insulin - Regular', 'insulin'],
    ['lidocaine 2% with epinephrine 1:100000', 'lidocaine'],
    ['noradrenalin', 'norepinephrine'],
  ])('%s is %s', (name, expected) => {
    expect(inn(name)).toBe(expected);
  });

  it.each(['', 'PE on CT', 'met with family', 'vasopressor', 'PEEP', 'NEB', 'epidural', 'Na 140 mmol/l potassium', 'pediatric', 'toe'])('%j is no drug', (name) => {
    expect(findDrug(name).term).toBeNull();
  });

  it('asks where a name means several drugs', () => {
    expect(findDrug('neo')).toEqual({ term: null, ambiguous: ['phenylephrine', 'neostigmine'] });
    expect(findDrug('NA')).toEqual({ term: null, ambiguous: ['norepinephrine', 'not available'] });
    expect(findDrug('ephedrine/phenylephrine')).toEqual({ term: null, ambiguous: ['ephedrine', 'phenylephrine'] });
  });
});

describe('spelling', () => {
  it.each([
    ['ephidrine', 'ephedrine'],
    ['phenylepherine', 'phenylephrine'],
    ['norephinephrine', 'norepinephrine'],
    ['noradrenalinne', 'norepinephrine'],
    ['metariminol', 'metaraminol'],
    ['vassopressin', 'vasopressin'],
  ])('%s can only mean %s', (name, expected) => {
    expect(inn(name)).toBe(expected);
  });

  it('does not choose between two drugs that are both near', () => {
    expect(findDrug('epinedrine')).toEqual({ term: null, ambiguous: ['ephedrine', 'epinephrine'] });
    expect(findDrug('dopxamine')).toEqual({ term: null, ambiguous: ['dopamine', 'dopexamine'] });
    expect(findDrug('phenylephedrine')).toEqual({ term: null, ambiguous: ['ephedrine', 'phenylephrine'] });
  });

  it('never takes a word one letter off a vasopressor for it when another drug is within two letters', () => {
    const names = dictionary.drugs.flatMap((drug) => drug.names.map((name) => ({ name, inn: drug.inn, isVasopressor: 'isVasopressor' in drug && drug.isVasopressor === true }))).filter(({ name }) => /^[a-z]{6,}$/.test(name));
    let judged = 0;
    for (const { name, inn: own } of names.filter((each) => each.isVasopressor)) {
      for (let i = 1; i < name.length; i += 1) {
        const typo = name.slice(0, i) + name.slice(i + 1);
        const read = inn(typo);
        if (read === null || read === own) continue;
        // Only a name listed exactly so may mean another drug.
        expect([typo, names.some((each) => each.name === typo && each.inn === read) || inn(typo) === own]).toEqual([typo, true]);
      }
      judged += 1;
    }
    expect(judged).toBeGreaterThan(50);
    expect(editDistance('dopamine', 'dopexamine', 2)).toBe(2);
    expect([inn('dopamine'), inn('dopexamine')]).toEqual(['dopamine', 'dopexamine']);
  });
});

describe('route', () => {
  it('leaves a vasopressor by mouth, muscle or skin what it is, without a bolus range', () => {
    expect(findDrug('midodrine', 'PO').term?.isVasopressor).toBe(true);
    expect(findDrug('ephedrine', 'IM').term).toMatchObject({ isVasopressor: true, bolus: null });
    expect(findDrug('epinephrine', 'Intravenous Push').term).toMatchObject({ isVasopressor: true, bolus: { low: 5, high: 20, unit: 'ug' } });
  });

  it('does not count drops, nebules, infiltration and irrigation', () => {
    for (const route of ['eye drops', 'neb', 'local infiltration', 'irrigation', 'topical', 'intranasal']) expect(findDrug('epinephrine', route).term?.isVasopressor).toBe(false);
    expect(findDrug('epinephrine nebulised').term?.isVasopressor).toBe(false);
  });
});
