import type { ChangeEffect, ChartPoint, QualityChartView } from '../model/quality-chart.ts';
import type { FunnelUnit } from '../model/unit-funnel.ts';
import type { CohortColumn } from './cohort-row.ts';
import { setColumn } from './cohort-row.ts';
import { computed } from './numbers.ts';

/** A point of a chart. */
export interface ChartTableRow {
  readonly view: QualityChartView;
  readonly point: ChartPoint;
}

/** Yields the rows of cohort-charts.csv. */
export function* chartRows(views: readonly QualityChartView[]): Generator<ChartTableRow> {
  for (const view of views) for (const point of view.points) yield { view, point };
}

/** The columns of cohort-charts.csv. */
export const CHART_COLUMNS: readonly CohortColumn<ChartTableRow>[] = [
  { name: 'measure', meaning: 'what a point is', unit: '', how: 'a long loss lasts more than 60 s (mid estimate)', cell: ({ of }) => of.view.chart.definition.measure },
  { name: 'loss_of', meaning: 'dropouts at sensors, or blind intervals of the case', unit: '', how: '', cell: ({ of }) => of.view.chart.definition.lossOf },
  { name: 'point', meaning: 'the month, or the dates between two events', unit: '', how: '', cell: ({ of }) => of.point.label },
  { name: 'is_open', meaning: 'whether the point is not over: the count since the last event', unit: '', type: 'yes or no', how: 'in no baseline, judged by no rule; every month counts as over', cell: ({ of }) => of.point.state === 'open' },
  { name: 'cases', meaning: 'cases of the point', unit: '', type: 'number', how: '', cell: ({ of }) => of.point.cases },
  { name: 'numerator', meaning: 'cases with a long loss, losses, seconds lost, or events', unit: '', type: 'number', how: 'see measure', cell: ({ of }) => shown(of, of.point.numerator) },
  { name: 'denominator', meaning: 'cases, hours monitored, or seconds monitored', unit: '', type: 'number', how: 'empty where the value is no ratio', cell: ({ of }) => shown(of, of.point.denominator) },
  { name: 'value', meaning: 'the value', unit: '', type: 'number', how: 'shares from 0 to 1, rates per hour, durations in s, days', cell: ({ of }) => computed(of.point.value) },
  { name: 'chart', meaning: 'kind of chart', unit: '', how: 'as the table of methods names it for these points (docs/methods/quality-charts.md)', cell: ({ of }) => of.view.chart.phases[of.point.phase]?.kind ?? '' },
  { name: 'why_chart', meaning: 'why this kind', unit: '', how: 'the reason that the table of methods gives', cell: ({ of }) => of.view.chart.phases[of.point.phase]?.choice.reason ?? '' },
  { name: 'sigma_z', meaning: 'how much more than chance the points scatter', unit: '1', type: 'number', how: 'Laney 2002; only where limits are widened by it', cell: ({ of }) => computed(of.view.chart.phases[of.point.phase]?.limits.sigmaZ ?? null) },
  { name: 'centre', meaning: 'centre line', unit: '', type: 'number', how: 'from the baseline', cell: ({ of }) => computed(of.point.centre) },
  { name: 'limit_lower', meaning: 'lower limit', unit: '', type: 'number', how: 'three standard deviations; p prime and u prime: Laney', cell: ({ of }) => computed(of.point.lower) },
  { name: 'limit_upper', meaning: 'upper limit', unit: '', type: 'number', how: 'as before', cell: ({ of }) => computed(of.point.upper) },
  { name: 'baseline_points', meaning: 'points that centre line and limits were worked out from', unit: '', type: 'number', how: 'the first points, up to 24; provisional below 20', cell: ({ of }) => baselinePoints(of.view) },
  { name: 'signals', meaning: 'why the point stands out', unit: '', how: 'beyond the limits, or in a run longer than chance makes them', cell: ({ of }) => of.point.signals.join('; ') },
  { name: 'crosses_too_seldom', meaning: 'whether the stretch of the point crosses the centre line less often than chance makes it', unit: '', type: 'yes or no', how: 'fewer crossings than the 5 % point of the binomial law; empty: fewer than 10 points off the line', cell: ({ of }) => crossesTooSeldom(of) },
  setColumn(),
];

/** Times are kept in ms and written in s, as in every table. */
function shown({ view }: ChartTableRow, value: number | null): ReturnType<typeof computed> {
  return computed(value !== null && view.chart.definition.measure === 'share of time lost' ? value / 1000 : value);
}

function crossesTooSeldom({ view, point }: ChartTableRow): boolean | null {
  const at = view.points.indexOf(point);
  const stretch = view.runs.find(({ firstPoint, lastPoint }) => firstPoint <= at && at <= lastPoint);
  return stretch === undefined || !stretch.isJudged ? null : stretch.isFewCrossings;
}

function baselinePoints({ chart }: QualityChartView): number | null {
  const phase = chart.phases[0];
  return phase === undefined || phase.kind === 'line' ? null : phase.baseline.lastPoint - phase.baseline.firstPoint + 1;
}

/** A change with what was before and after. */
export interface ChangeTableRow {
  readonly view: QualityChartView;
  readonly effect: ChangeEffect;
}

