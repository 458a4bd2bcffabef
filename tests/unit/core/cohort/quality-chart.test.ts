import { describe, expect, test } from 'vitest';
import { chartChoice } from '../../../../core/cohort/chart-choice.ts';
import { type DrawOptions, drawChart } from '../../../../core/cohort/draw-chart.ts';
import { type MakeOptions, editChart, makeChart, proposeChart } from '../../../../core/cohort/make-chart.ts';
import type { QualityCase } from '../../../../core/model/quality-case.ts';
import type { ChartEdit, PhaseRequest, QualityChart, QualityDefinition } from '../../../../core/model/quality-chart.ts';
import { chartEditSchema, chartRequestSchema, qualityCaseSchema, qualityChartSchema, qualityChartViewSchema, qualityProposalSchema } from '../../../../core/model/quality-chart-schema.ts';
import { sigmaZOf } from '../../../../core/stats/laney.ts';
import { pChart } from '../../../../core/stats/shewhart.ts';
import { qualityCase, qualityDefinition } from '../../../builders/quality-case.ts';

const DRAW: DrawOptions = { openMonth: '2099-01', digestOf: (text) => text, conf: 0.95, replicates: 200, seed: 20260101 };
const MAKE: MakeOptions = { ...DRAW, now: '2026-11-01T00:00:00Z', newId: 'chart-1', isPersonColumn: (column) => column === 'surgeon' };
const PHASE: PhaseRequest = { fromPoint: 0, kind: null, firstPoint: 0, lastPoint: 19, excluded: [], rules: [], reason: 'before the new sensors' };

const monthOf = (i: number): string => `${2024 + Math.floor(i / 12)}-${String((i % 12) + 1).padStart(2, '0')}`;
/** Months of 20 cases, so many of them with a long dropout. */
function months(withLoss: readonly number[], from = 0): QualityCase[] {
  return withLoss.flatMap((x, m) => Array.from({ length: 20 }, (_, i) => qualityCase(`${m + from}-${i}`, `${monthOf(m + from)}-${String(i + 1).padStart(2, '0')}`, i < x ? [90] : [])));
}
// 24 months in control.
const STEADY = [4, 6, 3, 5, 7, 4, 2, 5, 6, 4, 3, 5, 4, 6, 5, 3, 4, 5, 6, 2, 5, 4, 3, 5];

function made(cases: readonly QualityCase[], definition: Partial<QualityDefinition> = {}, phase: Partial<PhaseRequest> = {}): QualityChart {
  const chart = makeChart(chartRequestSchema.parse({ name: 'Cardiac', definition: qualityDefinition(definition), phase: { ...PHASE, ...phase } }), cases, MAKE);
  if (!chart.ok) throw new Error(chart.failure.message);
  return qualityChartSchema.parse(chart.value);
}
function edited(chart: QualityChart, edit: ChartEdit, cases: readonly QualityCase[]): QualityChart {
  const next = editChart(chart, chartEditSchema.parse(edit), cases, { ...MAKE, newId: `id ${edit.kind}` });
  if (!next.ok) throw new Error(next.failure.message);
  return qualityChartSchema.parse(next.value);
}
const view = (chart: QualityChart, cases: readonly QualityCase[], options = DRAW) => qualityChartViewSchema.parse(drawChart(chart, cases, options));

