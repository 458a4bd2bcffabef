import fc from 'fast-check';
import { expect, test } from 'vitest';
import { fleissKappa } from '../../core/stats/raters/fleiss.ts';
import { gwetAC1 } from '../../core/stats/raters/gwet.ts';
import { kappaClusterBootstrap } from '../../core/stats/raters/kappa-cluster-bootstrap.ts';
import { cohenKappa } from '../../core/stats/raters/kappa.ts';
import { krippendorffAlpha } from '../../core/stats/raters/krippendorff.ts';
import { weightedKappa } from '../../core/stats/raters/weighted-kappa.ts';

const tables = fc.integer({ min: 2, max: 4 }).chain((k) => fc.array(fc.array(fc.integer({ min: 0, max: 30 }), { minLength: k, maxLength: k }), { minLength: k, maxLength: k }));
const turned = (table: readonly (readonly number[])[]): number[][] => table.map((_, i) => table.map((row) => row[i] ?? NaN));
const near = (a: number | null, b: number | null): void => {
  if (a === null || b === null) expect(a).toBe(b);
  else expect(a).toBeCloseTo(b, 9);
};

test('kappa and AC1 are the same when the reviewers change places, and at most 1', () => {
  fc.assert(fc.property(tables, (table) => {
    const one = cohenKappa(table, 0.95);
    const two = cohenKappa(turned(table), 0.95);
    for (const field of ['percentAgreement', 'kappa', 'se', 'seNull', 'pabak', 'kappaMax', 'ac1', 'ac1Se', 'positiveAgreement', 'negativeAgreement', 'prevalenceIndex'] as const) near(one[field], two[field]);
    if (one.biasIndex !== null) expect(one.biasIndex).toBeCloseTo(-(two.biasIndex ?? NaN), 12);
    for (const v of [one.kappa, one.ac1, one.pabak, one.percentAgreement]) if (v !== null) expect(v).toBeLessThanOrEqual(1 + 1e-12);
    if (one.kappa !== null) expect(one.kappa).toBeLessThanOrEqual((one.kappaMax ?? NaN) + 1e-9);
    for (const weights of ['linear', 'quadratic'] as const) near(weightedKappa(table, weights, 0.95).kappa, weightedKappa(turned(table), weights, 0.95).kappa);
  }));
});

test('weights of 0 and 1 give the unweighted kappa and its standard error, whatever their scale', () => {
  fc.assert(fc.property(tables, fc.integer({ min: 1, max: 9 }), (table, scale) => {
    const weights = table.map((row, i) => row.map((_, j) => (i === j ? 0 : scale)));
    const weighted = weightedKappa(table, weights, 0.95);
    const plain = cohenKappa(table, 0.95);
    near(weighted.kappa, plain.kappa);
    near(weighted.se, plain.se);
  }));
});

const unit = fc.array(fc.option(fc.integer({ min: 1, max: 4 }), { nil: null, freq: 4 }), { minLength: 3, maxLength: 3 });

test('alpha, AC1 and Fleiss’ kappa do not know who said what, nor in which order units come', () => {
  fc.assert(fc.property(fc.array(unit, { minLength: 2, maxLength: 15 }), (units) => {
    const mixed = [...units].reverse().map((u) => [...u].reverse());
    for (const metric of ['nominal', 'ordinal', 'interval', 'ratio'] as const) {
      const { alpha } = krippendorffAlpha(units, metric);
      near(alpha, krippendorffAlpha(mixed, metric).alpha);
      if (alpha !== null) expect(alpha).toBeLessThanOrEqual(1);
    }
    near(gwetAC1(units, [1, 2, 3, 4], 0.95).ac1, gwetAC1(mixed, [1, 2, 3, 4], 0.95).ac1);
    near(gwetAC1(units, [1, 2, 3, 4], 0.95).se, gwetAC1(mixed, [1, 2, 3, 4], 0.95).se);
  }));
});

test('AC1 of raw judgements is AC1 of their table', () => {
  fc.assert(fc.property(tables, (table) => {
    const units = table.flatMap((row, i) => row.flatMap((v, j) => Array.from({ length: v }, () => [i, j])));
    near(gwetAC1(units, table.map((_, i) => i), 0.95).ac1, cohenKappa(table, 0.95).ac1);
  }), { numRuns: 30 });
});

test('two reviewers with equal margins: Fleiss’ kappa is Cohen’s', () => {
  fc.assert(fc.property(fc.integer({ min: 0, max: 30 }), fc.integer({ min: 1, max: 30 }), fc.integer({ min: 0, max: 30 }), (a, b, d) => {
    const counts = [...Array<number[]>(a).fill([2, 0]), ...Array<number[]>(2 * b).fill([1, 1]), ...Array<number[]>(d).fill([0, 2])];
    near(fleissKappa(counts).kappa, cohenKappa([[a, b], [b, d]], 0.95).kappa);
  }), { numRuns: 30 });
});

test('the interval with whole cases drawn anew is the same for the same seed, and ordered', () => {
  const judged = fc.array(fc.array(fc.tuple(fc.integer({ min: 0, max: 1 }), fc.integer({ min: 0, max: 1 })), { minLength: 1, maxLength: 4 }), { minLength: 1, maxLength: 12 });
  fc.assert(fc.property(judged, fc.integer({ min: 1, max: 1000 }), (cases, seed) => {
    const one = kappaClusterBootstrap(cases, 2, 200, seed, 0.95);
    expect(kappaClusterBootstrap(cases, 2, 200, seed, 0.95)).toEqual(one);
    if (one.lower !== null && one.upper !== null) expect(one.lower).toBeLessThanOrEqual(one.upper);
    expect(one.lower === null).toBe(one.reason !== null);
  }), { numRuns: 20 });
});
