import type { CohortCaution } from './cohort-caution.ts';

/** Exposures whose rate of loss is held against control time of the same case. */
export const RATE_KINDS = ['vasopressor bolus', 'position'] as const;
export type RateKind = (typeof RATE_KINDS)[number];

/** Why a ratio or its interval is not given. */
export const RATIO_REASONS = ['no stratum with both times', 'no event', 'no event at risk', 'no event in control time', 'no finite estimate', 'too many events'] as const;
export type RatioReason = (typeof RATIO_REASONS)[number];

/** A ratio of rates within cases. */
export interface RatioFigure {
  readonly method: 'Mantel-Haenszel' | 'conditional' | 'exact conditional';
  readonly ratio: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** Two-sided. */
  readonly p: number | null;
  /** No onset in control time: ratio and upper limit are larger than any number, and null here. */
  readonly isUnbounded: boolean;
  readonly reason: RatioReason | null;
}

/** What a ratio rests on: times in which a loss could begin, and losses that did. Only cases with both times. */
export interface RateCounts {
  readonly casesUsed: number;
  /** Of these, cases with an onset: only they say anything. */
  readonly casesInformative: number;
  readonly riskMs: number;
  readonly controlMs: number;
  readonly riskOnsets: number;
  readonly controlOnsets: number;
}

/** Other ways to the same ratio: it should not hang on one of them. */
export const RATE_VARIANTS = [
  'case by phase',
  'onset at its earliest',
  'onset at its latest',
  'first onset after each exposure',
  'losses shortly after another joined',
  'look-back windows of the parameters',
  'doubtful samples as lost',
] as const;
export type RateVariant = (typeof RATE_VARIANTS)[number];

export interface VariantRate extends RateCounts {
  readonly variant: RateVariant;
  readonly figure: RatioFigure;
  /** Cases that this way cannot use, though the main one does: without a start or end of surgery. */
  readonly casesWithoutPhases: number;
}

/** The exact test that turns exposures and onsets of a case against each other in time. */
export interface ShiftFigure {
  readonly observed: number;
  readonly expected: number;
  readonly cases: number;
  readonly pGreater: number;
  readonly pLess: number;
  readonly p: number;
}

/** What would be due to the exposure if the association were causal. */
export interface AttributableFigure {
  readonly fraction: number | null;
  readonly onsets: number | null;
  readonly reason: 'ratio not above 1' | 'no finite ratio' | 'interval holds 1' | 'no interval' | null;
}

/** What a ratio by dose asks for at least. Choices of this project, stated beside the result. */
export const DOSE_MINIMA = { onsets: 20, casesWithOnset: 10, doses: 2 } as const;

/** Loss after larger and smaller doses of one drug. */
export interface DoseResponse {
  readonly unit: string;
  /** Boluses with a dose in this unit, and those without a dose or in another unit: not used. */
  readonly boluses: number;
  readonly bolusesNotUsed: number;
  readonly onsets: number;
  readonly casesWithOnset: number;
  /** Doses from, up to and with to; thirds of the boluses where there are that many doses. */
  readonly bands: readonly (RateCounts & { readonly from: number; readonly to: number; readonly boluses: number; readonly figure: RatioFigure })[];
  /** Ratio per doubling of the dose, within cases; null with the reason. */
  readonly perDoubling: RatioFigure | null;
  readonly reason: 'too few onsets' | 'too few cases with an onset' | 'one dose only' | null;
}

/** Rate of loss after one sort of exposure against control time of the same cases. */
export interface ExposureRate extends RateCounts {
  readonly kind: RateKind;
  /** The drug or the position; null: all of the kind. */
  readonly label: string | null;
  /** The sensor; null: all of a case together. */
  readonly siteKey: string | null;
  readonly exposures: number;
  readonly exposuresByHand: number;
  /** Monitored cases without such an exposure, and without control time: left out. */
  readonly casesWithoutExposure: number;
  readonly casesWithoutControl: number;
  /** Cases with both times and an onset: those that say anything. In their order; none in runs for the main figures alone. */
  readonly onsetCases: readonly { readonly caseKey: string; readonly riskOnsets: number; readonly controlOnsets: number }[];
  /** Shortly before an exposure: neither at risk nor control. */
  readonly preMs: number;
  readonly preOnsets: number;
  /** Onsets in a record gap or outside the monitored time of cases with both times: in no rate. */
  readonly onsetsNotPlaced: number;
  /** Of the used cases, per hour: a description; never to be divided by each other. */
  readonly riskPerH: number | null;
  readonly controlPerH: number | null;
  /** What is shown: Mantel–Haenszel, or the conditional estimate with exact limits where either side has fewer than 5 onsets. */
  readonly figure: RatioFigure;
  readonly isSparse: boolean;
  readonly mantelHaenszel: RatioFigure;
  readonly conditional: RatioFigure;
  readonly exact: RatioFigure;
  readonly attributable: AttributableFigure;
  /** Median of the mean arterial pressure before onsets, mmHg; null: not recorded. */
  readonly pressureBeforeRisk: number | null;
  readonly pressureBeforeControl: number | null;
  /** Only for all of a kind at all sensors. */
  readonly shift: ShiftFigure | null;
  readonly variants: readonly VariantRate[];
  /** Only for one drug at all sensors. */
  readonly dose: DoseResponse | null;
  readonly cautions: readonly CohortCaution[];
}

/** Exclusive categories of time against time in no window of either kind. */
export const RATE_CATEGORIES = ['bolus only', 'position only', 'both'] as const;
export interface CategoryRate extends RateCounts {
  readonly category: (typeof RATE_CATEGORIES)[number];
  readonly figure: RatioFigure;
}

/** Windows of the rates, s after the exposure: from, up to and without to. */
export interface RateWindows {
  readonly bolusS: readonly [number, number];
  readonly positionS: readonly [number, number];
  /** Shortly before an exposure: kept apart. */
  readonly preS: number;
  /** A loss that begins within so much of the end of another counts as the same in one of the variants. */
  readonly washOutS: number;
}

/** Choices of the statistics plan; they belong to the definition and are printed. */
export const DEFAULT_RATE_WINDOWS: RateWindows = { bolusS: [0, 300], positionS: [0, 180], preS: 60, washOutS: 60 };

/** What precedes loss, over cases. */
export interface BeforeLoss {
  readonly conf: number;
  readonly windows: RateWindows;
  readonly rates: readonly ExposureRate[];
  readonly categories: readonly CategoryRate[];
  readonly cautions: readonly CohortCaution[];
}
