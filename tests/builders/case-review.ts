import type { CaseReview, ReviewedDropout } from '../../core/model/review.ts';
import type { ReviewApi } from '../../core/protocol/review-api.ts';

/** Returns what is in force about a case, without the verdicts behind it. */
export function reviewed(dropouts: readonly Partial<ReviewedDropout>[], over: Partial<CaseReview> = {}): CaseReview {
  return {
    caseKey: 'key',
    caseId: 'K1',
    dropouts: dropouts.map((dropout): ReviewedDropout => ({ dropoutId: '', siteKey: 'finger', outcome: 'not reviewed', verdict: null, correctedBounds: null, verdicts: [], ...dropout })),
    without: [],
    earlier: [],
    flags: [],
    readers: [],
    hidden: [],
    isRevealed: true,
    readBy: [],
    ...over,
  };
}

/** The calls about reviews of a library in which nothing was said, for hosts that stand in where reviews are not the matter. */
export const NOTHING_REVIEWED: ReviewApi = {
  listReviewStates: () => Promise.resolve([]),
  readReview: ({ caseKey }) => Promise.resolve(reviewed([], { caseKey })),
  confirmedFigures: () => Promise.resolve(null),
  giveVerdict: ({ caseKey }) => Promise.resolve(reviewed([], { caseKey })),
  takeVerdictBack: ({ caseKey }) => Promise.resolve(reviewed([], { caseKey })),
  placeVerdict: ({ caseKey }) => Promise.resolve(reviewed([], { caseKey })),
  flagCase: ({ caseKey }) => Promise.resolve(reviewed([], { caseKey })),
  markCaseRead: ({ caseKey }) => Promise.resolve(reviewed([], { caseKey })),
  revealCase: ({ caseKey }) => Promise.resolve(reviewed([], { caseKey })),
  giveConsensus: ({ caseKey }) => Promise.resolve(reviewed([], { caseKey })),
  reviewQueue: () => Promise.resolve({ queue: [], leftOut: [] }),
  cancelReviewWork: () => Promise.resolve({ cancelled: true }),
  checkTrail: () => Promise.resolve({ entries: 0, head: '', problems: [] }),
  listTrail: () => Promise.resolve({ entries: [], total: 0 }),
};
