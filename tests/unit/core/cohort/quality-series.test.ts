import { describe, expect, test } from 'vitest';
import { proposeChart } from '../../../../core/cohort/make-chart.ts';
import { qualityCaseOf } from '../../../../core/cohort/quality-case-of.ts';
import { contributions, seriesPoints } from '../../../../core/cohort/quality-series.ts';
import type { QualityCase } from '../../../../core/model/quality-case.ts';
import type { KeptPoint, QualityDefinition } from '../../../../core/model/quality-chart.ts';
import { cohortCase, qualityCase, qualityDefinition, qualityLosses } from '../../../builders/quality-case.ts';

const digestOf = (text: string): string => text;
function points(cases: readonly QualityCase[], changes: Partial<QualityDefinition>, kept: readonly KeptPoint[] = [], openMonth = '2099-01') {
  const definition = qualityDefinition(changes);
  return seriesPoints(contributions(cases, definition).taken, definition, { kept, openMonth, digestOf });
}
const short = (list: ReturnType<typeof points>) => list.points.map(({ label, numerator, denominator, value, isOpen }) => [label, numerator, denominator, value, isOpen]);

describe('what a case gives', () => {
  test('a loss of exactly the limit is not long; one at any chosen sensor is enough', () => {
    const definition = qualityDefinition();
    const long = (lossesS: readonly number[], changes: Partial<QualityCase> = {}) => contributions([qualityCase('a', '2026-01-05', lossesS, changes)], definition).taken[0]?.hasLongLoss;
    expect([long([60]), long([60.001]), long([30, 61, 20])]).toEqual([false, true, true]);
    const sites = [
      { site: 'finger' as const, any: qualityLosses([30], 2), doubtfulLost: qualityLosses([90], 2) },
      { site: 'ear lobe' as const, any: qualityLosses([70], 2), doubtfulLost: qualityLosses([70], 2) },
    ];
    const at = (changes: Partial<QualityDefinition>) => contributions([qualityCase('a', '2026-01-05', [], { sites })], qualityDefinition(changes)).taken[0];
    expect([at({})?.hasLongLoss, at({ sites: ['finger'] })?.hasLongLoss, at({ sites: ['finger'], doubtfulLost: true })?.hasLongLoss]).toEqual([true, false, true]);
    expect([at({})?.monitoredMs, at({ sites: ['finger'] })?.monitoredMs]).toEqual([4 * 3_600_000, 2 * 3_600_000]);
  });

  test('of confirmed dropouts only cases take part that were read; a chart says which dropouts it counts', () => {
    const confirmed = { sites: [qualityLosses([70], 2)], blind: qualityLosses([], 2) };
    const cases = [qualityCase('a', '2026-01-05', [70, 90], { confirmed }), qualityCase('b', '2026-01-05', [70]), qualityCase('c', '2026-01-05', [], { notUsable: 'flagged by a reader: exclude from figures' })];
    const { taken, leftOut } = contributions(cases, qualityDefinition({ dropouts: 'confirmed' }));
    expect([taken.map(({ caseKey, losses, lostMs, monitoredMs }) => [caseKey, losses, lostMs, monitoredMs]), leftOut]).toEqual([[['a', 1, 70_000, 2 * 3_600_000]], { undated: 0, notUsable: 1, notChosen: 0, notReviewed: 1 }]);
    expect(contributions(cases, qualityDefinition({ dropouts: 'confirmed', lossOf: 'blind intervals' })).taken[0]?.losses).toBe(0);
    // Without saying it, and saying it, are the same for computed ones.
    expect(contributions(cases, qualityDefinition({ dropouts: 'computed' }))).toEqual(contributions(cases, qualityDefinition()));
    const at = { openMonth: '2099-01', digestOf, isPersonColumn: () => false };
    expect(proposeChart(qualityDefinition({ dropouts: 'confirmed', doubtfulLost: true }), cases, at)).toMatchObject({ ok: false, failure: { code: 'confirmed-has-one-result' } });
  });

  test('every case is taken or counted as left out, under the first reason that holds', () => {
    const cases = [
      qualityCase('a', '2026-01-05', [], { attributes: { service: 'cardiac' } }),
      qualityCase('b', null, [], { attributes: { service: 'cardiac' } }),
      qualityCase('c', null, [], { attributes: { service: 'cardiac' }, notUsable: 'no SpO2', sites: [] }),
      qualityCase('d', '2026-01-05', [], { attributes: { service: 'general' }, notUsable: 'no SpO2' }),
      qualityCase('e', '2026-01-05', [], { attributes: { service: 'cardiac' }, sites: [{ site: 'toe', any: qualityLosses([], 1), doubtfulLost: qualityLosses([], 1) }] }),
    ];
    const { taken, leftOut } = contributions(cases, qualityDefinition({ choice: [{ column: 'service', values: ['cardiac'] }], sites: ['finger'] }));
    expect([taken.map(({ caseKey }) => caseKey), leftOut]).toEqual([['a'], { undated: 1, notUsable: 2, notChosen: 1 }]);
  });
});

