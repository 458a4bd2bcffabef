import type { CaseMs } from '../base/brand.ts';
import type { Range3 } from '../base/interval.ts';
import type { Exposure, Link, RestoredBy } from './analysis.ts';
import type { ReviewCounts } from './confirmed.ts';
import type { PairCaution } from './site-comparison.ts';
import type { Site } from './site.ts';

/** Why a case that was read takes no part in any figure. */
export const NOT_USABLE_REASONS = ['no SpO2', 'no monitored sensor', 'flagged by a reader: exclude from figures'] as const;
export type NotUsableReason = (typeof NOT_USABLE_REASONS)[number];

/** One dropout as cohorts count it. */
export interface CohortDropout {
  /** Stable: derived from sensor and first lost instant. */
  readonly dropoutId: string;
  /** 1, 2, 3 … in time order within the sensor. */
  readonly number: number;
  /** The onset lies after the one and not after the other. */
  readonly lastGoodMs: CaseMs;
  readonly firstLostMs: CaseMs;
  /** The end lies between them; both are null when information did not come back at this sensor. */
  readonly lastLostMs: CaseMs | null;
  readonly firstGoodMs: CaseMs | null;
  /** Where the count ends when it was not restored at this sensor; null otherwise. */
  readonly censoredAtMs: CaseMs | null;
  readonly lostMs: Range3;
  readonly restoredBy: RestoredBy;
  readonly restoredSiteKey: string | null;
  /** From first lost to information at the other site; null unless restored there. */
  readonly restoredAfterMs: number | null;
  readonly patterns: readonly string[];
  /** Preceding exposures, nearest first. */
  readonly links: readonly Link[];
  /** What was done during it, in time order. */
  readonly responses: readonly { readonly kind: Exposure['kind']; readonly atMs: CaseMs }[];
  /** Returned much lower, as the parameters say. */
  readonly isMarked: boolean;
  /** null where the definition was changed and no sample was looked at. */
  readonly spo2Before: number | null;
  readonly spo2After: number | null;
  /** Mean arterial pressure of the time before, mmHg; null where none was recorded. */
  readonly pressureBefore: number | null;
}

/** The dropouts of one sensor under one rule of information. */
export interface CohortLosses {
  readonly dropouts: readonly CohortDropout[];
  readonly lostMs: Range3;
  readonly longestMidMs: number;
  /** Denominator, ms: reaches on with a loss that was not restored. */
  readonly monitoredMs: number;
  /** The same as stretches: starts and ends in turn, ascending, record gaps and stretches without an interval cut out. */
  readonly monitoredSpans: readonly number[];
  /** Of the time after the last information, what a loss that was not restored would add under another definition; empty for none. */
  readonly openTail: readonly number[];
}

/** Every loss of a sensor of at least `CANDIDATE_MIN_S` under one bridging and one rule: what other definitions choose from. */
export interface LossCandidates {
  readonly bridgeS: number;
  readonly doubtfulLost: boolean;
  /** `CANDIDATE_FIELDS` numbers per loss, in time order: last good, first lost, last lost, first good, 1 when open else 0, lost low, mid, high. */
  readonly losses: Float64Array;
}
/** The shortest minimum duration that cohort results can be drawn against. Source: analysis-spec 10. */
export const CANDIDATE_MIN_S = 5;
export const CANDIDATE_FIELDS = 8;
/** Bridgings that cohort results are drawn against, beside the one of the parameters. */
export const CANDIDATE_BRIDGES_S = [0, 30, 60] as const;

/** One sensor of a case. */
export interface CohortSite {
  readonly siteKey: string;
  readonly site: Site;
  readonly sensor: string;
  /** Recording interval that covers most time; null when irregular. */
  readonly intervalMs: number | null;
  /** First and last information; null when the sensor was never monitored. */
  readonly firstInformationMs: CaseMs | null;
  readonly lastInformationMs: CaseMs | null;
  /** Primary result, and the one with doubtful samples counted as lost. */
  readonly any: CohortLosses;
  readonly doubtfulLost: CohortLosses;
  readonly candidates: readonly LossCandidates[];
}

/** Time without information at any site. */
export interface CohortBlind {
  readonly count: number;
  readonly lostMs: Range3;
  readonly longestMidMs: number;
  /** Of each blind interval, in time order. */
  readonly lengthsMs: readonly Range3[];
  readonly monitoredMs: number;
}