describe('the choice of a chart', () => {
  const choose = (withLoss: readonly number[], changes: Partial<QualityDefinition> = {}) => {
    const proposal = proposeChart(qualityDefinition(changes), months(withLoss), MAKE);
    if (!proposal.ok) throw new Error(proposal.failure.message);
    return qualityProposalSchema.parse(proposal.value);
  };

  // The table of statistics g.
  test('follows the table: few points, runs, shares, counts, times, and rare events are told', () => {
    const steady = choose(STEADY);
    expect(choose(STEADY.slice(0, 9)).choice).toMatchObject({ kind: 'line', reason: 'fewer than 10 points', points: 9 });
    expect(choose(STEADY.slice(0, 19)).choice).toMatchObject({ kind: 'run', reason: '10 to 19 points' });
    expect(steady.choice).toMatchObject({ kind: 'p', reason: 'shares of cases', meanDenominator: 20, isRare: false });
    expect(choose(STEADY.map((x, i) => (i % 2 === 0 ? x : x + 10))).choice).toMatchObject({ kind: 'p prime', reason: 'shares that scatter more than chance' });
    expect(choose(STEADY, { measure: 'losses per hour' }).choice.kind).toBe('u');
    const point = { cases: 2000, digest: '' };
    const many = Array.from({ length: 20 }, (_, i) => ({ ...point, numerator: 200 + (i % 2), denominator: 2000, value: (200 + (i % 2)) / 2000 }));
    expect([chartChoice('losses per hour', many).reason, chartChoice('cases with a long loss', many).reason]).toEqual(['counts in very many hours', 'shares of very many cases']);
    expect(choose(STEADY, { measure: 'share of time lost' }).choice).toMatchObject({ kind: 'xmr', reason: 'time is not counted in cases' });
    expect(choose(STEADY, { measure: 'cases between long losses' }).choice).toMatchObject({ kind: 'g', reason: 'rare events' });
    expect(choose(STEADY, { measure: 'days between long losses' }).choice.kind).toBe('t');
    expect(choose(STEADY.map((_, i) => (i % 4 === 0 ? 1 : 0))).choice.isRare).toBe(true);
  });

  test('proposes a baseline of up to 24 points, provisional below 20, none below 12', () => {
    expect([choose([...STEADY, 4, 5]).baseline, choose(STEADY.slice(0, 13)).baseline, choose(STEADY.slice(0, 11)).baseline]).toEqual([
      { firstPoint: 0, lastPoint: 23, excluded: [], isProvisional: false }, { firstPoint: 0, lastPoint: 12, excluded: [], isProvisional: true }, null,
    ]);
  });

  test('no chart is made of persons, nor of the site of a blind interval', () => {
    const code = (changes: Partial<QualityDefinition>) => {
      const proposal = proposeChart(qualityDefinition(changes), [], MAKE);
      return proposal.ok ? null : proposal.failure.code;
    };
    expect([code({ choice: [{ column: 'surgeon', values: ['A'] }] }), code({ lossOf: 'blind intervals', sites: ['finger'] }), code({ lossOf: 'blind intervals' })]).toEqual(['person-column', 'blind-has-no-site', null]);
  });
});

