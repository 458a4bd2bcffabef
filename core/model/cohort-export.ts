import type { CohortResults } from './cohort-results.ts';
import type { PatternCounts } from './onset-pattern-counts.ts';
import type { QualityChartView } from './quality-chart.ts';
import type { UnitFunnel } from './unit-funnel.ts';

/** What a cohort is written out as: its results, and the charts that nobody had to fix beforehand. */
export interface CohortExport {
  readonly results: CohortResults;
  /** By calendar month, limits from the first points; one per measure. */
  readonly charts: readonly QualityChartView[];
  /** Units by the column that cases are compared by; null where that is no column. */
  readonly funnel: UnitFunnel | null;
  /** How the losses that count began. */
  readonly patterns: PatternCounts;
}

/** A loss is long from here on in the charts and the funnel of an export, s. Common practice without source. */
export const LONG_LOSS_S = 60;
