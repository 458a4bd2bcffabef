import { describe, expect, it } from 'vitest';
import { differenceAxes, dotRadius, stackPoints } from '../../../../../renderer/panels/case-sites/difference-geometry.ts';

const point = (mean: number, difference: number, atMs = 0) => ({ atMs, mean, difference });

describe('the difference plot', () => {
  it('has axes that hold every point, the limits and zero', () => {
    const axes = differenceAxes([point(96.5, 1), point(91, 3)], { lower: -4.2, upper: 6.1 });
    expect(axes).toEqual({ minMean: 90, maxMean: 97, minDifference: -5, maxDifference: 7 });
    expect(differenceAxes([point(98, 2)], null)).toEqual({ minMean: 97, maxMean: 99, minDifference: -1, maxDifference: 3 });
    expect(differenceAxes([point(70, 0), point(99, 0)], null)).toMatchObject({ minMean: 65, maxMean: 100 });
  });

  it('gathers pairs of the same values, and a dot’s area tells their number', () => {
    expect(stackPoints([point(98, 1, 1), point(97, 0, 2), point(98, 1, 3)])).toEqual([{ mean: 98, difference: 1, count: 2 }, { mean: 97, difference: 0, count: 1 }]);
    expect(dotRadius(4)).toBeCloseTo(2 * dotRadius(1), 9);
    expect(dotRadius(10_000)).toBe(9);
  });
});
