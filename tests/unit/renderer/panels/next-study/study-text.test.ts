import { describe, expect, it } from 'vitest';
import { DEFAULT_NEXT_STUDY, NO_STUDY_REASONS, STUDY_CAUTIONS, type NextStudy } from '../../../../../core/model/next-study.ts';
import { answerTexts, cautionText, effectText, halfWidthText, reasonText } from '../../../../../renderer/panels/next-study/study-text.ts';

const options = { ...DEFAULT_NEXT_STUDY, firstKey: 'finger', secondKey: 'ear lobe' };
const study: NextStudy = {
  options, first: null, second: null, correlation: null, observed: null, reason: null, sizes: [], most: 5000, cautions: [], capped: 0,
  forPower: { n: 44, low: 40, high: 52 }, forHalfWidth: null, formula: { method: 'delta method', n: 52, nIfSpreadUpper: 74, nForHalfWidth: null },
};

describe('the answer of a plan', () => {
  it('is a sentence with the error of the simulation and the formula beside it', () => {
    expect(answerTexts(study)).toEqual([
      'To find a share of time lost at the ear lobe of 0.5 times that at the finger, with a power of 80 %, about 44 patients are needed (the error of the simulation leaves 40 to 52) in a paired study. A formula (delta method) gives 52.',
      'The patients of the library leave their spread open too: at its upper 80 % limit the formula gives 74 patients.',
    ]);
  });

  it('says where no size will do, and what a precision needs', () => {
    const difference: NextStudy = {
      ...study, options: { ...options, design: 'parallel', effect: 'difference', effectSize: -0.02, wantedHalfWidth: 0.015 },
      forPower: { n: null, low: 4900, high: null }, forHalfWidth: { n: 300, low: 300, high: 300 }, formula: null,
    };
    expect(answerTexts(difference)).toEqual([
      'To find a share of time lost at the ear lobe of 2 percentage points less than at the finger, with a power of 80 %, more than 5,000 patients per group would be needed in a parallel study.',
      'For a 95 % interval of ± 1.5 points on average, about 300 patients per group are needed.',
    ]);
    expect(effectText(0.25, { effect: 'difference', outcome: 'dropouts per hour' })).toBe('0.25 per hour more');
    expect(halfWidthText(1.4, { effect: 'ratio', outcome: 'share lost' })).toBe('× or ÷ 1.4');
  });

  it('has words for every reason and caution', () => {
    for (const reason of NO_STUDY_REASONS) expect(reasonText(reason)).toMatch(/\.$/);
    for (const caution of STUDY_CAUTIONS) expect(cautionText(caution)).toMatch(/\.$/);
  });
});
