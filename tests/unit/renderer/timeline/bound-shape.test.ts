import { describe, expect, it } from 'vitest';
import { lowestBetween } from '../../../../core/metrics/lowest-possible.ts';
import { boundAt, boundShape, boundText } from '../../../../renderer/timeline/bound-shape.ts';
import { buildDropout } from '../../../builders/stored-case.ts';

/* Handbook 7.1, `blind-lowest-possible`: 98 → 94 % over 60 s, fall 0.5, rise 2 %/s → 73.2 %. The lines meet 49.6 s after the last value. */
const edge = lowestBetween({ atMs: 0, pct: 98 }, { atMs: 60_000, pct: 94 }, 0.5, 2);
const dropout = buildDropout({ lastGoodMs: 0, firstGoodMs: 60_000, cannotExclude: { pct: edge[1]?.pct ?? NaN, atMs: edge[1]?.atMs ?? NaN, edge } });
const WINDOW = { startMs: -60_000, endMs: 60_000 };

describe('what cannot be excluded, as drawn', () => {
  it('falls from the last good value at the greatest rate and rises at the greatest rate to the first', () => {
    const shape = boundShape(dropout, WINDOW, 1200);
    expect(shape?.edge.map((point) => [Math.round(point.xPx * 10) / 10, Math.round(point.pct * 10) / 10])).toEqual([[600, 98], [1096, 73.2], [1200, 94]]);
    expect(shape).toMatchObject({ isOpen: false, label: 'cannot be excluded: 73 %' });
  });
  it('has no right end where information never came back', () => {
    const open = buildDropout({ firstGoodMs: null, lastLostMs: null, cannotExclude: { pct: 48, atMs: 100_000, edge: [{ atMs: 0, pct: 98 }, { atMs: 100_000, pct: 48 }] } });
    expect(boundShape(open, WINDOW, 1200)?.isOpen).toBe(true);
  });
  it('is nothing outside the window or without an edge', () => {
    expect(boundShape(dropout, { startMs: 70_000, endMs: 80_000 }, 1200)).toBeNull();
    expect(boundShape(buildDropout({ cannotExclude: { pct: 97, atMs: 0, edge: [{ atMs: 0, pct: 97 }] } }), WINDOW, 1200)).toBeNull();
  });
  it('is rounded down and never worded otherwise', () => {
    expect([boundText(73.2), boundText(73.9), boundText(0), boundText(80)]).toEqual(['cannot be excluded: 73 %', 'cannot be excluded: 73 %', 'cannot be excluded: 0 %', 'cannot be excluded: 80 %']);
  });
  it('can be read at any instant inside, and not outside', () => {
    expect(boundAt(dropout, 20_000)).toBeCloseTo(88, 9);
    expect(boundAt(dropout, 60_000)).toBeCloseTo(94, 9);
    expect(boundAt(dropout, 61_000)).toBeNull();
  });
});
