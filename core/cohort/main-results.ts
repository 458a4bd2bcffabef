import type { CohortCase } from '../model/cohort-case.ts';
import type { UnreadCase } from '../model/cohort-flow.ts';
import type { CaseFacet, CohortOptions } from '../model/cohort-options.ts';
import type { CohortResults } from '../model/cohort-results.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { beforeLoss } from './before-loss.ts';
import { burden } from './burden.ts';
import { columnsOf, facetValues } from './case-facets.ts';
import { chooseCases } from './choose-cases.ts';
import { cohortEventAligned } from './event-aligned.ts';
import { cohortFlow } from './flow.ts';
import { restorationTimes } from './restoration-times.ts';
import { sitesWithinPatients } from './sites-within-patients.ts';

const FIXED_FACETS: readonly CaseFacet[] = [{ kind: 'service' }, { kind: 'asa class' }, { kind: 'age band' }, { kind: 'position' }, { kind: 'site' }, { kind: 'month' }];

/** All but what is drawn against other definitions, which can be worked out beside it. */
export type MainResults = Omit<CohortResults, 'robustness'>;

/**
 * Returns everything that is stated about a cohort but its results under other definitions.
 * Shape   `cases` and `unread` in any order: they are sorted before anything is added up or drawn, so the same cases and seed give
 *         the same numbers to the last digit. A column that names persons is not offered: nothing is compared by it.
 * Source  analysis-spec 10; statistics; docs/metrics/burden.md, sites-within-patients.md, cohort-robustness.md; docs/methods/time-to-information.md, rates-after-exposures.md, event-aligned.md.
 */
export function mainResults(cases: readonly CohortCase[], unread: readonly UnreadCase[], options: CohortOptions, parameters: AnalysisParameters, productVersion: string, isPersonColumn: (column: string) => boolean): MainResults {
  const choice = chooseCases(cases, options);
  const { chosen } = choice;
  const usable = [...chosen, ...choice.notChosen.map(({ one }) => one)];
  const facets = [...FIXED_FACETS, ...columnsOf(usable).filter((column) => !isPersonColumn(column)).map((column): CaseFacet => ({ kind: 'column', column }))];
  return {
    productVersion,
    parameters,
    options,
    flow: cohortFlow(choice, unread),
    facets: facets.map((facet) => facetValues(usable, facet)),
    burden: burden(chosen, options),
    sites: sitesWithinPatients(chosen, options, parameters),
    restoration: restorationTimes(chosen, { ...options, isMainOnly: false }),
    beforeLoss: beforeLoss(chosen, { ...options, isMainOnly: false }),
    aligned: cohortEventAligned(chosen, options),
  };
}
