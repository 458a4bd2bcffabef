import type { FileReport } from '../../core/model/import-report.ts';
import type { CaseRemarks } from '../../core/pipeline/complete-reports.ts';
import type { PlannedCase } from '../../core/pipeline/plan-cases.ts';
import type { CaseReport, CaseReportWishes, CaseTable } from '../../core/report/case-report.ts';
import { unmatchedText } from '../../core/report/case-report.ts';
import type { UnanalyzedCase } from '../../core/report/import-report-file.ts';
import type { RunSettings } from '../../core/report/parameters-file.ts';
import { caseTables, reportFileNames, REVIEWS_FILE_NAME, runFiles, type MoreFiles } from '../../core/report/report-files.ts';
import type { ReadImport } from '../host/analysis-pool.ts';
import { inTurns } from '../host/in-turns.ts';
import { WorkerFailure } from '../host/worker-supervisor.ts';
import type { AnalyseCall } from './command-line.ts';
import type { OutputFolder } from './output-folder.ts';
import type { ProgressDisplay } from './progress-display.ts';
import { readSummary, type ReadSummary } from './read-summary.ts';
import { readRunSettings, withInputsRead, type RunSurroundings } from './read-inputs.ts';
import { placeReviews, readReviews } from './read-reviews.ts';
import { rejectedRows } from './reading.ts';

/**
 * Returns the summary of a finished run; everything is written by then.
 * Errors  throws WrongCall when the call itself is wrong, the signal's reason when interrupted: nothing is written then,
 *         and what an earlier run wrote is untouched.
 */
export async function run(call: AnalyseCall, surroundings: RunSurroundings): Promise<ReadSummary> {
  const { display, signal, productVersion } = surroundings;
  const reviews = await readReviews(call.reviews);
  const more = { withRobustness: call.robustness, withReviews: reviews !== null };
  const settings: RunSettings = { ...(await readRunSettings(call, productVersion)), relativeTime: call.relativeTime, written: reportFileNames(more), reviews: reviews?.given };
  return await withInputsRead(call, settings, surroundings, async ({ pool, read, size, out, shownSettings, reports }) => {
    const placed = reviews === null ? null : await placeReviews(reviews, pool, read, { size, signal, onCase: (done, total) => display.show('matching reviews', done, total) });
    for (const note of placed?.notes ?? []) display.say(note);
    const wishes: CaseReportWishes = { withRobustness: more.withRobustness, reviews: placed === null ? 'none' : settings.keepIdentifiers ? 'with notes' : 'without notes', relativeTime: settings.relativeTime };
    const { cases, unanalyzed, remarks } = await reportAll(read, {
      size, out, more, display, signal, fileOf: (table) => table,
      make: async (place, planned) => {
        const { rows, remarks: own, ...rest } = await pool.reportCase(read, planned, settings.parameters, placed === null ? null : placed.entriesOf(place), wishes, { signal });
        return { rows, remarks: own, rest };
      },
    });
    if (placed !== null) await out.append(REVIEWS_FILE_NAME, unmatchedText(placed.unmatched, { withNotes: call.keepIdentifiers, relativeTime: call.relativeTime }));
    const files = await reports(remarks);
    await out.write(runFiles({ settings: shownSettings, files, rejectedRows: rejectedRows(read), cases, unanalyzed }), signal);
    return summaryOf(call, settings, files, cases, unanalyzed);
  });
}

interface Reporting<Rest> {
  readonly size: number;
  readonly out: Pick<OutputFolder, 'append'>;
  readonly more: MoreFiles;
  readonly display: Pick<ProgressDisplay, 'show'>;
  readonly signal: AbortSignal;
  /** Name of the file of a table. */
  readonly fileOf: (table: CaseTable) => string;
  /** Builds and analyses a case; `rest` is kept, its rows are written. */
  readonly make: (place: number, planned: PlannedCase) => Promise<{ readonly rows: CaseReport['rows']; readonly remarks: CaseRemarks; readonly rest: Rest }>;
}

/** What is left of a case once its rows are written. */
type ReportedCase = Omit<CaseReport, 'rows'>;

interface Reported<Rest> {
  readonly cases: readonly Rest[];
  readonly unanalyzed: readonly UnanalyzedCase[];
  /** In the order of the plan. */
  readonly remarks: readonly (CaseRemarks | null)[];
}

/** Builds and analyses the cases and writes the rows of each, in the order of their names, whichever worker was quicker. */
export async function reportAll<Rest>(read: ReadImport, { size, out, more, display, signal, fileOf, make }: Reporting<Rest>): Promise<Reported<Rest>> {
  const inOrder = [...read.plan.cases.entries()].sort(([, a], [, b]) => (a.caseId < b.caseId ? -1 : a.caseId > b.caseId ? 1 : 0));
  const remarks: (CaseRemarks | null)[] = read.plan.cases.map(() => null);
  const cases: Rest[] = [];
  const unanalyzed: UnanalyzedCase[] = [];
  const tables = caseTables(more);
  for (const { name, heading } of tables) await out.append(fileOf(name), heading);
  let written: Promise<void> = Promise.resolve();
  let done = 0;
  await inTurns(inOrder, size, async ([place, planned]) => {
    const before = written;
    let finish: () => void = () => undefined;
    // The next case writes after this one has; what a failure leaves unwritten is thrown away with the run.
    written = new Promise((resolve) => (finish = resolve));
    try {
      signal.throwIfAborted();
      const report = await make(place, planned).catch((error: unknown) => {
        signal.throwIfAborted();
        if (error instanceof WorkerFailure) return error;
        throw error;
      });
      await before;
      if (report instanceof WorkerFailure) unanalyzed.push({ caseId: planned.caseId, message: report.message });
      else {
        remarks[place] = report.remarks;
        cases.push(report.rest);
        for (const { name } of tables) await out.append(fileOf(name), report.rows[name]);
      }
      display.show('analysing', (done += 1), inOrder.length);
    } finally {
      finish();
    }
  });
  return { cases, unanalyzed, remarks };
}

function summaryOf(call: AnalyseCall, { productVersion, written }: RunSettings, files: readonly FileReport[], cases: readonly ReportedCase[], unanalyzed: readonly UnanalyzedCase[]): ReadSummary {
  const over = (figure: keyof CaseReport['figures']): number => cases.reduce((total, { figures }) => total + figures[figure], 0);
  return readSummary(
    { productVersion, out: call.out, written },
    files,
    unanalyzed,
    { cases: cases.length, dropouts: over('dropouts'), lostMidMs: over('lostMidMs'), blindIntervals: over('blindIntervals'), blindMidMs: over('blindMidMs') },
  );
}
