import type { EventAlignedCourses } from './cohort-aligned.ts';
import type { BeforeLoss } from './cohort-before-loss.ts';
import type { CohortBurdenResult } from './cohort-burden.ts';
import type { CohortFlow, FacetValues } from './cohort-flow.ts';
import type { CohortOptions } from './cohort-options.ts';
import type { RestorationTimes } from './cohort-restoration.ts';
import type { RobustPoint } from './cohort-robustness.ts';
import type { SitesWithinPatients } from './cohort-sites.ts';
import type { LossSelection, ReviewCounts } from './confirmed.ts';
import type { AnalysisParameters } from './parameters.ts';

/** What reviewers said of the cases that are looked at. */
export interface CohortReviewFigures extends ReviewCounts {
  /** Verdicts that stand at no dropout of today. */
  readonly without: number;
  readonly cases: number;
  /** With an outcome for at least one dropout; for every one (those without a dropout left out of both). */
  readonly casesReviewed: number;
  readonly casesRead: number;
  readonly casesWithDropout: number;
}

/** The burden of other dropouts than those that the results are of. */
export interface BurdenBeside {
  readonly selection: LossSelection;
  readonly burden: CohortBurdenResult;
}

/** Everything that is stated about a cohort: what the screen shows and the tables are written from. */
export interface CohortResults {
  readonly productVersion: string;
  readonly parameters: AnalysisParameters;
  readonly options: CohortOptions;
  readonly flow: CohortFlow;
  /** Which dropouts all of it is of, but where `beside` says otherwise. `computed` too where confirmed ones were asked for and nothing is reviewed. */
  readonly selection: 'computed' | 'confirmed';
  readonly review: CohortReviewFigures;
  /** The burden of the other selections; empty where only computed dropouts were asked for, or nothing is reviewed. */
  readonly beside: readonly BurdenBeside[];
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
