import { expect, test } from 'vitest';
import { clusterOf, clusterSums, inCaseOrder, inCodePointOrder } from '../../../../core/cohort/clusters.ts';

test('cases of one patient are one unit, a case without a stated patient stands for itself', () => {
  const of = (caseId: string, patientKey: string | null) => clusterOf({ caseId, caseKey: `key ${caseId}`, patientKey });
  expect(of('a', 'p1')).toBe(of('b', 'p1'));
  expect(of('a', null)).not.toBe(of('b', null));
  // A patient who is called like a case is not that case.
  expect(of('a', 'a')).not.toBe(of('a', null));
});

test('sums are per unit, in the order in which units first come', () => {
  const part = (cluster: string, numerator: number, denominator: number) => ({ cluster, numerator, denominator });
  expect(clusterSums([part('b', 1, 10), part('a', 2, 20), part('b', 4, 40)])).toEqual({ numerators: [5, 2], denominators: [50, 20] });
});

test('the order is that of code points, also beyond the first plane and whatever the locale', () => {
  // U+FF41 comes before U+1D41A by code point and after it by UTF-16 code unit. Source: The Unicode Standard, chapter 2.5.
  expect(['\u{1D41A}', '\uFF41', 'Z', 'a', 'ä'].sort(inCodePointOrder)).toEqual(['Z', 'a', 'ä', '\uFF41', '\u{1D41A}']);
  expect(['ab', 'a', ''].sort(inCodePointOrder)).toEqual(['', 'a', 'ab']);
  expect(inCaseOrder({ caseId: 'x', caseKey: '1' }, { caseId: 'x', caseKey: '2' })).toBeLessThan(0);
});
