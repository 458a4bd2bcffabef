/** How much the bounds of a run move apart because of how its values were made, ms. */
export interface RunWidening {
  /** Added to the least that was lost: the interval that a blank stands for. */
  readonly lowMs: number;
  /** Added to the most: what may be lost of the interval of a value that is there. */
  readonly highMs: number;
  /** How much earlier the loss may have begun because an old value was shown or stored; null: the parameter of the analysis. */
  readonly holdMs: number | null;
}

/** One stretch without information between two samples that have it, or from the last such sample to a censoring. */
export interface LossRun {
  readonly lastGoodMs: number;
  readonly firstLostMs: number;
  /** For an open run: where it is censored. */
  readonly lastLostMs: number;
  readonly firstGoodMs: number;
  /** True: information never came back here; the run is censored. */
  readonly isOpen: boolean;
  /** Left out: nothing is stated about how its values were made. */
  readonly widening?: RunWidening | undefined;
}
