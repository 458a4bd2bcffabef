/**
 * How two clocks were compared: by the course of a quantity that both sources recorded, or by single measurements (cuff
 * pressures) that stand in both.
 */
export const CLOCK_METHODS = ['course', 'measurements'] as const;
export type ClockMethod = (typeof CLOCK_METHODS)[number];

/** A proposal that a person accepted: what the offset rests on, kept with the case. Times in ms. */
export interface AcceptedOffset {
  /** Name of the source it was compared with. */
  readonly against: string;
  readonly method: ClockMethod;
  readonly lowMs: number;
  readonly highMs: number;
  /** Pairs of values, or measurements found in both. */
  readonly n: number;
  /** Correlation, or share of the measurements found again, at the offset and before it was set. */
  readonly peak: number;
  readonly atPresent: number | null;
}

/** A point of a curve: how well the two sources agree when the clock offset of the one were so much. */
export type ClockCurvePoint = readonly [offsetMs: number, agreement: number | null];

/**
 * What one quantity says about two clocks. Every offset is the whole offset of the source, the present one included.
 * Units   ms; agreement is Pearson's r (`course`) or a share of measurements (`measurements`).
 */
export interface ClockEvidence {
  readonly method: ClockMethod;
  /** The compared quantity as each of the two files names it. */
  readonly ownName: string;
  readonly againstName: string;
  /** Pairs of values, or measurements found in both, at the best offset. */
  readonly n: number;
  /** Measurements that could have been found in both; null for a course. */
  readonly nOf: number | null;
  readonly offsetMs: number | null;
  readonly lowMs: number | null;
  readonly highMs: number | null;
  readonly peak: number | null;
  readonly atPresent: number | null;
  /** The best agreement away from the peak. */
  readonly next: number | null;
  /** Why nothing can be told from it; null where it can. */
  readonly reason: string | null;
  /** At most `MOST_CURVE_POINTS`, in order of the offset. */
  readonly curve: readonly ClockCurvePoint[];
}

/** More points than a small picture can show. */
export const MOST_CURVE_POINTS = 241;

/** proposed: an offset is proposed; agrees: none is needed; changes: it is not the same throughout; cannot be told. */
export const CLOCK_VERDICTS = ['proposed', 'agrees', 'changes', 'cannot be told'] as const;
export type ClockVerdict = (typeof CLOCK_VERDICTS)[number];

/** How the clock of one source stands to that of another, and what is proposed. Nothing is ever applied by itself. */
export interface ClockComparison {
  readonly sourceIndex: number;
  /** null where no other source has anything to compare with. */
  readonly againstIndex: number | null;
  readonly verdict: ClockVerdict;
  /** The whole offset that the source would bear, where one is proposed. */
  readonly offsetMs: number | null;
  /** In words, for a clinician. */
  readonly words: string;
  /** The best evidence first. */
  readonly evidence: readonly ClockEvidence[];
}
