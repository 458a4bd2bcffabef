import { expect, test } from 'vitest';
import { cohortCharts } from '../../../../core/cohort/cohort-charts.ts';
import { CHANGE_COLUMNS, CHART_COLUMNS, changeRows, chartRows } from '../../../../core/report/cohort-charts-table.ts';
import type { CohortCase } from '../../../../core/model/cohort-case.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { qualityChartViewSchema } from '../../../../core/model/quality-chart-schema.ts';
import { cohortCase } from '../../../builders/quality-case.ts';

const OPTIONS = { conf: 0.95, draws: 100, seed: 1, change: { date: '2025-07-01', text: 'second sensor' } };
const MAKING = { digestOf: () => '', isPersonColumn: () => false };
/** Months of ten cases: three with 90 s lost, the first of them blind for 100 s. */
const months = (n: number): CohortCase[] =>
  Array.from({ length: n }, (_, m) => Array.from({ length: 10 }, (_unused, i) => cohortCase(`${m}-${i}`, `${2025 + Math.floor(m / 12)}-${String((m % 12) + 1).padStart(2, '0')}-${String(i + 1).padStart(2, '0')}`, i < 3 ? [90] : [], i === 0 ? 100 : 0))).flat();
const drawn = (cases: readonly CohortCase[], change: typeof OPTIONS.change | null = OPTIONS.change) => cohortCharts(cases, { ...OPTIONS, change }, DEFAULT_PARAMETERS, MAKING);

test('an export has the same six charts whatever the cases, with the change marked on each', () => {
  const views = drawn(months(12)).map((view) => qualityChartViewSchema.parse({ ...view, chart: { ...view.chart, chartId: 'run' } }));
  expect(views.map(({ chart: { definition, phases, changes } }) => [definition.measure, definition.lossOf, phases[0]?.kind, changes.length])).toEqual([
    ['cases with a long loss', 'dropouts', 'run', 1], ['losses per hour', 'dropouts', 'run', 1], ['share of time lost', 'dropouts', 'run', 1], ['median duration', 'dropouts', 'run', 1],
    ['cases with a long loss', 'blind intervals', 'run', 1], ['days between long losses', 'blind intervals', 'run', 1],
  ]);
  expect(views[0]?.points.map(({ state, value }) => [state, value])).toEqual(Array.from({ length: 12 }, () => ['kept', 0.3]));
  expect(views[0]?.effects[0]).toMatchObject({ before: { cases: 60, estimate: 0.3 }, after: { cases: 60, estimate: 0.3 }, effect: { estimate: 1 } });
});

test('a chart whose last count is not over is not lost with 10 or 11 points that are', () => {
  const [last] = drawn(months(12)).slice(-1);
  expect(last?.points.map(({ state }) => state)).toEqual([...Array<string>(11).fill('kept'), 'open']);
  expect(last?.chart.phases[0]).toMatchObject({ kind: 'run', baseline: { lastPoint: 10 } });
  expect(drawn(months(24)).map(({ chart }) => chart.phases[0]?.kind)).toEqual(['p', 'u', 'xmr', 'xmr', 'p', 't']);
});

test('no case, or none with a date, makes charts without points', () => {
  for (const cases of [[], [cohortCase('a', null, [90], 0)]]) expect(drawn(cases, null).map(({ points, chart }) => [points.length, chart.phases[0]?.kind])).toEqual(Array.from({ length: 6 }, () => [0, 'line']));
});

test('the table says which points are not over, and whether a stretch crosses its line too seldom', () => {
  const cells = (name: string, cases: readonly CohortCase[]) => [...chartRows(drawn(cases, null))].map((row) => CHART_COLUMNS.find((column) => column.name === name)?.cell({ of: row, run: undefined as never })); // those columns look at the row alone
  expect(cells('is_open', months(12)).filter((open) => open === true)).toHaveLength(1);
  // Twelve months at 0 and twelve at 0.3 of ten cases: one crossing, of which 7 or more are expected of 24 points.
  const shifted = months(24).filter(({ caseKey }) => Number(caseKey.split('-')[0]) >= 12 || Number(caseKey.split('-')[1]) >= 3);
  expect(cells('crosses_too_seldom', shifted)[0]).toBe(true);
  expect(cells('crosses_too_seldom', months(24))[0]).toBe(null);
});

test('times are written in seconds, and what is compared twice once', () => {
  const views = drawn(months(12));
  const cell = (name: string, row: ReturnType<typeof chartRows> extends Generator<infer Row> ? Row : never) => CHART_COLUMNS.find((column) => column.name === name)?.cell({ of: row, run: undefined as never });
  const row = [...chartRows(views)].find(({ view }) => view.chart.definition.measure === 'share of time lost')!;
  // Three of ten cases lost 90 s each.
  expect([cell('numerator', row), cell('value', row)]).toEqual([270, row.point.value]);
  expect(Number(cell('numerator', row)) / Number(cell('denominator', row))).toBeCloseTo(row.point.value!, 5);
  const compared = [...changeRows(views)].map((of) => ['measure', 'loss_of'].map((name) => CHANGE_COLUMNS.find((column) => column.name === name)?.cell({ of, run: undefined as never })));
  expect(compared).toEqual([['share of cases', 'dropouts'], ['per hour', 'dropouts'], ['share of time', 'dropouts'], ['median seconds', 'dropouts'], ['share of cases', 'blind intervals']]);
});
