import { describe, expect, it } from 'vitest';
import { linkViewports } from '../../../../renderer/state/linked-viewports.ts';

const HOUR = 3_600_000;

describe('windows onto two aligned stretches', () => {
  const open = () => linkViewports({ bounds: { startMs: 0, endMs: 2 * HOUR }, anchorMs: HOUR / 2 }, { bounds: { startMs: 0, endMs: 5 * HOUR }, anchorMs: 3 * HOUR });

  it('reach as far before and after as the longer of both', () => {
    const { first, second } = open();
    // Before: 0.5 h and 3 h; after: 1.5 h and 2 h.
    expect(first.bounds).toEqual({ startMs: -2.5 * HOUR, endMs: 2.5 * HOUR });
    expect(second.bounds).toEqual({ startMs: 0, endMs: 5 * HOUR });
  });
  it('move and zoom together, whichever is moved, with one cursor', () => {
    const { first, second } = open();
    first.set({ startMs: 0, endMs: HOUR });
    expect(second.get()).toEqual({ startMs: 2.5 * HOUR, endMs: 3.5 * HOUR });
    second.panBy(HOUR / 4);
    expect(first.get()).toEqual({ startMs: HOUR / 4, endMs: 1.25 * HOUR });
    second.setCursorMs(3 * HOUR + 1000);
    expect(first.getCursorMs()).toBe(HOUR / 2 + 1000);
    first.setCursorMs(null);
    expect(second.getCursorMs()).toBeNull();
    second.fit();
    expect(first.get()).toEqual(first.bounds);
  });
  it('hold still at times that are no whole numbers', () => {
    const { first, second } = linkViewports({ bounds: { startMs: 0, endMs: 1e7 }, anchorMs: 0.1 }, { bounds: { startMs: 0, endMs: 1e7 }, anchorMs: 1e6 / 3 });
    let told = 0;
    second.subscribe(() => told++);
    first.zoomAt(1234.567, 3.3);
    expect(told).toBe(1);
    expect(second.get().startMs - 1e6 / 3).toBeCloseTo(first.get().startMs - 0.1, 3);
  });
});
