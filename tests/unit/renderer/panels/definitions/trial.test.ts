import { describe, expect, it } from 'vitest';
import type { CurvePoint, DefinedDropout, DefinedSite } from '../../../../../core/robustness/apply-definition.ts';
import { compareLists } from '../../../../../renderer/panels/definitions/trial/compare-lists.ts';
import { bandPath, curvePath, durationX, roundTop } from '../../../../../renderer/panels/definitions/trial/curve-geometry.ts';
import { DURATION_STEPS_S, nearestStep } from '../../../../../renderer/panels/definitions/trial/duration-steps.ts';

function dropout(firstLostMs: number, endMs: number): DefinedDropout {
  const mid = endMs - firstLostMs;
  return { lastGoodMs: firstLostMs - 1000, firstLostMs, lastLostMs: endMs - 1000, endMs, isOpen: false, lostMs: { low: mid - 1000, mid, high: mid + 1000 }, links: { certain: 0, possible: 0 } };
}

function site(dropouts: readonly DefinedDropout[], siteKey = 'finger'): DefinedSite {
  return { siteKey, dropouts, count: dropouts.length, lostMs: { low: 0, mid: 0, high: 0 }, monitoredMs: 1, shareMid: 0, linked: { certain: 0, any: 0 } };
}

describe('two definitions in one list', () => {
  it('tells the same, the new, the changed and the gone apart, in the order of onsets', () => {
    const inForce = [site([dropout(10_000, 50_000), dropout(100_000, 140_000), dropout(160_000, 200_000)])];
    const tried = [site([dropout(10_000, 50_000), dropout(60_000, 70_000), dropout(100_000, 200_000)])];
    expect(compareLists(tried, inForce).map(({ dropout: { firstLostMs }, change }) => [firstLostMs, change])).toEqual([[10_000, 'same'], [60_000, 'new'], [100_000, 'changed']]);
    expect(compareLists(inForce, tried).map(({ dropout: { firstLostMs }, change }) => [firstLostMs, change])).toEqual([[10_000, 'same'], [60_000, 'gone'], [100_000, 'changed'], [160_000, 'changed']]);
  });

  it('keeps sites apart', () => {
    const listed = compareLists([site([dropout(0, 5000)], 'finger'), site([], 'ear lobe')], [site([], 'finger'), site([dropout(0, 5000)], 'ear lobe')]);
    expect(listed.map(({ siteKey, change }) => [siteKey, change])).toEqual([['ear lobe', 'gone'], ['finger', 'new']]);
  });
});

describe('the curve', () => {
  const frame = { left: 50, top: 10, width: 200, height: 100 };
  const point = (minDurationS: number, count: number): CurvePoint => ({ minDurationS, count, lostMs: { low: count, mid: 2 * count, high: 4 * count }, shareMid: null, linked: { certain: 0, any: 0 } });

  it('spans 5 s to 10 min on a scale of ratios', () => {
    expect([durationX(5, frame), durationX(600, frame)]).toEqual([50, 250]);
    // Equal ratios are equal distances: 5 to 30 s and 100 to 600 s.
    expect(durationX(30, frame) - durationX(5, frame)).toBeCloseTo(durationX(600, frame) - durationX(100, frame), 9);
    expect([durationX(1, frame), durationX(7200, frame)]).toEqual([50, 250]);
  });

  it('draws count and limits from the bottom up, in steps: a count holds until the minimum passes a dropout', () => {
    expect(curvePath([point(5, 4), point(600, 0)], (p) => p.count, 4, frame)).toBe('M50.0 10.0H250.0V110.0');
    expect(bandPath([point(5, 1), point(600, 1)], (p) => p.lostMs.low, (p) => p.lostMs.high, 4, frame)).toBe('M50.0 10.0H250.0V10.0V85.0H250.0V85.0H50.0Z');
    // From 2 down to 1: the high edge there and the low edge back step at the same place.
    expect(bandPath([point(5, 2), point(30, 1)], (p) => p.lostMs.low, (p) => p.lostMs.high, 8, frame)).toBe('M50.0 10.0H124.9V60.0V97.5H124.9V85.0H50.0Z');
    expect(bandPath([], () => 0, () => 0, 1, frame)).toBe('');
  });

  it('ends its axes at round numbers', () => {
    expect([0, 1, 1.2, 3, 7, 11, 230, 5001].map(roundTop)).toEqual([1, 1, 2, 5, 10, 20, 500, 10_000]);
  });

  it('has steps that the usual definitions lie on', () => {
    for (const seconds of [10, 30, 60, 120, 180, 600]) expect(DURATION_STEPS_S[nearestStep(seconds)]).toBe(seconds);
    expect([nearestStep(0), nearestStep(9999)]).toEqual([0, DURATION_STEPS_S.length - 1]);
    expect([...DURATION_STEPS_S]).toEqual([...DURATION_STEPS_S].sort((a, b) => a - b));
  });
});
