import fc from 'fast-check';
import { expect, test } from 'vitest';
import { drawChart, type DrawOptions } from '../../core/cohort/draw-chart.ts';
import { editChart, makeChart, type MakeOptions } from '../../core/cohort/make-chart.ts';
import type { QualityCase } from '../../core/model/quality-case.ts';
import { CHART_MEASURES } from '../../core/model/quality-chart.ts';
import { clusteredValues, drawnMedian } from '../../core/stats/clustered-medians.ts';
import { mersenneTwister } from '../../core/stats/mersenne-twister.ts';
import { median } from '../../core/stats/quantile.ts';
import { qualityCase, qualityDefinition } from '../builders/quality-case.ts';

const DRAW: DrawOptions = { openMonth: '2027-01', digestOf: (text) => text, conf: 0.95, replicates: 50, seed: 1 };
const MAKE: MakeOptions = { ...DRAW, now: '2027-01-01T00:00:00Z', newId: 'c', isPersonColumn: () => false };

/** Cases on days of two years, about half of them with losses. */
const drawn = (prefix: string) =>
  fc.array(fc.record({ day: fc.integer({ min: 0, max: 700 }), lossesS: fc.array(fc.integer({ min: 5, max: 300 }), { maxLength: 3 }) }), { minLength: 12, maxLength: 60 }).map((list) =>
    list.map(({ day, lossesS }, i): QualityCase => ({ ...qualityCase(`${prefix}${i}`, new Date(Date.UTC(2025, 0, 1 + day)).toISOString().slice(0, 10), lossesS), startedAtMs: Date.UTC(2025, 0, 1 + day, 8) + i })));

test('whatever cases come later, no kept point and no limit moves, and every difference is told', () => {
  fc.assert(fc.property(drawn('a'), drawn('b'), fc.constantFrom(...CHART_MEASURES), fc.constantFrom({ by: 'month' } as const, { by: 'cases', size: 5 } as const), (first, later, measure, grouping) => {
    const made = makeChart({ name: 'x', definition: qualityDefinition({ measure, grouping }), phase: { fromPoint: 0, kind: 'run', firstPoint: 0, lastPoint: 0, excluded: [], rules: [], reason: 'r' } }, first, MAKE);
    fc.pre(made.ok);
    if (!made.ok) return;
    const chart = made.value;
    const before = drawChart(chart, first, DRAW);
    expect(before.points.every(({ now }) => now === null)).toBe(true);
    const all = [...later, ...first];
    const after = drawChart(chart, all, DRAW);
    const kept = chart.points.length;
    const bare = ({ now: _now, caseKeys: _keys, signals: _signals, ...point }: (typeof after.points)[number]) => point;
    expect(after.points.slice(0, kept).map(bare)).toEqual(before.points.slice(0, kept).map(bare));
    // Told exactly where what the point looks at differs: the cases that came later and lie within it.
    after.points.slice(0, kept).forEach(({ now, digest, caseKeys }, i) => {
      const today = now?.digest ?? digest;
      expect(now === null).toBe(today === chart.points[i]?.digest);
      expect(now === null).toBe(!caseKeys.some((key) => key.startsWith('b')));
    });
    // Every dated case lies in one point, or before the first, or in the count from which the first event begins.
    const placed = after.points.reduce((sum, { caseKeys }) => sum + caseKeys.length, 0) + after.leftOut.beforeFirst;
    const isBetween = measure === 'cases between long losses' || measure === 'days between long losses';
    if (isBetween) expect(placed).toBeLessThanOrEqual(all.length);
    else expect(placed).toBe(all.length);
    // Keeping, in whatever order the cases come, keeps the same.
    const next = editChart(chart, { kind: 'keep points' }, all, MAKE);
    const mirrored = editChart(chart, { kind: 'keep points' }, [...all].reverse(), MAKE);
    expect(mirrored).toEqual(next);
    if (next.ok) expect(next.value.points.slice(0, kept)).toEqual(chart.points);
  }), { numRuns: 60 });
});

test('the median of drawn clusters is that of their values put together', () => {
  fc.assert(fc.property(fc.array(fc.array(fc.integer({ min: 0, max: 20 }), { maxLength: 4 }), { minLength: 1, maxLength: 10 }), fc.integer({ min: 0, max: 1000 }), (lists, seed) => {
    const values = clusteredValues(lists);
    const [one, two] = [mersenneTwister(seed), mersenneTwister(seed)];
    for (let r = 0; r < 5; r++) expect(drawnMedian(values, one.index)).toBe(median(lists.flatMap(() => lists[two.index(lists.length)] ?? [])));
  }));
});
