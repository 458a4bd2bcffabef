import type { Range3 } from '../base/interval.ts';
import type { FourInstants, RestoredBy } from '../model/analysis.ts';
import type { CaseReview, ReviewedDropout } from '../model/review.ts';
import { correctedLostMs } from './corrected-bounds.ts';

/** What a dropout must have to be counted by its review: those of one case and those of cohorts have it. */
export interface CountableDropout extends FourInstants {
  readonly dropoutId: string;
  readonly censoredAtMs: number | null;
  readonly lostMs: Range3;
  readonly restoredBy: RestoredBy;
  readonly restoredSiteKey: string | null;
  readonly restoredAfterMs: number | null;
}

/** The dropouts of one sensor as far as reviewers confirmed them. */
export interface ConfirmedDropouts<T> {
  /** Those that reviewers confirmed, with corrected bounds where those stand; the least that was lost. */
  readonly confirmed: readonly T[];
  /** All but those that reviewers refuted, corrected where confirmed: the most that can have been lost. */
  readonly notRefuted: readonly T[];
  /** How many were neither confirmed nor refuted, by what was said. */
  readonly open: { readonly notReviewed: number; readonly cannotTell: number; readonly disputed: number };
  /** Confirmed, but shorter than the definition asks for once corrected: in neither list. */
  readonly tooShort: readonly T[];
}

/**
 * Returns the computed dropouts of one sensor that reviewers confirmed, and those that they did not refute.
 * Shape   in the order given; the objects themselves where bounds stand as computed. Numbers and names stay, so that each is found again.
 *         `relink` gives what hangs on the onset anew for a dropout whose bounds were corrected; values before and after, and what was
 *         made of them, stay those of the computed bounds.
 * Missing a dropout that the review does not know counts as not reviewed.
 * Source  docs/methods/review.md.
 */
export function confirmedDropouts<T extends CountableDropout>(dropouts: readonly T[], review: Pick<CaseReview, 'dropouts'>, minDurationMs: number, relink: (dropout: T) => T): ConfirmedDropouts<T> {
  const reviewed = new Map<string, ReviewedDropout>(review.dropouts.map((one) => [one.dropoutId, one]));
  const confirmed: T[] = [];
  const notRefuted: T[] = [];
  const tooShort: T[] = [];
  const open = { notReviewed: 0, cannotTell: 0, disputed: 0 };
  for (const computed of dropouts) {
    const { outcome, correctedBounds } = reviewed.get(computed.dropoutId) ?? { outcome: 'not reviewed', correctedBounds: null };
    if (outcome === 'refuted') continue;
    const dropout = outcome === 'confirmed' && correctedBounds !== null ? relink(withBounds(computed, correctedBounds)) : computed;
    if (dropout !== computed && dropout.lostMs.mid < minDurationMs) {
      tooShort.push(dropout);
      continue;
    }
    notRefuted.push(dropout);
    if (outcome === 'confirmed') confirmed.push(dropout);
    else if (outcome === 'cannot tell') open.cannotTell += 1;
    else if (outcome === 'disputed') open.disputed += 1;
    else open.notReviewed += 1;
  }
  return { confirmed, notRefuted, open, tooShort };
}

/** Returns a dropout between bounds set by hand: its instants, its lengths and how it ended. */
export function withBounds<T extends CountableDropout>(dropout: T, bounds: FourInstants): T {
  const { lastGoodMs, firstLostMs, lastLostMs, firstGoodMs } = bounds;
  const cameBack = firstGoodMs !== null;
  const laterMs = firstLostMs - dropout.firstLostMs;
  return {
    ...dropout,
    lastGoodMs,
    firstLostMs,
    lastLostMs,
    firstGoodMs,
    lostMs: correctedLostMs(bounds, dropout),
    censoredAtMs: cameBack ? null : dropout.censoredAtMs,
    restoredBy: cameBack ? 'same site' : dropout.restoredBy,
    restoredSiteKey: cameBack ? null : dropout.restoredSiteKey,
    restoredAfterMs: cameBack || dropout.restoredAfterMs === null ? null : Math.max(0, dropout.restoredAfterMs - laterMs),
  };
}
