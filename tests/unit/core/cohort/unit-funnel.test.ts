import { describe, expect, test } from 'vitest';
import { groupingColumns, unitFunnel } from '../../../../core/cohort/unit-funnel.ts';
import type { QualityCase } from '../../../../core/model/quality-case.ts';
import type { FunnelRequest } from '../../../../core/model/unit-funnel.ts';
import { funnelRequestSchema, groupingColumnsSchema, unitFunnelSchema } from '../../../../core/model/unit-funnel-schema.ts';
import { funnelPoint, funnelShareLimit } from '../../../../core/stats/funnel.ts';
import { qualityCase, qualityLosses } from '../../../builders/quality-case.ts';

const REQUEST: FunnelRequest = { by: { kind: 'column', column: 'room' }, lossOf: 'dropouts', longerThanS: 60, doubtfulLost: false, firstDate: null, lastDate: null, choice: [] };
const isPersonColumn = (column: string): boolean => column === 'surgeon';
const funnel = (cases: readonly QualityCase[], changes: Partial<FunnelRequest> = {}) => {
  const result = unitFunnel(cases, funnelRequestSchema.parse({ ...REQUEST, ...changes }), isPersonColumn);
  if (!result.ok) throw new Error(result.failure.message);
  return unitFunnelSchema.parse(result.value);
};
/** So many cases of a room, so many of them with a long dropout. */
const room = (name: string, n: number, x: number): QualityCase[] =>
  Array.from({ length: n }, (_, i) => qualityCase(`${name}${i}`, '2026-03-01', i < x ? [90] : [], { attributes: { room: name, 'surgeon': `S${i % 3}`, 'age at the case': i % 2 === 0 ? '60' : '90 or more' }, hasVasopressor: i % 4 === 0 }));

