import { describe, expect, test } from 'vitest';
import { columnOf, columnsOf, facetValues, facetValuesOf } from '../../../../core/cohort/case-facets.ts';
import { chooseCases } from '../../../../core/cohort/choose-cases.ts';
import { cohortFlow } from '../../../../core/cohort/flow.ts';
import type { CaseChoice } from '../../../../core/model/cohort-options.ts';
import { DEFAULT_COHORT_OPTIONS, UNSTATED } from '../../../../core/model/cohort-options.ts';
import { cohortCase, cohortExposure } from '../../../builders/cohort-case.ts';

const ALL: CaseChoice = DEFAULT_COHORT_OPTIONS.choice;
const A = cohortCase('a', [{}], { attributes: { 'Service': 'Vascular', 'ASA': 'III E', 'Age': '71', 'Room': '3', 'Subject': 'p1' }, date: '2031-03-04', exposures: [cohortExposure(10, { kind: 'position', label: 'prone' }), cohortExposure(90, { kind: 'position', label: 'prone ended' })] });
const B = cohortCase('b', [{ site: 'ear lobe' }], { attributes: { 'Service': 'Thoracic', 'ASA': '2', 'Age': '8 months', 'Subject': 'p1' }, date: '2031-05-01' });
const C = cohortCase('c', [{}, { site: 'ear lobe' }], { attributes: {}, date: null, startedAtMs: null });
const EMPTY = cohortCase('d', []);
const choose = (choice: Partial<CaseChoice>, patientColumn: string | null = null) => chooseCases([C, EMPTY, B, A], { choice: { ...ALL, ...choice }, patientColumn });
const ids = (cases: readonly { readonly caseId: string }[]) => cases.map(({ caseId }) => caseId);

describe('properties of cases', () => {
  test('service, class and age are found by their headings, and put into one spelling', () => {
    expect(facetValuesOf(A, { kind: 'service' })).toEqual(['Vascular']);
    // ASA physical status I to VI, E for emergencies. Source: ASA Physical Status Classification System, 2020.
    expect([A, B, C].map((one) => facetValuesOf(one, { kind: 'asa class' })[0])).toEqual(['3', '2', UNSTATED]);
    expect([A, B, C].map((one) => facetValuesOf(one, { kind: 'age band' })[0])).toEqual(['65 to 79', 'under 1', UNSTATED]);
    expect(facetValuesOf(cohortCase('x', [{}], { attributes: { age_band: '40-59', asa_class: 'IV' } }), { kind: 'age band' })).toEqual(['40-59']);
    expect(facetValuesOf(cohortCase('x', [{}], { attributes: { age_band: '40-59', asa_class: 'IV' } }), { kind: 'asa class' })).toEqual(['4']);
    expect([columnOf([A, B, C], { kind: 'service' }), columnOf([C], { kind: 'service' }), columnOf([A], { kind: 'column', column: 'Room' }), columnOf([A], { kind: 'site' })]).toEqual(['Service', null, 'Room', null]);
    const aged = (text: string) => facetValuesOf(cohortCase('x', [{}], { attributes: { age: text } }), { kind: 'age band' })[0];
    expect(['0', '1', '17', '18', '39.5', '64', '80', '90 or more', '60-69', '30 days', '18 months', '3 wks', '6 mesi', '12 h'].map(aged)).toEqual(['under 1', '1 to 17', '1 to 17', '18 to 39', '18 to 39', '40 to 64', '80 or more', '80 or more', '60-69', 'under 1', '1 to 17', 'under 1', 'under 1', 'under 1']);
  });

  test('what is not stated is a value of its own, counted last', () => {
    expect(facetValues([A, B, C], { kind: 'service' }).values).toEqual([{ value: 'Thoracic', cases: 1 }, { value: 'Vascular', cases: 1 }, { value: UNSTATED, cases: 1 }]);
    expect(facetValues([A, B, C], { kind: 'column', column: 'Room' }).values).toEqual([{ value: '3', cases: 1 }, { value: UNSTATED, cases: 2 }]);
    expect(facetValues([A, B, C], { kind: 'month' }).values.map(({ value }) => value)).toEqual(['2031-03', '2031-05', UNSTATED]);
    expect(columnsOf([A, B])).toEqual(['ASA', 'Age', 'Room', 'Service', 'Subject']);
  });

  test('a case counts under each of its sites and positions; the end of a position is none', () => {
    expect(facetValues([A, B, C], { kind: 'site' }).values).toEqual([{ value: 'ear lobe', cases: 2 }, { value: 'finger', cases: 2 }]);
    expect(facetValues([A, B, C], { kind: 'position' }).values).toEqual([{ value: 'prone', cases: 1 }, { value: UNSTATED, cases: 2 }]);
  });
});

describe('choosing', () => {
  test('every case is in one list, in the order of the ids, whatever order they came in', () => {
    const { chosen, notUsable, notChosen } = choose({});
    expect([ids(chosen), notUsable.map(({ one, reason }) => [one.caseId, reason]), notChosen]).toEqual([['a', 'b', 'c'], [['d', 'no SpO2']], []]);
  });

  test('undated cases are taken or left out as is said', () => {
    expect(ids(choose({ from: '2031-04-01', keepUndated: true }).chosen)).toEqual(['b', 'c']);
    const without = choose({ from: '2031-03-04', to: '2031-03-04', keepUndated: false });
    expect(ids(without.chosen)).toEqual(['a']);
    expect(without.notChosen.map(({ one, reason }) => [one.caseId, reason])).toEqual([['b', 'outside the chosen days'], ['c', 'undated']]);
  });

  test('"not stated" can be chosen like any value; several properties must all hold', () => {
    expect(ids(choose({ facets: [{ facet: { kind: 'service' }, values: ['Vascular', UNSTATED] }] }).chosen)).toEqual(['a', 'c']);
    const two = choose({ facets: [{ facet: { kind: 'service' }, values: ['Vascular', UNSTATED] }, { facet: { kind: 'position' }, values: ['prone'] }] });
    expect(ids(two.chosen)).toEqual(['a']);
    expect(two.notChosen.map(({ one, reason }) => [one.caseId, reason])).toEqual([['b', 'service not chosen'], ['c', 'position not chosen']]);
  });

  test('a column names the patient; where it is empty the case stands for itself', () => {
    expect(choose({}, 'Subject').chosen.map(({ patientKey }) => patientKey)).toEqual(['p1', 'p1', null]);
  });
});

test('the flow adds up from what was imported to what was analysed, with reasons and units', () => {
  const flow = cohortFlow(choose({ from: '2031-03-04', to: '2031-03-04', keepUndated: true }, 'Subject'), [{ caseKey: 'k9', caseId: 'e', reason: 'The stored case is damaged.' }]);
  expect(flow.steps.map(({ step, cases, leftOut }) => [step, cases, leftOut.map((one) => [one.reason, ids(one.cases)])])).toEqual([
    ['imported', 5, []],
    ['readable', 4, [['The stored case is damaged.', ['e']]]],
    ['usable', 3, [['no SpO2', ['d']]]],
    ['analysed', 2, [['outside the chosen days', ['b']]]],
  ]);
  flow.steps.slice(1).forEach((step, i) => expect(step.cases).toBe((flow.steps[i]?.cases ?? 0) - step.leftOut.reduce((sum, { cases }) => sum + cases.length, 0)));
  expect([flow.units, flow.unit, flow.undated]).toEqual([2, 'patient', 1]);
});
