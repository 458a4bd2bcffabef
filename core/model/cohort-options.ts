import type { RateWindows } from './cohort-before-loss.ts';
import { DEFAULT_RATE_WINDOWS } from './cohort-before-loss.ts';
import type { DropoutChoice } from './confirmed.ts';

/** A property by which cases are chosen and compared. A case may have several values of it (sites, positions). */
export type CaseFacet =
  | { readonly kind: 'service' | 'asa class' | 'age band' | 'position' | 'site' | 'month' }
  /** Any column of the case list, by its heading. */
  | { readonly kind: 'column'; readonly column: string };

/** Stands for "not stated" and "undated" among the values of a property: a value of its own, never dropped silently. */
export const UNSTATED = '';

/** Which cases are looked at. What is left out is null. */
export interface CaseChoice {
  /** A case is taken when it has one of the values of every property that is named. */
  readonly facets: readonly { readonly facet: CaseFacet; readonly values: readonly string[] }[];
  /** First and last day, `YYYY-MM-DD`, both included; null: no limit. */
  readonly from: string | null;
  readonly to: string | null;
  /** Whether undated cases are taken where a day is named. */
  readonly keepUndated: boolean;
}

/** A change in the unit, to be looked at before and after. */
export interface CohortChange {
  /** First day of the new way, `YYYY-MM-DD`. */
  readonly date: string;
  readonly text: string;
}

/** How a cohort is worked out: printed beside every result. */
export interface CohortOptions {
  readonly choice: CaseChoice;
  /** Which dropouts are counted. `both`: as computed, with the burden of the confirmed ones beside it. */
  readonly dropouts: DropoutChoice;
  /** What cases are compared by; null: by nothing. */
  readonly groupBy: CaseFacet | null;
  /** Column of the case list that names the patient; null: every case stands for itself. */
  readonly patientColumn: string | null;
  /** null: none. */
  readonly change: CohortChange | null;
  /** Limit of the mean time to restored information, fixed beforehand, s. */
  readonly meanLimitS: number;
  /** Windows in which a loss counts as after an exposure. */
  readonly windows: RateWindows;
  readonly seed: number;
  /** How often cases are drawn anew. */
  readonly draws: number;
  readonly conf: number;
}

/** For the display; an export draws 10 000 times. Source: statistics 0. */
export const DEFAULT_COHORT_OPTIONS: CohortOptions = {
  choice: { facets: [], from: null, to: null, keepUndated: true },
  dropouts: 'computed',
  groupBy: null,
  patientColumn: null,
  change: null,
  meanLimitS: 600,
  windows: DEFAULT_RATE_WINDOWS,
  seed: 20_260_101,
  draws: 2000,
  conf: 0.95,
};
export const EXPORT_DRAWS = 10_000;
