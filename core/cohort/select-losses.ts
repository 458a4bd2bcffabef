import { sumOfCounts } from '../metrics/confirmed-figures.ts';
import type { CohortBlind, CohortCase, CohortLosses } from '../model/cohort-case.ts';
import type { CohortReviewFigures } from '../model/cohort-results.ts';
import type { LossSelection, ReviewCounts } from '../model/confirmed.ts';

/**
 * Returns a case with the dropouts that a selection counts: every question to a cohort can be worked out from it.
 * Shape   a new case, or the same where nothing differs. Monitored time stays that of the computed result. Both results of a selected case are the
 *         same: reviewers read the dropouts of the first; losses under other definitions are not known of it.
 * Missing a case that nobody reviewed has no confirmed dropout, and every one not refuted.
 * Source  docs/metrics/confirmed.md.
 */
export function selectLosses(one: CohortCase, selection: LossSelection): CohortCase {
  if (selection === 'computed') return one;
  const counts = one.sites.map((_, i) => countsAt(one, i));
  const counted = one.review === null ? null : selection === 'confirmed' ? one.review.confirmed : one.review.notRefuted;
  const lossesAt = (i: number, computed: CohortLosses): CohortLosses => counted?.sites[i] ?? (selection === 'confirmed' ? { ...computed, dropouts: [], lostMs: NOTHING, longestMidMs: 0 } : computed);
  const blind: CohortBlind = counted?.blind ?? (selection === 'confirmed' ? { ...one.blind, count: 0, lostMs: NOTHING, longestMidMs: 0, lengthsMs: [] } : one.blind);
  return {
    ...one,
    sites: one.sites.map((site, i) => {
      const any = lossesAt(i, site.any);
      return { ...site, any, doubtfulLost: any, candidates: [] };
    }),
    blind,
    blindDoubtfulLost: blind,
    review: { counts, without: one.review?.without ?? 0, confirmed: { sites: [], blind }, notRefuted: { sites: [], blind } },
  };
}

const NOTHING = { low: 0, mid: 0, high: 0 } as const;

/** Returns what reviewers said of the dropouts of one sensor of a case, by its place. */
export function countsAt({ sites, review }: CohortCase, i: number): ReviewCounts {
  const dropouts = sites[i]?.any.dropouts.length ?? 0;
  return review?.counts[i] ?? { dropouts, confirmed: 0, refuted: 0, cannotTell: 0, disputed: 0, notReviewed: dropouts, corrected: 0, tooShort: 0 };
}

/** Returns what reviewers said of cases as computed. */
export function cohortReviewFigures(cases: readonly CohortCase[]): CohortReviewFigures {
  const byCase = cases.map((one) => sumOfCounts(one.sites.map((_, i) => countsAt(one, i))));
  const withDropout = byCase.filter(({ dropouts }) => dropouts > 0);
  return {
    ...sumOfCounts(byCase),
    without: cases.reduce((total, { review }) => total + (review?.without ?? 0), 0),
    cases: cases.length,
    casesReviewed: withDropout.filter(({ dropouts, notReviewed }) => notReviewed < dropouts).length,
    casesRead: withDropout.filter(({ notReviewed }) => notReviewed === 0).length,
    casesWithDropout: withDropout.length,
  };
}
