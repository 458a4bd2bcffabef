import { expect, test } from 'vitest';
import { isSampleCase, SAMPLE_CASE_IDS } from '../../../../core/model/sample-cases.ts';
import expected from '../../../../sample-cases/expected.json' with { type: 'json' };

test('the names of the sample cases are those of the samples that come with the program', () => {
  expect([...SAMPLE_CASE_IDS].sort()).toEqual(Object.keys(expected.cases).sort());
  expect(isSampleCase('K11-bypass')).toBe(true);
  expect(isSampleCase('K11')).toBe(false);
});
