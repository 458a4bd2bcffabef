import { describe, expect, it } from 'vitest';
import { MARK } from '../../../../../core/model/channel.ts';
import { courseShape, pathOf } from '../../../../../renderer/panels/case-view/onset-course-shape.ts';
import { buildChannel, buildDropout } from '../../../../builders/stored-case.ts';

/* Last good at 300 s, first lost at 310 s: the picture reaches from 0 to 340 s over 340 px, so a px is a second. */
const dropout = buildDropout({ lastGoodMs: 300_000, firstLostMs: 310_000 });
const shapeOf = (points: readonly (readonly [number, number])[], marks: readonly number[] = []) =>
  courseShape({
    dropout,
    channel: buildChannel([], {
      channelId: 'perfusion-index@finger', quantity: 'perfusion-index', tMs: Float64Array.from(points, ([s]) => s * 1000), value: Float64Array.from(points, ([, v]) => v),
      mark: Uint8Array.from(points, (_, i) => marks[i] ?? 0), line: Uint32Array.from(points, (_, i) => i + 2),
    }),
    beforeMs: 300_000, plausible: [0.01, 40], widthPx: 340, heightPx: 100,
  });
const every = (from: number, to: number, step: number, value = 1): [number, number][] => Array.from({ length: Math.floor((to - from) / step) + 1 }, (_, i) => [from + i * step, value]);

describe('courseShape', () => {
  it('places time, loss, minutes and guide lines', () => {
    const shape = shapeOf(every(0, 300, 10));
    expect([shape?.lastGoodPx, shape?.firstLostPx].map((px) => Math.round(px ?? NaN))).toEqual([300, 310]);
    expect(shape?.resetPx).toBeNull();
    expect(shape?.ticks.map(({ minutes, xPx }) => [minutes, Math.round(xPx)])).toEqual([[0, 300], [1, 240], [2, 180], [3, 120], [4, 60], [5, 0]]);
    // The scale runs from 0.05 to 20, so 1 stands exactly in its middle.
    expect(shape?.guides.map(({ value, yPx }) => [value, Math.round(yPx)])).toEqual([[1, 50], [0.3, 70]]);
    expect(shape?.lines.map((line) => line.length)).toEqual([31]);
  });
  it('draws no line over values that are missing', () => {
    const shape = shapeOf([...every(0, 100, 10), ...every(150, 200, 10), [260, 1], ...every(290, 300, 10)]);
    expect(shape?.lines.map((line) => [line[0], line[line.length - 1]].map((point) => Math.round(point?.xPx ?? NaN)))).toEqual([[0, 100], [150, 200], [260, 260], [290, 300]]);
  });
  it('leaves out what is implausible, missing or flagged, and all outside its time', () => {
    const shape = shapeOf([[-10, 1], [0, 1], [10, 99], [20, NaN], [30, 1], [40, 1], [50, 1], [60, 1], [400, 1]], [0, 0, 0, 0, 0, 0, MARK.flagged]);
    expect(shape?.lines.flat().map(({ xPx }) => Math.round(xPx))).toEqual([0, 30, 40, 60]);
  });
  it('joins nothing where too few values tell a step, and is null without any', () => {
    expect(shapeOf([[100, 1], [110, 1]])?.lines.map((line) => line.length)).toEqual([1, 1]);
    expect(shapeOf([[400, 1]])).toBeNull();
  });
  it('keeps values beyond the scale at its ends', () => {
    expect(shapeOf([[0, 0.02], [10, 30], [20, 1]])?.lines.flat().map(({ yPx }) => Math.round(yPx))).toEqual([100, 0, 50]);
  });
  it('marks where the sensor was touched within the picture', () => {
    const touched = (resetAtMs: number) => courseShape({
      dropout: { ...dropout, evidence: { ...dropout.evidence, perfusion: { last: 1, lastAtMs: 300_000, highest: 1, highestAtMs: 300_000, fadeRatio: 1, lowestOfLastPart: 1, medianOfLastPart: 1, medianBefore: 1, steadyRatio: 1, resetAtMs, courseBinMs: 10_000, course: [] } } },
      channel: buildChannel(Array.from({ length: 300 }, () => 1)), beforeMs: 300_000, plausible: [0.01, 40], widthPx: 340, heightPx: 100,
    });
    expect(touched(120_000)?.resetPx).toBeCloseTo(120, 9);
    expect(touched(-60_000)?.resetPx).toBeNull();
  });
});

describe('pathOf', () => {
  it('writes lines to a tenth of a px and shows a single value', () => {
    expect(pathOf([[{ xPx: 1.04, yPx: 2 }, { xPx: 3, yPx: 4.26 }], [{ xPx: 9, yPx: 9 }]])).toBe('M1 2L3 4.3M9 9h1');
  });
});
