import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { friedman } from '../../core/stats/friedman.ts';
import { hodgesLehmann, hodgesLehmannShift } from '../../core/stats/hodges-lehmann.ts';
import { holmAdjusted } from '../../core/stats/holm.ts';
import { labelPermutation } from '../../core/stats/label-permutation.ts';
import { mannWhitney } from '../../core/stats/mann-whitney.ts';
import { median } from '../../core/stats/quantile.ts';
import { orderLimits, rankSumLaw, signedRankLaw } from '../../core/stats/rank-laws.ts';
import { kthSum } from '../../core/stats/select-sum.ts';
import { signFlip } from '../../core/stats/sign-flip.ts';
import { signTest } from '../../core/stats/sign-test.ts';
import { signedRank } from '../../core/stats/signed-rank.ts';
import { seededRandom } from '../simulator/random.ts';

const NO_DRAWS = { replicates: 99, seed: 1 };
/** Small whole numbers: ties and zeros come often. */
const small = fc.integer({ min: -4, max: 4 });
const few = fc.array(small, { minLength: 1, maxLength: 9 });
const close = (got: number | null, wanted: number): void => expect(Math.abs((got ?? NaN) - wanted)).toBeLessThanOrEqual(1e-10);

/** Ranks of the numbers by their definition: how many are smaller, and half of those that are equal. */
const ranksOf = (values: readonly number[]): number[] => values.map((v) => values.filter((w) => w < v).length + (values.filter((w) => w === v).length + 1) / 2);
/** Every pattern of signs over n places, as a list of lists. */
const patterns = (n: number): number[][] => Array.from({ length: 2 ** n }, (_, code) => Array.from({ length: n }, (_unused, i) => ((code >> i) & 1 ? 1 : -1)));

