import { describe, expect, it } from 'vitest';
import { tickedLags } from '../../../../renderer/charts/aligned-chart.ts';
import { thinned } from '../../../../renderer/charts/curve-chart.ts';
import { chartCsv } from '../../../../renderer/charts/chart-csv.ts';
import { fitted, spread, textRoomPx } from '../../../../renderer/charts/chart-marks.ts';
import { numberCell, textCell } from '../../../../renderer/charts/chart-types.ts';
import { namesThatFit } from '../../../../renderer/charts/funnel-chart.ts';
import { wrapped } from '../../../../renderer/charts/export-picture.ts';
import { intervalChart, intervalDomain, ratioTicks } from '../../../../renderer/charts/interval-chart.ts';
import { signalLabels } from '../../../../renderer/charts/quality-chart.ts';
import { stepsShown } from '../../../../renderer/charts/survival-chart.ts';

describe('the numbers of a picture as a file', () => {
  it('are unrounded, with an empty cell where nothing is defined, and no text is run as a formula', () => {
    const table = {
      columns: [{ header: 'Site', name: 'site' }, { header: 'Share', name: 'share', align: 'right' as const }],
      rows: [
        { pointKey: 'a', cells: [textCell('finger, left'), numberCell(1 / 3, (value) => value.toFixed(1))] },
        { pointKey: null, cells: [textCell('=1+1'), numberCell(null, String)] },
      ],
    };
    expect(chartCsv(table)).toBe(`site,share\r\n"finger, left",${1 / 3}\r\n'=1+1,\r\n`);
    expect(table.rows.map((row) => row.cells[1]!.text)).toEqual(['0.3', '–']);
  });
});

describe('intervals beside one another', () => {
  const row = (estimate: number | null, lower: number | null, upper: number | null) => ({ key: `${estimate}`, label: 'x', estimate, lower, upper, figure: 'f' });

  it('start at 0, and one very wide interval does not press the others together', () => {
    expect(intervalDomain([row(0.02, 0.01, 0.03), row(0.01, 0.001, 0.9)], { scale: 'from zero' })).toEqual([0, expect.closeTo(0.084, 10)]);
    expect(intervalDomain([row(0, 0, 0)], { scale: 'from zero' })).toEqual([0, 1]);
    expect(intervalDomain([row(null, null, null)], { scale: 'from zero' })).toEqual([0, 1]);
  });

  it('as ratios always show from a half to 2 and no limit that is 0 or has no end', () => {
    const [low, high] = intervalDomain([row(1.1, 0, Infinity)], { scale: 'ratio' });
    expect(low).toBeCloseTo(0.5 / 1.1, 10);
    expect(high).toBeCloseTo(2.2, 10);
    expect(ratioTicks([low, high])).toEqual([0.5, 1, 2]);
    expect(intervalDomain([row(12, 3, 40)], { scale: 'ratio' })[1]).toBeCloseTo(44, 10);
  });

  it('have a point for each group with an estimate, none for one without', () => {
    const { points } = intervalChart([row(0.02, 0.01, 0.03), row(null, null, null)], { xLabel: 'x', tickText: String, scale: 'from zero' }, 600);
    expect(points).toEqual([{ key: '0.02', label: 'x: f' }]);
  });

  it('write what does not fit beside the picture under its row, uncut', () => {
    const long = { ...row(0.5, 0.4, 0.6), label: 'before, 2 January 2030 to 20 March 2031', figure: '53.8 % (42.7 % to 67.9 %), 35 of 65 cases' };
    const [wide, narrow] = [1200, 640].map((widthPx) => intervalChart([long], { xLabel: 'x', tickText: String, scale: 'from zero' }, widthPx).options);
    expect([wide?.marginRight, wide?.height]).toEqual([textRoomPx(long.figure) + 18, 92]);
    expect([narrow?.marginRight, narrow?.height]).toEqual([18, 108]);
    // From the left edge of the picture to the right edge of the whole there is room for every letter.
    expect(640 - (narrow?.marginLeft ?? 640) - 4).toBeGreaterThanOrEqual(textRoomPx(long.figure));
  });
});

