import type { ChangeEffect, ChartPoint, QualityChartView } from '../model/quality-chart.ts';
import type { FunnelRequest, FunnelUnit, UnitFunnel } from '../model/unit-funnel.ts';
import type { Column } from './column.ts';
import { computed } from './numbers.ts';

/** A row of quality-charts.csv: one point of one chart. */
export interface QualityPointRow {
  readonly view: QualityChartView;
  readonly point: ChartPoint;
  readonly number: number;
}

/** Returns the rows of quality-charts.csv: chart by chart, point by point. */
export function qualityPointRows(views: readonly QualityChartView[]): QualityPointRow[] {
  return views.flatMap((view) => view.points.map((point, i) => ({ view, point, number: i + 1 })));
}

const definitionColumns: readonly Column<{ readonly view: QualityChartView }>[] = [
  { name: 'chart', meaning: 'name of the chart', unit: '', how: '', cell: ({ view }) => view.chart.name },
  { name: 'measure', meaning: 'what a point is', unit: '', how: 'see the page on quality charts', cell: ({ view }) => view.chart.definition.measure },
  { name: 'losses_of', meaning: '`dropouts` at sensors, or `blind intervals` of the case', unit: '', how: '', cell: ({ view }) => view.chart.definition.lossOf },
  { name: 'longer_than_s', meaning: 'a loss is long when its mid estimate lies above this', unit: 's', how: 'used by measures that speak of long losses', cell: ({ view }) => view.chart.definition.longerThanS },
];

/** The columns of quality-charts.csv. */
export const QUALITY_POINT_COLUMNS: readonly Column<QualityPointRow>[] = [
  ...definitionColumns,
  { name: 'point', meaning: 'number of the point', unit: '', how: '1, 2, 3 … in order of time', cell: ({ number }) => number },
  { name: 'label', meaning: 'month, or dates of the first and last case', unit: '', how: '', cell: ({ point }) => point.label },
  { name: 'state', meaning: '`kept`, `new` (complete, not kept) or `open` (not over; judged by no rule)', unit: '', how: '', cell: ({ point }) => point.state },
  { name: 'cases', meaning: 'cases of the point', unit: '', how: '', cell: ({ point }) => point.cases },
  { name: 'numerator', meaning: 'cases with a long loss, losses, lost ms, or events', unit: '', how: 'see measure', cell: ({ point }) => point.numerator },
  { name: 'denominator', meaning: 'cases, monitored hours, or monitored ms', unit: '', how: 'see measure; empty where the value is no ratio', cell: ({ point }) => computed(point.denominator) },
  { name: 'value', meaning: 'the value of the point', unit: '1, 1/h, s, cases or days', how: 'empty: nothing to divide by', cell: ({ point }) => computed(point.value) },
  { name: 'value_today', meaning: 'what the cases of today give instead', unit: 'as value', how: 'empty where that is the same as what was kept', cell: ({ point }) => computed(point.now?.value ?? null) },
  { name: 'differs_from_kept', meaning: 'whether the cases of today give something else', unit: '', how: 'by the digest of what each case gave', cell: ({ point }) => point.now !== null },
  { name: 'kind', meaning: 'kind of chart that holds here', unit: '', how: '`line`, `run`, `p`, `p prime`, `u`, `u prime`, `xmr`, `g` or `t`', cell: ({ view, point }) => view.chart.phases[point.phase]?.kind ?? null },
  { name: 'why_kind', meaning: 'why this kind', unit: '', how: 'from the table of methods, or chosen by a person', cell: ({ view, point }) => view.chart.phases[point.phase]?.choice.reason ?? null },
  { name: 'in_baseline', meaning: 'whether the limits were worked out from this point too', unit: '', how: '', cell: isInBaseline },
  { name: 'baseline_provisional', meaning: 'fewer than 20 points in the baseline', unit: '', how: '', cell: ({ view, point }) => view.chart.phases[point.phase]?.baseline.isProvisional ?? null },
  { name: 'sigma_z', meaning: 'factor on the limits of chance (p′, u′)', unit: '1', how: 'Laney 2002', cell: ({ view, point }) => computed(view.chart.phases[point.phase]?.limits.sigmaZ ?? null) },
  { name: 'centre', meaning: 'centre line', unit: 'as value', how: 'of the baseline', cell: ({ point }) => computed(point.centre) },
  { name: 'limit_lower', meaning: 'lower limit at the point', unit: 'as value', how: 'three standard deviations; empty for kinds without limits', cell: ({ point }) => computed(point.lower) },
  { name: 'limit_upper', meaning: 'upper limit at the point', unit: 'as value', how: 'three standard deviations; empty for kinds without limits', cell: ({ point }) => computed(point.upper) },
  { name: 'signals', meaning: 'why the point stands out', unit: '', how: 'joined by `; `', cell: ({ point }) => point.signals.join('; ') },
];

