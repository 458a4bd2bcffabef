/*
 * Agreement of reviewers against golden cases worked out with other software, and against the check values of the handbook.
 */
import { describe, expect } from 'vitest';
import { fleissKappa } from '../../../core/stats/raters/fleiss.ts';
import { gwetAC1 } from '../../../core/stats/raters/gwet.ts';
import { kappaClusterBootstrap } from '../../../core/stats/raters/kappa-cluster-bootstrap.ts';
import { cohenKappa } from '../../../core/stats/raters/kappa.ts';
import { krippendorffAlpha } from '../../../core/stats/raters/krippendorff.ts';
import { weightedKappa } from '../../../core/stats/raters/weighted-kappa.ts';
import { check } from '../analysis/check-values.ts';
import { golden, goldenCases } from './golden-cases.ts';

const CASES = goldenCases('f-raters.json');

golden(CASES, 'raters.cohenKappa', ({ data, params }) => cohenKappa(data.table, params.conf));
golden(CASES, 'raters.weightedKappa', ({ data, params }) => weightedKappa(data.table, params.weights, params.conf));
golden(CASES, 'raters.fleissKappa', ({ data }) => fleissKappa(data.counts));
golden(CASES, 'raters.krippendorffAlpha', ({ data, params }) => krippendorffAlpha(data.units, params.metric));
golden(CASES, 'raters.gwetAC1', ({ data, params }) => gwetAC1(data.units, data.categories, params.conf));
golden(CASES, 'raters.kappaClusterBootstrap', ({ data, params }) => {
  const byCase = new Map<number, [number, number][]>();
  for (const [id, a, b] of data.rows) byCase.set(id, [...(byCase.get(id) ?? []), [a, b]]);
  return kappaClusterBootstrap([...byCase.values()], 2, params.B, params.seed, params.conf);
});

describe('kappa (check values)', () => {
  check('kappa-2x2', ({ given, expect: wanted, tolerance }) => expect(Math.abs((cohenKappa(given.table, 0.95).kappa ?? NaN) - wanted)).toBeLessThanOrEqual(tolerance!));
});