describe('paired differences', () => {
  test('the signed-rank p is that of all patterns of signs, zeros ranked or left out', () => {
    fc.assert(fc.property(few, fc.constantFrom('pratt' as const, 'wilcox' as const), (d, zeros) => {
      const kept = zeros === 'pratt' ? d : d.filter((v) => v !== 0);
      const ranks = ranksOf(kept.map(Math.abs)).filter((_, i) => kept[i] !== 0);
      const moved = kept.filter((v) => v !== 0);
      const found = signedRank(d, { zeros });
      if (moved.length === 0) {
        expect(found).toMatchObject({ p: 1, vPlus: 0, reason: 'no difference' });
        return;
      }
      const plus = (signs: readonly number[]): number => signs.reduce((sum, s, i) => sum + (s > 0 ? (ranks[i] ?? NaN) : 0), 0);
      const observed = plus(moved);
      const sums = patterns(moved.length).map(plus);
      const upper = sums.filter((s) => s >= observed).length / sums.length;
      const lower = sums.filter((s) => s <= observed).length / sums.length;
      expect(found.vPlus).toBe(observed);
      close(found.pGreater, upper);
      close(found.p, Math.min(1, 2 * Math.min(upper, lower)));
    }), { numRuns: 80 });
  });

  test('a common scale changes no test, the other direction mirrors it, and the order of patients is nothing to it', () => {
    fc.assert(fc.property(fc.array(fc.integer({ min: -900, max: 900 }), { minLength: 1, maxLength: 40 }), (d) => {
      for (const zeros of ['pratt', 'wilcox'] as const) {
        const plain = signedRank(d, { zeros });
        expect(signedRank(d.map((v) => v / 1000), { zeros })).toEqual(plain);
        expect(signedRank([...d].reverse(), { zeros })).toEqual(plain);
        const mirrored = signedRank(d.map((v) => -v), { zeros });
        expect([mirrored.vPlus, mirrored.vMinus]).toEqual([plain.vMinus, plain.vPlus]);
        close(mirrored.p, plain.p ?? NaN);
      }
      // Far from 0, where 'no difference' cannot be.
      const middle = hodgesLehmann(d.map((v) => v + 2000), 0.95);
      const moved = hodgesLehmann(d.map((v) => v + 3000), 0.95);
      const plus = (v: number | null): number | null => (v === null ? null : v + 1000);
      expect([moved.estimate, moved.lower, moved.upper]).toEqual([plus(middle.estimate), plus(middle.lower), plus(middle.upper)]);
      expect(signTest(d).medianDifference).toBe((median(d) ?? NaN) + 0);
    }), { numRuns: 60 });
  });

  test('rounding ties what is equal but for the last digits', () => {
    expect(signedRank([0.1 + 0.2, -0.3, 0.7], { zeros: 'pratt' })).toEqual(signedRank([0.3, -0.3, 0.7], { zeros: 'pratt' }));
  });

  test('the sign-flip p is that of all patterns of signs', () => {
    fc.assert(fc.property(few, (d) => {
      const sum = d.reduce((total, v) => total + v, 0);
      const sums = patterns(d.length).map((signs) => signs.reduce((total, s, i) => total + s * (d[i] ?? NaN), 0));
      const found = signFlip(d, NO_DRAWS);
      close(found.pGreater, sums.filter((s) => s >= sum).length / sums.length);
      close(found.pTwoSided, sums.filter((s) => Math.abs(s) >= Math.abs(sum)).length / sums.length);
    }), { numRuns: 60 });
  });

  test('what is missing is left out, and nothing to compare is null with a reason', () => {
    expect(signedRank([NaN, 1, 2], { zeros: 'pratt' })).toEqual(signedRank([1, 2], { zeros: 'pratt' }));
    expect(signedRank([NaN], { zeros: 'pratt' })).toMatchObject({ n: 0, p: null, reason: 'no pair' });
    expect(signTest([])).toMatchObject({ p: null, reason: 'no pair' });
    expect(signFlip([], NO_DRAWS)).toMatchObject({ pTwoSided: null, reason: 'no pair' });
    expect(hodgesLehmann([], 0.95)).toMatchObject({ estimate: null, reason: 'no value' });
    expect(hodgesLehmann([0, 0, 0, 0, 0, 0, 0], 0.95)).toMatchObject({ estimate: 0, lower: null, reason: 'no difference' });
    expect(hodgesLehmannShift([], [1], 0.95)).toMatchObject({ estimate: null, reason: 'no value' });
    expect(mannWhitney([], [1])).toMatchObject({ p: null, reason: 'empty group' });
    expect(mannWhitney([1, 1], [1])).toMatchObject({ p: 1, superiority: 0.5, reason: 'all values equal' });
    expect(friedman([])).toMatchObject({ p: null, reason: 'no complete block' });
    expect(friedman([[1, NaN], [1, 2]])).toMatchObject({ n: 1, k: 2, df: 1 });
    expect(friedman([[1], [2]])).toMatchObject({ p: null, reason: 'fewer than two sites' });
    expect(friedman([[1, 1], [2, 2]])).toMatchObject({ p: null, reason: 'all values equal' });
    expect(labelPermutation([{ numerator: 1, denominator: 0 }], [{ numerator: 1, denominator: 1 }], NO_DRAWS)).toMatchObject({ difference: null, reason: 'empty group' });
  });
});

describe('order statistics of sums, without making the sums', () => {
  const values = fc.array(fc.oneof(small, fc.double({ min: -5, max: 5, noNaN: true })), { minLength: 1, maxLength: 40 });

  test('are those of the sums in order', () => {
    fc.assert(fc.property(values, values, fc.boolean(), (x, y, isTriangle) => {
      const a = Float64Array.from(x).sort();
      const b = isTriangle ? a : Float64Array.from(y).sort();
      const sums = Float64Array.from([...a].flatMap((v, i) => [...b].slice(isTriangle ? i : 0).map((w) => v + w))).sort();
      for (let k = 1; k <= sums.length; k += Math.ceil(sums.length / 23)) expect(kthSum(a, b, k, isTriangle)).toBe(sums[k - 1]);
    }), { numRuns: 60 });
  });

  test('of ten thousand values are found where their count says: 50 million averages, none kept', () => {
    const random = seededRandom(4);
    const d = Array.from({ length: 10_000 }, () => (random.chance(0.3) ? 0 : random.int(-400, 600)));
    const { estimate, lower, upper, rank } = hodgesLehmann(d, 0.95);
    const sorted = [...d].sort((a, b) => a - b);
    /** How many averages are at most, or below, a value: for each first number, by where the second must end. */
    const count = (limit: number, isStrict: boolean): number => {
      let pairs = 0;
      let end = sorted.length;
      sorted.forEach((v, i) => {
        while (end > 0 && (isStrict ? v + (sorted[end - 1] ?? NaN) >= 2 * limit : v + (sorted[end - 1] ?? NaN) > 2 * limit)) end--;
        pairs += Math.max(0, end - i);
      });
      return pairs;
    };
    const all = (10_000 * 10_001) / 2;
    const holds = (value: number | null, k: number): void => {
      expect(count(value ?? NaN, true)).toBeLessThan(k);
      expect(count(value ?? NaN, false)).toBeGreaterThanOrEqual(k);
    };
    holds(estimate, all / 2);
    holds(lower, rank ?? NaN);
    holds(upper, all + 1 - (rank ?? NaN));
  });
});

