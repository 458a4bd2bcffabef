import type { ConfirmedFigures } from '../model/confirmed.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { CaseFlag, CaseReview, Judgement, ListedEntry, QueueOrder, QueuedDropout, ReviewState, TrailCheck } from '../model/review.ts';

/** Names the dropout that a verdict is about; the host takes its instants from the stored analysis. */
export interface VerdictArgs {
  readonly caseKey: string;
  readonly dropoutId: string;
  readonly by: string;
  readonly judgement: Judgement;
}

/**
 * Calls about reviews, a part of `HostApi`. `by`: the local name of the reader, 1 to 60 characters without line breaks.
 * Blinding is kept by the host: verdicts of others on a case are left out of every answer to a reader who has neither called the
 * case read nor revealed it, where `blinded` is asked. A call that resolves has written to the disk.
 * Errors  `no-reader`, `case-missing`, `dropout-missing` (the analysis changed meanwhile), `certainty-missing`, `bounds-out-of-order`,
 *         `library-unwritable`, `disk-full`, `reviews-damaged` (an entry cannot be read: nothing is written over it).
 */
export interface ReviewApi {
  /**
   * Returns the state of review of every case. With `view`, outcomes and flags as this reader may see them: a case that another has read
   * alone is not reviewed for a blinded one; where nobody has said who reads and reading is blinded, none is. Without, nothing is hidden.
   */
  listReviewStates(view?: { readonly by: string | null; readonly blinded: boolean } | null): Promise<readonly ReviewState[]>;
  /**
   * Returns all that is in force about a case, and was, as this reader may see it. `by` null: with nothing hidden, or everything where blinded. A
   * reader who is shown what others said is noted in the trail as having been, once for each case; so with `confirmedFigures` and `listDisagreements`.
   */
  readReview(args: { readonly caseKey: string; readonly by: string | null; readonly blinded: boolean }): Promise<CaseReview>;
  /**
   * Returns the figures on confirmed dropouts of a case beside those of all that is not refuted, under these parameters and from what this
   * reader may see alone; null where that is no verdict on any dropout.
   */
  confirmedFigures(args: { readonly caseKey: string; readonly parameters: AnalysisParameters; readonly by: string | null; readonly blinded: boolean }): Promise<ConfirmedFigures | null>;
  giveVerdict(args: VerdictArgs & { readonly blinded: boolean }): Promise<CaseReview>;
  /** Undoes the reader's last verdict on a dropout: the one before it is in force again, or none. */
  takeVerdictBack(args: { readonly caseKey: string; readonly dropoutId: string; readonly by: string; readonly blinded: boolean }): Promise<CaseReview>;
  /** Moves a verdict that stands at no dropout, or at several, to one that the reader names. */
  placeVerdict(args: { readonly caseKey: string; readonly entryId: string; readonly dropoutId: string; readonly by: string; readonly blinded: boolean }): Promise<CaseReview>;
  flagCase(args: { readonly caseKey: string; readonly by: string; readonly flags: readonly CaseFlag[]; readonly note: string; readonly blinded: boolean }): Promise<CaseReview>;
  markCaseRead(args: { readonly caseKey: string; readonly by: string; readonly blinded: boolean }): Promise<CaseReview>;
  /** Shows the reader what others said, which is noted: verdicts given afterwards are no blinded readings. */
  revealCase(args: { readonly caseKey: string; readonly by: string }): Promise<CaseReview>;
  /** Records what readers agreed on, beside their own verdicts. Errors: `nothing-to-settle` with fewer than two readers. */
  giveConsensus(args: VerdictArgs): Promise<CaseReview>;
  /** Returns dropouts in the order in which they are to be read. `caseKeys` null: of the whole library. Cases that cannot be read are named. */
  reviewQueue(args: { readonly jobId: string; readonly caseKeys: readonly string[] | null; readonly order: QueueOrder; readonly by: string }): Promise<{ readonly queue: readonly QueuedDropout[]; readonly leftOut: readonly { readonly caseKey: string; readonly caseId: string; readonly reason: string }[] }>;
  cancelReviewWork(args: { readonly jobId: string }): Promise<{ readonly cancelled: boolean }>;
  /** Checks the whole trail. `head`: a hash that was noted earlier and must be in it. */
  checkTrail(args: { readonly head: string | null }): Promise<TrailCheck>;
  /**
   * Returns entries of the trail, newest first, some at a time, as this reader may see them: blinded, what others said of a case is kept back. To
   * be shown it is a look, and the trail tells it.
   */
  listTrail(args: { readonly before: number | null; readonly limit: number; readonly by: string | null; readonly blinded: boolean }): Promise<{ readonly entries: readonly ListedEntry[]; readonly total: number }>;
}
