import { expect, test } from 'vitest';
import { monthlyCharts, LONG_LOSS_S, RARE_LOSS_S } from '../../../../core/cohort/monthly-charts.ts';
import { unitFunnel } from '../../../../core/cohort/unit-funnel.ts';
import type { CohortCase } from '../../../../core/model/cohort-case.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { qualityChartViewSchema } from '../../../../core/model/quality-chart-schema.ts';
import type { FunnelRequest } from '../../../../core/model/unit-funnel.ts';
import { headingText, rowsText } from '../../../../core/report/column.ts';
import { FUNNEL_COLUMNS, QUALITY_CHANGE_COLUMNS, QUALITY_POINT_COLUMNS, funnelRows, qualityChangeRows, qualityPointRows } from '../../../../core/report/quality-tables.ts';
import { cohortCase, qualityCase } from '../../../builders/quality-case.ts';

const OPTIONS = { parameters: DEFAULT_PARAMETERS, longLossS: LONG_LOSS_S, rareLossS: RARE_LOSS_S, patientColumn: null, change: { date: '2025-07-01', text: 'second sensor' }, conf: 0.95, replicates: 100, seed: 1 };
/** Twelve months of ten cases: three with 90 s lost, one of them blind for 700 s. */
const CASES: CohortCase[] = Array.from({ length: 12 }, (_, m) => Array.from({ length: 10 }, (_unused, i) => cohortCase(`${m}-${i}`, `2025-${String(m + 1).padStart(2, '0')}-${String(i + 1).padStart(2, '0')}`, i < 3 ? [90] : [], i === 0 ? 700 : 0))).flat();

test('a run has six charts, as proposed, with the change marked on each', () => {
  const views = monthlyCharts(CASES, OPTIONS).map((view) => qualityChartViewSchema.parse({ ...view, chart: { ...view.chart, chartId: 'run' } }));
  expect(views.map(({ chart: { definition, phases, changes } }) => [definition.measure, phases[0]?.kind, changes.length])).toEqual([
    ['cases with a long loss', 'run', 1], ['losses per hour', 'run', 1], ['share of time lost', 'run', 1], ['median duration', 'run', 1], ['cases between long losses', 'run', 1], ['days between long losses', 'run', 1],
  ]);
  expect(views[0]?.points.map(({ state, value }) => [state, value])).toEqual(Array.from({ length: 12 }, () => ['kept', 0.3]));
  // From the first of a month to the first of the next; 9 cases without in between.
  expect(views[4]?.points.filter(({ state }) => state === 'kept').map(({ value }) => value)).toEqual(Array.from({ length: 11 }, () => 9));
  expect(views[0]?.effects[0]).toMatchObject({ before: { cases: 60, estimate: 0.3 }, after: { cases: 60, estimate: 0.3 }, effect: { estimate: 1 } });
});

test('no case, or none with a date, makes charts without points', () => {
  for (const cases of [[], [cohortCase('a', null, [90], 0)]]) expect(monthlyCharts(cases, { ...OPTIONS, change: null }).map(({ points, chart }) => [points.length, chart.phases[0]?.kind])).toEqual(Array.from({ length: 6 }, () => [0, 'line']));
});

test('the tables hold a row per point, per change and per unit, and an empty cell for what is not defined', () => {
  const views = monthlyCharts(CASES, OPTIONS);
  const points = (headingText(QUALITY_POINT_COLUMNS) + rowsText(QUALITY_POINT_COLUMNS, qualityPointRows(views))).split('\r\n');
  expect(points[0]).toBe('chart,measure,losses_of,longer_than_s,point,label,state,cases,numerator,denominator,value,value_today,differs_from_kept,kind,why_kind,in_baseline,baseline_provisional,sigma_z,centre,limit_lower,limit_upper,signals');
  expect(points[1]).toBe('cases with a long loss,cases with a long loss,dropouts,60,1,2025-01,kept,10,3,10,0.3,,no,run,10 to 19 points,yes,yes,,0.3,,,');
  expect(points).toHaveLength(1 + 4 * 12 + 2 * 12 + 1);
  const changes = rowsText(QUALITY_CHANGE_COLUMNS, qualityChangeRows(views)).split('\r\n');
  expect(changes[0]).toMatch(/^cases with a long loss,cases with a long loss,dropouts,60,2025-07-01,second sensor,share of cases,60,0\.3,0\.\d+,0\.\d+,60,0\.3,0\.\d+,0\.\d+,ratio,1,0\.\d+,1\.\d+,,,$/);
  const request: FunnelRequest = { by: { kind: 'site' }, lossOf: 'dropouts', longerThanS: 60, doubtfulLost: false, firstDate: null, lastDate: null, choice: [] };
  const funnel = unitFunnel([...Array.from({ length: 12 }, (_, i) => qualityCase(String(i), '2025-01-01', i < 3 ? [90] : []))], request, () => false);
  expect(funnel.ok && rowsText(FUNNEL_COLUMNS, funnelRows(request, funnel.value))).toMatch(/^site,finger,12,3,60,0\.25,0\.25,[\d.]+,[\d.]+,[\d.]+,[\d.]+,inside,,no,,0,finger 1\r\n$/);
});
