/*
 * Comparisons of sites, within the same and between different patients, against golden cases worked out with other software:
 * `tests/reference/golden-stats`.
 */
import { friedman } from '../../../core/stats/friedman.ts';
import { hodgesLehmann, hodgesLehmannShift } from '../../../core/stats/hodges-lehmann.ts';
import { holmAdjusted } from '../../../core/stats/holm.ts';
import { labelPermutation } from '../../../core/stats/label-permutation.ts';
import { mannWhitney } from '../../../core/stats/mann-whitney.ts';
import { signFlip } from '../../../core/stats/sign-flip.ts';
import { signTest } from '../../../core/stats/sign-test.ts';
import { signedRank } from '../../../core/stats/signed-rank.ts';
import { golden, goldenCases } from './golden-cases.ts';

const PAIRED = goldenCases('c-paired.json');
const RESAMPLED = goldenCases('c-resampling.json');

golden(PAIRED, 'paired.signedRank', ({ data, params }) => {
  const { estimate, lower, upper, achievedConf } = hodgesLehmann(data.differences, params.conf);
  const test = signedRank(data.differences, { zeros: params.zeroMethod });
  return { ...test, pTwoSided: test.p, hl: estimate, lower, upper, achievedConf };
});
golden(PAIRED, 'paired.signTest', ({ data }) => {
  const { p, ...rest } = signTest(data.differences);
  return { ...rest, pTwoSided: p };
});
golden(PAIRED, 'paired.permutationMean', ({ data }) => {
  const found = signFlip(data.differences, { replicates: 1, seed: 1 });
  // The cases count patterns of all differences; signs of zeros change no sum.
  const ofZeros = 2 ** data.differences.filter((d: number) => d === 0).length;
  return { ...found, signPatterns: found.patterns * ofZeros, asLargeOrLarger: found.asLargeOrLarger * ofZeros };
});
golden(RESAMPLED, 'paired.permutationMean', ({ data, params }) => {
  const resampling = { replicates: params.B, seed: params.seed };
  return { ...signFlip(data.differences, resampling, true), exactPTwoSided: signFlip(data.differences, resampling).pTwoSided };
});
golden(PAIRED, 'unpaired.mannWhitney', ({ data, params }) => {
  const { estimate, lower, upper, achievedConf } = hodgesLehmannShift(data.x, data.y, params.conf);
  const test = mannWhitney(data.x, data.y);
  return { ...test, pTwoSided: test.pExact, shift: estimate, lower, upper, achievedConf };
});
golden(PAIRED, 'paired.friedman', ({ data }) => {
  const { chiSquare, ...rest } = friedman(data.blocks);
  return { ...rest, chisq: chiSquare };
});
golden(PAIRED, 'multiplicity.holm', ({ data }) => ({ adjusted: holmAdjusted(data.p) }));
golden(RESAMPLED, 'sites.labelPermutation', ({ data, params }) => {
  const group = (name: string) =>
    data.cases.filter((one: { site: string }) => one.site === name).map((one: { events: number; hours: number }) => ({ numerator: one.events, denominator: one.hours }));
  return labelPermutation(group(params.groupA), group(params.groupB), { replicates: 1, seed: 1 });
});
