import type { Interval } from '../base/interval.ts';
import type { Exposure, RecordGap } from './analysis.ts';
import type { LossRun } from './loss-run.ts';
import type { Site } from './site.ts';

/** An exposure before the dropouts that follow it are counted. */
export type BareExposure = Omit<Exposure, 'dropoutsAfter'>;

/** Losses under one rule of information, before any definition of a dropout. */
export interface PreparedRuns {
  readonly runs: readonly LossRun[];
  /** Per run: whether all that was due fell into record gaps. */
  readonly inGaps: readonly boolean[];
}

/** The losses of one sensor. */
export interface PreparedLosses extends PreparedRuns {
  /** Denominator without and with the loss that was not restored, ms. */
  readonly monitoredMs: number;
  readonly monitoredWithOpenMs: number;
  /** Where that loss is censored; null where there is none. */
  readonly openUntilMs: number | null;
}

export interface PreparedSite {
  readonly siteKey: string;
  readonly site: Site;
  readonly sensor: string;
  /** null: never monitored. */
  readonly monitored: Interval | null;
  readonly any: PreparedLosses;
  readonly good: PreparedLosses;
}

/** All that a definition of a dropout is applied to: plain data, so that it can be sent to where a hand moves the definition. */
export interface PreparedCase {
  readonly sites: readonly PreparedSite[];
  /** Times in which no sensor gave information. */
  readonly blind: { readonly any: PreparedRuns; readonly good: PreparedRuns };
  readonly gaps: readonly RecordGap[];
  readonly exposures: readonly BareExposure[];
  readonly caseEndMs: number;
  readonly deviceHoldMs: number;
  readonly handTimeMs: number;
  readonly keepRecordGaps: boolean;
}
