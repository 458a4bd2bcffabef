import { cohortRobustness } from '../../core/cohort/cohort-robustness.ts';
import { mainResults } from '../../core/cohort/main-results.ts';
import type { CohortCase } from '../../core/model/cohort-case.ts';
import type { CohortOptions } from '../../core/model/cohort-options.ts';
import { DEFAULT_COHORT_OPTIONS } from '../../core/model/cohort-options.ts';
import type { CohortResults } from '../../core/model/cohort-results.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';

/** Returns the results of the given cases with the default parameters; few draws unless said otherwise. */
export function cohortResultsOf(cases: readonly CohortCase[], over: Partial<CohortOptions> = {}): CohortResults {
  const options = { ...DEFAULT_COHORT_OPTIONS, draws: 200, ...over };
  return { ...mainResults(cases, [], options, DEFAULT_PARAMETERS, '0.0.0-test', () => false), robustness: cohortRobustness(cases, options, DEFAULT_PARAMETERS, () => undefined) };
}
