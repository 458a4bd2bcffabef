import { describe, expect, it } from 'vitest';
import type { Dropout } from '../../../../core/model/analysis.ts';
import { MIN_BAND_PX, dropoutShapes, lossShape, pxToTime, recordGapShapes, stripSpans, timeToPx } from '../../../../renderer/timeline/episode-layer.ts';
import { buildDropout } from '../../../builders/stored-case.ts';

const HOUR = 3_600_000;
const WINDOW = { startMs: 0, endMs: 100_000 };
const WIDTH = 1000; // 100 ms per px

function dropout(part: Partial<Dropout>): Dropout {
  return buildDropout({
    dropoutId: 'd', number: 1, siteKey: 'finger', lastGoodMs: 0, firstLostMs: 10_000, lastLostMs: 30_000, firstGoodMs: 40_000,
    lostMs: { low: 20_000, mid: 30_000, high: 40_000 }, restoredBy: 'same site', restoredSiteKey: null, restoredAfterMs: null, censoredAtMs: null,
    spo2Before: 97, spo2After: 96, dropOnReturn: 1, isMarked: false, perfusionBefore: null, lostSamples: {}, bridgedMs: 0,
    recordGapMs: { low: 0, mid: 0, high: 0 }, patterns: [], pressureBefore: null, links: [], responses: [], ...part,
  });
}

describe('lossShape', () => {
  it('draws the four instants of the analysis: onset, certain part and restoration touch', () => {
    // Source: analysis-spec 5, the example good 0 s, lost 10, 20, 30 s, good 40 s.
    expect(lossShape(dropout({}), HOUR, WINDOW, WIDTH, 3)).toEqual({
      whole: { leftPx: 0, rightPx: 400 },
      onset: { leftPx: 0, rightPx: 100 },
      certain: { leftPx: 100, rightPx: 300 },
      restoration: { leftPx: 300, rightPx: 400 },
      isOpen: false,
    });
  });
  it('gives one lost sample, certain for no time, a certain part that can be seen', () => {
    const shape = lossShape(dropout({ firstLostMs: 10_000, lastLostMs: 10_000, firstGoodMs: 20_000 }), HOUR, WINDOW, WIDTH, 3);
    expect(shape?.certain).toEqual({ leftPx: 98.5, rightPx: 101.5 });
    expect(shape?.whole).toEqual({ leftPx: 0, rightPx: 200 });
  });
  it('keeps 30 s visible when 10 hours fill the screen', () => {
    const shape = lossShape(dropout({ lastGoodMs: 5 * HOUR, firstLostMs: 5 * HOUR + 1000, lastLostMs: 5 * HOUR + 30_000, firstGoodMs: 5 * HOUR + 31_000 }), 10 * HOUR, { startMs: 0, endMs: 10 * HOUR }, 632, MIN_BAND_PX);
    expect(shape === null ? 0 : shape.certain.rightPx - shape.certain.leftPx).toBeCloseTo(MIN_BAND_PX, 6);
    expect(shape?.whole).toEqual(shape?.certain);
  });
  it('leaves the end open where information never came back', () => {
    const shape = lossShape(dropout({ lastLostMs: null, firstGoodMs: null }), 60_000, WINDOW, WIDTH, 3);
    expect(shape).toMatchObject({ isOpen: true, restoration: null, certain: { leftPx: 100, rightPx: 600 } });
  });
  it('cuts what lies far outside and drops what does not show', () => {
    expect(lossShape(dropout({ lastGoodMs: -1e9, firstLostMs: -1e9, lastLostMs: 1e9, firstGoodMs: 1e9 }), HOUR, WINDOW, WIDTH, 3)?.whole).toEqual({ leftPx: -8, rightPx: 1008 });
    expect(lossShape(dropout({ lastGoodMs: -50_000, firstLostMs: -40_000, lastLostMs: -30_000, firstGoodMs: -20_000 }), HOUR, WINDOW, WIDTH, 3)).toBeNull();
  });
});

describe('dropoutShapes', () => {
  const widthOf = (text: string): number => text.length * 7;
  it('writes the number only where it fits into what is visible of the certain part', () => {
    const shapes = dropoutShapes(
      [dropout({ dropoutId: 'a', number: 1 }), dropout({ dropoutId: 'b', number: 12, lastGoodMs: 99_000, firstLostMs: 99_500, lastLostMs: 140_000, firstGoodMs: 150_000 })],
      HOUR, WINDOW, WIDTH, widthOf,
    );
    expect(shapes.map(({ dropoutId, label }) => [dropoutId, label])).toEqual([['a', '1'], ['b', null]]);
  });
  it('says "not restored" where there is room', () => {
    expect(dropoutShapes([dropout({ lastLostMs: null, firstGoodMs: null, censoredAtMs: 90_000 })], HOUR, WINDOW, WIDTH, widthOf)[0]?.label).toBe('1 not restored');
  });
});

describe('recordGapShapes and stripSpans', () => {
  it('names a record gap from the last row before to the first row after', () => {
    const gap = { lastRowMs: 10_000, firstMissingMs: 15_000, lastMissingMs: 45_000, firstRowMs: 50_000, gapMs: { low: 30_000, mid: 35_000, high: 40_000 } };
    expect(recordGapShapes([gap], WINDOW, WIDTH, () => 90)).toEqual([{ leftPx: 100, rightPx: 500, label: 'record stopped' }]);
    expect(recordGapShapes([gap], WINDOW, WIDTH, () => 400)[0]?.label).toBeNull();
  });
  it('joins strips that would touch, so many short ones stay cheap', () => {
    const many = Array.from({ length: 1000 }, (_, i) => ({ startMs: i * 100, endMs: i * 100 + 50 }));
    expect(stripSpans(many, WINDOW, WIDTH, 2)).toHaveLength(1);
    expect(stripSpans([{ startMs: 0, endMs: 1000 }, { startMs: 50_000, endMs: 50_000 }], WINDOW, WIDTH, 2)).toEqual([{ leftPx: 0, rightPx: 10 }, { leftPx: 499, rightPx: 501 }]);
  });
});

describe('timeToPx and pxToTime', () => {
  it('are each other turned round', () => {
    expect(pxToTime(timeToPx(12_345, WINDOW, 777), WINDOW, 777)).toBeCloseTo(12_345, 6);
  });
});
