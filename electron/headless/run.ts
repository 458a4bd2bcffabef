import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { shownMapping } from '../../core/identity/shown-mapping.ts';
import { shownPath, type Door } from '../../core/identity/shown-path.ts';
import type { FileReport, RejectedRow } from '../../core/model/import-report.ts';
import type { CaseRemarks } from '../../core/pipeline/complete-reports.ts';
import type { CaseReport } from '../../core/report/case-report.ts';
import type { UnanalyzedCase } from '../../core/report/import-report-file.ts';
import type { RunSettings } from '../../core/report/parameters-file.ts';
import { caseTables, reportFileNames, runFiles } from '../../core/report/report-files.ts';
import { rejectedRowsOf } from '../../core/worker/shelf-file.ts';
import type { AnalysisPool, ReadImport } from '../host/analysis-pool.ts';
import { pseudonymsOf } from '../../core/worker/pseudonyms.ts';
import { createAnalysisPool, unreadReport } from '../host/analysis-pool.ts';
import { inTurns } from '../host/in-turns.ts';
import { WorkerFailure } from '../host/worker-supervisor.ts';
import type { Call } from './command-line.ts';
import type { FoundInputs } from './find-inputs.ts';
import { findInputs } from './find-inputs.ts';
import type { OutputFolder } from './output-folder.ts';
import { openOutputFolder } from './output-folder.ts';
import type { ProgressDisplay } from './progress-display.ts';
import { keyFromInputs, readPseudonymKey } from './pseudonym-key.ts';
import { checkedZone, readMapping, readParameters } from './read-settings.ts';

export interface RunSurroundings {
  readonly display: ProgressDisplay;
  readonly signal: AbortSignal;
  readonly workerUrl: URL;
  readonly productVersion: string;
}

/** What `--json` prints. */
export interface RunSummary {
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
}

const DEFAULT_MAX_WORKERS = 8;

/**
 * Returns the summary of a finished run; everything is written by then.
 * Errors  throws WrongCall when the call itself is wrong, the signal's reason when interrupted: nothing is written then,
 *         and what an earlier run wrote is untouched.
 */
export async function run(call: Call, { display, signal, workerUrl, productVersion }: RunSurroundings): Promise<RunSummary> {
  const settings: RunSettings = {
    productVersion,
    parameters: await readParameters(call.parameters),
    zone: checkedZone(call.zone),
    mapping: await readMapping(call.mapping),
    keepIdentifiers: call.keepIdentifiers,
    pseudonyms: call.pseudonymKey === undefined ? 'key from the input' : 'key from a file',
    relativeTime: call.relativeTime,
    written: reportFileNames({ withRobustness: call.robustness }),
  };
  const statedKey = await readPseudonymKey(call.pseudonymKey);
  const inputs = await findInputs(call.inputs, call.out);
  for (const note of inputs.notes) display.say(note);
  const out = await openOutputFolder(call.out);
  const size = call.workers ?? Math.min(availableParallelism(), DEFAULT_MAX_WORKERS);
  const pool = createAnalysisPool({ size, workerUrl, productVersion, onWorkerLost: (failure) => display.say(failure.message) });
  try {
    display.say(`${inputs.files.length} ${inputs.files.length === 1 ? 'file' : 'files'} to read`);
    const pseudonymKey = statedKey ?? (await keyFromInputs(inputs.files));
    const read = await pool.readFiles(inputs.files, { ...settings, pseudonymKey }, shelvesIn(out.scratchFolder), {
      signal,
      onProgress: ({ bytesDone, bytesTotal }) => display.show('reading', bytesDone, bytesTotal),
    });
    const { cases, unanalyzed, remarks } = await reportAll(pool, read, { settings, size, out, withRobustness: call.robustness, display, signal });
    const door = { keepIdentifiers: call.keepIdentifiers, pseudonymOf: pseudonymsOf(pseudonymKey) };
    const files = [...(await pool.completeReports(read, remarks, { signal })), ...unreadableReports(inputs, door)];
    const shownSettings = { ...settings, mapping: settings.mapping === null ? null : shownMapping(settings.mapping, door) };
    await out.write(runFiles({ settings: shownSettings, files, rejectedRows: rejectedRows(read), cases, unanalyzed }), signal);
    return summaryOf(call, productVersion, files, cases, unanalyzed);
  } finally {
    display.end();
    await pool.dispose();
    await out.discard();
  }
}

/** Returns shelves in a folder that lasts as long as the run: nothing is known from before, and nothing is kept for later. */
function shelvesIn(folder: string): Parameters<AnalysisPool['readFiles']>[2] {
  return { pathOf: (place) => join(folder, `${place}.shelf`), known: () => null, keep: () => Promise.resolve() };
}

