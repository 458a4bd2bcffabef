import type { CohortOptions } from '../model/cohort-options.ts';
import type { ReportDocument, ReportWishes } from '../model/report-document.ts';
import type { MadeReport } from './host-api.ts';

/** Which cases of the library something is made of (null: of all), and how. */
export interface OverCases {
  readonly jobId: string;
  readonly caseKeys: readonly string[] | null;
  readonly options: CohortOptions;
}

/** Who looks, and whether what others said is kept back from them; `by` null: nobody has said who. */
export interface ReaderView {
  readonly by: string | null;
  readonly blinded: boolean;
}

/** A research bundle that was made. Its bytes stay with the host until every word of it is answered (`writeBundle`). */
export interface MadeBundle {
  /** Names it until another one is made. */
  readonly bundleId: string;
  /** Of the zip archive. */
  readonly byteLength: number;
  /** Names of the files in it. */
  readonly files: readonly string[];
  /** Cases in it. */
  readonly cases: number;
  /** Cases that could not be read: they stand in its flow of cases. */
  readonly leftOut: readonly { readonly caseId: string; readonly reason: string }[];
}

/** Sheets of several cases. */
export interface MadeSheets {
  readonly sheets: readonly {
    readonly caseKey: string;
    readonly caseId: string;
    readonly document: ReportDocument;
    /** Pages of its PDF: one, unless even its smallest form does not fit. */
    readonly pages: number;
    /** Characters that the fonts of the PDF do not have; '' for none. */
    readonly notInFont: string;
  }[];
  /** Cases that could not be read. */
  readonly leftOut: readonly { readonly caseId: string; readonly reason: string }[];
}

/** Calls about reports over cases, a part of `HostApi`. How far they are is told by `cohort-progress`. Errors of all: `cancelled`, `report-running`. */
export interface ReportApi {
  /**
   * Returns the report of a department, with the parameters of the library; writes no file. Where its dropouts are not only the computed ones it
   * says too how far readers agree, as far as `view` may see what they said. Errors: `column-of-persons`.
   */
  departmentReport(args: OverCases & { readonly wishes: ReportWishes; readonly view: ReaderView }): Promise<MadeReport>;
  /**
   * Returns a research bundle of stored cases, with the parameters of the library; writes no file. With reviews everything that readers said of the
   * cases is in it, but for their free text, and codes stand for their names; else dropouts are the computed ones, whatever the options say.
   * Errors: `days-named` where nothing may name a day and the options do.
   */
  researchBundle(args: OverCases & { readonly relativeTime: boolean; readonly robustness: boolean; readonly withReviews: boolean }): Promise<MadeBundle>;
  /**
   * Returns the sheets of chosen cases in the order of their names, each as one alone is made (`caseSheet`), with the parameters of the library; writes
   * no file. Errors: `too-many-sheets`.
   */
  caseSheets(args: { readonly jobId: string; readonly caseKeys: readonly string[]; readonly wishes: ReportWishes; readonly view: ReaderView }): Promise<MadeSheets>;
  cancelReportWork(args: { readonly jobId: string }): Promise<{ readonly cancelled: boolean }>;
}
