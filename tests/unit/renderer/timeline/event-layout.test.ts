import { describe, expect, it } from 'vitest';
import { cutText, placeBar, placeMarks } from '../../../../renderer/timeline/event-layout.ts';

const WINDOW = { startMs: 0, endMs: 1_000_000 };
const widthOf = (text: string): number => text.length * 6;

function place(atS: readonly number[], texts: readonly string[], rows = 2) {
  return placeMarks(atS.map((second) => ({ atMs: second * 1000 })), () => texts, WINDOW, 1000, rows, 5, widthOf).map(({ atPx, text, row }) => [atPx, text, row]);
}

describe('placeMarks', () => {
  it('writes the longest text that fits, in the first free row', () => {
    // 'phenylephrine 100 µg' is 120 px wide: the second mark, 60 px on, goes a row down; the third, in neither row free, keeps its mark.
    expect(place([100, 160, 200], ['phenylephrine 100 µg'])).toEqual([
      [100, 'phenylephrine 100 µg', 0],
      [160, null, 1],
      [200, 'phenylephrine 100 µg', 1],
    ]);
  });
  it('falls back to the shorter text before giving up', () => {
    expect(place([100, 160], ['phenylephrine 100 µg', '100 µg'])).toEqual([[100, 'phenylephrine 100 µg', 0], [160, 'phenylephrine 100 µg', 1]]);
    expect(place([100, 150, 205], ['phenylephrine 100 µg', '100 µg'])).toEqual([
      [100, 'phenylephrine 100 µg', 0],
      [150, '100 µg', 1],
      [205, 'phenylephrine 100 µg', 1],
    ]);
  });
  it('keeps a mark without text rather than write over the edge', () => {
    expect(place([980], ['100 µg'])).toEqual([[980, null, 0]]);
  });
  it('leaves out what is not in the window', () => {
    expect(place([-100, 500, 2000], ['x'])).toEqual([[500, 'x', 0]]);
  });
});

describe('placeBar', () => {
  it('keeps the text in sight where the bar began before the window', () => {
    expect(placeBar({ startMs: -500_000, endMs: 500_000 }, 'head down', WINDOW, 1000, widthOf)).toEqual({ leftPx: -8, rightPx: 500, textPx: 5, text: 'head down' });
  });
  it('shows a short state at least two pixels wide, without text', () => {
    expect(placeBar({ startMs: 500_000, endMs: 500_100 }, 'head down', WINDOW, 1000, widthOf)).toEqual({ leftPx: 500, rightPx: 502, textPx: 505, text: null });
  });
  it('gives nothing for a bar outside', () => {
    expect(placeBar({ startMs: 2_000_000, endMs: 3_000_000 }, 'x', WINDOW, 1000, widthOf)).toBeNull();
  });
});

describe('cutText', () => {
  it('cuts long notes with an ellipsis and leaves short ones', () => {
    expect(cutText('Incision')).toBe('Incision');
    expect(cutText('Surgeon asks for more head down')).toBe('Surgeon asks for more…');
  });
});
