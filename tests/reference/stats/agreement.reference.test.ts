/*
 * Agreement and lag against golden cases worked out with other software: `tests/reference/golden-stats`.
 */
import { describe, expect } from 'vitest';
import { repeatedAgreement, rootMeanSquare, simpleAgreement, subjectDifferences } from '../../../core/stats/agreement.ts';
import { bootstrapMedian } from '../../../core/stats/bootstrap-median.ts';
import { estimateLag } from '../../../core/stats/cross-correlation.ts';
import { check } from '../analysis/check-values.ts';
import { golden, goldenCases } from './golden-cases.ts';

const AGREEMENT = goldenCases('e-agreement.json');
const LAG = goldenCases('e-lag.json');
const differences = (a: readonly number[], b: readonly number[]): number[] => a.map((v, i) => v - (b[i] ?? NaN));
const series = (list: readonly (number | null)[]): Float64Array => Float64Array.from(list, (v) => v ?? NaN);

golden(AGREEMENT, 'agreement.blandAltman', ({ data, params }) => simpleAgreement(differences(data.a, data.b), params.conf, params.multiplier));
golden(
  AGREEMENT,
  'agreement.blandAltmanRepeated',
  ({ data, params }) => {
    const bySubject = new Map<number, number[]>();
    differences(data.a, data.b).forEach((d, i) => bySubject.set(data.subject[i], [...(bySubject.get(data.subject[i]) ?? []), d]));
    return repeatedAgreement([...bySubject.values()].map(subjectDifferences), params.conf, params.multiplier);
  },
  ['reml'],
);
golden(AGREEMENT, 'agreement.arms', ({ data, params }) => rootMeanSquare(data.test, data.reference, params.min, params.max));
golden(LAG, 'agreement.lag', ({ data, params }) => {
  const estimate = estimateLag(series(data.x), series(data.y), params.maxLag, params.minPairs);
  return { ...estimate, lagSeconds: estimate.lagSamples === null ? null : estimate.lagSamples * params.dt };
});
golden(LAG, 'agreement.lagSummary', ({ data, params }) => bootstrapMedian(data.lagSeconds, { replicates: params.B, seed: params.seed, conf: params.conf }));

describe('root mean square (check values)', () => {
  check('arms-formula', ({ given, expect: wanted, tolerance }) => {
    const d: number[] = given.spo2_minus_sao2;
    expect(Math.abs(rootMeanSquare(d.map((v) => 90 + v), d.map(() => 90), 70, 100).arms! - wanted)).toBeLessThanOrEqual(tolerance!);
  });

  check('arms-decomposition', ({ given, expect: wanted, tolerance }) => {
    const { n, bias, sd, arms } = rootMeanSquare(given.d.map((v: number) => 90 + v), given.d.map(() => 90), 70, 100);
    expect(bias).toBeCloseTo(wanted.bias, 9);
    expect(Math.abs(sd! * Math.sqrt((n - 1) / n) - wanted.sd_n)).toBeLessThanOrEqual(tolerance!);
    expect(Math.abs(arms! - wanted.arms)).toBeLessThanOrEqual(tolerance!);
  });
});