test('cases of one patient are one unit where a column names patients', () => {
  const of = (key: string, patient: string) => qualityCase(key, '2026-01-05', [], { attributes: { patient } });
  const clusters = (patientColumn: string | null) => contributions([of('a', 'p'), of('b', 'p'), of('c', ' ')], qualityDefinition({ patientColumn })).taken.map(({ cluster }) => cluster);
  expect([new Set(clusters(null)).size, new Set(clusters('patient')).size]).toEqual([3, 2]);
});

describe('points by month', () => {
  const cases = [
    qualityCase('a', '2025-11-03', [90]), qualityCase('b', '2025-11-30', [30, 40]),
    qualityCase('c', '2026-01-31', []), qualityCase('d', '2026-02-01', [300, 30]),
  ];

  // Worked by hand: November 2 cases, one with a dropout above 60 s; December none; January 1 of 0; February 1 of 1.
  test('follow each other without a hole, a month without cases has no value, the month of today is open', () => {
    expect(short(points(cases, {}, [], '2026-02'))).toEqual([['2025-11', 1, 2, 0.5, false], ['2025-12', 0, 0, null, false], ['2026-01', 0, 1, 0, false], ['2026-02', 1, 1, 1, true]]);
    expect(points(cases, {}).points.map(({ firstDate, lastDate }) => [firstDate, lastDate])).toEqual([['2025-11-01', '2025-11-30'], ['2025-12-01', '2025-12-31'], ['2026-01-01', '2026-01-31'], ['2026-02-01', '2026-02-28']]);
  });

  test('dates shifted beyond today leave only the last month open', () => {
    expect(points(cases, {}, [], '2024-07').points.map(({ isOpen }) => isOpen)).toEqual([false, false, false, true]);
  });

  // November: 3 dropouts, 160 s, 4 h. February: 2 dropouts, 330 s, 2 h.
  test('rates, shares of time and medians by hand', () => {
    expect(points(cases, { measure: 'losses per hour' }).points.map(({ value }) => value)).toEqual([3 / 4, null, 0, 1]);
    expect(points(cases, { measure: 'share of time lost' }).points.map(({ value }) => value)).toEqual([160 / 14_400, null, 0, 330 / 7200]);
    expect(points(cases, { measure: 'median duration' }).points.map(({ value }) => value)).toEqual([40, null, null, 165]);
  });

  test('do not depend on the order of the cases', () => {
    expect(points([...cases].reverse(), {})).toEqual(points(cases, {}));
  });

  test('a kept point stays first; an earlier case is counted and belongs to no point', () => {
    const kept = points(cases, {}).points.slice(0, 1);
    const late = points([...cases, qualityCase('x', '2025-10-31', [])], {}, kept);
    expect([late.beforeFirst, late.points[0]?.label]).toEqual([1, '2025-11']);
  });
});

