/*
 * Source: tests/fixtures/open-data/uw-varied-fio2 (MIT). Its facts.json states, for each pair of four sensors worn at once, bias, SD and
 * root-mean-square difference second by second, and the lag of highest correlation over the whole recording. The facts count
 * how far the first comes behind the second; the program how far the second comes after the first: the sign is the other one.
 */
import { beforeAll, describe, expect, test } from 'vitest';
import type { SitePair } from '../../../core/model/site-comparison.ts';
import { readFacts, readOpenData } from './read-open-data.ts';

interface PairFacts {
  readonly n: number;
  readonly bias: number;
  readonly sd: number;
  readonly rms: number;
  readonly max_abs: number;
  readonly lag_of_first_behind_second_s_by_max_correlation: number;
}
const FACTS = readFacts<Record<string, { readonly pairs?: Readonly<Record<string, PairFacts>> }>>('uw-varied-fio2');
const FILES = Object.keys(FACTS).filter((name) => FACTS[name]?.pairs !== undefined);
const INTERVAL_S = 1;

test('facts.json has six pairs in each of six files', () => {
  expect(FILES.map((name) => Object.keys(FACTS[name]?.pairs ?? {}).length)).toEqual([6, 6, 6, 6, 6, 6]);
});

describe.each(FILES)('uw-varied-fio2 %s (open data)', (name) => {
  const facts = Object.entries(FACTS[name]?.pairs ?? {});
  let pairs: readonly SitePair[];
  const pairOf = (key: string): SitePair => {
    const [a, b] = key.split('-');
    const pair = pairs.find((p) => p.firstKey.endsWith(` ${a}`) && p.secondKey.endsWith(` ${b}`));
    if (pair === undefined) throw new Error(`no pair ${key}`);
    return pair;
  };
  beforeAll(async () => {
    pairs = (await readOpenData('uw-varied-fio2', `${name}.csv`)).analyze().pairs;
  });

  test('the four worn sensors make six pairs; the one that was never connected makes none', () => {
    expect(pairs).toHaveLength(6);
  });

  test.each(facts)('%s: differences of every second', (key, fact) => {
    const all = pairOf(key).allPairs;
    expect(all?.n).toBe(fact.n);
    expect(all?.bias).toBeCloseTo(fact.bias, 3);
    expect(all?.sd).toBeCloseTo(fact.sd, 3);
    expect(all?.rms).toBeCloseTo(fact.rms, 3);
    expect(all?.maxAbs).toBeCloseTo(fact.max_abs, 9);
  });

  test.each(facts)('%s: the lag is that of the highest correlation, within one interval', (key, fact) => {
    const { lag } = pairOf(key);
    expect(Math.abs((lag?.lagMs ?? NaN) / 1000 + fact.lag_of_first_behind_second_s_by_max_correlation)).toBeLessThanOrEqual(INTERVAL_S);
    expect(lag?.lowMs).toBeLessThanOrEqual(lag?.lagMs ?? NaN);
    expect(lag?.highMs).toBeGreaterThanOrEqual(lag?.lagMs ?? NaN);
  });

  test.each(facts)('%s: aligned stable pairs differ less than seconds taken as they come', (key) => {
    const { allPairs, stablePairs } = pairOf(key);
    // One pair a minute at most, in a recording of 14 to 19 minutes.
    expect(stablePairs?.n).toBeLessThanOrEqual(20);
    expect(stablePairs?.maxAbs).toBeLessThan(allPairs?.maxAbs ?? 0);
    expect(stablePairs?.sd).toBeLessThan((allPairs?.sd ?? 0) * 1.05);
  });

  test('nothing was lost, so neither sensor could have covered the other', () => {
    for (const pair of pairs) {
      expect([pair.onlyFirstMs, pair.onlySecondMs, pair.neitherMs]).toEqual([0, 0, 0]);
      expect(pair.bothMs).toBe(pair.sharedMs);
      expect([pair.firstCoveredShare, pair.secondCoveredShare]).toEqual([null, null]);
    }
  });
});
