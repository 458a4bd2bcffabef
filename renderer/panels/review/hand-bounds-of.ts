import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { CaseReview } from '../../../core/model/review.ts';
import type { VerdictDraft } from '../../state/verdict-drafts.ts';
import type { HandBounds } from '../../timeline/hand-bounds.ts';

/** A draft that is at work, with whose it is and of which dropout. */
export interface DraftAtWork {
  readonly dropoutId: string;
  readonly reader: string;
  readonly draft: VerdictDraft;
}

/**
 * Returns the bounds by hand that are to be drawn: those of every verdict that counts and may be seen, and those of the draft in place
 * of its reader's own.
 */
export function handBoundsOf(review: CaseReview | null, analysis: CaseAnalysis, atWork: DraftAtWork | null): HandBounds[] {
  const dropouts = new Map(analysis.sites.flatMap((site) => site.dropouts.map((dropout) => [dropout.dropoutId, dropout] as const)));
  const endOf = (dropoutId: string): number => {
    const dropout = dropouts.get(dropoutId);
    return dropout?.firstGoodMs ?? dropout?.censoredAtMs ?? analysis.bounds.endMs;
  };
  const saved = (review?.dropouts ?? []).flatMap(({ dropoutId, siteKey, verdicts }) =>
    verdicts.flatMap(({ by, role, isCounted, judgement }): HandBounds[] => {
      const isReplaced = atWork !== null && atWork.dropoutId === dropoutId && atWork.reader === by && role === 'reading';
      if (!isCounted || judgement.correctedBounds === null || isReplaced || !dropouts.has(dropoutId)) return [];
      return [{ dropoutId, siteKey, by: role === 'consensus' ? 'consensus' : by, bounds: judgement.correctedBounds, endMs: endOf(dropoutId), isDraft: false }];
    }),
  );
  const siteKey = atWork === null ? undefined : dropouts.get(atWork.dropoutId)?.siteKey;
  if (atWork === null || siteKey === undefined || atWork.draft.correctedBounds === null) return saved;
  return [...saved, { dropoutId: atWork.dropoutId, siteKey, by: atWork.reader, bounds: atWork.draft.correctedBounds, endMs: endOf(atWork.dropoutId), isDraft: true }];
}
