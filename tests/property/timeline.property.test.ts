import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lossShape } from '../../renderer/timeline/episode-layer.ts';
import { spreadLabels } from '../../renderer/timeline/label-layout.ts';
import { buildTrace, levelColumns, rawColumns } from '../../renderer/timeline/plot-adapter.ts';
import { regularChannel } from '../builders/channel.ts';

const cells = fc.array(fc.oneof({ weight: 6, arbitrary: fc.integer({ min: 40, max: 100 }) }, { weight: 1, arbitrary: fc.constant(null) }), { minLength: 10, maxLength: 400 });

describe('columns for the plotting library', () => {
  it('keep every extreme of the record, at whatever resolution', () => {
    fc.assert(
      fc.property(cells, fc.integer({ min: 0, max: 7 }), (values, power) => {
        const trace = buildTrace(regularChannel({ quantity: 'spo2', site: 'finger' }, values), [1, 100]);
        const [column = []] = levelColumns([trace], ['both'], 1000 * 2 ** power).columns;
        const numbers = column.filter((cell) => typeof cell === 'number');
        expect([Math.min(...numbers), Math.max(...numbers)]).toEqual([Math.min(...trace.value), Math.max(...trace.value)]);
      }),
    );
  });
  it('never join two samples over a break: a null stands between them, and only nulls or nothing else', () => {
    fc.assert(
      fc.property(cells, (values) => {
        const trace = buildTrace(regularChannel({ quantity: 'spo2', site: 'finger' }, values), [1, 100]);
        const { xSec, columns } = rawColumns([trace]);
        const column = columns[0] ?? [];
        for (let i = 1; i < trace.tMs.length; i++) {
          const from = xSec.indexOf((trace.tMs[i - 1] ?? NaN) / 1000);
          const to = xSec.indexOf((trace.tMs[i] ?? NaN) / 1000);
          const between = column.slice(from + 1, to);
          if (trace.breakBefore[i] === 1) expect(between.length > 0 && between.every((cell) => cell === null)).toBe(true);
          else expect(between.every((cell) => cell === undefined)).toBe(true);
        }
        expect(xSec.every((x, i) => i === 0 || x > (xSec[i - 1] ?? Infinity))).toBe(true);
      }),
    );
  });
});

describe('geometry', () => {
  it('parts labels without overlap and inside the lane wherever they fit', () => {
    fc.assert(
      fc.property(fc.array(fc.record({ wantedPx: fc.double({ min: -50, max: 450, noNaN: true }), sizePx: fc.constant(17) }), { maxLength: 12 }), (labels) => {
        const middles = spreadLabels(labels, 400).sort((a, b) => a - b);
        for (const [i, middle] of middles.entries()) {
          expect(middle).toBeGreaterThanOrEqual(8.5 - 1e-6);
          expect(middle).toBeLessThanOrEqual(391.5 + 1e-6);
          if (i > 0) expect(middle - (middles[i - 1] ?? -Infinity)).toBeGreaterThanOrEqual(17 - 1e-6);
        }
      }),
    );
  });
  it('draws every loss in the window at least as wide as asked, its parts inside its whole', () => {
    const instants = fc.tuple(fc.nat(36_000), fc.nat(300), fc.nat(3000), fc.nat(300)).map(([a, b, c, d]) => {
      const firstLostMs = (a + b) * 1000;
      return { lastGoodMs: a * 1000, firstLostMs, lastLostMs: firstLostMs + c * 1000, firstGoodMs: firstLostMs + (c + d) * 1000 };
    });
    fc.assert(
      fc.property(instants, fc.integer({ min: 100, max: 2000 }), (loss, widthPx) => {
        const shape = lossShape(loss, 4e7, { startMs: 0, endMs: 4e7 }, widthPx, 3);
        if (shape === null) throw new Error('the loss lies in the window');
        expect(shape.certain.rightPx - shape.certain.leftPx).toBeGreaterThanOrEqual(3 - 1e-6);
        expect(shape.certain.leftPx).toBeGreaterThanOrEqual(shape.whole.leftPx - 1e-6);
        expect(shape.certain.rightPx).toBeLessThanOrEqual(shape.whole.rightPx + 1e-6);
      }),
    );
  });
});