describe('a funnel of rooms', () => {
  const cases = [...room('B', 120, 9), ...room('A', 300, 9), ...room('C', 9, 2), ...room('D', 40, 1)];

  test('has exact limits around the share of all at each number of cases, and the status from the exact tail', () => {
    const { target, units, isWidened } = funnel(cases);
    expect([target, isWidened, units.map(({ name, cases: n, withLongLoss }) => [name, n, withLongLoss])]).toEqual([21 / 469, false, [['A', 300, 9], ['B', 120, 9], ['D', 40, 1], [null, 9, 2]]]);
    for (const unit of units) {
      expect(unit.upper998).toBe(funnelShareLimit(unit.cases, 21 / 469, 0.999));
      expect(unit.lower95).toBe(funnelShareLimit(unit.cases, 21 / 469, 0.025));
      const point = funnelPoint(unit.withLongLoss, unit.cases, 21 / 469);
      expect([unit.pUpper, unit.pLower, unit.status === 'inside']).toEqual([point.pUpper, point.pLower, !point.beyond95]);
    }
  });

  test('names no unit with fewer than ten cases and does not lead to its cases; nothing is ranked', () => {
    const { units } = funnel(cases);
    expect(units.map(({ name, caseKeys }) => [name, caseKeys.length])).toEqual([['A', 300], ['B', 120], ['D', 40], [null, 0]]);
    expect(funnel([...cases].reverse())).toEqual(funnel(cases));
  });

  test('of confirmed dropouts takes only cases of which every dropout was read, with what is left of their losses', () => {
    // Of 20 cases with a dropout of 90 s each, 12 are read: of 5 it is confirmed, of 7 refuted.
    const read = room('A', 20, 20).map((one, i): QualityCase => ({ ...one, confirmed: i >= 12 ? null : { sites: [qualityLosses(i < 5 ? [90] : [], 2)], blind: qualityLosses([], 2) } }));
    expect([funnel(read).units[0]?.withLongLoss, funnel(read).leftOut.notReviewed]).toEqual([20, undefined]);
    const { units, leftOut } = funnel(read, { dropouts: 'confirmed' });
    expect([units[0]?.withLongLoss, units[0]?.cases, leftOut.notReviewed]).toEqual([5, 12, 8]);
    expect(unitFunnel(read, { ...REQUEST, dropouts: 'confirmed', doubtfulLost: true }, isPersonColumn)).toMatchObject({ ok: false, failure: { code: 'confirmed-has-one-result' } });
  });

  test('says what the cases of each unit were like', () => {
    expect(funnel(room('A', 20, 1)).units[0]?.mix).toEqual({ medianAge: 75, casesWithAge: 20, withVasopressor: 0.25, sites: [{ site: 'finger', share: 1 }] });
  });

  test('widens its limits where rooms differ far more than chance', () => {
    const wild = ['A', 'B', 'C', 'D', 'E', 'F', 'G', 'H'].flatMap((name, i) => room(name, 100, i % 2 === 0 ? 5 : 30));
    const { phi, phiThreshold, isWidened, units, target } = funnel(wild);
    // 1 + 2·√(2/8) = 2
    expect([phiThreshold, isWidened]).toEqual([2, true]);
    expect(units[0]?.upper95).toBeCloseTo((target ?? NaN) + (funnelShareLimit(100, target ?? NaN, 0.975) - (target ?? NaN)) * Math.sqrt(phi ?? NaN), 12);
    expect(units.every(({ status }) => status === 'inside')).toBe(true);
    expect(funnelPoint(30, 100, target ?? NaN).beyond95).toBe(true);
  });

  test('counts every case that it cannot place', () => {
    const odd = [
      qualityCase('1', '2026-03-01', [], { attributes: { room: ' ' } }), qualityCase('2', '2026-05-01', [], { attributes: { room: 'A' } }),
      qualityCase('3', null, [], { attributes: { room: 'A' } }), qualityCase('4', '2026-03-01', [], { attributes: { room: 'A' }, notUsable: 'no SpO2' }),
      qualityCase('5', '2026-03-01', [], { attributes: { room: 'A', service: 'general' } }),
    ];
    const found = funnel([...room('A', 12, 1), ...odd], { firstDate: '2026-03-01', lastDate: '2026-03-31', choice: [] });
    expect([found.leftOut, found.units[0]?.cases]).toEqual([{ notUsable: 1, notChosen: 0, outsidePeriod: 2, withoutUnit: 1 }, 13]);
    expect(funnel(odd, { choice: [{ column: 'service', values: ['general'] }] }).leftOut.notChosen).toBe(4);
    expect(funnel([])).toMatchObject({ target: null, units: [], curve: [] });
  });

  test('is not made of persons, nor chosen by them', () => {
    const code = (changes: Partial<FunnelRequest>) => {
      const result = unitFunnel(cases, { ...REQUEST, ...changes }, isPersonColumn);
      return result.ok ? null : result.failure.code;
    };
    expect([code({ by: { kind: 'column', column: 'surgeon' } }), code({ choice: [{ column: 'surgeon', values: ['S1'] }] }), code({ by: { kind: 'site' }, lossOf: 'blind intervals' })]).toEqual(['person-column', 'person-column', 'blind-has-no-site']);
  });
});

test('by site a case counts at every site where it was monitored, with the losses of that site', () => {
  const two = Array.from({ length: 10 }, (_, i) =>
    qualityCase(String(i), '2026-03-01', [], {
      sites: [
        { site: 'ear lobe', any: qualityLosses(i === 0 ? [90] : [], 2), doubtfulLost: qualityLosses([], 2) },
        { site: 'finger', any: qualityLosses(i < 4 ? [90] : [], 2), doubtfulLost: qualityLosses([], 2) },
      ],
    }));
  expect(funnel(two, { by: { kind: 'site' } }).units.map(({ name, cases: n, withLongLoss }) => [name, n, withLongLoss])).toEqual([['finger', 10, 4], ['ear lobe', 10, 1]]);
});

test('columns that cases may be grouped by, and why others are not', () => {
  const cases = Array.from({ length: 8 }, (_, i) => qualityCase(String(i), null, [], { attributes: { room: i < 3 ? '1' : '2', surgeon: `S${i % 2}`, number: String(i), hospital: 'X', ...(i === 0 && { empty: '' }) } }));
  expect(groupingColumnsSchema.parse(groupingColumns(cases, isPersonColumn))).toEqual([
    { column: 'hospital', values: 1, commonest: [], refusedBecause: 'one value' },
    { column: 'number', values: 8, commonest: [], refusedBecause: 'a value for almost every case' },
    { column: 'room', values: 2, commonest: [{ value: '2', cases: 5 }, { value: '1', cases: 3 }], refusedBecause: null },
    { column: 'surgeon', values: 2, commonest: [], refusedBecause: 'names persons' },
  ]);
});
