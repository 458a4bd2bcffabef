import type { CohortOptions } from '../../../../core/model/cohort-options.ts';

/** Which cases, and how they are counted. */
export interface PartProps {
  readonly caseKeys: readonly string[] | null;
  readonly options: CohortOptions;
  readonly isFaulty: boolean;
}
