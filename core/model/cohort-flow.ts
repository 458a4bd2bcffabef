import type { CaseFacet } from './cohort-options.ts';

/** A case by its name. */
export interface NamedCase {
  readonly caseKey: string;
  readonly caseId: string;
}

/** A case that could not be read, with the reason. */
export interface UnreadCase extends NamedCase {
  readonly reason: string;
}

/** Cases that went no further, and why. */
export interface CasesLeftOut {
  readonly reason: string;
  readonly cases: readonly NamedCase[];
}

/** A step on the way from what was imported to what was analysed. */
export interface FlowStep {
  readonly step: 'imported' | 'readable' | 'usable' | 'analysed';
  readonly cases: number;
  /** Of the step before: those that are not in this one, most first. */
  readonly leftOut: readonly CasesLeftOut[];
}

/** The flow of cases, as RECORD item 13.1 asks for it. */
export interface CohortFlow {
  readonly steps: readonly FlowStep[];
  /** Patients among the analysed where a column names them, else the cases. */
  readonly units: number;
  readonly unit: 'case' | 'patient';
  /** Analysed cases without a date. */
  readonly undated: number;
}

/** What of a property occurs, and in how many cases. */
export interface FacetValues {
  readonly facet: CaseFacet;
  /** In the order of the values; `UNSTATED` last. A case with several values counts under each. */
  readonly values: readonly { readonly value: string; readonly cases: number }[];
}