describe('a chart that was made', () => {
  const cases = months(STEADY);
  const chart = made(cases);

  test('has the limits of its baseline (p chart of the first 20 months)', () => {
    const known = pChart(STEADY, STEADY.map(() => 20), { sigmas: 3, baselinePoints: 20 });
    expect(chart.phases[0]).toMatchObject({ kind: 'p', limits: { centre: known.centre, sigmaZ: null }, baseline: { isProvisional: false } });
    view(chart, cases).points.forEach((point, i) => {
      expect(point.upper).toBeCloseTo(known.ucl[i] ?? NaN, 12);
      expect(point.lower).toBeCloseTo(known.lcl[i] ?? NaN, 12);
    });
    expect(cases.slice(0, 2).map((one) => qualityCaseSchema.parse(one))).toEqual(cases.slice(0, 2));
  });

  test('keeps its limits and points when cases come later; a month that is over waits to be kept, the month of today is open', () => {
    const later = [...cases, ...months([12, 3], 24)];
    const drawn = view(chart, later, { ...DRAW, openMonth: monthOf(25) });
    expect(drawn.points.slice(0, 24)).toEqual(view(chart, cases).points);
    expect(drawn.points.slice(24).map(({ state, value, signals }) => [state, value, signals])).toEqual([['new', 0.6, ['beyond the limits']], ['open', 0.15, []]]);
    const kept = edited(chart, { kind: 'keep points' }, later);
    expect([kept.points.length, kept.phases]).toEqual([26, chart.phases]);
    expect(editChart(kept, { kind: 'keep points' }, later, MAKE)).toMatchObject({ ok: false, failure: { code: 'nothing-to-keep' } });
  });

  test('an old case that comes late moves no point: the difference is told, and taken over only with a reason', () => {
    const later = [...cases, qualityCase('late', `${monthOf(3)}-25`, [90])];
    const drawn = view(chart, later);
    expect(drawn.points.map(({ now }) => now !== null)).toEqual(drawn.points.map((_, i) => i === 3));
    expect(drawn.points[3]).toMatchObject({ value: 0.25, numerator: 5, denominator: 20, now: { value: 6 / 21, numerator: 6, denominator: 21, cases: 21 } });
    expect(editChart(chart, { kind: 'restate point', point: 3, reason: ' ' }, later, MAKE)).toMatchObject({ ok: false, failure: { code: 'no-reason' } });
    const restated = edited(chart, { kind: 'restate point', point: 3, reason: 'export was incomplete' }, later);
    expect(restated.restated).toMatchObject([{ point: 3, before: { numerator: 5, denominator: 20 }, reason: 'export was incomplete' }]);
    expect(view(restated, later).points[3]).toMatchObject({ numerator: 6, now: null, upper: drawn.points[3]?.upper === null ? null : expect.any(Number) });
    // The limits stay those of the day they were fixed.
    expect(restated.phases).toEqual(chart.phases);
  });

  test('a case that was removed is told too', () => {
    expect(view(chart, cases.filter(({ caseKey }) => caseKey !== '5-0')).points[5]).toMatchObject({ numerator: 4, now: { numerator: 3, cases: 19 } });
  });

  test('limits are worked out anew only as a phase of a person, with a reason, and earlier points keep theirs', () => {
    const all = [...cases, ...months(STEADY.map((x) => Math.max(0, x - 3)), 24)];
    const kept = edited(chart, { kind: 'keep points' }, all);
    const request: PhaseRequest = { fromPoint: 24, kind: null, firstPoint: 24, lastPoint: 47, excluded: [], rules: [], reason: 'second sensor for tucked arms' };
    expect(editChart(kept, { kind: 'new phase', phase: { ...request, reason: '' } }, all, MAKE)).toMatchObject({ ok: false, failure: { code: 'no-reason' } });
    expect(editChart(kept, { kind: 'new phase', phase: { ...request, lastPoint: 30 } }, all, MAKE)).toMatchObject({ ok: false, failure: { code: 'baseline-short' } });
    expect(editChart(kept, { kind: 'new phase', phase: { ...request, lastPoint: 99 } }, all, MAKE)).toMatchObject({ ok: false, failure: { code: 'no-point' } });
    const phased = view(edited(kept, { kind: 'new phase', phase: request }, all), all);
    const before = view(kept, all);
    expect(phased.points.slice(0, 24)).toEqual(before.points.slice(0, 24));
    expect(new Set(phased.points.map(({ centre }) => centre)).size).toBe(2);
    // Runs are counted anew in the new phase.
    expect(phased.runs.map(({ firstPoint, lastPoint }) => [firstPoint, lastPoint])).toEqual([[0, 23], [24, 47]]);
    expect([before.runs.map(({ isLongRun }) => isLongRun), phased.runs.map(({ isLongRun }) => isLongRun)]).toEqual([[true], [false, false]]);
  });

  test('a change parts the runs, and the month in which it falls belongs to neither side', () => {
    const marked = edited(chart, { kind: 'mark change', date: `${monthOf(10)}-15`, text: 'warm hands' }, cases);
    expect(view(marked, cases).runs.map(({ firstPoint, lastPoint }) => [firstPoint, lastPoint])).toEqual([[0, 9], [11, 23]]);
    const onFirst = edited(chart, { kind: 'mark change', date: `${monthOf(10)}-01`, text: 'warm hands' }, cases);
    expect(view(onFirst, cases).runs.map(({ firstPoint, lastPoint }) => [firstPoint, lastPoint])).toEqual([[0, 9], [10, 23]]);
    expect(editChart(onFirst, { kind: 'mark change', date: `${monthOf(10)}-01`, text: 'again' }, cases, MAKE)).toMatchObject({ ok: false, failure: { code: 'change-known' } });
    expect(edited(onFirst, { kind: 'remove change', changeId: 'id mark change' }, cases).changes).toEqual([]);
    expect(chartEditSchema.safeParse({ kind: 'mark change', date: '2026-02-30', text: 'x' }).success).toBe(false);
  });

  test('before and after a change: estimate with the interval over cases, the ratio with both variances', () => {
    const all = [...cases, ...months(STEADY.map((x) => Math.max(0, x - 2)), 24)];
    const marked = edited(chart, { kind: 'mark change', date: `${monthOf(24)}-01`, text: 'second sensor' }, all);
    const [effect] = view(marked, all).effects;
    const after = STEADY.reduce((sum, x) => sum + Math.max(0, x - 2), 0);
    const before = STEADY.reduce((sum, x) => sum + x, 0);
    expect(effect).toMatchObject({ compared: 'share of cases', before: { cases: 480, estimate: before / 480 }, after: { cases: 480, estimate: after / 480 } });
    expect(effect?.effect.estimate).toBeCloseTo(after / before, 12);
    // Large samples: the log interval of a risk ratio by the delta method (Katz et al., Biometrics 1978;34:469) lies within a per cent of it.
    const se = Math.sqrt(1 / after - 1 / 480 + 1 / before - 1 / 480);
    expect(effect?.effect.upper).toBeCloseTo((after / before) * Math.exp(1.96 * se), 2);
    expect(effect?.effect.lower).toBeCloseTo((after / before) * Math.exp(-1.96 * se), 2);
  });

  test('medians before and after: a shift of ten seconds is found, and without a dropout there is none', () => {
    const long = (s: number, from: number) => months(STEADY, from).map((one, i) => (one.sites[0]?.any.count === 0 ? one : qualityCase(one.caseKey, one.date, [s + (i % 7)])));
    const all = [...long(70, 0), ...long(80, 24)];
    const medians = made(all, { measure: 'median duration' }, { lastPoint: 23 });
    const marked = edited(medians, { kind: 'mark change', date: `${monthOf(24)}-01`, text: 'x' }, all);
    const [effect] = view(marked, all).effects;
    expect(effect?.effect).toMatchObject({ kind: 'difference', estimate: 10, reason: null });
    expect(effect?.effect.lower).toBeLessThanOrEqual(10);
    expect(effect?.effect.upper).toBeGreaterThanOrEqual(10);
    const none = edited(medians, { kind: 'mark change', date: `${monthOf(40)}-01`, text: 'x' }, all.slice(0, 480));
    expect(view(none, all.slice(0, 480)).effects[0]?.effect).toMatchObject({ estimate: null, reason: 'nothing counted' });
  });
});

