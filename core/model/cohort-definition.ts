/** What of the definition of a dropout a cohort result is drawn against. */
export interface CohortDefinition {
  readonly minDurationS: number;
  readonly bridgeS: number;
  /** Every look-back is multiplied by this. */
  readonly lookBackFactor: number;
  readonly doubtfulLost: boolean;
}
