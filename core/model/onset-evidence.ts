import type { CaseMs } from '../base/brand.ts';

/** Onset patterns, in the order in which they are written (analysis-spec 6). */
export const ONSET_PATTERNS = ['fading', 'abrupt', 'cuff', 'unsteady', 'cold', 'record gap', 'planned'] as const;
export type OnsetPattern = (typeof ONSET_PATTERNS)[number];

/** How the perfusion index of the sensor ran before a loss. A level is the median of the values of 10 s. */
export interface PerfusionEvidence {
  /** Level at the last value before the loss. */
  readonly last: number;
  readonly lastAtMs: CaseMs;
  /** Highest level of the fade window, and when it ended. */
  readonly highest: number;
  readonly highestAtMs: CaseMs;
  /** last / highest. */
  readonly fadeRatio: number;
  /** Lowest level of the last part (`onsetLastS`). */
  readonly lowestOfLastPart: number;
  /** Median of the last part, and of the whole window that `abrupt` is judged by. */
  readonly medianOfLastPart: number;
  readonly medianBefore: number;
  /** medianOfLastPart / medianBefore. */
  readonly steadyRatio: number;
  /** When the sensor was last touched inside the window, so that the course begins there; null when it was not. */
  readonly resetAtMs: CaseMs | null;
  /** The course for a small drawing: medians of `courseBinMs`, the last bin ending at the last good sample; null where no value is. */
  readonly courseBinMs: number;
  readonly course: readonly (number | null)[];
}

/** What speaks for the inflation of a cuff on the limb of the sensor. */
export interface CuffEvidence {
  /** Cuff measurements recorded from `cuffMarginS` before to `cuffMarginS` after the loss. */
  readonly atMs: readonly CaseMs[];
  /** Dropouts of this sensor, this one among them, that are as short and have a cuff measurement beside them. */
  readonly alike: number;
  /** Median time between cuff measurements in the case; null for fewer than three. */
  readonly cycleMs: number | null;
  /** Of the steps between the onsets of those dropouts, how many are a whole number of cycles, to a quarter of a cycle. */
  readonly stepsAtCycle: number;
  readonly steps: number;
  /** At least two steps, and three quarters of them at the cycle: the stronger sign. */
  readonly isRegular: boolean;
}

export interface UnsteadyEvidence {
  /** Losses shorter than a dropout that ended in the window. */
  readonly shortLosses: number;
  /** Runs of weak or disputed samples that reach into the window. */
  readonly doubtfulRuns: number;
}

export interface TemperatureEvidence {
  readonly celsius: number;
  readonly atMs: CaseMs;
}

/** The figures behind the onset patterns of a dropout; every part is given whether or not its pattern holds. */
export interface OnsetEvidence {
  /** null: no perfusion index of this sensor shortly before the loss. */
  readonly perfusion: PerfusionEvidence | null;
  /** null: no cuff measurement beside the loss. */
  readonly cuff: CuffEvidence | null;
  readonly unsteady: UnsteadyEvidence;
  /** null: no core temperature recorded shortly before the loss. */
  readonly temperature: TemperatureEvidence | null;
  /** Events that announce an interruption on purpose: ids of `CaseRecord.events`. */
  readonly plannedBy: readonly string[];
}