describe('limits by kind', () => {
  const WILD = STEADY.map((x, i) => (i % 2 === 0 ? x : x + 10));

  test('p prime is as wide as sigmaZ says; patterns are looked for where they are asked for', () => {
    const chart = made(months(WILD), {}, { rules: [4] });
    const n = WILD.map(() => 20);
    const { centre } = pChart(WILD, n, { sigmas: 3, baselinePoints: 20 });
    expect(chart.phases[0]?.limits.sigmaZ).toBe(sigmaZOf('share', WILD, n, centre ?? NaN, { sigmas: 3, baselinePoints: 20 }));
    expect(view(chart, months(WILD)).points.filter(({ signals }) => signals.includes('pattern 4')).map(({ label }) => label)[0]).toBe(monthOf(13));
  });

  test('the fixed rules of shift and trend are looked for where they are asked for (Perla et al. 2011)', () => {
    const rising = [4, 6, 3, 5, 7, 4, 2, 5, 6, 4, 3, 5, 2, 4, 6, 8, 9, 9, 8, 7, 9, 8];
    const cases = months(rising);
    const points = view(made(cases, {}, { kind: 'run', lastPoint: 11, rules: ['shift of 6', 'trend of 5'] }), cases).points;
    const at = (signal: string) => points.flatMap(({ signals }, i) => (signals.some((one) => one === signal) ? [i] : []));
    // Median of the first 12 months: 4.5 of 20. Above it from the 15th month on: the sixth is the 20th. 2 4 6 8 9: the fifth is the 17th; the next 9 repeats.
    expect([at('shift of 6'), at('trend of 5')]).toEqual([[19, 20, 21], [16]]);
  });

  test('points that scatter less than chance show the limits of chance too', () => {
    const even = STEADY.map(() => 5);
    const [point] = view(made(months(even), {}, { kind: 'p prime' }), months(even)).points;
    expect([point?.lower, point?.upper]).toEqual([0.25, 0.25]);
    // 0.25 ± 3·√(0.25·0.75/20)
    expect(point?.chance?.upper).toBeCloseTo(0.25 + 3 * Math.sqrt((0.25 * 0.75) / 20), 12);
  });

  test('single values, run, g and t charts draw what the statistics give, and a share is cut to 0 and 1', () => {
    const cases = months(STEADY);
    const share = view(made(cases, { measure: 'share of time lost' }), cases).points;
    expect(share.every(({ lower, upper, centre }) => lower !== null && upper !== null && centre !== null && lower >= 0 && upper <= 1 && lower <= centre && centre <= upper)).toBe(true);
    const run = view(made(cases.slice(0, 300), {}, { lastPoint: 14 }), cases.slice(0, 300));
    // Median of the first 15 months: 5 of 20.
    expect([run.points[0]?.centre, run.points[0]?.upper, run.runs[0]?.isJudged]).toEqual([0.25, null, true]);
    const between = made(cases, { measure: 'cases between long losses' }, { lastPoint: 23 });
    expect(between.phases[0]).toMatchObject({ kind: 'g' });
    expect(view(between, cases).points[0]).toMatchObject({ lower: 0, upper: expect.any(Number) as number });
    const days = made(cases, { measure: 'days between long losses' }, { lastPoint: 23 });
    expect(days.phases[0]).toMatchObject({ kind: 't' });
    expect(view(days, cases).points[0]?.upper).toBeGreaterThan(1);
  });

  test('a kind that does not fit and a short baseline are refused', () => {
    const refuse = (cases: readonly QualityCase[], definition: Partial<QualityDefinition>, phase: Partial<PhaseRequest>) => {
      const chart = makeChart({ name: 'x', definition: qualityDefinition(definition), phase: { ...PHASE, ...phase } }, cases, MAKE);
      return chart.ok ? null : chart.failure.code;
    };
    const cases = months(STEADY);
    expect([
      refuse(cases, { measure: 'share of time lost' }, { kind: 'p' }), refuse(cases, {}, { kind: 'p', lastPoint: 10 }), refuse(cases, {}, { lastPoint: 24 }), refuse(cases, {}, { reason: '' }),
      refuse(cases.slice(0, 40), {}, { lastPoint: 1 }), refuse(cases, {}, {}),
    ]).toEqual(['kind-not-fit', 'baseline-short', 'no-point', 'no-reason', null, null]);
  });
});
