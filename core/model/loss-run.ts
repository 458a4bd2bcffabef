/** One stretch without information between two samples that have it, or from the last such sample to a censoring. */
export interface LossRun {
  readonly lastGoodMs: number;
  readonly firstLostMs: number;
  /** For an open run: where it is censored. */
  readonly lastLostMs: number;
  readonly firstGoodMs: number;
  /** True: information never came back here; the run is censored. */
  readonly isOpen: boolean;
}
