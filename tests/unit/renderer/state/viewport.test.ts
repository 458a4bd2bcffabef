import { describe, expect, it } from 'vitest';
import { MIN_SPAN_MS, clipWindow, createViewport, instantInFocus } from '../../../../renderer/state/viewport.ts';

const HOUR = 3_600_000;
const BOUNDS = { startMs: -60_000, endMs: 3 * HOUR };

describe('clipWindow', () => {
  it('moves a window that hangs over an end back inside without shortening it', () => {
    expect(clipWindow({ startMs: -HOUR, endMs: HOUR }, { startMs: 0, endMs: 3 * HOUR })).toEqual({ startMs: 0, endMs: 2 * HOUR });
    expect(clipWindow({ startMs: 2 * HOUR, endMs: 4 * HOUR }, { startMs: 0, endMs: 3 * HOUR })).toEqual({ startMs: HOUR, endMs: 3 * HOUR });
  });
  it('never shows less than the shortest span, around the middle that was asked for', () => {
    expect(clipWindow({ startMs: 50_000, endMs: 50_000 }, BOUNDS)).toEqual({ startMs: 50_000 - MIN_SPAN_MS / 2, endMs: 50_000 + MIN_SPAN_MS / 2 });
  });
  it('shows all of a case that is shorter than the shortest span', () => {
    expect(clipWindow({ startMs: 0, endMs: 1 }, { startMs: 0, endMs: 4000 })).toEqual({ startMs: 0, endMs: 4000 });
  });
});

describe('createViewport', () => {
  it('starts with the whole case and returns to it on fit', () => {
    const viewport = createViewport(BOUNDS);
    expect(viewport.get()).toEqual(BOUNDS);
    viewport.show({ startMs: HOUR, endMs: HOUR + 60_000 }, 30_000);
    expect(viewport.get()).toEqual({ startMs: HOUR - 30_000, endMs: HOUR + 90_000 });
    viewport.fit();
    expect(viewport.get()).toEqual(BOUNDS);
  });
  it('keeps the instant under the pointer in its place when zooming', () => {
    const viewport = createViewport({ startMs: 0, endMs: 4 * HOUR });
    viewport.zoomAt(HOUR, 2);
    expect(viewport.get()).toEqual({ startMs: HOUR / 2, endMs: 2.5 * HOUR });
  });
  it('stops panning at the ends and keeps the span', () => {
    const viewport = createViewport({ startMs: 0, endMs: 4 * HOUR });
    viewport.set({ startMs: HOUR, endMs: 2 * HOUR });
    viewport.panBy(10 * HOUR);
    expect(viewport.get()).toEqual({ startMs: 3 * HOUR, endMs: 4 * HOUR });
    viewport.panBy(-10 * HOUR);
    expect(viewport.get()).toEqual({ startMs: 0, endMs: HOUR });
  });
  it('tells its listeners only of changes, gives one object between them, and forgets who left', () => {
    const viewport = createViewport(BOUNDS);
    let calls = 0;
    const leave = viewport.subscribe(() => calls++);
    const before = viewport.get();
    viewport.fit();
    viewport.set({ startMs: NaN, endMs: 5 });
    viewport.zoomAt(0, 0);
    expect(calls).toBe(0);
    expect(viewport.get()).toBe(before);
    viewport.panBy(0);
    viewport.zoomAt(HOUR, 2);
    expect(calls).toBe(1);
    leave();
    viewport.fit();
    expect(calls).toBe(1);
  });
  it('keeps the cursor inside the case and tells of its changes', () => {
    const viewport = createViewport(BOUNDS);
    const seen: (number | null)[] = [];
    viewport.subscribe(() => seen.push(viewport.getCursorMs()));
    viewport.setCursorMs(99 * HOUR);
    viewport.setCursorMs(3 * HOUR);
    viewport.setCursorMs(null);
    expect(seen).toEqual([3 * HOUR, null]);
  });
  it('gives a case of one instant a window to stand in', () => {
    expect(createViewport({ startMs: 0, endMs: 0 }).get()).toEqual({ startMs: -MIN_SPAN_MS / 2, endMs: MIN_SPAN_MS / 2 });
  });
});

describe('instantInFocus', () => {
  const chosen = { startMs: HOUR, endMs: HOUR + 120_000 };
  it('is the cursor where it is in sight', () => {
    const viewport = createViewport(BOUNDS);
    viewport.setCursorMs(2 * HOUR);
    expect(instantInFocus(viewport, chosen)).toBe(2 * HOUR);
  });
  it('is the middle of what is chosen where the cursor is out of sight or there is none', () => {
    const viewport = createViewport(BOUNDS);
    expect(instantInFocus(viewport, chosen)).toBe(HOUR + 60_000);
    viewport.setCursorMs(2 * HOUR);
    viewport.set({ startMs: 0, endMs: HOUR });
    expect(instantInFocus(viewport, chosen)).toBe(HOUR + 60_000);
  });
  it('is the middle of the window where nothing is chosen', () => {
    const viewport = createViewport(BOUNDS);
    viewport.set({ startMs: 0, endMs: HOUR });
    expect(instantInFocus(viewport, null)).toBe(HOUR / 2);
  });
});