/** Yields the rows of cohort-change.csv: what two charts compare alike (the share of cases stands for the days between them) once. */
export function* changeRows(views: readonly QualityChartView[]): Generator<ChangeTableRow> {
  const told = new Set<string>();
  for (const view of views) {
    for (const effect of view.effects) {
      const key = JSON.stringify([effect.changeId, effect.compared, view.chart.definition.lossOf]);
      if (!told.has(key)) yield { view, effect };
      told.add(key);
    }
  }
}

/** The columns of cohort-change.csv. */
export const CHANGE_COLUMNS: readonly CohortColumn<ChangeTableRow>[] = [
  { name: 'measure', meaning: 'what is compared', unit: '', how: '', cell: ({ of }) => of.effect.compared },
  { name: 'loss_of', meaning: 'dropouts at sensors, or blind intervals of the case', unit: '', how: '', cell: ({ of }) => of.view.chart.definition.lossOf },
  { name: 'change_date', meaning: 'first day of the new way', unit: '', how: 'as stated for the run', cell: ({ run }) => run.results.options.change?.date ?? '' },
  { name: 'change', meaning: 'what was changed', unit: '', how: 'as stated for the run', cell: ({ run }) => run.results.options.change?.text ?? '' },
  ...(['before', 'after'] as const).flatMap((side): CohortColumn<ChangeTableRow>[] => [
    { name: `${side}_cases`, meaning: `cases ${side} the change`, unit: '', type: 'number', how: '', cell: ({ of }) => of.effect[side].cases },
    { name: side, meaning: `the measure ${side} the change`, unit: '', type: 'number', how: '', cell: ({ of }) => computed(of.effect[side].estimate) },
    { name: `${side}_from`, meaning: 'its interval, from', unit: '', type: 'number', how: '', cell: ({ of }) => computed(of.effect[side].lower) },
    { name: `${side}_to`, meaning: 'its interval, to', unit: '', type: 'number', how: '', cell: ({ of }) => computed(of.effect[side].upper) },
  ]),
  { name: 'effect', meaning: 'after over before, or for a median after − before', unit: '', type: 'number', how: 'what else changed at that time is not known', cell: ({ of }) => computed(of.effect.effect.estimate) },
  { name: 'effect_from', meaning: 'its interval, from', unit: '', type: 'number', how: '', cell: ({ of }) => computed(of.effect.effect.lower) },
  { name: 'effect_to', meaning: 'its interval, to', unit: '', type: 'number', how: '', cell: ({ of }) => computed(of.effect.effect.upper) },
  { name: 'effect_method', meaning: 'how it was worked out', unit: '', how: '', cell: ({ of }) => (of.effect.effect.kind === 'ratio' ? 'ratio, over units' : 'difference of medians, units drawn anew') },
  { name: 'effect_reason', meaning: 'why there is none', unit: '', how: '', cell: ({ of }) => of.effect.effect.reason ?? '' },
  setColumn(),
];

/** The columns of cohort-funnel.csv. */
export const FUNNEL_COLUMNS: readonly CohortColumn<FunnelUnit>[] = [
  { name: 'unit', meaning: 'value of the column that cases are compared by', unit: '', how: 'empty: fewer than 10 cases; units stand in the order of their names, never ranked', cell: ({ of }) => of.name ?? '' },
  { name: 'cases', meaning: 'its cases', unit: '', type: 'number', how: '', cell: ({ of }) => of.cases },
  { name: 'cases_with_long_loss', meaning: 'of them, cases with a loss of more than 60 s', unit: '', type: 'number', how: 'mid estimate', cell: ({ of }) => of.withLongLoss },
  { name: 'share', meaning: 'their share', unit: '1', type: 'number', how: '', cell: ({ of }) => computed(of.share) },
  { name: 'limit_lower_95', meaning: 'lower limit that 95 % lie between if the unit were like all', unit: '1', type: 'number', how: 'exact binomial, widened where units differ more than chance', cell: ({ of }) => computed(of.lower95) },
  { name: 'limit_upper_95', meaning: 'upper limit of 95 %', unit: '1', type: 'number', how: 'as before', cell: ({ of }) => computed(of.upper95) },
  { name: 'limit_lower_998', meaning: 'lower limit of 99.8 %', unit: '1', type: 'number', how: 'as before', cell: ({ of }) => computed(of.lower998) },
  { name: 'limit_upper_998', meaning: 'upper limit of 99.8 %', unit: '1', type: 'number', how: 'as before', cell: ({ of }) => computed(of.upper998) },
  { name: 'status', meaning: 'where it lies', unit: '', how: 'a reason to look, not a verdict', cell: ({ of }) => of.status },
  { name: 'target', meaning: 'share over all units', unit: '1', type: 'number', how: '', cell: ({ run }) => computed(run.funnel?.target ?? null) },
  { name: 'median_age', meaning: 'case mix: median age', unit: 'a', type: 'number', how: 'units differ in their cases', cell: ({ of }) => computed(of.mix.medianAge) },
  { name: 'with_vasopressor_share', meaning: 'case mix: cases with a vasopressor on record', unit: '1', type: 'number', how: '', cell: ({ of }) => computed(of.mix.withVasopressor) },
  { name: 'sites', meaning: 'case mix: share of cases with a sensor at each site', unit: '', how: '`finger: 0.9; ear lobe: 0.2`', cell: ({ of }) => of.mix.sites.map(({ site, share }) => `${site}: ${computed(share) ?? ''}`).join('; ') },
  setColumn(),
];
