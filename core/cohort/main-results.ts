import type { CohortCase } from '../model/cohort-case.ts';
import type { UnreadCase } from '../model/cohort-flow.ts';
import type { CaseFacet, CohortOptions } from '../model/cohort-options.ts';
import type { CohortResults, CohortReviewFigures } from '../model/cohort-results.ts';
import type { DropoutChoice, LossSelection } from '../model/confirmed.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { beforeLoss } from './before-loss.ts';
import { burden } from './burden.ts';
import { columnsOf, facetValues } from './case-facets.ts';
import { chooseCases } from './choose-cases.ts';
import { cohortEventAligned } from './event-aligned.ts';
import { cohortFlow } from './flow.ts';
import { restorationTimes } from './restoration-times.ts';
import { cohortReviewFigures, selectLosses } from './select-losses.ts';
import { sitesWithinPatients } from './sites-within-patients.ts';

const FIXED_FACETS: readonly CaseFacet[] = [{ kind: 'service' }, { kind: 'asa class' }, { kind: 'age band' }, { kind: 'position' }, { kind: 'site' }, { kind: 'month' }];

/** All but what is drawn against other definitions, which can be worked out beside it. */
export type MainResults = Omit<CohortResults, 'robustness'>;

/**
 * Returns everything that is stated about a cohort but its results under other definitions.
 * Shape   `cases` and `unread` in any order: they are sorted before anything is added up or drawn, so the same cases and seed give
 *         the same numbers to the last digit. Where confirmed dropouts are asked for and none of the chosen cases is reviewed, everything
 *         is of the computed ones, and `selection` says so. A column that names persons is not offered: nothing is compared by it.
 * Source  analysis-spec 10; statistics; docs/metrics/burden.md, sites-within-patients.md, cohort-robustness.md; docs/methods/time-to-information.md, rates-after-exposures.md, event-aligned.md.
 */
export function mainResults(cases: readonly CohortCase[], unread: readonly UnreadCase[], options: CohortOptions, parameters: AnalysisParameters, productVersion: string, isPersonColumn: (column: string) => boolean): MainResults {
  const choice = chooseCases(cases, options);
  const { chosen } = choice;
  const review = cohortReviewFigures(chosen);
  const selection = selectionOf(options.dropouts, review);
  const counted = chosen.map((one) => selectLosses(one, selection));
  const usable = [...chosen, ...choice.notChosen.map(({ one }) => one)];
  const facets = [...FIXED_FACETS, ...columnsOf(usable).filter((column) => !isPersonColumn(column)).map((column): CaseFacet => ({ kind: 'column', column }))];
  return {
    productVersion,
    parameters,
    options,
    flow: cohortFlow(choice, unread),
    selection,
    review,
    beside: besides(options.dropouts, review).map((other) => ({ selection: other, burden: burden(chosen.map((one) => selectLosses(one, other)), options) })),
    facets: facets.map((facet) => facetValues(usable, facet)),
    burden: burden(counted, options),
    sites: sitesWithinPatients(counted, options, parameters),
    restoration: restorationTimes(counted, { ...options, isMainOnly: false }),
    beforeLoss: beforeLoss(counted, { ...options, isMainOnly: false }),
    aligned: cohortEventAligned(chosen, options),
  };
}

/** Returns which dropouts the results of a cohort are of. Where nothing is reviewed nothing can be confirmed. */
export function selectionOf(choice: DropoutChoice, { dropouts, notReviewed }: Pick<CohortReviewFigures, 'dropouts' | 'notReviewed'>): 'computed' | 'confirmed' {
  return choice === 'confirmed' && notReviewed < dropouts ? 'confirmed' : 'computed';
}

/** Which other dropouts the burden is worked out of beside them. */
function besides(choice: DropoutChoice, { dropouts, notReviewed }: CohortReviewFigures): readonly LossSelection[] {
  if (choice === 'computed' || notReviewed === dropouts) return [];
  return choice === 'confirmed' ? ['computed', 'not refuted'] : ['confirmed', 'not refuted'];
}