/** What was lost in a case by the dropouts that count. */
export interface CohortCounted {
  /** In the order of the case's sensors. Monitored time is that of the computed result. */
  readonly sites: readonly CohortLosses[];
  readonly blind: CohortBlind;
}

/** What reviewers made of a case, as cohorts count it. */
export interface CohortReview {
  /** In the order of the case's sensors. */
  readonly counts: readonly ReviewCounts[];
  /** Verdicts that stand at no dropout of today. */
  readonly without: number;
  readonly confirmed: CohortCounted;
  readonly notRefuted: CohortCounted;
}

/** Something that may precede a dropout, or answer one. */
export interface CohortExposure {
  readonly exposureId: string;
  readonly kind: Exposure['kind'];
  /** INN of a drug, or the dictionary's term. */
  readonly label: string;
  readonly dose: number | null;
  readonly unit: string;
  readonly atMs: CaseMs;
  /** End of a state; null for a moment. */
  readonly endMs: CaseMs | null;
  /** Look-back of the parameters; null for states. */
  readonly windowMs: number | null;
  readonly manual: boolean;
}

/** Two sensors over the time in which both were meant to give information; every loss counts, however short. */
export interface CohortSitePair {
  readonly firstKey: string;
  readonly secondKey: string;
  readonly sharedMs: number;
  readonly onlyFirstMs: number;
  readonly onlySecondMs: number;
  readonly neitherMs: number;
  readonly cautions: readonly PairCaution[];
}

export type AlignedQuantity = 'spo2' | 'perfusion-index' | 'mean-pressure';

/** The grid of lags around a bolus, seconds. */
export const ALIGNED_GRID = { firstS: -120, lastS: 600, stepS: 10 } as const;
export const ALIGNED_LAGS = (ALIGNED_GRID.lastS - ALIGNED_GRID.firstS) / ALIGNED_GRID.stepS + 1;
/** Stands for "no value". */
export const ALIGNED_MISSING = 0xffff;
/** What a stored whole number is divided by. */
export const ALIGNED_SCALE: Readonly<Record<AlignedQuantity, number>> = { 'spo2': 100, 'perfusion-index': 1000, 'mean-pressure': 100 };

/** Values around every vasopressor bolus of a case. */
export interface AlignedValues {
  /** One per bolus, in time order. */
  readonly exposureIds: readonly string[];
  /** `siteKey` is null for a pressure. */
  readonly series: readonly { readonly quantity: AlignedQuantity; readonly siteKey: string | null }[];
  /** Bolus by bolus, series by series, lag by lag: the value times its scale, or `ALIGNED_MISSING`. */
  readonly values: Uint16Array;
}

/**
 * What one case gives to a cohort: plain data without a single signal, small enough for ten thousand of them in memory.
 * Units   ms since the case origin.
 */
export interface CohortCase {
  readonly caseKey: string;
  readonly caseId: string;
  /** Names the patient where a column of the case list does; null: the case stands for itself. */
  readonly patientKey: string | null;
  /** Columns of the case list as imported. */
  readonly attributes: Readonly<Record<string, string>>;
  /** UTC milliseconds of the case's first row; null: undated. */
  readonly startedAtMs: number | null;
  /** `YYYY-MM-DD` in the case's zone; null: undated. */
  readonly date: string | null;
  readonly bounds: { readonly startMs: CaseMs; readonly endMs: CaseMs };
  /** Start and end of surgery where events give them: what phases are cut by. */
  readonly surgery: { readonly startMs: CaseMs | null; readonly endMs: CaseMs | null };
  /** null: usable. */
  readonly notUsable: NotUsableReason | null;
  /** False where record gaps could not be told from losses. */
  readonly recordGapsCanBeTold: boolean;
  /** In the order of sites and sensors. */
  readonly sites: readonly CohortSite[];
  readonly blind: CohortBlind;
  readonly blindDoubtfulLost: CohortBlind;
  /** In time order. */
  readonly exposures: readonly CohortExposure[];
  readonly pairs: readonly CohortSitePair[];
  readonly aligned: AlignedValues;
  /** null: no reader has said anything of it. */
  readonly review: CohortReview | null;
}
