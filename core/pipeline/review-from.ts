import type { SealedEntry } from '../model/review.ts';
import { reviewBasisOf } from '../review/review-basis.ts';
import { reviewOfCase, type ReviewView } from '../review/review-of-case.ts';
import type { Sha256 } from '../review/trail.ts';
import type { ReviewOf } from './cohort-case.ts';

/** Returns what finds out what is in force about a case, as the one who looks may see it: without `view`, nothing is hidden. `entries`: those about it, in the order of the trail; null: nothing is known of any. */
export function reviewFrom(entries: readonly SealedEntry[] | null, caseKey: string, sha256: Sha256, view: ReviewView = { by: null, blinded: false }): ReviewOf {
  return (record, analysis) => (entries === null ? null : reviewOfCase(entries, reviewBasisOf(caseKey, record, analysis, sha256), view));
}
