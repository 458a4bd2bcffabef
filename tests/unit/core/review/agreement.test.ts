import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { reviewAgreement } from '../../../../core/review/agreement.ts';
import { reviewAgreementSchema } from '../../../../core/model/review-agreement-schema.ts';
import type { AgreementFigureName, AgreementScale, ReadCase, ReviewAgreement } from '../../../../core/model/review-agreement.ts';
import { DEFAULT_AGREEMENT_OPTIONS } from '../../../../core/model/review-agreement.ts';
import { VERDICTS, type Verdict } from '../../../../core/model/review.ts';
import { movedBounds, readCase, readDropout } from '../../../builders/read-case.ts';

const OPTIONS = { ...DEFAULT_AGREEMENT_OPTIONS, replicates: 300 };
const figure = (result: ReviewAgreement, scale: AgreementScale, name: AgreementFigureName) => result.pair?.tables.find((table) => table.scale === scale)?.figures.find((one) => one.figure === name);

test('without two readers there is no pair, and the readers are counted', () => {
  const result = reviewAgreement([readCase('a', [readDropout({ A: 'motion' })])], OPTIONS);
  expect(result.pair).toBeNull();
  expect(result.many).toBeNull();
  expect(result.readers).toEqual([{ by: 'A', blind: 1, unblinded: 0 }]);
});

test('by default the two readers with most dropouts in common are compared', () => {
  const result = reviewAgreement([readCase('a', [readDropout({ A: 'motion', B: 'motion' }), readDropout({ A: 'motion', C: 'motion' }), readDropout({ A: 'no loss', C: 'motion' })])], OPTIONS);
  expect([result.pair?.first, result.pair?.second, result.pair?.common]).toEqual(['A', 'C', 2]);
  expect(reviewAgreement([readCase('a', [readDropout({ A: 'motion', B: 'motion' })])], { ...OPTIONS, readers: ['B', 'A'] }).pair?.first).toBe('B');
});

test('a reading after the reveal is counted and is in no table', () => {
  const result = reviewAgreement([readCase('a', [readDropout({ A: 'motion', B: 'motion' }), readDropout({ A: 'motion' }, { unblinded: ['B'] })])], OPTIONS);
  expect(result.pair).toMatchObject({ common: 1, unblinded: 1 });
  expect(result.readers).toEqual([{ by: 'A', blind: 2, unblinded: 0 }, { by: 'B', blind: 1, unblinded: 1 }]);
});

test('“cannot tell” is a category of its own where three are compared, and left out where two are', () => {
  const result = reviewAgreement([readCase('a', [readDropout({ A: 'cannot tell', B: 'cannot tell' }), readDropout({ A: 'motion', B: 'low perfusion' }), readDropout({ A: 'no loss', B: 'cannot tell' })])], OPTIONS);
  const table = (scale: AgreementScale) => result.pair?.tables.find((one) => one.scale === scale);
  expect(table('loss, no loss or cannot tell')?.counts).toEqual([[1, 0, 0], [0, 0, 1], [0, 0, 1]]);
  expect(table('loss or no loss')).toMatchObject({ counts: [[1, 0], [0, 0]], dropouts: 1 });
  expect(figure(result, 'kind of verdict', 'percent agreement')?.estimate).toBeCloseTo(1 / 3, 12);
});

test('one category only: kappa is null with its reason, never 0, and the agreement stands', () => {
  const result = reviewAgreement(['a', 'b', 'c'].map((id) => readCase(id, [readDropout({ A: 'motion', B: 'motion' })])), OPTIONS);
  expect(figure(result, 'kind of verdict', 'kappa')).toMatchObject({ estimate: null, lower: null, upper: null, reason: 'one-category' });
  expect(figure(result, 'kind of verdict', 'percent agreement')).toMatchObject({ estimate: 1, upper: 1, interval: 'formula' });
});

test('all dropouts in one case: figures without limits, and why', () => {
  const result = reviewAgreement([readCase('a', [readDropout({ A: 'motion', B: 'motion' }), readDropout({ A: 'no loss', B: 'motion' })])], OPTIONS);
  expect(result.pair?.isClustered).toBe(true);
  expect(figure(result, 'kind of verdict', 'percent agreement')).toMatchObject({ estimate: 0.5, lower: null, interval: null, reason: 'one-case' });
});