describe('two groups of patients', () => {
  test('the rank-sum p is that of all ways to deal the values out', () => {
    fc.assert(fc.property(fc.array(small, { minLength: 2, maxLength: 10 }), fc.nat(), (all, cut) => {
      const m = 1 + (cut % (all.length - 1));
      const found = mannWhitney(all.slice(0, m), all.slice(m));
      const ranks = ranksOf(all);
      const sumOf = (code: number): number => ranks.reduce((sum, rank, i) => sum + ((code >> i) & 1 ? rank : 0), 0);
      const deals = Array.from({ length: 2 ** all.length }, (_, code) => code).filter((code) => [...code.toString(2)].filter((bit) => bit === '1').length === m).map(sumOf);
      const observed = sumOf(2 ** m - 1);
      const middle = (m * (all.length + 1)) / 2;
      const wanted = deals.filter((sum) => Math.abs(sum - middle) >= Math.abs(observed - middle) - 1e-9).length / deals.length;
      close(found.p, wanted);
      const pairs = all.slice(0, m).flatMap((x) => all.slice(m).map((y) => (x > y ? 1 : x === y ? 0.5 : 0)));
      close(found.u, pairs.reduce<number>((sum, v) => sum + v, 0));
      close(mannWhitney(all.slice(m), all.slice(0, m)).p, found.p ?? NaN);
    }), { numRuns: 60 });
  });

  test('a shift between groups moves the estimate and its limits by as much', () => {
    fc.assert(fc.property(fc.array(small, { minLength: 4, maxLength: 20 }), fc.array(small, { minLength: 4, maxLength: 20 }), fc.integer({ min: -50, max: 50 }), (x, y, by) => {
      const plain = hodgesLehmannShift(x, y, 0.9);
      const moved = hodgesLehmannShift(x.map((v) => v + by), y, 0.9);
      const plus = (v: number | null): number | null => (v === null ? null : v + by);
      expect([moved.estimate, moved.lower, moved.upper, moved.rank]).toEqual([plus(plain.estimate), plus(plain.lower), plus(plain.upper), plain.rank]);
    }), { numRuns: 40 });
  });

  test('permuted labels: the groups mirror each other, and drawing comes near to counting', () => {
    const group = fc.array(fc.record({ numerator: fc.integer({ min: 0, max: 9 }), denominator: fc.integer({ min: 1, max: 9 }) }), { minLength: 1, maxLength: 6 });
    fc.assert(fc.property(group, group, (a, b) => {
      const one = labelPermutation(a, b, NO_DRAWS);
      const other = labelPermutation(b, a, NO_DRAWS);
      close(other.difference, -(one.difference ?? NaN));
      close(other.pTwoSided, one.pTwoSided ?? NaN);
      expect(one.pTwoSided).toBeGreaterThan(0);
      expect(one.method).toBe('exact');
    }), { numRuns: 40 });
    // 12 of 30 against 4 of 25, equal times: the law of the labels is hypergeometric (Fisher 1935), P(at least 12 of the 16 in the first group).
    const counted = (n: number, events: number) => Array.from({ length: n }, (_, i) => ({ numerator: i < events ? 1 : 0, denominator: 1 }));
    const ways = (n: number, k: number): number => (k === 0 ? 1 : (ways(n, k - 1) * (n - k + 1)) / k);
    const exact = [12, 13, 14, 15, 16].reduce((sum, x) => sum + (ways(16, x) * ways(39, 30 - x)) / ways(55, 30), 0);
    const drawn = labelPermutation(counted(30, 12), counted(25, 4), { replicates: 1999, seed: 5 });
    expect(drawn).toMatchObject({ method: 'drawn', arrangements: 1999 });
    // Four standard errors of a share of 1999 draws.
    expect(Math.abs((drawn.pGreater ?? NaN) - exact)).toBeLessThan(4 * Math.sqrt((exact * (1 - exact)) / 1999));
  });
});

