import type { CohortDefinition } from './cohort-definition.ts';

/** Results that are drawn against the definition of a dropout. */
export const ROBUST_RESULTS = [
  'share lost',
  'dropouts per hour',
  'difference of shares within patients',
  'median time to restored information',
  'mean time to restored information',
  'rate ratio after an exposure',
] as const;
export type RobustResult = (typeof ROBUST_RESULTS)[number];

/** A figure of a cohort under one definition. Shares from 0 to 1, times in ms. */
export interface RobustFigure {
  readonly result: RobustResult;
  /** The sensor, the pair of sensors (first − second), or the exposure. */
  readonly of: string;
  /** How estimate and interval were made; null: there is neither. */
  readonly method: string | null;
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** Dropouts, units, losses or onsets at risk that it rests on. */
  readonly n: number;
  readonly reason: string | null;
}

/** The results of a cohort under one definition. */
export interface RobustPoint {
  /** What of the definition was moved; null: the definition of the run. */
  readonly moved: keyof CohortDefinition | null;
  readonly definition: CohortDefinition;
  readonly figures: readonly RobustFigure[];
}
