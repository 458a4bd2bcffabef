import type { EventAlignedCourses } from './cohort-aligned.ts';
import type { BeforeLoss } from './cohort-before-loss.ts';
import type { CohortBurdenResult } from './cohort-burden.ts';
import type { CohortFlow, FacetValues } from './cohort-flow.ts';
import type { CohortOptions } from './cohort-options.ts';
import type { RestorationTimes } from './cohort-restoration.ts';
import type { RobustPoint } from './cohort-robustness.ts';
import type { SitesWithinPatients } from './cohort-sites.ts';
import type { AnalysisParameters } from './parameters.ts';

/** Everything that is stated about a cohort: what the screen shows and the tables are written from. */
export interface CohortResults {
  readonly productVersion: string;
  readonly parameters: AnalysisParameters;
  readonly options: CohortOptions;
  readonly flow: CohortFlow;
  /** What can be chosen by, over all usable cases: the fixed properties, then every column of the case list. */
  readonly facets: readonly FacetValues[];
  readonly burden: CohortBurdenResult;
  readonly sites: SitesWithinPatients;
  readonly restoration: RestorationTimes;
  readonly beforeLoss: BeforeLoss;
  readonly aligned: EventAlignedCourses;
  /** One thing of the definition moved at a time, the definition of the run first. */
  readonly robustness: readonly RobustPoint[];
}