function isInBaseline({ view, point, number }: QualityPointRow): boolean | null {
  const phase = view.chart.phases[point.phase];
  if (phase === undefined || phase.kind === 'line') return null;
  const { firstPoint, lastPoint, excluded } = phase.baseline;
  return number - 1 >= firstPoint && number - 1 <= lastPoint && !excluded.includes(number - 1);
}

/** A row of quality-changes.csv: one change of one chart. */
export interface QualityChangeRow {
  readonly view: QualityChartView;
  readonly effect: ChangeEffect;
}

/** Returns the rows of quality-changes.csv. */
export function qualityChangeRows(views: readonly QualityChartView[]): QualityChangeRow[] {
  return views.flatMap((view) => view.effects.map((effect) => ({ view, effect })));
}

const changeOf = ({ view, effect }: QualityChangeRow) => view.chart.changes.find(({ changeId }) => changeId === effect.changeId);
const CLUSTERED = 'cluster-robust on the logarithm; medians: units drawn anew; empty with a reason';

/** The columns of quality-changes.csv. */
export const QUALITY_CHANGE_COLUMNS: readonly Column<QualityChangeRow>[] = [
  ...definitionColumns,
  { name: 'change_date', meaning: 'first day of the change', unit: '', how: 'as marked by a person', cell: (row) => changeOf(row)?.date ?? null },
  { name: 'change', meaning: 'what was changed', unit: '', how: 'as written by a person', cell: (row) => changeOf(row)?.text ?? null },
  { name: 'compared', meaning: 'what is compared', unit: '', how: 'for measures between events the share of cases with a long loss', cell: ({ effect }) => effect.compared },
  { name: 'cases_before', meaning: 'cases before, back to the change before it', unit: '', how: '', cell: ({ effect }) => effect.before.cases },
  { name: 'before', meaning: 'the measure before', unit: 'see compared', how: 'ratio of totals, or median', cell: ({ effect }) => computed(effect.before.estimate) },
  { name: 'before_from', meaning: '95 % interval, from', unit: 'as before', how: CLUSTERED, cell: ({ effect }) => computed(effect.before.lower) },
  { name: 'before_to', meaning: '95 % interval, to', unit: 'as before', how: CLUSTERED, cell: ({ effect }) => computed(effect.before.upper) },
  { name: 'cases_after', meaning: 'cases after, up to the next change', unit: '', how: '', cell: ({ effect }) => effect.after.cases },
  { name: 'after', meaning: 'the measure after', unit: 'see compared', how: 'ratio of totals, or median', cell: ({ effect }) => computed(effect.after.estimate) },
  { name: 'after_from', meaning: '95 % interval, from', unit: 'as after', how: CLUSTERED, cell: ({ effect }) => computed(effect.after.lower) },
  { name: 'after_to', meaning: '95 % interval, to', unit: 'as after', how: CLUSTERED, cell: ({ effect }) => computed(effect.after.upper) },
  { name: 'effect_kind', meaning: '`ratio` after ÷ before, or `difference` after − before', unit: '', how: 'medians have a difference', cell: ({ effect }) => effect.effect.kind },
  { name: 'effect', meaning: 'the difference that goes with the change: association, not cause', unit: '1, or s', how: '', cell: ({ effect }) => computed(effect.effect.estimate) },
  { name: 'effect_from', meaning: '95 % interval, from', unit: 'as effect', how: 'variances of both sides added, Welch’s degrees of freedom; medians: units drawn anew', cell: ({ effect }) => computed(effect.effect.lower) },
  { name: 'effect_to', meaning: '95 % interval, to', unit: 'as effect', how: 'as effect_from', cell: ({ effect }) => computed(effect.effect.upper) },
  { name: 'draws', meaning: 'how often units were drawn anew', unit: '', how: 'medians only', cell: ({ view, effect }) => (effect.compared === 'median seconds' ? view.draws.replicates : null) },
  { name: 'seed', meaning: 'of the draws', unit: '', how: 'MT19937; medians only', cell: ({ view, effect }) => (effect.compared === 'median seconds' ? view.draws.seed : null) },
  { name: 'effect_reason', meaning: 'why there is no effect, or no interval', unit: '', how: '', cell: ({ effect }) => effect.effect.reason },
];

