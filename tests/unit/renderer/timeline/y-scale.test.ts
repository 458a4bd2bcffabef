import { describe, expect, it } from 'vitest';
import { snapOut, yTicks, yToPx } from '../../../../renderer/timeline/y-scale.ts';

const SPO2 = { kind: 'linear', min: 59, max: 101.5 } as const;
const PERFUSION = { kind: 'log', min: 0.1, max: 10 } as const;

describe('yToPx', () => {
  it('puts the highest at the top and decades at equal distance', () => {
    expect(yToPx(SPO2, 101.5, 200)).toBe(0);
    expect(yToPx(SPO2, 59, 200)).toBe(200);
    expect(yToPx(PERFUSION, 1, 100)).toBeCloseTo(50, 9);
    expect(yToPx(PERFUSION, 0.1, 100)).toBeCloseTo(100, 9);
  });
  it('has no place for 0 on a log scale', () => {
    expect(yToPx(PERFUSION, 0, 100)).toBeNaN();
  });
});

describe('yTicks', () => {
  it('gives round values that are far enough apart', () => {
    expect(yTicks(SPO2, 170, 24)).toEqual([60, 70, 80, 90, 100]);
    expect(yTicks(SPO2, 400, 24)).toEqual([60, 65, 70, 75, 80, 85, 90, 95, 100]);
    expect(yTicks(SPO2, 60, 24)).toEqual([60, 80, 100]);
  });
  it('keeps whole powers of ten first on a log scale', () => {
    expect(yTicks(PERFUSION, 60, 24)).toEqual([0.1, 1, 10]);
    expect(yTicks(PERFUSION, 120, 24)).toEqual([0.1, 0.3, 1, 3, 10]);
  });
});

describe('snapOut', () => {
  it('widens to whole steps', () => {
    expect(snapOut(43, 121, 20)).toEqual([40, 140]);
    expect(snapOut(40, 120, 20)).toEqual([40, 120]);
  });
});
