/*
 * Agreement of readers, from their verdicts, against published worked examples and against golden cases of other software: that the
 * figures are those of the method is held elsewhere (raters.reference.test.ts); here it is that verdicts arrive in the table as said.
 */
import { describe, expect, test } from 'vitest';
import { reviewAgreement } from '../../../core/review/agreement.ts';
import type { AgreementFigureName, AgreementScale, ReadCase, ReviewAgreement } from '../../../core/model/review-agreement.ts';
import { DEFAULT_AGREEMENT_OPTIONS } from '../../../core/model/review-agreement.ts';
import type { Verdict } from '../../../core/model/review.ts';
import { readCase, readDropout } from '../../builders/read-case.ts';
import { goldenCases } from './golden-cases.ts';

const OPTIONS = { ...DEFAULT_AGREEMENT_OPTIONS, replicates: 500 };

/** One dropout per case, so that dropouts are independent: table[i][j] of them. */
function casesOf(table: readonly (readonly number[])[], words: readonly Verdict[]): ReadCase[] {
  const said = table.flatMap((row, i) => row.flatMap((n, j) => Array.from({ length: n }, () => [words[i], words[j]] as const)));
  return said.map(([A, B], at) => readCase(`case ${String(at).padStart(4, '0')}`, [readDropout({ A: A ?? 'no loss', B: B ?? 'no loss' })]));
}

function figure(result: ReviewAgreement, scale: AgreementScale, name: AgreementFigureName) {
  const found = result.pair?.tables.find((table) => table.scale === scale)?.figures.find((one) => one.figure === name);
  if (found === undefined) throw new Error(`no ${name}`);
  return found;
}

describe('published worked examples', () => {
  // Cohen, Educ Psychol Meas 1960;20:37, two judges and 200 patients, 140 alike where 82 are expected by chance: 58/118 = 0.492 (table and value from memory; the sum is done here).
  test('Cohen 1960: agreement 0.70, by chance 0.41, kappa 0.492', () => {
    const result = reviewAgreement(casesOf([[88, 14, 18], [10, 40, 10], [2, 6, 12]], ['low perfusion', 'motion', 'no loss']), OPTIONS);
    const kappa = figure(result, 'kind of verdict', 'kappa');
    expect(result.pair?.tables[0]?.expectedAgreement).toBeCloseTo(0.41, 12);
    expect(figure(result, 'kind of verdict', 'percent agreement').estimate).toBeCloseTo(0.7, 12);
    expect(kappa.estimate).toBeCloseTo(58 / 118, 12);
    expect(kappa.interval).toBe('formula');
  });

  // Feinstein & Cicchetti, J Clin Epidemiol 1990;43:543: agreement 0.85 in both tables, kappa 0.70 and 0.32.
  test.each([[[[40, 9], [6, 45]], 0.7], [[[80, 10], [5, 5]], 0.32]])('Feinstein & Cicchetti 1990: %j has agreement 0.85 and kappa %d', (table, kappa) => {
    const result = reviewAgreement(casesOf(table, ['motion', 'no loss']), OPTIONS);
    expect(figure(result, 'loss or no loss', 'percent agreement').estimate).toBeCloseTo(0.85, 12);
    expect(figure(result, 'loss or no loss', 'kappa').estimate).toBeCloseTo(kappa, 2);
  });

  // Worked by hand after Byrt, Bishop & Carlin 1993 (formulas from memory) for 80/10/5/5: PABAK 2·0.85 − 1; prevalence (80 − 5)/100; bias (10 − 5)/100; positive 160/175; negative 10/25.
  test('the figures beside kappa in the skewed table', () => {
    const result = reviewAgreement(casesOf([[80, 10], [5, 5]], ['interference', 'no loss']), OPTIONS);
    const value = (name: AgreementFigureName) => figure(result, 'loss or no loss', name).estimate;
    expect(value('PABAK')).toBeCloseTo(0.7, 12);
    expect(value('prevalence index')).toBeCloseTo(0.75, 12);
    expect(value('bias index')).toBeCloseTo(0.05, 12);
    expect(value('positive agreement')).toBeCloseTo(160 / 175, 12);
    expect(value('negative agreement')).toBeCloseTo(0.4, 12);
    // Gwet 2008: chance 2·p·(1 − p) with p = (90 + 85)/200.
    const chance = 2 * 0.875 * 0.125;
    expect(value('AC1')).toBeCloseTo((0.85 - chance) / (1 - chance), 12);
  });
});

