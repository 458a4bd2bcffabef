import type { CohortCaution } from './cohort-caution.ts';

/** Which estimate of a length a curve is drawn from. */
export const LENGTH_BOUNDS = ['low', 'mid', 'high'] as const;
export type LengthBound = (typeof LENGTH_BOUNDS)[number];

/** Times at which the share still without information is given, s. */
export const RESTORATION_TIMES_S = [30, 60, 120, 300, 600, 1800] as const;

/** A time with its limits, ms; null: not reached, hence not estimable. */
export interface TimeFigure {
  readonly estimateMs: number | null;
  readonly lowerMs: number | null;
  readonly upperMs: number | null;
}

/** Why there is no mean, or (one unit) no interval. */
export const MEAN_REASONS = ['no times', 'curve ends before the limit', 'one unit'] as const;

/** Mean time up to a limit that was fixed beforehand, ms. */
export interface MeanFigure extends TimeFigure {
  readonly reason: (typeof MEAN_REASONS)[number] | null;
}

/** The share still without information from a time on. */
export interface CurvePoint {
  readonly atMs: number;
  readonly share: number;
  /** null where the share is 0, and for a single unit. */
  readonly lower: number | null;
  readonly upper: number | null;
  /** Still without information, and watched, just before. */
  readonly atRisk: number;
}

/** The curve of Kaplan and Meier from one estimate of the lengths. */
export interface RestorationCurve {
  readonly bound: LengthBound;
  readonly median: TimeFigure;
  readonly lowerQuartileMs: number | null;
  readonly upperQuartileMs: number | null;
  readonly mean: MeanFigure;
  /** At `RESTORATION_TIMES_S`, up to the last time on record. */
  readonly atTimes: readonly CurvePoint[];
  /** Steps to draw. Where there are more than some hundred, only those at which the share fell by a visible amount. */
  readonly steps: readonly CurvePoint[];
  readonly lastMs: number | null;
}

/** The curve of lengths that are known only between limits. Inside a box it is not defined. */
export interface BetweenCurve {
  /** From, up to and with to (null: never, as far as the record goes), with the share that ended there. */
  readonly boxes: readonly { readonly fromMs: number; readonly toMs: number | null; readonly share: number }[];
  /** The box in which the curve comes down to a half; null: not reached. */
  readonly median: { readonly fromMs: number; readonly toMs: number } | null;
  readonly reason: 'no times' | 'not converged' | null;
}

/** What the times of a group are counted from, and which losses are in it. */
export type RestorationGroupKind = 'all' | 'site' | 'after what was done' | 'nothing on record';

/** Time to restored information at the sensor that lost it, for one group of losses. */
export interface RestorationGroup {
  readonly kind: RestorationGroupKind;
  /** The sensor, or the kind of what was done; '' for all. */
  readonly of: string;
  readonly losses: number;
  /** Came back at the same sensor. The others are censored where watching ended. */
  readonly restored: number;
  readonly cases: number;
  /** The cases behind it, in their order; none in runs for the main figures alone. */
  readonly caseKeys: readonly string[];
  /** Patients where stated, else cases: what the interval takes as independent. */
  readonly units: number;
  /** Low, mid, high. */
  readonly curves: readonly RestorationCurve[];
  /** null where the sampling is fine enough for the curves. */
  readonly between: BetweenCurve | null;
  /** Median of half the width between low and high, over the losses: the recording interval where it is regular; null for none. */
  readonly resolutionMs: number | null;
  readonly cautions: readonly CohortCaution[];
}

/** Two sites against each other within the same cases. */
export interface RestorationDifference {
  readonly firstKey: string;
  readonly secondKey: string;
  /** Cases with a loss at both. */
  readonly casesWithBoth: number;
  /** Units with a loss at the first, and at the second. */
  readonly firstUnits: number;
  readonly secondUnits: number;
  /** Log-rank test with cases as strata; only cases in which both were at risk at once say anything. */
  readonly logRank: RestorationTest;
  readonly pHolm: number | null;
  /** Restricted mean of the first minus that of the second, ms; cases that have both count as one. */
  readonly mean: MeanFigure & { readonly p: number | null };
  readonly cautions: readonly CohortCaution[];
}

/** Log-rank test stratified by case. */
export interface RestorationTest {
  readonly chiSquare: number | null;
  readonly df: number | null;
  readonly p: number | null;
  readonly informativeCases: number;
  readonly reason: 'no event' | 'groups never at risk together' | null;
}

/** Time to restored information over cases. */
export interface RestorationTimes {
  readonly conf: number;
  /** Limit of the restricted means, ms. */
  readonly limitMs: number;
  readonly groups: readonly RestorationGroup[];
  /** All sites at once; null with fewer than two. */
  readonly sites: RestorationTest | null;
  readonly differences: readonly RestorationDifference[];
  readonly cautions: readonly CohortCaution[];
}
