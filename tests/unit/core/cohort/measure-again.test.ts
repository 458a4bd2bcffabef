import { describe, expect, test } from 'vitest';
import { changeEffects } from '../../../../core/cohort/change-effect.ts';
import { type MeasureAgainOptions, measureAgain } from '../../../../core/cohort/measure-again.ts';
import { contributions } from '../../../../core/cohort/quality-series.ts';
import type { QualityCase } from '../../../../core/model/quality-case.ts';
import { CHART_MEASURES, type QualityDefinition } from '../../../../core/model/quality-chart.ts';
import { qualityCase, qualityDefinition } from '../../../builders/quality-case.ts';

const OPTIONS: MeasureAgainOptions = { conf: 0.95, replicates: 200, seed: 1, openMonth: '2031-12', digestOf: (text) => text, marked: [] };
const CHANGE = { date: '2031-03-10' };
const task = (changes: Partial<QualityDefinition> = {}, change = CHANGE) => ({ measure: { chartId: 'c', definition: qualityDefinition(changes) }, change });

/** So many cases a day from a day on, one with the losses for every `every` of them. */
const cases = (prefix: string, from: string, count: number, every: number, lossesS: readonly number[] = [90]): QualityCase[] =>
  Array.from({ length: count }, (_, i) => qualityCase(`${prefix}${i}`, new Date(Date.parse(`${from}T00:00:00Z`) + i * 86_400_000).toISOString().slice(0, 10), i % every === 0 ? lossesS : []));

const BEFORE = cases('a', '2031-01-01', 40, 4);
const AFTER = cases('b', '2031-03-10', 60, 10);