describe('steps of a curve', () => {
  const curve = (steps: [number, number][], followedTo: number) => ({
    key: 'k', label: 'l', look: { color: 'red', dashPx: [], shape: 'circle' as const }, steps: steps.map(([at, share]) => ({ at, share, lower: null, upper: null })), censoredAt: [], median: null, followedTo, figure: '',
  });

  it('begin at 1, go on to the end of follow-up and stop at the end of the axis', () => {
    expect(stepsShown(curve([[10, 0.5]], 30), 100).map(({ at, share }) => [at, share])).toEqual([[0, 1], [10, 0.5], [30, 0.5]]);
    expect(stepsShown(curve([[10, 0.5], [200, 0.1]], 300), 100).map(({ at, share }) => [at, share])).toEqual([[0, 1], [10, 0.5], [100, 0.5]]);
    expect(stepsShown(curve([], 0), 100).map(({ at, share }) => [at, share])).toEqual([[0, 1]]);
  });
});

describe('labels', () => {
  it('of signals stand once over neighbours that signal the same', () => {
    const point = (i: number, value: number, signal: string | null) => ({ i, value, signal, kind: 'counted' as const });
    expect(signalLabels([point(0, 1, 'run'), point(1, 3, 'run'), point(2, 2, 'run'), point(3, 9, 'beyond'), point(5, 9, 'beyond'), point(6, 0, null)])).toEqual([{ x: 1, y: 3, words: 'run' }, { x: 3, y: 9, words: 'beyond' }, { x: 5, y: 9, words: 'beyond' }]);
  });

  it('of units stand where there is room, those outside the limits first', () => {
    const unit = (label: string, size: number, value: number, beyond: 'none' | 'outer' = 'none') => ({ key: label, label, size, value, beyond, figure: '' });
    const units = [unit('OR 1', 40, 100), unit('OR 2', 42, 104, 'outer'), unit('OR 3', 300, 50)];
    expect(namesThatFit(units, (one) => one.size, (one) => one.value).map((one) => one.label)).toEqual(['OR 2', 'OR 3']);
  });

  it('of definitions keep the one in force, and leave out what would lie on another', () => {
    expect(thinned([5, 10, 20, 30, 60, 120], 30, 1000)).toEqual([5, 10, 20, 30, 60, 120]);
    expect(thinned([5, 10, 20, 30, 60, 120], 30, 160)).toEqual([5, 30, 120]);
    expect(thinned([30], 30, 100)).toEqual([30]);
  });

  it('are moved apart by the least that is needed, and stay between 0 and the top', () => {
    expect(spread([{ y: 0.5 }, { y: 0.52 }, { y: 0.1 }], 0.1, 1).map(({ y }) => y)).toEqual([0.1, 0.5, 0.6]);
    const crowded = spread([{ y: 1 }, { y: 1 }, { y: 0.98 }], 0.1, 1).map(({ y }) => y);
    expect(crowded.map((y) => Number(y.toFixed(10)))).toEqual([0.8, 0.9, 1]);
  });

  it('are cut where there is no room, and say so', () => {
    expect(fitted('finger', 100)).toBe('finger');
    expect(fitted('a very long name of a service', 73)).toBe('a very lo…');
  });

  it('break between words, a word longer than the line standing alone', () => {
    expect(wrapped('one two  three verylongword x', 8, (text) => text.length)).toEqual(['one two', 'three', 'verylongword', 'x']);
    expect(wrapped('', 8, (text) => text.length)).toEqual([]);
  });
});

it('the lags with a number beneath stand at round steps, 0 among them, and are no more than there is room for', () => {
  const lags = Array.from({ length: 73 }, (_, i) => ({ key: `${i}`, lagS: -120 + i * 10, mean: 0, lower: null, upper: null, n: 1, figure: '' }));
  const ticks = tickedLags(lags, 14).map((lag) => lag.lagS);
  expect(ticks).toEqual([-120, -60, 0, 60, 120, 180, 240, 300, 360, 420, 480, 540, 600]);
  expect(tickedLags(lags, 5).map((lag) => lag.lagS)).toEqual([0, 300, 600]);
});
