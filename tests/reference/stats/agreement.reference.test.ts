/*
 * Agreement, lag and the random stream against golden cases worked out with other software: `tests/fixtures/stats-reference`.
 */
import { describe, expect } from 'vitest';
import { repeatedAgreement, rootMeanSquare, simpleAgreement, subjectDifferences } from '../../../core/stats/agreement.ts';
import { bootstrapMedian, bootstrapRatio } from '../../../core/stats/bootstrap.ts';
import { estimateLag } from '../../../core/stats/cross-correlation.ts';
import { mersenneTwister } from '../../../core/stats/mersenne-twister.ts';
import { check } from '../analysis/check-values.ts';
import { golden, goldenCases } from './golden-cases.ts';

const AGREEMENT = goldenCases('e-agreement.json');
const LAG = goldenCases('e-lag.json');
const RNG = goldenCases('rng.json');
const BOOTSTRAP = goldenCases('a-bootstrap.json');
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
golden(LAG, 'agreement.lagSummary', ({ data, params }) => bootstrapMedian(data.lagSeconds, params.B, params.seed, params.conf));
golden(
  BOOTSTRAP,
  'bootstrap.ratioOfTotals',
  ({ data, params }) => {
    const { estimate, lower, upper } = bootstrapRatio(data.numerator, data.denominator, params.B, params.seed, params.conf);
    return { estimate, percentile: lower === null ? null : [lower, upper] };
  },
  ['standardError', 'bca', 'z0', 'acceleration', 'first5replicates', 'meanOfReplicates'],
);
golden(RNG, 'mt19937.u32', ({ params }) => {
  const { u32 } = mersenneTwister(params.seed);
  const drawn = Array.from({ length: params.count }, u32);
  return { first10: drawn.slice(0, 10), thousandth: drawn[999], tenThousandth: drawn[9999] };
});
golden(RNG, 'mt19937.bootstrapIndices', ({ params }) => {
  const { index } = mersenneTwister(params.seed);
  return { indices: Array.from({ length: params.replicates }, () => Array.from({ length: params.n }, () => index(params.n))) };
});

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
