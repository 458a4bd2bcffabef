import type { NotUsableReason } from './cohort-case.ts';
import type { Site } from './site.ts';

/** The losses of one sensor, or of the whole case, under one rule of information. */
export interface QualityLosses {
  /** Mid estimates of the losses, ms, in time order. */
  readonly midsMs: readonly number[];
  readonly count: number;
  readonly longestMidMs: number;
  readonly lostMidMs: number;
  readonly monitoredMs: number;
}

/** What one case gives to quality charts and funnels: a few numbers. */
export interface QualityCase {
  readonly caseKey: string;
  readonly caseId: string;
  /** null: the case stands for itself. */
  readonly patientKey: string | null;
  readonly attributes: Readonly<Record<string, string>>;
  /** UTC ms of the first row; null: undated. */
  readonly startedAtMs: number | null;
  /** `YYYY-MM-DD` in the case's zone; null: undated. */
  readonly date: string | null;
  readonly notUsable: NotUsableReason | null;
  readonly sites: readonly { readonly site: Site; readonly any: QualityLosses; readonly doubtfulLost: QualityLosses }[];
  readonly blind: QualityLosses;
  readonly blindDoubtfulLost: QualityLosses;
  /** By the dropouts that readers confirmed, sensors in the same order; null: a dropout of the case waits to be read. */
  readonly confirmed: { readonly sites: readonly QualityLosses[]; readonly blind: QualityLosses } | null;
  /** A bolus of a vasopressor, or a rise of one that runs, is on record. */
  readonly hasVasopressor: boolean;
}
