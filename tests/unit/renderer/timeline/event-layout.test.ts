import { describe, expect, it } from 'vitest';
import { buildInfusions, cutText, placeBar, placeMarks } from '../../../../renderer/timeline/event-layout.ts';
import { drugOf } from '../../../builders/drug.ts';

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

describe('buildInfusions', () => {
  it('makes steps of start, change, pause and stop, and runs on to the end of the case when never stopped', () => {
    const rate = (atS: number, form: 'infusion start' | 'infusion rate' | 'infusion stop', amount: number | null) => drugOf({ inn: 'norepinephrine', atS, form, amount, unit: 'ug/kg/min' });
    const [infusion] = buildInfusions([rate(0, 'infusion start', 0.05), rate(600, 'infusion rate', 0.1), rate(900, 'infusion rate', 0), rate(1200, 'infusion rate', 0.02)], 3_600_000);
    expect(infusion?.steps.map(({ startMs, endMs, rate: step, text }) => [startMs / 1000, endMs / 1000, step, text])).toEqual([
      [0, 600, 0.05, '0.05 µg/kg/min'],
      [600, 900, 0.1, '0.1 µg/kg/min'],
      [1200, 3600, 0.02, '0.02 µg/kg/min'],
    ]);
    expect(infusion?.highestRate).toBe(0.1);
  });
  it('says that no rate was stated rather than draw nothing', () => {
    expect(buildInfusions([drugOf({ inn: 'vasopressin', atS: 0, form: 'infusion start', amount: null })], 10_000)[0]?.steps[0]?.text).toBe('rate not stated');
  });
  it('puts vasopressors first', () => {
    const other = drugOf({ inn: 'propofol', atS: 0, form: 'infusion start', isVasopressor: false });
    const pressor = drugOf({ inn: 'phenylephrine', atS: 600, form: 'infusion start' });
    expect(buildInfusions([other, pressor], 1_000_000).map((infusion) => infusion.name)).toEqual(['phenylephrine', 'propofol']);
  });
});

describe('cutText', () => {
  it('cuts long notes with an ellipsis and leaves short ones', () => {
    expect(cutText('Incision')).toBe('Incision');
    expect(cutText('Surgeon asks for more head down')).toBe('Surgeon asks for more…');
  });
});