describe('bounds', () => {
  const loss = (correctedBounds: ReturnType<typeof movedBounds> | null) => ({ verdict: 'motion' as const, correctedBounds });

  // Second minus first: onsets −2, 0, 4 s (median 0, mean 2/3); SD of {−2, 0, 4} is √(28/3) s.
  test('differences are second minus first, the computed bounds counting where a reader let them stand', () => {
    const result = reviewAgreement([
      readCase('a', [readDropout({ A: loss(movedBounds(2, 0)), B: loss(null) })]),
      readCase('b', [readDropout({ A: loss(null), B: loss(movedBounds(0, 6)) })]),
      readCase('c', [readDropout({ A: loss(movedBounds(1, 0)), B: loss(movedBounds(5, 0)) })]),
      readCase('d', [readDropout({ A: loss(null), B: loss(null) })]),
      readCase('e', [readDropout({ A: loss(movedBounds(9, 9)), B: 'no loss' })]),
    ], OPTIONS);
    const { bounds } = result.pair ?? {};
    expect(bounds).toMatchObject({ corrected: 3, correctedByBoth: 1, leftStanding: 1 });
    const onset = bounds?.differences.find(({ bound }) => bound === 'onset');
    expect(onset).toMatchObject({ dropouts: 3, cases: 3, medianMs: 0 });
    expect(onset?.biasMs).toBeCloseTo(2000 / 3, 9);
    const sd = Math.sqrt(28 / 3) * 1000;
    expect(onset?.upperMs).toBeCloseTo(2000 / 3 + 1.96 * sd, 6);
    expect(bounds?.differences.find(({ bound }) => bound === 'length')).toMatchObject({ medianMs: 2000 });
  });

  test('a loss that never ended has an onset and no end', () => {
    const open = { lastLostMs: null, firstGoodMs: null };
    const result = reviewAgreement([readCase('a', [readDropout({ A: loss({ ...movedBounds(2, 0), ...open }), B: loss(null) }, open)])], OPTIONS);
    expect(result.pair?.bounds.differences.map(({ dropouts }) => dropouts)).toEqual([1, 0, 0]);
  });
});

const verdict = fc.constantFrom(...(Object.keys(VERDICTS) as Verdict[])); // the keys of a constant
const cases: fc.Arbitrary<ReadCase[]> = fc.array(fc.array(fc.record({ A: verdict, B: verdict, C: verdict }, { requiredKeys: ['A'] }), { maxLength: 4 }), { maxLength: 8 })
  .map((list) => list.map((own, at) => readCase(`case ${at}`, own.map((said, i) => readDropout(said, { dropoutId: `finger@${i}` })))));

test('no order of cases changes anything, what comes out fits its schema, and every limit holds its estimate', () => {
  fc.assert(fc.property(cases, (list) => {
    const one = reviewAgreement(list, { ...OPTIONS, replicates: 100 });
    expect(reviewAgreement([...list].reverse(), { ...OPTIONS, replicates: 100 })).toEqual(one);
    expect(reviewAgreementSchema.parse(JSON.parse(JSON.stringify(one)))).toEqual(one);
    for (const { dropouts, counts, figures } of one.pair?.tables ?? []) {
      expect(counts.flat().reduce((sum, v) => sum + v, 0)).toBe(dropouts);
      for (const { estimate, reason } of figures) expect(estimate === null ? reason : 'there').not.toBeNull();
    }
  }), { numRuns: 60 });
});

test('drawn figures of many readers are those of the method for every draw: alpha over all cases is its estimate', () => {
  // Two cases of the same content, drawn anew in any mixture, hold the same verdicts: every draw gives the estimate itself.
  const dropouts = [readDropout({ A: 'motion', B: 'motion', C: 'no loss' }), readDropout({ A: 'no loss', B: 'no loss', C: 'no loss' }), readDropout({ A: 'cannot tell', B: 'motion', C: 'cannot tell' })];
  const result = reviewAgreement([readCase('a', dropouts), readCase('b', dropouts)], OPTIONS);
  for (const one of result.many ?? []) {
    expect(one.estimate).not.toBeNull();
    expect(one).toMatchObject({ lower: null, upper: null, reason: 'replicates-alike' });
  }
  expect(result.many).toHaveLength(6);
  const others = ['c', 'd', 'e', 'f', 'g', 'h'].map((id, i) => readCase(id, i % 2 === 0 ? dropouts : [readDropout({ A: 'motion', B: 'no loss', C: 'no loss' }), ...dropouts]));
  for (const { estimate, lower, upper } of reviewAgreement([...others], OPTIONS).many ?? []) {
    expect(lower).toBeLessThan(estimate ?? NaN);
    expect(upper).toBeGreaterThan(estimate ?? NaN);
  }
});
