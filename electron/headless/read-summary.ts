import type { FileReport } from '../../core/model/import-report.ts';
import type { ReleaseSummary } from './release-answers.ts';
import type { UnanalyzedCase } from '../../core/report/import-report-file.ts';

/** What `--json` prints of reading and writing, whatever was made of the cases. */
export interface ReadSummary {
  readonly product_version: string;
  readonly exit_code: 0 | 1;
  readonly files: number;
  readonly files_failed: number;
  readonly rows_read: number;
  readonly rows_accepted: number;
  readonly rows_rejected: number;
  readonly cases: number;
  readonly cases_not_analysed: number;
  readonly dropouts: number;
  readonly lost_mid_s: number;
  readonly blind_intervals: number;
  readonly blind_mid_s: number;
  readonly failed: readonly { readonly file: string; readonly message: string }[];
  readonly not_analysed: readonly { readonly case_id: string; readonly message: string }[];
  readonly out: string;
  readonly written: readonly string[];
  /** Of reports and bundles: how many of their words may identify somebody, and whether that was answered. */
  readonly release?: ReleaseSummary | undefined;
}

/** Sums over the analysed cases. */
export interface CaseSums {
  readonly cases: number;
  readonly dropouts: number;
  readonly lostMidMs: number;
  readonly blindIntervals: number;
  readonly blindMidMs: number;
}

/** Returns the summary of a finished run: exit code 0 only when everything was read and analysed. */
export function readSummary({ productVersion, out, written }: { readonly productVersion: string; readonly out: string; readonly written: readonly string[] }, files: readonly FileReport[], unanalyzed: readonly UnanalyzedCase[], sums: CaseSums): ReadSummary {
  const failed = files.flatMap(({ file, failure }) => (failure === null ? [] : [{ file, message: failure.message }]));
  const sum = (pick: (file: FileReport) => number): number => files.reduce((total, file) => total + pick(file), 0);
  const isComplete = files.length > 0 && failed.length === 0 && sum((f) => f.rows_rejected) === 0 && unanalyzed.length === 0;
  return {
    product_version: productVersion,
    exit_code: isComplete ? 0 : 1,
    files: files.length,
    files_failed: failed.length,
    rows_read: sum((f) => f.rows_read),
    rows_accepted: sum((f) => f.rows_accepted),
    rows_rejected: sum((f) => f.rows_rejected),
    cases: sums.cases + unanalyzed.length,
    cases_not_analysed: unanalyzed.length,
    dropouts: sums.dropouts,
    lost_mid_s: sums.lostMidMs / 1000,
    blind_intervals: sums.blindIntervals,
    blind_mid_s: sums.blindMidMs / 1000,
    failed,
    not_analysed: unanalyzed.map(({ caseId, message }) => ({ case_id: caseId, message })),
    out,
    written,
  };
}