/** A row of unit-funnel.csv: one unit. */
export interface FunnelRow {
  readonly request: FunnelRequest;
  readonly funnel: UnitFunnel;
  readonly unit: FunnelUnit;
}

/** Returns the rows of unit-funnel.csv, units in the order of their names, those without one last. */
export function funnelRows(request: FunnelRequest, funnel: UnitFunnel): FunnelRow[] {
  return funnel.units.map((unit) => ({ request, funnel, unit }));
}

const EXACT = 'exact binomial, interpolated (Spiegelhalter 2005); times √phi where widened';

/** The columns of unit-funnel.csv. */
export const FUNNEL_COLUMNS: readonly Column<FunnelRow>[] = [
  { name: 'by', meaning: 'what cases are grouped by', unit: '', how: '`site`, or a column of the case list; never a column of persons', cell: ({ request }) => (request.by.kind === 'site' ? 'site' : request.by.column) },
  { name: 'unit', meaning: 'name of the unit', unit: '', how: 'empty: fewer than ten cases', cell: ({ unit }) => unit.name },
  { name: 'cases', meaning: 'cases of the unit', unit: '', how: '', cell: ({ unit }) => unit.cases },
  { name: 'with_long_loss', meaning: 'cases with a long loss', unit: '', how: 'longest mid estimate above longer_than_s', cell: ({ unit }) => unit.withLongLoss },
  { name: 'longer_than_s', meaning: 'a loss is long when its mid estimate lies above this', unit: 's', how: '', cell: ({ request }) => request.longerThanS },
  { name: 'share', meaning: 'share of cases with a long loss', unit: '1', how: '', cell: ({ unit }) => computed(unit.share) },
  { name: 'share_of_all', meaning: 'share over all units', unit: '1', how: 'total over total: the limits lie around it', cell: ({ funnel }) => computed(funnel.target) },
  { name: 'limit_lower_95', meaning: 'lower limit at this number of cases, 95 %', unit: '1', how: EXACT, cell: ({ unit }) => computed(unit.lower95) },
  { name: 'limit_upper_95', meaning: 'upper limit at this number of cases, 95 %', unit: '1', how: EXACT, cell: ({ unit }) => computed(unit.upper95) },
  { name: 'limit_lower_998', meaning: 'lower limit at this number of cases, 99.8 %', unit: '1', how: EXACT, cell: ({ unit }) => computed(unit.lower998) },
  { name: 'limit_upper_998', meaning: 'upper limit at this number of cases, 99.8 %', unit: '1', how: EXACT, cell: ({ unit }) => computed(unit.upper998) },
  { name: 'status', meaning: 'inside, above or below', unit: '', how: 'from the exact tail, not from the drawn curve', cell: ({ unit }) => unit.status },
  { name: 'phi', meaning: 'how much more units differ than chance makes them', unit: '1', how: 'mean square of the distances, drawn in at 10 % and 90 %', cell: ({ funnel }) => computed(funnel.phi) },
  { name: 'widened', meaning: 'whether limits are widened by √phi', unit: '', how: 'phi > 1 + 2 √(2/units)', cell: ({ funnel }) => funnel.isWidened },
  { name: 'median_age', meaning: 'case mix: median age', unit: 'a', how: '90 and over count as 90; empty where no case states an age', cell: ({ unit }) => computed(unit.mix.medianAge) },
  { name: 'with_vasopressor', meaning: 'case mix: share of cases with a vasopressor on record', unit: '1', how: 'bolus, or rise of an infusion', cell: ({ unit }) => computed(unit.mix.withVasopressor) },
  { name: 'sites', meaning: 'case mix: share of cases with a sensor at each site', unit: '', how: 'joined by `; `', cell: ({ unit }) => unit.mix.sites.map(({ site, share }) => `${site} ${String(computed(share))}`).join('; ') },
];
