import { describe, expect, it } from 'vitest';
import { difference } from '../../../../core/base/interval.ts';
import { coveredRange } from '../../../../core/model/site-comparison.ts';
import { coveredLoss } from '../../../../core/sites/covered-loss.ts';

const run = (lastGoodMs: number, firstLostMs: number, lastLostMs: number, firstGoodMs: number, isOpen = false) => ({ lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, isOpen });
const whole = [{ startMs: 0, endMs: 600 }];

describe('the loss of one sensor that the other covered', () => {
  // Every 10: finger lost 200 … 290, ear lost 250 … 340. Certain loss of the finger 90, its edges 190–200 and 290–300.
  const finger = [run(190, 200, 290, 300)];
  const ear = [run(240, 250, 340, 350)];

  it('has the least and the most that the samples allow, around the middle estimate', () => {
    // Least: the ear is out from 240 to 350, so 200–240 is covered; the edge 190–200 would be covered too and is left out, 290–300 counts.
    // Most: the ear is out from 250 to 340, so 200–250 and the edge 190–200 are covered; the edge 290–300 is not and is left out.
    expect(coveredLoss(finger, ear, whole)).toEqual({ leastCoveredMs: 40, leastLostMs: 100, mostCoveredMs: 60, mostLostMs: 100 });
    expect(coveredRange(0.5, coveredLoss(finger, ear, whole))).toEqual({ low: 0.4, mid: 0.5, high: 0.6 });
  });

  it('counts only shared time, and follows a loss that never ended to its end', () => {
    expect(coveredLoss([run(190, 200, 400, 400, true)], [], [{ startMs: 0, endMs: 300 }])).toEqual({ leastCoveredMs: 100, leastLostMs: 100, mostCoveredMs: 110, mostLostMs: 110 });
    expect(coveredLoss(finger, ear, [])).toEqual({ leastCoveredMs: 0, leastLostMs: 0, mostCoveredMs: 0, mostLostMs: 0 });
  });

  it('is the middle estimate where the loss may have lasted no time at all, and nothing where nothing was lost', () => {
    // One lost value: it may have lasted no time; had it lasted any, the other would have had information.
    const covered = coveredLoss([run(190, 200, 200, 210)], [], whole);
    expect(covered).toEqual({ leastCoveredMs: 0, leastLostMs: 0, mostCoveredMs: 20, mostLostMs: 20 });
    expect(coveredRange(1, covered)).toEqual({ low: 1, mid: 1, high: 1 });
    expect(coveredRange(null, coveredLoss([], ear, whole))).toBeNull();
  });
});

describe('the difference of two lists of stretches', () => {
  const spans = (...pairs: [number, number][]) => pairs.map(([startMs, endMs]) => ({ startMs, endMs }));
  it('leaves what no hole covers, whichever list is longer', () => {
    expect(difference(spans([0, 10], [20, 30]), spans([5, 22], [25, 26], [29, 40]))).toEqual(spans([0, 5], [22, 25], [26, 29]));
    expect(difference(spans([0, 100]), spans([10, 20], [30, 40]))).toEqual(spans([0, 10], [20, 30], [40, 100]));
    expect(difference(spans([0, 10], [10, 20]), spans([0, 20]))).toEqual([]);
    expect(difference(spans([0, 10]), spans([3, 3]))).toEqual(spans([0, 3], [3, 10]));
    expect(difference([], spans([0, 1]))).toEqual([]);
  });
});
