import type { CohortCase } from '../model/cohort-case.ts';
import type { CohortExport } from '../model/cohort-export.ts';
import { LONG_LOSS_S } from '../model/cohort-export.ts';
import type { UnreadCase } from '../model/cohort-flow.ts';
import type { CohortOptions } from '../model/cohort-options.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { UnitFunnel } from '../model/unit-funnel.ts';
import { columnOf } from './case-facets.ts';
import { chooseCases } from './choose-cases.ts';
import type { ChartMaking } from './cohort-charts.ts';
import { cohortCharts } from './cohort-charts.ts';
import { mainResults, selectionOf, type MainResults } from './main-results.ts';
import { onsetPatternCounts } from './onset-pattern-counts.ts';
import { qualityCaseOf } from './quality-case-of.ts';
import { cohortReviewFigures, selectLosses } from './select-losses.ts';
import { unitFunnel } from './unit-funnel.ts';

/** What a cohort is written out as, but for its results under other definitions. */
export interface MainExport extends Omit<CohortExport, 'results'> {
  readonly results: MainResults;
}

/** Returns that. Shape as `mainResults`. */
export function mainExport(cases: readonly CohortCase[], unread: readonly UnreadCase[], options: CohortOptions, parameters: AnalysisParameters, productVersion: string, making: ChartMaking): MainExport {
  const { counted: chosen } = countedCases(cases, options);
  return {
    results: mainResults(cases, unread, options, parameters, productVersion, making.isPersonColumn),
    charts: cohortCharts(chosen, options, parameters, making),
    funnel: funnelOf(chosen, options, making),
    patterns: onsetPatternCounts(chosen),
  };
}

/** Returns the chosen cases with the dropouts that the options count, and which these are: computed ones where nothing of them is reviewed. */
export function countedCases(cases: readonly CohortCase[], options: CohortOptions): { readonly counted: CohortCase[]; readonly dropouts: 'computed' | 'confirmed' } {
  const { chosen } = chooseCases(cases, options);
  const selection = selectionOf(options.dropouts, cohortReviewFigures(chosen));
  return { counted: chosen.map((one) => selectLosses(one, selection)), dropouts: selection };
}

function funnelOf(chosen: readonly CohortCase[], { groupBy }: CohortOptions, { isPersonColumn }: ChartMaking): UnitFunnel | null {
  const column = groupBy === null ? null : columnOf(chosen, groupBy);
  if (column === null) return null;
  const request = { lossOf: 'dropouts', longerThanS: LONG_LOSS_S, doubtfulLost: false, by: { kind: 'column', column }, firstDate: null, lastDate: null, choice: [] } as const;
  const found = unitFunnel(chosen.map(qualityCaseOf), request, isPersonColumn);
  return found.ok ? found.value : null;
}
