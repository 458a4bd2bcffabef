import type { CohortOptions } from '../model/cohort-options.ts';
import type { ReportWishes } from '../model/report-document.ts';
import type { MadeReport } from './host-api.ts';

/** Which cases of the library something is made of (null: of all), and how. */
export interface OverCases {
  readonly jobId: string;
  readonly caseKeys: readonly string[] | null;
  readonly options: CohortOptions;
}

/** A research bundle as one file. */
export interface MadeBundle {
  /** Says what it is, and nothing of a case. */
  readonly fileName: string;
  /** The bytes of the zip archive in base 64. */
  readonly base64: string;
  /** Names of the files in it. */
  readonly files: readonly string[];
  /** Cases in it. */
  readonly cases: number;
  /** Cases that could not be read: they stand in its flow of cases. */
  readonly leftOut: readonly { readonly caseId: string; readonly reason: string }[];
}

/** Calls about reports over cases, a part of `HostApi`. How far they are is told by `cohort-progress`. Errors of both: `cancelled`, `report-running`. */
export interface ReportApi {
  /** Returns the report of a department, with the parameters of the library; writes no file. Errors: `column-of-persons`. */
  departmentReport(args: OverCases & { readonly wishes: ReportWishes }): Promise<MadeReport>;
  /**
   * Returns a research bundle of stored cases, with the parameters of the library; writes no file. What readers said is not in it, and dropouts are
   * the computed ones. Errors: `days-named` where nothing may name a day and the options do.
   */
  researchBundle(args: OverCases & { readonly relativeTime: boolean; readonly robustness: boolean }): Promise<MadeBundle>;
  cancelReportWork(args: { readonly jobId: string }): Promise<{ readonly cancelled: boolean }>;
}
