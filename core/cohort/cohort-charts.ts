import { assert } from '../base/assert.ts';
import type { CohortCase } from '../model/cohort-case.ts';
import { LONG_LOSS_S } from '../model/cohort-export.ts';
import type { CohortOptions } from '../model/cohort-options.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { ChartChange, ChartKind, ChartMeasure, QualityChart, QualityChartView, QualityDefinition } from '../model/quality-chart.ts';
import { drawChart } from './draw-chart.ts';
import { makeChart, proposeChart } from './make-chart.ts';
import { qualityCaseOf } from './quality-case-of.ts';

/** What is drawn, in this order. Days between apply to what is rare: times without information at any site. */
const CHARTS: readonly { readonly measure: ChartMeasure; readonly lossOf: QualityDefinition['lossOf'] }[] = [
  { measure: 'cases with a long loss', lossOf: 'dropouts' },
  { measure: 'losses per hour', lossOf: 'dropouts' },
  { measure: 'share of time lost', lossOf: 'dropouts' },
  { measure: 'median duration', lossOf: 'dropouts' },
  { measure: 'cases with a long loss', lossOf: 'blind intervals' },
  { measure: 'days between long losses', lossOf: 'blind intervals' },
];
/** No month is taken for unfinished: an export knows no day. */
const NO_OPEN_MONTH = '9999-12';
const REASON = 'The first points, up to 24, as no person fixed a baseline.';

/** What the making of charts needs from outside. */
export interface ChartMaking {
  /** SHA-256 of a text, hexadecimal. */
  readonly digestOf: (text: string) => string;
  readonly isPersonColumn: (column: string) => boolean;
}

/**
 * Returns the monthly charts of a cohort, each of the kind that the table of methods names, with limits from its first points.
 * Shape   `cases` chosen. Charts of fewer than ten months are only drawn; with too few points for limits the line of runs stands
 *         alone. The change of the options is marked, with before and after.
 * Source  statistics g; docs/methods/quality-charts.md.
 */
export function cohortCharts(cases: readonly CohortCase[], { conf, draws, seed, change }: Pick<CohortOptions, 'conf' | 'draws' | 'seed' | 'change'>, parameters: AnalysisParameters, making: ChartMaking): QualityChartView[] {
  const given = cases.map(qualityCaseOf);
  const at = { ...making, openMonth: NO_OPEN_MONTH };
  return CHARTS.map(({ measure, lossOf }) => {
    const definition: QualityDefinition = { measure, lossOf, longerThanS: LONG_LOSS_S, doubtfulLost: false, sites: null, choice: [], grouping: { by: 'month' }, parameters };
    const proposal = proposeChart(definition, given, at);
    assert(proposal.ok, 'no definition here names persons or the site of a blind interval');
    const { baseline, points } = proposal.value;
    // The count since the last event is not over: it is in no baseline.
    const lastPoint = baseline?.lastPoint ?? Math.max(0, points.filter(({ isOpen }) => !isOpen).length - 1);
    const made = (kind: ChartKind | null): QualityChart | null => {
      const phase = { fromPoint: 0, kind, firstPoint: 0, lastPoint, excluded: [], rules: [], reason: REASON };
      const chart = makeChart({ name: `${measure} (${lossOf})`, definition, phase }, given, { ...at, now: '', newId: '' });
      return chart.ok ? chart.value : null;
    };
    // Where a baseline with holes is too short for limits the line of runs stands alone, and where it has no value the points.
    const chart = made(null) ?? made('run') ?? made('line');
    assert(chart !== null, 'points without a rule can always be drawn');
    const changes: ChartChange[] = change === null ? [] : [{ changeId: 'change', date: change.date, text: change.text, madeAt: '' }];
    return drawChart({ ...chart, changes }, given, { openMonth: NO_OPEN_MONTH, digestOf: making.digestOf, conf, replicates: draws, seed });
  });
}
