import type { Range3 } from '../base/interval.ts';
import type { FourInstants } from './analysis.ts';
import type { ReviewedCase, StandingVerdict } from './review.ts';

/** On what readers of one dropout differ, and how far it is settled. */
export const DISAGREEMENT_STATES = ['disputed', 'kinds differ', 'bounds differ', 'two agreements', 'settled'] as const;
export type DisagreementState =
  /** One says that information was lost, another that it was not, or that it cannot be told; nothing was agreed. */
  | 'disputed'
  /** Both say that it was lost, for different reasons. */
  | 'kinds differ'
  /** They say the same, and corrected the bounds differently: figures take the computed ones. */
  | 'bounds differ'
  /** Two libraries recorded different agreements. */
  | 'two agreements'
  /** They differed, and what they agreed on is recorded. */
  | 'settled';

/** A dropout on which readers differ, or differed before they agreed. */
export interface Disagreement extends ReviewedCase {
  readonly dropoutId: string;
  readonly siteKey: string;
  /** The computed bounds. */
  readonly bounds: FourInstants;
  readonly lostMs: Range3;
  readonly state: DisagreementState;
  /** Readings that count, by reader. */
  readonly readings: readonly StandingVerdict[];
  /** What was agreed, in force. */
  readonly agreed: readonly StandingVerdict[];
}
