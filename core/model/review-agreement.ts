import type { FourInstants } from './analysis.ts';
import type { Verdict } from './review.ts';
import { VERDICTS } from './review.ts';

/** What one reader said of one dropout before being shown what others said: the last of it, where it was corrected meanwhile. */
export interface BlindReading {
  readonly by: string;
  readonly verdict: Verdict;
  /** null: the computed bounds stand. */
  readonly correctedBounds: FourInstants | null;
}

/** One dropout with the readings that agreement is worked out from. */
export interface ReadDropout extends FourInstants {
  readonly dropoutId: string;
  readonly siteKey: string;
  /** At most one of each reader. */
  readonly blind: readonly BlindReading[];
  /** Readers who read it only after they had been shown what others said. */
  readonly unblinded: readonly string[];
}

/** The dropouts of one case that anybody has read. */
export interface ReadCase {
  readonly caseKey: string;
  readonly caseId: string;
  readonly dropouts: readonly ReadDropout[];
  /** Readings that stand at no dropout of today: they count nowhere. */
  readonly without: number;
}

/** What is asked. */
export interface AgreementOptions {
  /** null: the two readers with the most dropouts in common. */
  readonly readers: readonly [string, string] | null;
  readonly replicates: number;
  readonly seed: number;
  readonly conf: number;
}

/** Draws on the screen (statistics 0); the seed is that of the results over cases. */
export const DEFAULT_AGREEMENT_OPTIONS: AgreementOptions = { readers: null, replicates: 2000, seed: 20_260_101, conf: 0.95 };

/** How verdicts are put together before they are compared; categories are those of the form, used or not. */
export const AGREEMENT_SCALES = {
  'kind of verdict': { categories: Object.keys(VERDICTS) },
  'loss, no loss or cannot tell': { categories: ['loss', 'no loss', 'cannot tell'] },
  /** Only dropouts of which both could tell. */
  'loss or no loss': { categories: ['loss', 'no loss'] },
} as const satisfies Readonly<Record<string, { readonly categories: readonly string[] }>>;
export type AgreementScale = keyof typeof AGREEMENT_SCALES;

/** What is worked out of one table, in the order in which it is shown. The last four for two categories only, `loss` being the positive one. */
export const AGREEMENT_FIGURES = ['percent agreement', 'kappa', 'PABAK', 'AC1', 'prevalence index', 'bias index', 'positive agreement', 'negative agreement'] as const;
export type AgreementFigureName = (typeof AGREEMENT_FIGURES)[number];

/** Why a figure, or its interval, is not there; the words of `docs/methods/rater-agreement.md`. */
export const MISSING_REASONS = ['nothing-rated', 'one-category', 'no-variation', 'one-case', 'replicates-alike', 'too-many-undefined', 'unequal-raters'] as const;

export interface AgreementFigure {
  readonly figure: AgreementFigureName;
  /** Shares and indices from −1 to 1; null: not defined, for the reason. */
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** `cases drawn anew`: dropouts of one case stay together. `formula`: dropouts counted as independent, one of each case. null: no interval. */
  readonly interval: 'cases drawn anew' | 'formula' | null;
  /** Draws in which the figure was not defined; they are left out. */
  readonly undefinedDraws: number;
  readonly reason: (typeof MISSING_REASONS)[number] | null;
}

/** The table of two readers on one scale. */
export interface AgreementTable {
  readonly scale: AgreementScale;
  /** counts[i][j]: dropouts that the first reader put into category i and the second into j. */
  readonly counts: readonly (readonly number[])[];
  readonly dropouts: number;
  readonly cases: number;
  /** Agreement that the margins alone would give. */
  readonly expectedAgreement: number | null;
  /** Highest kappa that the margins allow. */
  readonly kappaMax: number | null;
  readonly figures: readonly AgreementFigure[];
}

/** What of a dropout's bounds is compared. */
export const COMPARED_BOUNDS = ['onset', 'end', 'length'] as const;

/** Differences of one bound, second reader minus first, ms. */
export interface BoundDifferences {
  readonly bound: (typeof COMPARED_BOUNDS)[number];
  readonly dropouts: number;
  readonly cases: number;
  readonly medianMs: number | null;
  /** Mean difference. */
  readonly biasMs: number | null;
  /** Limits of agreement, bias ± 1.96 SD, with the spread between and within cases. null: fewer than two cases. */
  readonly lowerMs: number | null;
  readonly upperMs: number | null;
  readonly lowerLimitCI: readonly [number, number] | null;
  readonly upperLimitCI: readonly [number, number] | null;
}

/** Two readers against each other. */
export interface PairAgreement {
  readonly first: string;
  readonly second: string;
  /** Dropouts that both read blinded, and their cases. */
  readonly common: number;
  readonly cases: number;
  /** Dropouts that both read, one of them or both after being shown the other's: in no figure. */
  readonly unblinded: number;
  /** Whether intervals keep the dropouts of a case together: some case has more than one in common. */
  readonly isClustered: boolean;
  readonly tables: readonly AgreementTable[];
  readonly bounds: {
    /** Dropouts that both call a loss and of which at least one reader corrected the bounds; where one did, the computed ones count for the other. */
    readonly corrected: number;
    /** Of these, those that both corrected. */
    readonly correctedByBoth: number;
    /** Dropouts that both call a loss and whose computed bounds both let stand: not among the differences. */
    readonly leftStanding: number;
    readonly differences: readonly BoundDifferences[];
  };
}

/** One figure over more than two readers. */
export interface ManyReadersFigure {
  readonly figure: 'Krippendorff’s alpha' | 'AC1' | 'Fleiss’ kappa';
  readonly scale: AgreementScale;
  /** Dropouts with at least two blinded readings; for Fleiss' kappa those that every reader read. */
  readonly dropouts: number;
  readonly cases: number;
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly undefinedDraws: number;
  readonly reason: (typeof MISSING_REASONS)[number] | null;
}

export interface ReviewAgreement {
  readonly options: AgreementOptions;
  /** How the dropouts came to be read: the program's own list, so there is none that it missed and no true negative. */
  readonly candidates: 'found by the program';
  readonly cases: number;
  /** Dropouts with any reading. */
  readonly dropouts: number;
  readonly without: number;
  /** Everybody who read anything, in the order of their names. */
  readonly readers: readonly { readonly by: string; readonly blind: number; readonly unblinded: number }[];
  /** Every two readers with dropouts in common, most first. */
  readonly pairs: readonly { readonly first: string; readonly second: string; readonly common: number }[];
  /** null: no two readers have a dropout in common that both read blinded. */
  readonly pair: PairAgreement | null;
  /** null: fewer than three readers read blinded. */
  readonly many: readonly ManyReadersFigure[] | null;
}

/** With fewer cases than this, limits drawn from cases are too narrow (statistics 0: 0.81 of intervals of nominal 0.95 held the truth at 6 cases). */
export const FEW_CASES = 10;
