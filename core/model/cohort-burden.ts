import type { Range3 } from '../base/interval.ts';
import type { ReviewCounts } from './confirmed.ts';

/** How an interval was made. */
export const INTERVAL_METHODS = ['cluster-robust t', 'cluster-robust t (logit)', 'exact Poisson', 'Clopper-Pearson', 'BCa bootstrap over units', 'percentile bootstrap over units'] as const;
export type IntervalMethod = (typeof INTERVAL_METHODS)[number];

/** Limits with the name of the method that made them and the number that it rests on. */
export interface NamedInterval {
  /** null: there is no interval, and `reason` says why. */
  readonly method: IntervalMethod | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** Units (cases, or patients); trials for a share of cases. */
  readonly n: number;
  readonly reason: string | null;
}

/** How often and how long information was lost. Shares from 0 to 1, rates per monitored hour, times in ms. */
export interface BurdenFigures {
  readonly cases: number;
  readonly units: number;
  readonly monitoredMs: number;
  readonly dropouts: number;
  readonly lostMs: Range3;
  /** Ratio of the totals; null: nothing was monitored. */
  readonly share: Range3 | null;
  /** Of the mid share. */
  readonly shareInterval: NamedInterval;
  readonly perHour: number | null;
  readonly perHourInterval: NamedInterval;
  /** Spread of the counts between units over what independent dropouts would have; above 1.5 an exact Poisson interval misleads. */
  readonly dispersion: number | null;
  readonly casesWithDropout: number;
  /** Of the cases; null: no case. */
  readonly withDropout: number | null;
  readonly withDropoutInterval: NamedInterval;
  /** Of the lengths of all dropouts together; null: none. */
  readonly lowerQuartileMs: Range3 | null;
  readonly medianMs: Range3 | null;
  readonly upperQuartileMs: Range3 | null;
  readonly longestMs: Range3 | null;
  /** Over the cases, of their own shares: the ratio of totals weighs long cases more. */
  readonly medianShareOfCases: number | null;
}

/** What a row of the burden is of. */
export const BURDEN_SCOPES = ['all', 'group', 'month'] as const;
export type BurdenScope = (typeof BURDEN_SCOPES)[number];
/** All sensors together; no site gave information. */
export const ALL_SENSORS = 'all sensors';
export const WHOLE_CASE = 'case';

/** Burden of one group of cases at one place. */
export interface BurdenRow {
  readonly scope: BurdenScope;
  /** Value of the property that cases are compared by, or the month; '' where it is not stated or undated. null for `all`. */
  readonly value: string | null;
  /** A sensor's place, `ALL_SENSORS`, or `WHOLE_CASE` for blind intervals. */
  readonly place: string;
  readonly primary: BurdenFigures;
  /** The same with doubtful samples counted as lost. */
  readonly doubtfulLost: BurdenFigures;
  /** What reviewers said of its dropouts; null for blind intervals, which bear no verdict of their own. */
  readonly review: ReviewCounts | null;
  /** Recording intervals with the cases that have them; null: irregular. Finest first. */
  readonly intervals: readonly { readonly intervalMs: number | null; readonly cases: number }[];
  /** Intervals from cases drawn anew, beside the primary ones; null where they are not offered (fewer than 20 units). */
  readonly drawn: { readonly share: NamedInterval; readonly perHour: NamedInterval } | null;
}

/** Burden of one case at one place. */
export interface CaseBurdenRow {
  readonly caseKey: string;
  readonly caseId: string;
  /** '' for an undated case. */
  readonly month: string;
  /** Values of the property that cases are compared by. */
  readonly values: readonly string[];
  readonly place: string;
  readonly intervalMs: number | null;
  readonly monitoredMs: number;
  readonly dropouts: number;
  readonly lostMs: Range3;
  readonly share: Range3 | null;
  readonly perHour: number | null;
  /** null: no dropout. */
  readonly longestMidMs: number | null;
  readonly review: ReviewCounts | null;
  readonly dropoutsDoubtfulLost: number;
  readonly lostMidDoubtfulLostMs: number;
  readonly shareMidDoubtfulLost: number | null;
}

/** Burden of a cohort. */
export interface CohortBurdenResult {
  readonly rows: readonly BurdenRow[];
  readonly cases: readonly CaseBurdenRow[];
  /** Where counts are not to be compared, because the recording intervals differ. */
  readonly warnings: readonly string[];
}