describe('points of so many cases', () => {
  const cases = Array.from({ length: 12 }, (_, i) => qualityCase(String(i).padStart(2, '0'), `2026-01-${String(10 + i)}`, i % 3 === 0 ? [90] : []));

  test('a group without all its cases is open', () => {
    expect(short(points(cases, { grouping: { by: 'cases', size: 5 } }))).toEqual([
      ['2026-01-10 – 2026-01-14', 2, 5, 0.4, false], ['2026-01-15 – 2026-01-19', 2, 5, 0.4, false], ['2026-01-20 – 2026-01-21', 0, 2, 0, true],
    ]);
  });

  test('a case that comes late changes the kept group that it falls into, and moves no bound', () => {
    const grouping = { by: 'cases', size: 5 } as const;
    const kept = points(cases, { grouping }).points.filter(({ isOpen }) => !isOpen);
    const late = points([...cases, qualityCase('x', '2026-01-12', [90])], { grouping }, kept);
    expect(short(late)).toEqual([['2026-01-10 – 2026-01-14', 3, 6, 0.5, false], ['2026-01-15 – 2026-01-19', 2, 5, 0.4, false], ['2026-01-20 – 2026-01-21', 0, 2, 0, true]]);
    expect(late.points.map(({ digest }, i) => digest === kept[i]?.digest)).toEqual([false, true, false]);
  });

  test('cases that began at one instant are not parted', () => {
    const same = [...cases.slice(0, 4), qualityCase('p', '2026-01-20'), qualityCase('q', '2026-01-20'), qualityCase('r', '2026-01-21')];
    expect(points(same, { grouping: { by: 'cases', size: 5 } }).points.map(({ cases: n }) => n)).toEqual([6, 1]);
  });
});

describe('points between events', () => {
  // Events on the 3rd, 5th and 10th; 2 cases without between 5th and 10th; one case after.
  const cases = [qualityCase('a', '2026-03-02', []), qualityCase('b', '2026-03-03', [90]), qualityCase('c', '2026-03-05', [70]), qualityCase('d', '2026-03-06', []), qualityCase('e', '2026-03-09', [20]), qualityCase('f', '2026-03-10', [400]), qualityCase('g', '2026-03-14', [])];

  test('count the cases without an event, or the days; the last count is open', () => {
    expect(points(cases, { measure: 'cases between long losses' }).points.map(({ value, isOpen }) => [value, isOpen])).toEqual([[0, false], [2, false], [1, true]]);
    expect(points(cases, { measure: 'days between long losses' }).points.map(({ value, isOpen }) => [value, isOpen])).toEqual([[2, false], [5, false], [4, true]]);
    expect(points(cases, { measure: 'cases between long losses' }).beforeFirst).toBe(1);
  });

  test('an event that comes late takes the value of the kept point in which it falls, and no other', () => {
    const kept = points(cases, { measure: 'cases between long losses' }).points.filter(({ isOpen }) => !isOpen);
    const late = points([...cases, qualityCase('x', '2026-03-08', [90])], { measure: 'cases between long losses' }, kept);
    expect(late.points.map(({ value }) => value)).toEqual([0, null, 1]);
    const plain = points([...cases, qualityCase('x', '2026-03-08', [])], { measure: 'cases between long losses' }, kept);
    expect(plain.points.map(({ value }) => value)).toEqual([0, 3, 1]);
  });

  test('two events at one instant are one', () => {
    const twin = qualityCase('b2', '2026-03-05', [300]);
    const both = points([...cases, twin], { measure: 'days between long losses' });
    expect(both.points.map(({ value, numerator }) => [value, numerator])).toEqual([[2, 2], [5, 1], [4, 0]]);
    expect(points([...cases, twin], { measure: 'days between long losses' }, both.points.slice(0, 2)).points.map(({ value }) => value)).toEqual([2, 5, 4]);
  });

  test('without any event there is no point', () => {
    expect(points([qualityCase('a', '2026-03-02')], { measure: 'cases between long losses' })).toEqual({ points: [], beforeFirst: 1 });
  });
});

test('what a case of a cohort gives: sensors and the whole case, with their lengths', () => {
  const { sites, blind, hasVasopressor } = qualityCaseOf(cohortCase('a', '2026-01-05', [40, 90], 700));
  expect([sites, blind, hasVasopressor]).toEqual([[{ site: 'finger', any: qualityLosses([40, 90], 2), doubtfulLost: qualityLosses([40, 90], 2) }], qualityLosses([700], 2), false]);
});
