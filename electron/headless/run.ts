import { availableParallelism } from 'node:os';
import { shownPath, type Door } from '../../core/identity/shown-path.ts';
import type { FileReport, RejectedRow } from '../../core/model/import-report.ts';
import type { ImportOutcome } from '../../core/readers/reader.ts';
import type { AnalyzedCase } from '../../core/report/case-context.ts';
import type { UnanalyzedCase } from '../../core/report/import-report-file.ts';
import type { RunSettings } from '../../core/report/parameters-file.ts';
import { reportFileNames, reportFiles } from '../../core/report/report-files.ts';
import { pseudonymsOf } from '../../core/worker/pseudonyms.ts';
import type { AnalysisPool } from '../host/analysis-pool.ts';
import { createAnalysisPool, unreadReport } from '../host/analysis-pool.ts';
import { WorkerFailure } from '../host/worker-supervisor.ts';
import type { Call } from './command-line.ts';
import type { FoundInputs } from './find-inputs.ts';
import { findInputs } from './find-inputs.ts';
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
    const imported = await pool.importFiles(inputs.files, { ...settings, pseudonymKey }, {
      signal,
      onProgress: ({ bytesDone, bytesTotal }) => display.show('reading', bytesDone, bytesTotal),
    });
    const { cases, unanalyzed } = await analyzeAll(pool, imported, settings, display, signal);
    const files = [...imported.files, ...unreadableReports(inputs, { keepIdentifiers: call.keepIdentifiers, pseudonymOf: pseudonymsOf(pseudonymKey) })];
    await out.write(reportFiles({ settings, files, rejectedRows: imported.rejectedRows, cases, unanalyzed, withRobustness: call.robustness }), signal);
    return summaryOf(call, productVersion, files, imported.rejectedRows, cases, unanalyzed);
  } finally {
    display.end();
    await pool.dispose();
    await out.discard();
  }
}

async function analyzeAll(pool: AnalysisPool, { cases }: ImportOutcome, { parameters }: RunSettings, display: ProgressDisplay, signal: AbortSignal): Promise<{ cases: AnalyzedCase[]; unanalyzed: UnanalyzedCase[] }> {
  let done = 0;
  const results = await Promise.allSettled(
    cases.map(async (record) => {
      const analysis = await pool.analyze(record, parameters, { signal });
      display.show('analysing', (done += 1), cases.length);
      return { record, analysis };
    }),
  );
  signal.throwIfAborted();
  const analyzed: AnalyzedCase[] = [];
  const unanalyzed: UnanalyzedCase[] = [];
  results.forEach((result, index) => {
    if (result.status === 'fulfilled') analyzed.push(result.value);
    else if (result.reason instanceof WorkerFailure) unanalyzed.push({ caseId: cases[index]?.caseId ?? '', message: result.reason.message });
    else throw result.reason;
  });
  return { cases: analyzed, unanalyzed };
}

function unreadableReports({ unreadable }: FoundInputs, door: Door): FileReport[] {
  return unreadable.map(({ relativePath, message, remedy }) => unreadReport(shownPath(relativePath, door), 0, { code: 'file-unreadable', message, remedy }));
}

function summaryOf(call: Call, productVersion: string, files: readonly FileReport[], rejectedRows: readonly RejectedRow[], cases: readonly AnalyzedCase[], unanalyzed: readonly UnanalyzedCase[]): RunSummary {
  const failed = files.flatMap(({ file, failure }) => (failure === null ? [] : [{ file, message: failure.message }]));
  const sum = (pick: (file: FileReport) => number): number => files.reduce((total, file) => total + pick(file), 0);
  const over = (pick: (analyzed: AnalyzedCase) => number): number => cases.reduce((total, analyzed) => total + pick(analyzed), 0);
  const isComplete = files.length > 0 && failed.length === 0 && rejectedRows.length === 0 && sum((f) => f.rows_rejected) === 0 && unanalyzed.length === 0;
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
    dropouts: over(({ analysis }) => analysis.sites.reduce((n, site) => n + site.dropouts.length, 0)),
    lost_mid_s: over(({ analysis }) => analysis.sites.reduce((ms, site) => ms + site.totals.lostMs.mid, 0)) / 1000,
    blind_intervals: over(({ analysis }) => analysis.blind.length),
    blind_mid_s: over(({ analysis }) => analysis.blindTotals.lostMs.mid) / 1000,
    failed,
    not_analysed: unanalyzed.map(({ caseId, message }) => ({ case_id: caseId, message })),
    out: call.out,
    written: reportFileNames({ withRobustness: call.robustness }),
  };
}