interface Reporting {
  readonly settings: RunSettings;
  readonly size: number;
  readonly out: OutputFolder;
  readonly withRobustness: boolean;
  readonly display: ProgressDisplay;
  readonly signal: AbortSignal;
}

/** What is left of a case once its rows are written. */
type ReportedCase = Omit<CaseReport, 'rows'>;

interface Reported {
  readonly cases: readonly ReportedCase[];
  readonly unanalyzed: readonly UnanalyzedCase[];
  /** In the order of the plan. */
  readonly remarks: readonly (CaseRemarks | null)[];
}

/** Builds and analyses the cases and writes the rows of each, in the order of their names, whichever worker was quicker. */
async function reportAll(pool: AnalysisPool, read: ReadImport, { settings, size, out, withRobustness, display, signal }: Reporting): Promise<Reported> {
  const inOrder = [...read.plan.cases.entries()].sort(([, a], [, b]) => (a.caseId < b.caseId ? -1 : a.caseId > b.caseId ? 1 : 0));
  const remarks: (CaseRemarks | null)[] = read.plan.cases.map(() => null);
  const cases: ReportedCase[] = [];
  const unanalyzed: UnanalyzedCase[] = [];
  const tables = caseTables({ withRobustness });
  for (const { name, heading } of tables) await out.append(name, heading);
  let written: Promise<void> = Promise.resolve();
  let done = 0;
  await inTurns(inOrder, size, async ([place, planned]) => {
    const before = written;
    let finish: () => void = () => undefined;
    // The next case writes after this one has; what a failure leaves unwritten is thrown away with the run.
    written = new Promise((resolve) => (finish = resolve));
    try {
      signal.throwIfAborted();
      const report = await pool.reportCase(read, planned, settings.parameters, { withRobustness, relativeTime: settings.relativeTime }, { signal }).catch((error: unknown) => {
        signal.throwIfAborted();
        if (error instanceof WorkerFailure) return error;
        throw error;
      });
      await before;
      if (report instanceof WorkerFailure) unanalyzed.push({ caseId: planned.caseId, message: report.message });
      else {
        const { rows, remarks: own, ...rest } = report;
        remarks[place] = own;
        cases.push(rest);
        for (const { name } of tables) await out.append(name, rows[name]);
      }
      display.show('analysing', (done += 1), inOrder.length);
    } finally {
      finish();
    }
  });
  return { cases, unanalyzed, remarks };
}

/** Yields the rejected rows of all files by file, then line, those of one file at a time. */
async function* rejectedRows({ readings, shelfPaths }: ReadImport): AsyncGenerator<RejectedRow> {
  const byName = new Map<string, number[]>();
  for (const [i, { report }] of readings.entries()) byName.set(report.file, [...(byName.get(report.file) ?? []), i]);
  for (const name of [...byName.keys()].sort()) {
    const rows: RejectedRow[] = [];
    for (const i of byName.get(name) ?? []) {
      const reading = readings[i];
      if (reading !== undefined) for (const row of await rejectedRowsOf(shelfPaths[i] ?? '', reading)) rows.push(row);
    }
    yield* rows.sort((a, b) => a.line - b.line);
  }
}

function unreadableReports({ unreadable }: FoundInputs, door: Door): FileReport[] {
  return unreadable.map(({ relativePath, message, remedy }) => unreadReport(shownPath(relativePath, door), 0, { code: 'file-unreadable', message, remedy }));
}

function summaryOf(call: Call, productVersion: string, files: readonly FileReport[], cases: readonly ReportedCase[], unanalyzed: readonly UnanalyzedCase[]): RunSummary {
  const failed = files.flatMap(({ file, failure }) => (failure === null ? [] : [{ file, message: failure.message }]));
  const sum = (pick: (file: FileReport) => number): number => files.reduce((total, file) => total + pick(file), 0);
  const over = (figure: keyof CaseReport['figures']): number => cases.reduce((total, { figures }) => total + figures[figure], 0);
  const isComplete = files.length > 0 && failed.length === 0 && sum((f) => f.rows_rejected) === 0 && unanalyzed.length === 0;
  return {
    product_version: productVersion,
    exit_code: isComplete ? 0 : 1,
    files: files.length,
    files_failed: failed.length,
    rows_read: sum((f) => f.rows_read),
    rows_accepted: sum((f) => f.rows_accepted),
    rows_rejected: sum((f) => f.rows_rejected),
    cases: cases.length + unanalyzed.length,
    cases_not_analysed: unanalyzed.length,
    dropouts: over('dropouts'),
    lost_mid_s: over('lostMidMs') / 1000,
    blind_intervals: over('blindIntervals'),
    blind_mid_s: over('blindMidMs') / 1000,
    failed,
    not_analysed: unanalyzed.map(({ caseId, message }) => ({ case_id: caseId, message })),
    out: call.out,
    written: reportFileNames({ withRobustness: call.robustness }),
  };
}
