import type { Range3 } from '../base/interval.ts';
import { blindWithinMs } from '../episodes/blind.ts';
import { caseLosses } from '../episodes/case-losses.ts';
import type { Counting } from '../episodes/counted-losses.ts';
import { countedLosses } from '../episodes/counted-losses.ts';
import type { CaseAnalysis } from '../model/analysis.ts';
import type { CaseRecord } from '../model/case.ts';
import type { ConfirmedFigures, CountedLosses, ReviewCounts } from '../model/confirmed.ts';
import type { CaseReview, ReviewedDropout } from '../model/review.ts';
import { dropoutTotals } from './dropout-totals.ts';

/**
 * Returns what reviewers made of the dropouts of a case: what was lost by those that are confirmed, and by those that are not refuted.
 * Shape   `analysis` is that of `record`, `review` that of `analysis`; a dropout that the review does not name is not reviewed. Verdicts are
 *         on the primary result, in which doubtful samples are information.
 * Units   ms; shares from 0 to 1, of the monitored time of the computed result: it stays the denominator of both.
 * Missing nothing monitored: shares null. Nothing confirmed: 0 of the monitored time.
 * Source  docs/metrics/confirmed.md. All confirmed, no bounds corrected: exactly the computed figures.
 */
export function confirmedFigures(record: CaseRecord, analysis: CaseAnalysis, review: Pick<CaseReview, 'dropouts' | 'without' | 'flags'>): ConfirmedFigures {
  const { parameters } = analysis;
  const reviewed = new Map(review.dropouts.map((dropout) => [dropout.dropoutId, dropout]));
  const { context, sites } = caseLosses(record, parameters);
  const monitored = sites.map(({ site, any }) => ({ site, losses: any }));
  const withinMs = blindWithinMs(analysis.sites, analysis.recordGaps, parameters.keepRecordGaps, 'dropouts');
  const figuresOf = (countingOf: (dropout: ReviewedDropout | undefined) => Counting): CountedLosses => {
    const counted = countedLosses(monitored, ({ dropoutId }) => countingOf(reviewed.get(dropoutId)), context.gaps, parameters);
    const blindMs = counted.blind.map((one): Range3 => one.lostMs);
    return {
      sites: analysis.sites.map(({ siteKey, monitoredMs }, i) => {
        const dropouts = counted.sites[i] ?? [];
        return { siteKey, dropouts, totals: dropoutTotals(dropouts.map(({ lostMs }) => lostMs), monitoredMs) };
      }),
      blindMs,
      blindTotals: dropoutTotals(blindMs, withinMs),
    };
  };
  const confirmed = figuresOf((dropout) => (dropout?.outcome === 'confirmed' ? { counts: true, bounds: dropout.correctedBounds } : { counts: false, because: dropout?.outcome === 'refuted' ? 'refuted' : 'open' }));
  const counts = analysis.sites.map(({ siteKey, dropouts }, i) => ({ siteKey, ...countsOf(dropouts.map(({ dropoutId }) => reviewed.get(dropoutId)), confirmed.sites[i]?.totals.count ?? 0) }));
  return {
    counts,
    all: sumOfCounts(counts),
    without: review.without.length,
    isExcluded: isFlaggedOut(review),
    confirmed,
    notRefuted: figuresOf((dropout) => (dropout?.outcome === 'refuted' ? { counts: false, because: 'refuted' } : { counts: true, bounds: dropout?.outcome === 'confirmed' ? dropout.correctedBounds : null })),
  };
}

/** Returns whether a reader has flagged the case to be left out of figures: one is enough. */
export function isFlaggedOut({ flags }: Pick<CaseReview, 'flags'>): boolean {
  return flags.some((one) => one.flags.includes('exclude from figures'));
}

function countsOf(dropouts: readonly (ReviewedDropout | undefined)[], counted: number): ReviewCounts {
  const count = (is: (dropout: ReviewedDropout) => boolean): number => dropouts.filter((dropout) => dropout !== undefined && is(dropout)).length;
  const [confirmed, refuted, cannotTell, disputed] = [count(({ outcome }) => outcome === 'confirmed'), count(({ outcome }) => outcome === 'refuted'), count(({ outcome }) => outcome === 'cannot tell'), count(({ outcome }) => outcome === 'disputed')];
  return {
    dropouts: dropouts.length,
    confirmed,
    refuted,
    cannotTell,
    disputed,
    notReviewed: dropouts.length - confirmed - refuted - cannotTell - disputed,
    corrected: count(({ outcome, correctedBounds }) => outcome === 'confirmed' && correctedBounds !== null),
    tooShort: confirmed - counted,
  };
}

/** Returns what reviewers said of several sensors, or cases, together. */
export function sumOfCounts(counts: readonly ReviewCounts[]): ReviewCounts {
  const over = (of: (one: ReviewCounts) => number): number => counts.reduce((total, one) => total + of(one), 0);
  return {
    dropouts: over((one) => one.dropouts), confirmed: over((one) => one.confirmed), refuted: over((one) => one.refuted), cannotTell: over((one) => one.cannotTell),
    disputed: over((one) => one.disputed), notReviewed: over((one) => one.notReviewed), corrected: over((one) => one.corrected), tooShort: over((one) => one.tooShort),
  };
}