describe('laws of rank statistics too long to count', () => {
  test('signed rank of 480 pairs: as counted', () => {
    const n = 480;
    let law = new Float64Array([1]);
    for (let rank = 1; rank <= n; rank++) {
      const next = new Float64Array(law.length + rank);
      law.forEach((p, s) => {
        next[s] = (next[s] ?? 0) + p / 2;
        next[s + rank] = (next[s + rank] ?? 0) + p / 2;
      });
      law = next;
    }
    holdsAgainst(signedRankLaw(n), law);
  });

  test('rank sum of 80 and 80: as counted', () => {
    const size = 80;
    // Ways to have u with j of the first group among i of the second: the last value is of the second, or adds i to u.
    const ways = Array.from({ length: size + 1 }, (_, j) => new Float64Array(size * size + 1).fill(0).map((_unused, u) => (u === 0 && j >= 0 ? 1 : 0)));
    for (let i = 1; i <= size; i++) {
      for (let j = 1; j <= size; j++) {
        const [to, from] = [ways[j], ways[j - 1]];
        for (let u = i; u <= i * j; u++) if (to !== undefined) to[u] = (to[u] ?? 0) + (from?.[u - i] ?? 0);
      }
    }
    const counts = ways[size] ?? new Float64Array();
    const total = counts.reduce((sum, w) => sum + w, 0);
    holdsAgainst(rankSumLaw(size, size), counts.map((w) => w / total));
  });

  function holdsAgainst(law: ReturnType<typeof signedRankLaw>, counted: Float64Array): void {
    expect(law.isExact).toBe(false);
    expect(law.most).toBe(counted.length - 1);
    const cumulated: number[] = [];
    counted.forEach((p, s) => cumulated.push((cumulated[s - 1] ?? 0) + p));
    // The normal law with the fourth cumulant leaves out terms of order n⁻² (4·10⁻⁶ for 480 pairs); a limit may so fall on the order statistic beside it.
    cumulated.forEach((wanted, x) => {
      if (x % 97 === 0) expect(Math.abs(law.cdf(x) - wanted)).toBeLessThan(3e-6);
    });
    for (const tail of [0.1, 0.05, 0.025, 0.005]) {
      const exact = cumulated.findIndex((p) => p > tail);
      expect(Math.abs((orderLimits(law, tail)?.rank ?? NaN) - exact)).toBeLessThanOrEqual(1);
    }
  }
});

describe('families of comparisons', () => {
  test("Holm's p are never below the raw ones, never above m times, and keep their order", () => {
    fc.assert(fc.property(fc.array(fc.option(fc.double({ min: 0, max: 1, noNaN: true }), { freq: 4 }), { maxLength: 12 }), (ps) => {
      const adjusted = holmAdjusted(ps);
      const m = ps.filter((p) => p !== null).length;
      ps.forEach((p, i) => {
        const own = adjusted[i] ?? null;
        if (p === null || own === null) {
          expect(own).toBe(p);
          return;
        }
        expect(own).toBeGreaterThanOrEqual(p);
        expect(own).toBeLessThanOrEqual(Math.min(1, m * p) + 1e-15);
        ps.forEach((q, j) => {
          if (q !== null && q >= p) expect(adjusted[j]).toBeGreaterThanOrEqual(own);
        });
      });
    }), { numRuns: 60 });
  });

  test('ranks within patients do not see a scale of the patient: Friedman', () => {
    fc.assert(fc.property(fc.array(fc.tuple(small, small, small), { minLength: 2, maxLength: 12 }), fc.integer({ min: 1, max: 99 }), (blocks, scale) => {
      expect(friedman(blocks.map((block, i) => block.map((v) => v * scale + i)))).toEqual(friedman(blocks));
    }), { numRuns: 40 });
  });
});
