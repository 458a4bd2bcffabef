/*
 * The simulator's signals with known truth: how losses began, displays that held an old value, and the lag between two sites.
 * What is demanded stands in docs/testing.md, "Signals".
 */
import { describe, expect, test } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { coveredRange } from '../../core/model/site-comparison.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { siteDetail } from '../../core/pipeline/site-detail.ts';
import { seededRandom } from '../simulator/random.ts';
import { makeHold, makeOnsets, makePair } from '../simulator/true-signals.ts';

const SEEDS = 40;
const seeds = Array.from({ length: SEEDS }, (_, i) => i + 1);

describe.each([1, 2, 5, 10])('onsets at one value every %i s', (everyS) => {
  test('every loss carries the pattern it was made with, and no other of the four', () => {
    const failures: string[] = [];
    let judged = 0;
    for (const seed of seeds.slice(0, 12)) {
      const { record, losses, isCold } = makeOnsets(seededRandom(seed), everyS);
      const { dropouts } = analyzeCase(record, DEFAULT_PARAMETERS, 'test').sites[0]!;
      for (const loss of losses) {
        const dropout = dropouts.find((d) => Math.abs(d.firstLostMs / 1000 - loss.startS) < 2 * everyS);
        if (dropout === undefined) {
          failures.push(`seed ${seed}: loss at ${loss.startS} s not found`);
          continue;
        }
        judged++;
        const found = dropout.patterns.filter((p) => p !== 'cold');
        // A cuff and movement come out of a strong signal: the index was made steady there, so abrupt holds as well.
        const wanted = loss.made === 'fading' || loss.made === 'abrupt' ? [loss.made] : ['abrupt', loss.made];
        if (found.join() !== wanted.join()) failures.push(`seed ${seed}: loss at ${loss.startS} s made ${loss.made}, found ${found.join() || 'nothing'}`);
        if (dropout.patterns.includes('cold') !== isCold) failures.push(`seed ${seed}: cold is wrong at ${loss.startS} s`);
      }
    }
    expect(failures).toEqual([]);
    expect(judged).toBeGreaterThan(100);
  });

  test('losses made by the cuff are spaced like it', () => {
    let judged = 0;
    for (const seed of seeds.slice(0, 12)) {
      const { record, losses, cuffCycleS } = makeOnsets(seededRandom(seed), everyS);
      if (losses.filter((l) => l.made === 'cuff').length < 3) continue;
      for (const dropout of analyzeCase(record, DEFAULT_PARAMETERS, 'test').sites[0]!.dropouts) {
        if (dropout.evidence.cuff === null) continue;
        judged++;
        expect(dropout.evidence.cuff.cycleMs).toBe(cuffCycleS * 1000);
        expect(dropout.evidence.cuff.isRegular).toBe(true);
      }
    }
    expect(judged).toBeGreaterThan(10);
  });
});

test('a display held for longer than 30 s is lost from its second value on; one held for 30 s or less cannot be told', () => {
  for (const seed of seeds) {
    const random = seededRandom(seed);
    const lastsS = random.int(5, 120);
    const { record, startS, endS } = makeHold(random, lastsS);
    const { dropouts, statusCounts } = analyzeCase(record, DEFAULT_PARAMETERS, 'test').sites[0]!;
    expect(statusCounts.held, `held for ${lastsS} s`).toBe(lastsS > 30 ? lastsS : 0);
    expect(dropouts.map((d) => [d.lastGoodMs / 1000, d.firstGoodMs! / 1000]), `held for ${lastsS} s`).toEqual(lastsS > 30 ? [[startS, endS + 1]] : []);
  }
});

