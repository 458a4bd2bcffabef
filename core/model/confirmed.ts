import type { Range3 } from '../base/interval.ts';
import type { DropoutTotals, FourInstants } from './analysis.ts';

/** Which dropouts figures are asked for: as computed, those that reviewers confirmed, or both side by side. */
export const DROPOUT_CHOICES = ['computed', 'confirmed', 'both'] as const;
export type DropoutChoice = (typeof DROPOUT_CHOICES)[number];

/**
 * Which dropouts a figure counts. `confirmed`: the least that reviewers stand for; `not refuted`: the most that can be, with those
 * on which readers differ, cannot tell, or have said nothing.
 */
export const LOSS_SELECTIONS = ['computed', 'confirmed', 'not refuted'] as const;
export type LossSelection = (typeof LOSS_SELECTIONS)[number];

/** What reviewers said of the dropouts of a sensor, a case or a cohort. */
export interface ReviewCounts {
  readonly dropouts: number;
  readonly confirmed: number;
  readonly refuted: number;
  readonly cannotTell: number;
  readonly disputed: number;
  readonly notReviewed: number;
  /** Of the confirmed: those whose bounds a reader corrected. */
  readonly corrected: number;
  /** Of these: shorter than the definition of a dropout asks for, once corrected; they count in no figure. */
  readonly tooShort: number;
}

/** A dropout that counts, with the bounds that figures use. */
export interface CountedDropout extends FourInstants {
  readonly dropoutId: string;
  readonly censoredAtMs: number | null;
  readonly lostMs: Range3;
}

/** The dropouts of one sensor that count. */
export interface CountedSite {
  readonly siteKey: string;
  readonly dropouts: readonly CountedDropout[];
  /** Over the monitored time of the computed result. */
  readonly totals: DropoutTotals;
}

/** What was lost in a case by the dropouts that count; times without information at any sensor follow from them. */
export interface CountedLosses {
  /** In the order of the analysis. */
  readonly sites: readonly CountedSite[];
  /** Length of each blind interval, in time order. */
  readonly blindMs: readonly Range3[];
  readonly blindTotals: DropoutTotals;
}

/** What reviewers made of the dropouts of a case. */
export interface ConfirmedFigures {
  /** By sensor, in the order of the analysis, and of the whole case. */
  readonly counts: readonly (ReviewCounts & { readonly siteKey: string })[];
  readonly all: ReviewCounts;
  /** Verdicts that stand at no dropout of today: in no figure. */
  readonly without: number;
  /** A reader has flagged the case to be left out of figures. */
  readonly isExcluded: boolean;
  readonly confirmed: CountedLosses;
  readonly notRefuted: CountedLosses;
}
