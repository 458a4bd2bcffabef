import type { Interval } from '../base/interval.ts';
import type { LagFigure } from './site-comparison.ts';

/** What a sensor gave at a time. */
export const SENSOR_STATES = ['information', 'doubtful', 'lost', 'not on', 'record gap'] as const;
export type SensorState = (typeof SENSOR_STATES)[number];

/** Which of two sensors gave information; 'not compared': one not on, a record gap, or bypass. */
export const PAIR_STATES = ['both', 'only first', 'only second', 'neither', 'not compared'] as const;
export type PairState = (typeof PAIR_STATES)[number];

/** A stretch of one state. */
export interface StateSpan<State> extends Interval {
  readonly state: State;
}

/** One sensor over the whole case. */
export interface SensorCoverage {
  readonly siteKey: string;
  /** From the case's start to its end without a hole; neighbours differ. */
  readonly spans: readonly StateSpan<SensorState>[];
}

/** A fall or rise of the first sensor of a pair. */
export interface PairSwing {
  readonly direction: 'fall' | 'rise';
  readonly fromMs: number;
  readonly toMs: number;
  readonly fromPct: number;
  readonly toPct: number;
  /** When the first sensor was half way; the second was there later by the lag. */
  readonly halfMs: number;
  readonly lag: LagFigure | null;
}

/** One stable pair: mean of the two values and first − second, in points. */
export interface DifferencePoint {
  readonly atMs: number;
  readonly mean: number;
  readonly difference: number;
}

/** Two sensors of a case at every time, behind the figures of `SitePair`. */
export interface PairDetail {
  readonly firstKey: string;
  readonly secondKey: string;
  readonly spans: readonly StateSpan<PairState>[];
  readonly swings: readonly PairSwing[];
  readonly differences: readonly DifferencePoint[];
  /** Bias ± 1.96 SD of the stable pairs of this case: no limits for other patients. null for fewer than two. */
  readonly limits: { readonly lower: number; readonly upper: number } | null;
}

/** The sensors of a case over time: what the comparison of two sites is drawn from. */
export interface SiteDetail {
  readonly bounds: Interval;
  readonly sensors: readonly SensorCoverage[];
  readonly pairs: readonly PairDetail[];
  readonly bypass: readonly Interval[];
  readonly headDown: readonly Interval[];
}
