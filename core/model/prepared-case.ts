import type { Exposure, RecordGap } from './analysis.ts';
import type { LossRun } from './loss-run.ts';
import type { Site } from './site.ts';

/** An exposure before the dropouts that follow it are counted. */
export type BareExposure = Omit<Exposure, 'dropoutsAfter'>;

/** The losses of one sensor under one rule of information, before any definition of a dropout. */
export interface PreparedLosses {
  readonly runs: readonly LossRun[];
  /** Per run: whether all that was due fell into record gaps. */
  readonly inGaps: readonly boolean[];
  /** Denominator without and with the loss that was not restored, ms. */
  readonly monitoredMs: number;
  readonly monitoredWithOpenMs: number;
}

export interface PreparedSite {
  readonly siteKey: string;
  readonly site: Site;
  readonly sensor: string;
  readonly any: PreparedLosses;
  readonly good: PreparedLosses;
}

/** All that a definition of a dropout is applied to: plain data, so that it can be sent to where a hand moves the definition. */
export interface PreparedCase {
  readonly sites: readonly PreparedSite[];
  readonly gaps: readonly RecordGap[];
  readonly exposures: readonly BareExposure[];
  readonly caseEndMs: number;
  readonly deviceHoldMs: number;
  readonly handTimeMs: number;
  readonly keepRecordGaps: boolean;
}
