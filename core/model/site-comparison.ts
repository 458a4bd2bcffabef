import type { CaseMs } from '../base/brand.ts';
import type { Range3 } from '../base/interval.ts';

/** Strength and steadiness of the signal of one sensor over its monitored time. */
export interface SignalStrength {
  /** null: the sensor has no usable perfusion index. */
  readonly perfusion: PerfusionLevel | null;
  /** Losses shorter than `minDurationS` that are no part of a dropout. */
  readonly shortLosses: number;
  /** Unbroken runs of weak or disputed samples. */
  readonly doubtfulRuns: number;
}

/** Values weighted by the time they stand. Not comparable between makes of oximeter. */
export interface PerfusionLevel {
  readonly seenMs: number;
  readonly median: number;
  /** 10 % and 90 % of the time lie at or below. */
  readonly low: number;
  readonly high: number;
  /** Shares of the time seen below `weakPerfusionIndex` and below `desirablePerfusionIndex`. */
  readonly belowWeakShare: number;
  readonly belowDesirableShare: number;
  /** The course: medians of `binMs` from the start of monitoring; null where none was seen. */
  readonly binMs: number;
  readonly courseStartMs: CaseMs;
  readonly course: readonly (number | null)[];
}

/** Differences first − second in points of SpO2, within one case. */
export interface PairDifferences {
  readonly n: number;
  readonly bias: number;
  /** null for one pair. */
  readonly sd: number | null;
  /** Root-mean-square difference: neither sensor is a reference. */
  readonly rms: number;
  readonly maxAbs: number;
}

/** How long the second sensor comes after the first (negative: before it). */
export interface LagFigure {
  readonly lagMs: number;
  /** Lags that fit nearly as well: the uncertainty. */
  readonly lowMs: number;
  readonly highMs: number;
  /** Pearson's r there; of several swings together the share explained. */
  readonly peak: number;
  /** How many falls or rises it rests on. */
  readonly swings: number;
}

/** Lost time of one sensor, and how much of it the other had information: as little, and as much, as the samples allow. */
export interface CoveredLoss {
  readonly leastCoveredMs: number;
  readonly leastLostMs: number;
  readonly mostCoveredMs: number;
  readonly mostLostMs: number;
}

export const PAIR_CAUTIONS = ['worn one after the other', 'different recording intervals', 'forehead while head down'] as const;
export type PairCaution = (typeof PAIR_CAUTIONS)[number];

/** What two sensors of a case give against each other under one rule of information. */
export interface PairFigures {
  readonly bothMs: number;
  readonly onlyFirstMs: number;
  readonly onlySecondMs: number;
  readonly neitherMs: number;
  /** Share of the lost time of the first in which the second had information, and the reverse; null where nothing was lost. */
  readonly firstCoveredShare: number | null;
  readonly secondCoveredShare: number | null;
  /** The same with what the recording interval leaves unknown. */
  readonly firstCovered: CoveredLoss;
  readonly secondCovered: CoveredLoss;
  /** Every pair of values of one instant. null: none. */
  readonly allPairs: PairDifferences | null;
  /** Pairs of stable stretches, at most one a minute, the second moved by its lag. null: none. */
  readonly stablePairs: PairDifferences | null;
  readonly lag: LagFigure | null;
  readonly lagAtFalls: LagFigure | null;
  readonly lagAtRises: LagFigure | null;
  /** Why there is no lag; null where there is. */
  readonly noLagReason: string | null;
}

/** Two sensors of a case against each other, over the time in which both were meant to give information. */
export interface SitePair extends PairFigures {
  readonly firstKey: string;
  readonly secondKey: string;
  /** Record gaps and bypass taken out unless parameters keep them. */
  readonly sharedMs: number;
  readonly bypassMs: number;
  /** Median over minutes of first / second perfusion index. null: one has none. */
  readonly perfusionRatio: number | null;
  readonly perfusionMinutes: number;
  readonly cautions: readonly PairCaution[];
  /** The figures with doubtful samples counted as lost, over the same time: always computed, always shown beside. */
  readonly doubtfulLost: PairFigures;
}

/**
 * Returns the share of lost time that the other site covered, low, mid and high; null where nothing was lost.
 * Shape   a limit without lost time of its own (a loss that may have lasted no time at all) is the middle estimate.
 */
export function coveredRange(mid: number | null, { leastCoveredMs, leastLostMs, mostCoveredMs, mostLostMs }: CoveredLoss): Range3 | null {
  if (mid === null) return null;
  return { low: leastLostMs > 0 ? leastCoveredMs / leastLostMs : mid, mid, high: mostLostMs > 0 ? mostCoveredMs / mostLostMs : mid };
}
