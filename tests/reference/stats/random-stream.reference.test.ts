/*
 * The random stream and what is drawn from it against golden cases worked out with other software: `tests/reference/golden-stats`.
 */
import { drawnStatistics, ratioOf } from '../../../core/stats/case-draws.ts';
import { clusterBootstrap } from '../../../core/stats/cluster-bootstrap.ts';
import { mersenneTwister } from '../../../core/stats/mersenne-twister.ts';
import { golden, goldenCases } from './golden-cases.ts';

const RNG = goldenCases('rng.json');
const times = <T>(n: number, make: () => T): T[] => Array.from({ length: n }, make);

golden(RNG, 'mt19937.u32', ({ params }) => {
  const drawn = times(params.count, mersenneTwister(params.seed).u32);
  return { first10: drawn.slice(0, 10), thousandth: drawn[999], tenThousandth: drawn[9999] };
});
golden(RNG, 'mt19937.bootstrapIndices', ({ params }) => {
  const { index } = mersenneTwister(params.seed);
  return { indices: times(params.replicates, () => times(params.n, () => index(params.n))) };
});
golden(RNG, 'mt19937.signs', ({ params }) => ({ signs: times(params.n, mersenneTwister(params.seed).sign) }));
golden(RNG, 'mt19937.shuffle', ({ params }) => {
  const order = Uint32Array.from({ length: params.n }, (_, i) => i);
  mersenneTwister(params.seed).shuffle(order);
  return { order };
});

golden(goldenCases('a-burden.json'), 'bootstrap.ratioOfTotals', ({ data, params }) => {
  const columns = [data.numerator, data.denominator];
  const resampling = { replicates: params.B, seed: params.seed };
  const [interval] = clusterBootstrap(columns, [ratioOf(0, 1)], { ...resampling, conf: params.conf });
  const [drawn] = drawnStatistics(columns, [ratioOf(0, 1)], resampling);
  return { ...interval, first5replicates: drawn!.slice(0, 5), meanOfReplicates: drawn!.reduce((sum, v) => sum + v / drawn!.length, 0) };
});
golden(goldenCases('c-resampling.json'), 'sites.clusterBootstrap', ({ data, params }) => {
  const column = (site: string, part: number): number[] => data.cases.map((one: Record<string, number[] | null>) => one[site]?.[part] ?? 0);
  const [finger, ear] = [ratioOf(0, 1), ratioOf(2, 3)];
  const columns = [column('finger', 0), column('finger', 1), column('ear', 0), column('ear', 1)];
  const results = clusterBootstrap(columns, [finger, ear, (t) => finger(t) - ear(t), (t) => finger(t) / ear(t)], { replicates: params.B, seed: params.seed, conf: params.conf });
  const [ofFinger, ofEar, difference, ratio] = results;
  return {
    shareFinger: ofFinger!.estimate,
    shareEar: ofEar!.estimate,
    difference: difference!.estimate,
    differencePercentile: difference!.percentile,
    discardedDifference: difference!.dropped,
    ratio: ratio!.estimate,
    ratioPercentile: ratio!.percentile,
    discardedRatio: ratio!.dropped,
  };
});