test('several dropouts of a case stay together: the golden interval of other software (f-kappa-cluster-bootstrap)', () => {
  const golden = goldenCases('f-raters.json').find(({ id }) => id === 'f-kappa-cluster-bootstrap');
  if (golden === undefined) throw new Error('the golden case is gone');
  const { data, params, expect: wanted } = golden as unknown as { data: { rows: readonly (readonly [number, number, number])[] }; params: { B: number; seed: number; conf: number }; expect: { kappa: number; lower: number; upper: number } };
  const word = (category: number): Verdict => (category === 1 ? 'no loss' : 'low perfusion');
  const ids = [...new Set(data.rows.map(([id]) => id))];
  const cases = ids.map((id) => readCase(`case ${String(id).padStart(2, '0')}`, data.rows.filter(([own]) => own === id).map(([, a, b], i) => readDropout({ A: word(a), B: word(b) }, { dropoutId: `finger@${i}` }))));
  const result = reviewAgreement([...cases].reverse(), { readers: ['A', 'B'], replicates: params.B, seed: params.seed, conf: params.conf });
  const kappa = figure(result, 'loss or no loss', 'kappa');
  expect(kappa.estimate).toBeCloseTo(wanted.kappa, 9);
  expect(kappa.lower).toBeCloseTo(wanted.lower, 8);
  expect(kappa.upper).toBeCloseTo(wanted.upper, 8);
  expect(kappa.interval).toBe('cases drawn anew');
});

// Krippendorff, Content Analysis, 3rd ed. 2013, ch. 12: four observers, twelve units, alpha 0.743; the same units, Gwet 2014 p. 120: AC1 0.77544.
test('four readers, some verdicts missing: alpha and AC1 of the handbooks', () => {
  const words: readonly Verdict[] = ['low perfusion', 'motion', 'interference', 'no loss', 'cannot tell'];
  const golden = goldenCases('f-raters.json').find(({ id }) => id === 'f-krippendorff-nominal') as unknown as { data: { units: readonly (readonly (number | null)[])[] } };
  const cases = golden.data.units.map((unit, at) => readCase(`case ${String(at).padStart(2, '0')}`, [readDropout(Object.fromEntries(unit.flatMap((v, reader) => (v === null ? [] : [[`reader ${reader}`, words[v - 1] ?? 'no loss']]))))]));
  const { many } = reviewAgreement(cases, OPTIONS);
  const value = (name: string) => many?.find((one) => one.figure === name && one.scale === 'kind of verdict')?.estimate;
  expect(value('Krippendorff’s alpha')).toBeCloseTo(0.743, 3);
  // Nine categories on the form instead of the example's five: chance is spread thinner. Worked anew from the published shares of agreement and of categories.
  const units = golden.data.units.map((unit) => unit.filter((v) => v !== null)).filter((unit) => unit.length > 0);
  const two = units.filter((unit) => unit.length >= 2);
  const agreement = two.reduce((sum, unit) => sum + unit.flatMap((a, i) => unit.map((b, j) => (i !== j && a === b ? 1 : 0) as number)).reduce((s, v) => s + v, 0) / (unit.length * (unit.length - 1)), 0) / two.length;
  const shares = [1, 2, 3, 4, 5].map((c) => two.reduce((sum, unit) => sum + unit.filter((v) => v === c).length / unit.length, 0) / two.length);
  const chance = shares.reduce((sum, p) => sum + p * (1 - p), 0) / 8;
  expect(value('AC1')).toBeCloseTo((agreement - chance) / (1 - chance), 9);
});
