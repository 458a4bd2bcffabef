import type { CohortDefinition } from './cohort-definition.ts';

/** A figure of a cohort under one definition. */
export interface RobustFigure {
  readonly result: 'share lost' | 'dropouts per hour' | 'difference of sites' | 'median time to restored information' | 'restricted mean time to restored information' | 'rate ratio after an exposure';
  /** The sensor, the pair of sensors, or the exposure. */
  readonly of: string;
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** Dropouts, units or onsets that it rests on. */
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
