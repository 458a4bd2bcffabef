import { describe, expect, test } from 'vitest';
import { asksFirst, LAST_STEP, stepAt, TOUR_STEPS, type TourFacts } from '../../../../../renderer/panels/tour/tour-steps.ts';

const FRESH: TourFacts = {
  place: 'library', samples: 0, others: 0, worst: null, openCaseId: null, isSampleOpen: false, dropoutId: null, isBoundRead: false, areExposuresShown: false, reader: null, ownVerdicts: 0, isTrial: false, isHelpOpen: false,
};
const WITH_SAMPLES: TourFacts = { ...FRESH, samples: 19, worst: 'K11-bypass' };
const OPEN: TourFacts = { ...WITH_SAMPLES, place: 'case', openCaseId: 'K11-bypass', isSampleOpen: true };

function step(stepId: string): (typeof TOUR_STEPS)[number] {
  const found = TOUR_STEPS.find((one) => one.stepId === stepId);
  if (found === undefined) throw new Error(`no step ${stepId}`);
  return found;
}

describe('the steps of learning by doing', () => {
  /** What a person does at each step, in the order of the steps. */
  const deeds: readonly (readonly [string, Partial<TourFacts>])[] = [
    ['samples', { samples: 19, worst: 'K11-bypass' }],
    ['worst', { place: 'case', openCaseId: 'K11-bypass', isSampleOpen: true }],
    ['next', { dropoutId: 'd1' }],
    ['bound', { isBoundRead: true }],
    ['before', { areExposuresShown: true }],
    ['verdict', { reader: 'AB', ownVerdicts: 1 }],
    ['help', { isHelpOpen: true }],
    ['definition', { place: 'definitions', isHelpOpen: false, isTrial: true }],
    ['back', { isTrial: false }],
    ['cautions', { place: 'about' }],
  ];

  test('each is not done before its deed and done after it', () => {
    expect(deeds.map(([stepId]) => stepId)).toEqual(TOUR_STEPS.map(({ stepId }) => stepId));
    let facts = FRESH;
    for (const [stepId, deed] of deeds) {
      const begun = facts;
      expect(step(stepId).isDone(begun, begun), `${stepId} at its beginning`).toBe(false);
      facts = { ...facts, ...deed };
      expect(step(stepId).isDone(facts, begun), `${stepId} after its deed`).toBe(true);
    }
  });

  test('each says what it is for and what to press, short enough for two lines of the narrowest window', () => {
    for (const one of TOUR_STEPS) {
      expect(`${one.title} ${one.text(OPEN)} ${one.press(OPEN)}`.length, one.stepId).toBeLessThanOrEqual(230);
      for (const facts of [FRESH, WITH_SAMPLES, OPEN, { ...FRESH, others: 1 }]) {
        expect(one.text(facts).match(/[.:?](\s|$)/g)?.length ?? 0, one.text(facts)).toBeLessThanOrEqual(5);
        expect(one.press(facts)).toMatch(/^(Press|Open|Choose|Point)/);
      }
    }
  });

  test('another case than the one that lost most does not do', () => {
    const other = { ...OPEN, openCaseId: 'K10-without-loss' };
    expect(step('worst').isDone(other, WITH_SAMPLES)).toBe(false);
    // In a library without samples there is no such case: any does.
    expect(step('worst').isDone({ ...other, worst: null }, FRESH)).toBe(true);
  });

  test('a dropout that was chosen before the step does not do, another one does', () => {
    const begun = { ...OPEN, dropoutId: 'd1' };
    expect(step('next').isDone(begun, begun)).toBe(false);
    expect(step('next').isDone({ ...begun, dropoutId: 'd2' }, begun)).toBe(true);
  });

  test('a library with cases of its own is told what the samples would do to it', () => {
    const own = { ...FRESH, others: 3 };
    expect(step('samples').text(own)).toContain('3 cases that are no sample');
    expect(step('samples').text(own)).toContain('count in figures over all cases until they are removed');
    expect(step('samples').text({ ...FRESH, others: 1 })).toContain('1 case that is no sample');
  });

  test('a verdict on a case that is no sample is asked about first, and nothing else is', () => {
    const own = { ...OPEN, openCaseId: 'my own', isSampleOpen: false };
    expect(TOUR_STEPS.filter((one) => asksFirst(one, own)).map(({ stepId }) => stepId)).toEqual(['verdict']);
    expect(TOUR_STEPS.some((one) => asksFirst(one, OPEN) || asksFirst(one, FRESH))).toBe(false);
  });

  test('a step that this version does not have is the first', () => {
    expect(stepAt('back')).toBe(8);
    expect(stepAt('of another version')).toBe(0);
    expect(stepAt('')).toBe(0);
    expect(new Set(TOUR_STEPS.map(({ stepId }) => stepId)).size).toBe(LAST_STEP);
  });
});