describe.each([1, 2, 5, 10])('two sites with a known lag, one value every %i s', (everyS) => {
  test('the lag is found within one interval or its stated uncertainty, at falls and rises too', () => {
    const failures: string[] = [];
    for (const seed of seeds) {
      const { record, lagS, offsetPoints } = makePair(seededRandom(seed), everyS);
      const [pair] = analyzeCase(record, DEFAULT_PARAMETERS, 'test').pairs;
      for (const [name, figure] of [['all', pair!.lag], ['falls', pair!.lagAtFalls], ['rises', pair!.lagAtRises]] as const) {
        if (figure === null) {
          failures.push(`seed ${seed}, ${name}: no lag (${pair!.noLagReason})`);
          continue;
        }
        const off = Math.abs(figure.lagMs / 1000 - lagS);
        const isInside = figure.lowMs / 1000 <= lagS && lagS <= figure.highMs / 1000;
        if (off > everyS && !isInside) failures.push(`seed ${seed}, ${name}: true ${lagS} s, found ${figure.lagMs / 1000} (${figure.lowMs / 1000} to ${figure.highMs / 1000}) s`);
        if (figure.highMs - figure.lowMs > 30_000) failures.push(`seed ${seed}, ${name}: an uncertainty of ${(figure.highMs - figure.lowMs) / 1000} s says nothing`);
      }
      if (Math.abs(pair!.stablePairs!.bias - offsetPoints) > 0.4) failures.push(`seed ${seed}: bias ${pair!.stablePairs!.bias}, made ${offsetPoints}`);
    }
    expect(failures).toEqual([]);
  });

  test('a fall or rise by itself tells the same lag: nearly all within one interval or the stated uncertainty', () => {
    let judged = 0;
    let off = 0;
    for (const seed of seeds.slice(0, 15)) {
      const { record, lagS } = makePair(seededRandom(seed), everyS);
      for (const { lag } of siteDetail(record, DEFAULT_PARAMETERS).pairs[0]!.swings) {
        if (lag === null) continue;
        judged++;
        if (Math.abs(lag.lagMs / 1000 - lagS) > everyS && !(lag.lowMs / 1000 <= lagS && lagS <= lag.highMs / 1000)) off++;
      }
    }
    expect(judged).toBeGreaterThan(30);
    // The uncertainty is a 95 % one.
    expect(off / judged).toBeLessThanOrEqual(0.05);
  });
});

test('what the other site covered lies between its bounds, and the states over time add up to it', () => {
  for (const everyS of [1, 10]) {
    for (const seed of seeds.slice(0, 15)) {
      const { record } = makePair(seededRandom(seed), everyS);
      const holed = { ...record, channels: record.channels.map((channel, at) => (channel.quantity === 'spo2' ? { ...channel, value: channel.value.map((v, i) => ((i * (at + 3)) % 97 < 11 ? NaN : v)), mark: channel.mark.map((m, i) => ((i * (at + 3)) % 97 < 11 ? 1 : m)) } : channel)) };
      // A limit inside the range of the index makes part of the samples doubtful, so that the second result is another.
      const [pair] = analyzeCase(holed, { ...DEFAULT_PARAMETERS, weakPerfusionIndex: 1 }, 'test').pairs;
      for (const figures of [pair!, pair!.doubtfulLost]) {
        expect(figures.bothMs + figures.onlyFirstMs + figures.onlySecondMs + figures.neitherMs).toBeCloseTo(pair!.sharedMs, 6);
        for (const range of [coveredRange(figures.firstCoveredShare, figures.firstCovered), coveredRange(figures.secondCoveredShare, figures.secondCovered)]) {
          expect(range).not.toBeNull();
          expect(range!.low).toBeLessThanOrEqual(range!.mid);
          expect(range!.mid).toBeLessThanOrEqual(range!.high);
          expect(range!.low).toBeGreaterThanOrEqual(0);
          expect(range!.high).toBeLessThanOrEqual(1);
        }
      }
      expect(pair!.doubtfulLost.bothMs).toBeLessThanOrEqual(pair!.bothMs);
      expect(pair!.doubtfulLost.neitherMs).toBeGreaterThanOrEqual(pair!.neitherMs);
      const { spans } = siteDetail(holed, DEFAULT_PARAMETERS).pairs[0]!;
      const sum = (state: string): number => spans.filter((s) => s.state === state).reduce((ms, s) => ms + s.endMs - s.startMs, 0);
      expect(sum('only second') / (sum('only second') + sum('neither'))).toBeCloseTo(pair!.firstCoveredShare!, 9);
    }
  }
});
