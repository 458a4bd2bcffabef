import type { CohortCase } from '../model/cohort-case.ts';
import type { CohortChange } from '../model/cohort-options.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { QualityCase } from '../model/quality-case.ts';
import type { ChartKind, QualityChart, QualityChartView, QualityDefinition } from '../model/quality-chart.ts';
import type { EffectOptions } from './change-effect.ts';
import { drawChart } from './draw-chart.ts';
import { makeChart, proposeChart } from './make-chart.ts';
import { qualityCaseOf } from './quality-case-of.ts';

/** What the charts of a run are made with. */
export interface MonthlyChartOptions extends EffectOptions {
  readonly parameters: AnalysisParameters;
  /** A case counts when a dropout lasted longer than this, s. */
  readonly longLossS: number;
  /** A blind interval is rare when it lasted longer than this, s. */
  readonly rareLossS: number;
  readonly patientColumn: string | null;
  /** null: no change is marked. */
  readonly change: CohortChange | null;
}

/** Source: 60 s customary; blind for 10 min and more: Reich 1996, Anesthesiology 84:859; handbook 9.3. */
export const LONG_LOSS_S = 60;
export const RARE_LOSS_S = 600;

/**
 * Returns the quality charts of a run over chosen cases: by month the share of cases with a long dropout, dropouts per hour, share of
 * time lost and median duration; from one long blind interval to the next the cases and the days.
 * Shape   nothing was fixed beforehand: kind and baseline are those that the table of methods proposes, and every view says so. Every
 *         month counts as over, since a run has no today.
 * Missing too few points for limits: runs, or the points alone.
 * Source  statistics g; docs/methods/quality-charts.md.
 */
export function monthlyCharts(cases: readonly CohortCase[], options: MonthlyChartOptions): QualityChartView[] {
  const given = cases.map(qualityCaseOf);
  const { parameters, longLossS, rareLossS, patientColumn } = options;
  const common = { doubtfulLost: false, sites: null, choice: [], grouping: { by: 'month' }, parameters, patientColumn } as const;
  const dropouts = { ...common, lossOf: 'dropouts', longerThanS: longLossS } as const;
  const blind = { ...common, lossOf: 'blind intervals', longerThanS: rareLossS } as const;
  const definitions: readonly QualityDefinition[] = [
    { ...dropouts, measure: 'cases with a long loss' },
    { ...dropouts, measure: 'losses per hour' },
    { ...dropouts, measure: 'share of time lost' },
    { ...dropouts, measure: 'median duration' },
    { ...blind, measure: 'cases between long losses' },
    { ...blind, measure: 'days between long losses' },
  ];
  return definitions.map((definition) => drawn(definition, given, options));
}

/** Later than any month: none is open. */
const NO_MONTH = '9999-99';
/** What nobody keeps needs no digest. */
const MAKE = { openMonth: NO_MONTH, digestOf: () => '', now: '', newId: '', isPersonColumn: () => false } as const;

function drawn(definition: QualityDefinition, cases: readonly QualityCase[], options: MonthlyChartOptions): QualityChartView {
  const proposal = proposeChart(definition, cases, MAKE);
  const baseline = proposal.ok ? proposal.value.baseline : null;
  const { firstPoint, lastPoint } = baseline ?? { firstPoint: 0, lastPoint: Math.max(0, (proposal.ok ? proposal.value.points.filter(({ isOpen }) => !isOpen).length : 1) - 1) };
  const changes = options.change === null ? [] : [{ changeId: 'change', ...options.change, madeAt: '' }];
  // A baseline with holes may be too short for limits although there are points enough.
  for (const kind of [null, 'run', 'line'] as const) {
    const chart = chartOf(definition, cases, kind, firstPoint, lastPoint);
    if (chart !== null) return drawChart({ ...chart, changes }, cases, { ...MAKE, ...options });
  }
  throw new Error('a chart without limits can always be made');
}

function chartOf(definition: QualityDefinition, cases: readonly QualityCase[], kind: ChartKind | null, firstPoint: number, lastPoint: number): QualityChart | null {
  const phase = { fromPoint: 0, kind, firstPoint, lastPoint, excluded: [], rules: [], reason: 'as proposed; nothing was fixed beforehand' };
  const made = makeChart({ name: definition.measure, definition, phase }, cases, MAKE);
  return made.ok ? made.value : null;
}
