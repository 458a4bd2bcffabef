import type { Range3 } from '../base/interval.ts';
import type { AnalysisParameters } from './parameters.ts';
import type { LagFigure, PairCaution, SitePair } from './site-comparison.ts';

/** What one case gives to a comparison of sites over cases. */
export interface CaseSiteFigures {
  readonly caseKey: string;
  readonly caseId: string;
  readonly pairs: readonly SitePair[];
  readonly sensors: readonly SensorFigures[];
}

/** Strength and steadiness of one sensor of a case. */
export interface SensorFigures {
  readonly siteKey: string;
  readonly monitoredMs: number;
  readonly shortLosses: number;
  readonly doubtfulRuns: number;
  /** null: no usable perfusion index. */
  readonly perfusion: { readonly median: number; readonly belowWeakShare: number; readonly belowDesirableShare: number } | null;
}

/** One number per case: how far it spreads over them. */
export interface Spread {
  readonly cases: number;
  readonly least: number;
  readonly median: number;
  readonly most: number;
}

/** The share of lost time that the other site covered, over cases. */
export interface CohortShare {
  /** Ratio of the sums, with what the recording intervals leave unknown. */
  readonly share: Range3;
  /** From the differences between cases; null for one case, for a share of 0 or 1, or where all are alike. */
  readonly overCases: { readonly lower: number; readonly upper: number } | null;
  /** From drawing cases anew, beside it; null for one case, or where all draws are alike. */
  readonly drawn: { readonly lower: number; readonly upper: number } | null;
  /** Of the cases' own shares, where anything was lost. */
  readonly spread: Spread;
}

/** One case behind the figures of a pair of sites. */
export interface CohortPairCase {
  readonly caseKey: string;
  readonly caseId: string;
  readonly sharedMs: number;
  readonly bothMs: number;
  readonly onlyFirstMs: number;
  readonly onlySecondMs: number;
  readonly neitherMs: number;
  readonly firstCovered: Range3 | null;
  readonly secondCovered: Range3 | null;
  /** Of stable pairs. */
  readonly pairs: number;
  readonly bias: number | null;
  readonly rms: number | null;
  readonly lag: LagFigure | null;
  readonly perfusionRatio: number | null;
  readonly cautions: readonly PairCaution[];
}

/** What two sites give against each other over cases under one rule of information. Times are sums; differences are first − second in points. */
export interface CohortFigures {
  readonly bothMs: number;
  readonly onlyFirstMs: number;
  readonly onlySecondMs: number;
  readonly neitherMs: number;
  readonly firstCovered: CohortShare | null;
  readonly secondCovered: CohortShare | null;
  /** Stable pairs with the case as subject. */
  readonly differenceCases: number;
  readonly differencePairs: number;
  readonly bias: number | null;
  readonly sdTotal: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly lowerInterval: readonly [number, number] | null;
  readonly upperInterval: readonly [number, number] | null;
  readonly rms: number | null;
  readonly lagMs: Spread | null;
  readonly lagInterval: { readonly lower: number; readonly upper: number } | null;
}

/** Two sites against each other over cases. */
export interface CohortPair extends CohortFigures {
  readonly firstKey: string;
  readonly secondKey: string;
  /** Cases in which both were worn at once, and those in which one followed the other (not used). */
  readonly cases: number;
  readonly casesOneAfterTheOther: number;
  readonly sharedMs: number;
  readonly perfusionRatio: Spread | null;
  /** Cautions with the number of cases they hold for. */
  readonly cautions: readonly { readonly caution: PairCaution; readonly cases: number }[];
  /** The figures with doubtful samples counted as lost, over the same time. */
  readonly doubtfulLost: CohortFigures;
  readonly rows: readonly CohortPairCase[];
}

/** One case behind the figures of a sensor. */
export interface CohortSensorCase extends SensorFigures {
  readonly caseKey: string;
  readonly caseId: string;
}

/** Strength and steadiness of one site over cases. */
export interface CohortSensor {
  readonly siteKey: string;
  readonly cases: number;
  readonly monitoredMs: number;
  /** Of the cases' medians, and of their shares of time. null: no case has an index. */
  readonly perfusion: Spread | null;
  readonly belowWeakShare: Spread | null;
  readonly belowDesirableShare: Spread | null;
  /** Of the cases' numbers per monitored hour. null: nothing monitored. */
  readonly shortLossesPerH: Spread | null;
  readonly doubtfulRunsPerH: Spread | null;
  readonly rows: readonly CohortSensorCase[];
}

/** Sites against each other over the cases of a choice. */
export interface SiteCohort {
  readonly parameters: AnalysisParameters;
  /** Cases that were compared, and those that could not be, with the reason. */
  readonly cases: number;
  readonly leftOut: readonly { readonly caseKey: string; readonly caseId: string; readonly reason: string }[];
  /** How cases are drawn anew for the intervals. */
  readonly draws: { readonly replicates: number; readonly seed: number; readonly conf: number };
  readonly pairs: readonly CohortPair[];
  readonly sensors: readonly CohortSensor[];
}
