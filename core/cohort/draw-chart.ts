import type { QualityCase } from '../model/quality-case.ts';
import type { ChartChange, ChartPoint, ChartRule, ChartRuns, PointFigures, PointSignal, QualityChart, QualityChartView } from '../model/quality-chart.ts';
import { isAbove, isBelow } from '../stats/beyond-limit.ts';
import { chartPatterns } from '../stats/chart-rules.ts';
import { SHIFT_POINTS, TREND_POINTS, runChart, shifts, trends } from '../stats/run-chart.ts';
import { type EffectOptions, changeEffects } from './change-effect.ts';
import { chartChoice } from './chart-choice.ts';
import { type LimitsAt, limitsAt } from './chart-limits.ts';
import { type SeriesOptions, type SeriesPoint, contributions, seriesPoints } from './quality-series.ts';

/** What a chart is drawn with, beside its cases. */
export type DrawOptions = Omit<SeriesOptions, 'kept'> & EffectOptions;

/**
 * Returns a chart as it is to be drawn: kept points as they were kept, beside them what the cases of today would give where that
 * differs, then the points that follow; limits as they were fixed; signals.
 * Shape   `cases` in any order. Rules look at complete points only, and never across a change or a new phase: a point in which a change
 *         falls belongs to neither side. Limits hold for every point.
 * Missing a point without a value has no signal; a chart without limits has only runs.
 */
export function drawChart(chart: QualityChart, cases: readonly QualityCase[], options: DrawOptions): QualityChartView {
  const { definition, changes } = chart;
  const { taken, leftOut } = contributions(cases, definition);
  const { points: series, beforeFirst } = seriesPoints(taken, definition, { ...options, kept: chart.points });
  const shown = series.map((point, i) => ({ ...point, ...chart.points[i] }));
  const phases = shown.map((_, i) => chart.phases.findLastIndex(({ fromPoint }) => fromPoint <= i));
  const limits = chart.phases.map((phase) => limitsAt(phase, definition.measure, shown));
  const at = (i: number): LimitsAt | null => limits[phases[i] ?? -1]?.[i] ?? null;
  const stretches = stretchesOf(shown, phases, changes);
  const signals = shown.map((point, i): PointSignal[] => (point.isOpen ? [] : isBeyond(point.value, at(i)) ? ['beyond the limits'] : []));
  const runs = stretches.map(([first, last]): ChartRuns => {
    const places = placesOf(first, last);
    const centre = at(first)?.centre ?? null;
    const values = places.map((i) => (centre === null ? null : (shown[i]?.value ?? null)));
    const found = runChart(values, centre);
    const isLongRun = found.isJudged && found.longestRunLimit !== null && found.longestRun > found.longestRunLimit;
    if (isLongRun) for (const place of found.longestRunAt) signals[first + place]?.push('in a long run');
    for (const rule of chart.phases[phases[first] ?? -1]?.rules ?? []) {
      // The first pattern is looked for everywhere, as a point beyond the limits.
      if (rule === 1) continue;
      const signal: PointSignal = typeof rule === 'number' ? `pattern ${rule}` : rule;
      for (const place of patternAt(rule, places.map((i) => at(i)?.z ?? null), values, centre)) signals[first + place]?.push(signal);
    }
    const { useful, longestRun, longestRunLimit, crossings, crossingsLimit, isJudged } = found;
    return { firstPoint: first, lastPoint: last, centre, useful, longestRun, longestRunLimit, crossings, crossingsLimit, isJudged, isLongRun, isFewCrossings: isJudged && crossingsLimit !== null && crossings < crossingsLimit };
  });
  return {
    chart,
    points: series.map((point, i): ChartPoint => {
      const kept = chart.points[i] ?? null;
      const { members, isOpen, ...today } = point;
      const now: PointFigures | null = kept === null || kept.digest === today.digest ? null : figuresOnly(today);
      const { centre = null, lower = null, upper = null, chance = null } = at(i) ?? {};
      return {
        ...(kept ?? today),
        state: kept !== null ? 'kept' : isOpen ? 'open' : 'new',
        now,
        phase: phases[i] ?? -1,
        centre,
        lower,
        upper,
        chance,
        signals: signals[i] ?? [],
        caseKeys: members.map(({ caseKey }) => caseKey),
      };
    }),
    runs,
    effects: changeEffects(taken, definition.measure, changes, options),
    leftOut: { ...leftOut, beforeFirst },
    choice: chartChoice(definition.measure, shown.filter(({ isOpen }) => !isOpen)),
    draws: { replicates: options.replicates, seed: options.seed, conf: options.conf },
  };
}

function figuresOnly({ cases, numerator, denominator, value, digest }: PointFigures): PointFigures {
  return { cases, numerator, denominator, value, digest };
}

function isBeyond(value: number | null, limits: LimitsAt | null): boolean {
  if (value === null || limits === null) return false;
  return (limits.upper !== null && isAbove(value, limits.upper)) || (limits.lower !== null && isBelow(value, limits.lower));
}

/** First and last point of every stretch of complete points under one phase and between two changes. */
function stretchesOf(points: readonly SeriesPoint[], phases: readonly number[], changes: readonly ChartChange[]): (readonly [number, number])[] {
  const out: [number, number][] = [];
  let open = false;
  points.forEach((point, i) => {
    const isMixed = changes.some(({ date }) => point.firstDate < date && date <= point.lastDate);
    if (point.isOpen || isMixed) {
      open = false;
      return;
    }
    const before = points[i - 1];
    const isAfterChange = before !== undefined && changes.some(({ date }) => before.lastDate < date && date <= point.firstDate);
    const last = out[out.length - 1];
    if (open && last !== undefined && !isAfterChange && phases[i] === phases[i - 1]) last[1] = i;
    else out.push([i, i]);
    open = true;
  });
  return out;
}

function patternAt(rule: ChartRule, z: readonly (number | null)[], values: readonly (number | null)[], centre: number | null): readonly number[] {
  if (rule === 'shift of 6') return centre === null ? [] : shifts(values, centre, SHIFT_POINTS);
  if (rule === 'trend of 5') return trends(values, TREND_POINTS);
  return chartPatterns(z, [rule])[rule] ?? [];
}

function placesOf(first: number, last: number): number[] {
  return Array.from({ length: last - first + 1 }, (_, i) => first + i);
}