describe('a measure measured again', () => {
  test.each(CHART_MEASURES)('is what the chart shows for the marked change: %s', (measure) => {
    const all = [...BEFORE, ...AFTER];
    const found = measureAgain(task({ measure }), all, OPTIONS);
    const [shown] = changeEffects(contributions(all, qualityDefinition({ measure })).taken, measure, [{ changeId: 'x', date: CHANGE.date, text: '', madeAt: '' }], OPTIONS);
    expect(found.before).toMatchObject(shown?.before ?? {});
    expect(found.after).toMatchObject(shown?.after ?? {});
    expect(found).toMatchObject({ compared: shown?.compared, effect: shown?.effect, standing: measure === 'median duration' ? 'no interval' : 'measured', since: null, until: null });
    expect([found.before.units, found.after.units]).toEqual([40, 60]);
  });

  test('the time ends at the next marked change and begins at the one before; its own mark among them changes nothing', () => {
    const all = [...BEFORE, ...AFTER];
    const marked = [{ date: '2031-01-11' }, CHANGE, { date: '2031-04-19' }];
    const found = measureAgain(task(), all, { ...OPTIONS, marked });
    expect([found.since, found.until, found.before.cases, found.after.cases]).toEqual(['2031-01-11', '2031-04-19', 30, 40]);
    expect(measureAgain(task(), all, { ...OPTIONS, marked: marked.filter((one) => one !== CHANGE) })).toEqual(found);
    expect(measureAgain(task(), [...all].reverse(), { ...OPTIONS, marked })).toEqual(found);
  });

  test('where nothing was counted after the change it is still measured, with the limits of the exact law', () => {
    const all = [...BEFORE, ...cases('b', '2031-03-10', 60, 1, [])];
    const share = measureAgain(task(), all, OPTIONS);
    // 1 − 0.025^(1/60): Clopper & Pearson for 0 of 60.
    expect(share).toMatchObject({ standing: 'measured', after: { estimate: 0, lower: 0, method: 'exact' }, effect: { estimate: 0, lower: null, reason: 'nothing counted' } });
    expect(share.after.upper).toBeCloseTo(1 - 0.025 ** (1 / 60), 12);
    const rate = measureAgain(task({ measure: 'losses per hour' }), all, OPTIONS);
    // −ln 0.025 over 120 h: Garwood for no event.
    expect(rate.after.upper).toBeCloseTo(-Math.log(0.025) / 120, 12);
    expect(measureAgain(task({ measure: 'share of time lost' }), all, OPTIONS)).toMatchObject({ standing: 'measured', after: { estimate: 0, lower: null, upper: null, method: null, reason: 'nothing counted' } });
    expect(measureAgain(task({ measure: 'median duration' }), all, OPTIONS).after).toMatchObject({ estimate: null, method: null, reason: 'nothing counted' });
  });

  test('is too early until a whole month after the change is over, or a later month has cases', () => {
    const until = (last: string) => [...BEFORE, ...AFTER].filter(({ date }) => (date ?? '') <= last);
    const standing = (openMonth: string, last: string, change = CHANGE) => measureAgain(task({}, change), until(last), { ...OPTIONS, openMonth }).standing;
    expect(standing('2031-04', '2031-04-30')).toBe('too early');
    expect(standing('2031-05', '2031-04-30')).toBe('measured');
    // Dates that were shifted: the clock of today says nothing, the cases of May do.
    expect(standing('2026-01', '2031-05-01')).toBe('measured');
    // From a first of a month on, that month is whole.
    expect(standing('2031-03', '2031-03-31', { date: '2031-03-01' })).toBe('too early');
    expect(standing('2031-04', '2031-03-31', { date: '2031-03-01' })).toBe('measured');
  });

  test('is too early on a chart of groups until one whole group lies after the change', () => {
    const groups = { grouping: { by: 'cases', size: 20 } } as const;
    expect(measureAgain(task(groups), [...BEFORE, ...AFTER.slice(0, 19)], { ...OPTIONS, openMonth: '2031-03' }).standing).toBe('too early');
    expect(measureAgain(task(groups), [...BEFORE, ...AFTER.slice(0, 20)], { ...OPTIONS, openMonth: '2031-03' }).standing).toBe('measured');
    // Points between two events are no groups.
    expect(measureAgain(task({ ...groups, measure: 'cases between long losses' }), [...BEFORE, ...AFTER.slice(0, 20)], { ...OPTIONS, openMonth: '2031-03' }).standing).toBe('too early');
  });

  test('counts patients where a column names them: fewer than ten on a side are too few', () => {
    const few = measureAgain(task(), [...BEFORE.slice(0, 9), ...AFTER], OPTIONS);
    expect(few).toMatchObject({ standing: 'too few cases', before: { cases: 9, units: 9 }, effect: { kind: 'ratio' } });
    const named = [...BEFORE, ...AFTER].map((one, i) => ({ ...one, attributes: { patient: `p${i % 9}` } }));
    expect(measureAgain(task({ patientColumn: 'patient' }), named, OPTIONS)).toMatchObject({ standing: 'too few cases', before: { cases: 40, units: 9 } });
    expect(measureAgain(task(), [], OPTIONS)).toMatchObject({ standing: 'too few cases', before: { cases: 0, units: 0, estimate: null }, after: { cases: 0, estimate: null } });
  });

  test('without an interval it does not count: all durations alike', () => {
    const alike = measureAgain(task({ measure: 'median duration' }), [...cases('a', '2031-01-01', 40, 2, [30]), ...cases('b', '2031-03-10', 60, 2, [30])], OPTIONS);
    expect(alike).toMatchObject({ standing: 'no interval', before: { estimate: 30, lower: null, reason: 'all draws alike' } });
  });

  test('what is left out is counted, and the digest is of what the measure looks at', () => {
    const all = [...BEFORE, ...AFTER, qualityCase('u', null), qualityCase('n', '2031-02-01', [], { notUsable: 'no SpO2' })];
    const found = measureAgain(task(), all, OPTIONS);
    expect(found.leftOut).toEqual({ undated: 1, notUsable: 1, notChosen: 0 });
    const other = measureAgain(task(), all.map((one) => (one.caseKey === 'a0' ? qualityCase('a0', one.date, [95]) : one)), OPTIONS);
    expect(other).toEqual(found);
    expect(measureAgain(task({ measure: 'losses per hour' }), all.map((one) => (one.caseKey === 'a1' ? qualityCase('a1', one.date, [10]) : one)), OPTIONS).before.digest).not.toBe(measureAgain(task({ measure: 'losses per hour' }), all, OPTIONS).before.digest);
  });
});
