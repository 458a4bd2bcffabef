import { describe, expect, it } from 'vitest';
import { RankSums, SignedRanks } from '../../../../core/stats/drawn-ranks.ts';
import { mannWhitney } from '../../../../core/stats/mann-whitney.ts';
import { mersenneTwister } from '../../../../core/stats/mersenne-twister.ts';
import { normalTwoSided } from '../../../../core/stats/normal.ts';
import { signedRank } from '../../../../core/stats/signed-rank.ts';

/** Few different values, so that ties and zeros are many. */
const FIRST = Float64Array.from([0, 0, 0, 0.1, 0.1, 0.3, 0.1 + 0.2, 0.7, -0.1, -0.3]);
const SECOND = Float64Array.from([0, 0.1, 0.2, 0.2, 0.5, 0.7]);

/*
 * Outside check: the tests of whole samples, which are held to the golden cases of their own (tests/reference/stats): here the same
 * figures have to come out of counting.
 */
describe('ranks of drawn samples', () => {
  const { index } = mersenneTwister(11);
  const drawn = (n: number, of: Float64Array) => Int32Array.from({ length: n }, () => index(of.length));

  it('are those of the signed-rank test, zeros after Pratt', () => {
    const ranks = new SignedRanks(FIRST);
    for (let r = 0; r < 50; r += 1) {
      const sample = drawn(3 + (r % 30), FIRST);
      const { z } = signedRank([...sample].map((unit) => FIRST[unit]!), { zeros: 'pratt' });
      expect(ranks.z(sample)).toBeCloseTo(z ?? 0, 9);
    }
    expect(ranks.z(Int32Array.from([0, 1, 2]))).toBe(0);
  });

  it('are those of the rank-sum test, ties corrected', () => {
    const ranks = new RankSums(FIRST, SECOND);
    for (let r = 0; r < 50; r += 1) {
      const [a, b] = [drawn(4 + (r % 20), FIRST), drawn(3 + (r % 25), SECOND)];
      const { pAsymptotic } = mannWhitney([...a].map((unit) => FIRST[unit]!), [...b].map((unit) => SECOND[unit]!));
      expect(normalTwoSided(ranks.z(a, b))).toBeCloseTo(pAsymptotic ?? 1, 9);
    }
    expect(ranks.z(Int32Array.from([0, 1]), Int32Array.from([0]))).toBe(0);
  });
});
