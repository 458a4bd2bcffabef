import type { CaseReview, ReviewedDropout } from '../../core/model/review.ts';

/** Returns what is in force about a case, without the verdicts behind it. */
export function reviewed(dropouts: readonly Partial<ReviewedDropout>[], over: Partial<CaseReview> = {}): CaseReview {
  return {
    caseKey: 'key',
    caseId: 'K1',
    dropouts: dropouts.map((dropout): ReviewedDropout => ({ dropoutId: '', siteKey: 'finger', outcome: 'not reviewed', verdict: null, correctedBounds: null, verdicts: [], ...dropout })),
    without: [],
    flags: [],
    readers: [],
    hidden: [],
    isRevealed: true,
    readBy: [],
    ...over,
  };
}
