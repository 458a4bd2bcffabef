import type { Disagreement } from '../model/disagreement.ts';
import type { AgreementOptions, ReviewAgreement } from '../model/review-agreement.ts';
import type { ReceivedSummary, ReviewConflict, ReviewsFileContent, ReviewsFileOutlook, Sender, WaitingReviews } from '../model/reviews-file.ts';

/** Cases that could not be read for an answer. */
export type CasesLeftOut = readonly { readonly caseKey: string; readonly caseId: string; readonly reason: string }[];

/** What a library knows of reviews from elsewhere. */
export interface ReviewExchange {
  /** Fingerprint of this library's own key; null: it has none until it writes its first file. */
  readonly ownFingerprint: string | null;
  /** Whose fingerprint was confirmed, in the order in which they were. */
  readonly senders: readonly Sender[];
  /** Files that were received so far, each counted once. */
  readonly files: number;
  readonly waiting: readonly WaitingReviews[];
  readonly conflicts: readonly ReviewConflict[];
}

/** A staged file of reviews: the page stages it as it stages a file of an import. */
export interface StagedReviews {
  readonly importId: string;
  readonly file: string;
}

/**
 * Calls about two readers and about reviews of other libraries, a part of `HostApi`.
 * Errors  as `ReviewApi`; of files: `reviews-file-unreadable`, `-newer`, `-altered`, `-chain`, `sender-unconfirmed`, `nothing-to-send`.
 */
export interface ReviewExchangeApi {
  /**
   * Returns how far readers agree over the cases of the library. `jobId` names the work in its progress and when it is cancelled
   * (`cancelReviewWork`). `hidden`: cases left out because this reader has not been shown what others said of them; a table of few dropouts would tell it.
   */
  reviewAgreement(args: { readonly jobId: string; readonly options: AgreementOptions; readonly by: string | null; readonly blinded: boolean }): Promise<{ readonly agreement: ReviewAgreement; readonly hidden: number; readonly leftOut: CasesLeftOut }>;
  /** Returns the same as agreement.csv and verdict-table.csv. */
  agreementTexts(args: { readonly agreement: ReviewAgreement }): Promise<{ readonly agreement: string; readonly verdicts: string }>;
  /** Returns the dropouts on which readers differ, case by case. `hidden`: cases left out because this reader has not been shown what others said of them. */
  listDisagreements(args: { readonly jobId: string; readonly by: string | null; readonly blinded: boolean }): Promise<{ readonly disagreements: readonly Disagreement[]; readonly hidden: number; readonly leftOut: CasesLeftOut }>;
  /** Returns what is known of senders, and what waits or is to be settled; joins what can be joined first. */
  reviewExchange(args: { readonly jobId: string }): Promise<ReviewExchange>;
  /** Returns what a file of this library's reviews would hold. */
  reviewsOutlook(args: { readonly jobId: string }): Promise<ReviewsFileOutlook>;
  /** Returns the text of such a file, signed, and writes down that it was made. */
  writeReviews(args: { readonly jobId: string; readonly notes: ReviewsFileContent['notes']; readonly by: string }): Promise<{ readonly text: string; readonly fileName: string; readonly fingerprint: string; readonly outlook: ReviewsFileOutlook }>;
  /** Checks a staged file and returns what receiving it would do. Keeps nothing. */
  inspectReviews(args: StagedReviews & { readonly jobId: string }): Promise<ReceivedSummary>;
  /**
   * Keeps a staged file and joins it. `confirmed`: the fingerprint that a person has compared, needed once for each sender; `label`: what
   * the sender is to be called. Received again it changes nothing.
   */
  receiveReviews(args: StagedReviews & { readonly jobId: string; readonly confirmed: string | null; readonly label: string; readonly by: string }): Promise<ReceivedSummary>;
  /** Writes down what a person decided about a conflict and acts on it. Errors: `conflict-missing`, `bad-choice`. */
  settleReviewConflict(args: { readonly jobId: string; readonly conflictId: string; readonly choice: string; readonly by: string }): Promise<ReviewExchange>;
}
