import { inOrder } from '../../core/report/case-context.ts';
import type { AnalyzedCase } from '../../core/report/case-context.ts';
import { reportCase } from '../../core/report/case-report.ts';
import type { RunResult } from '../../core/report/report-files.ts';
import { caseTables, runFiles } from '../../core/report/report-files.ts';

/** A run with all its cases in memory. */
export interface WholeRun extends Omit<RunResult, 'cases' | 'rejectedRows'> {
  readonly rejectedRows: Iterable<Parameters<typeof inRowOrder>[0]>;
  readonly cases: readonly AnalyzedCase[];
  readonly withRobustness: boolean;
}

function inRowOrder(a: { readonly file: string; readonly line: number; readonly reason: string; readonly row: string }, b: typeof a): number {
  return inOrder(a.file, b.file) || a.line - b.line;
}

/** Returns the files of a run by name, put together as the headless run does it. */
export function reportTexts({ cases, withRobustness, rejectedRows, ...run }: WholeRun): Record<string, string> {
  const reports = cases.map((one) => reportCase(one, { withRobustness, reviews: run.settings.reviews === undefined ? 'none' : 'with notes', relativeTime: run.settings.relativeTime })).sort((a, b) => inOrder(a.caseId, b.caseId));
  const texts: Record<string, string> = {};
  for (const { name, heading } of caseTables({ withRobustness, withReviews: run.settings.reviews !== undefined })) texts[name] = heading + reports.map(({ rows }) => rows[name]).join('');
  for (const { name, text } of runFiles({ ...run, cases: reports, rejectedRows: [...rejectedRows].sort(inRowOrder) })) {
    if (!(Symbol.iterator in text)) throw new Error(`${name} is not made at once`);
    texts[name] = [...text].join('');
  }
  return texts;
}
