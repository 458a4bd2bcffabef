import packageFile from '../../package.json' with { type: 'json' };
import { createAnalysisPool } from '../host/analysis-pool.ts';
import { createHost } from '../host/host.ts';
import { parseCall, type Call } from './command-line.ts';
import { runBundleVerify } from './bundle-verify.ts';
import { WrongCall } from './find-inputs.ts';
import { runLibraryCall } from './library-call.ts';
import { runLibraryReviews } from './library-reviews.ts';
import { createProgressDisplay } from './progress-display.ts';
import type { ReadSummary } from './read-summary.ts';
import type { RunSurroundings } from './read-inputs.ts';
import { OpenRelease, releaseWords } from './release-answers.ts';
import { runBundle } from './run-bundle.ts';
import { runCaseSheets } from './run-case-sheets.ts';
import { runCohort } from './run-cohort.ts';
import { runDepartmentReport } from './run-department-report.ts';
import { run } from './run.ts';
import { runVerifyCall } from './verify-call.ts';

/** Exit codes beside 0, 1 and 2 (docs/headless.md): the run broke down and wrote nothing. */
const EXIT_BROKEN = 3;
const SIGNAL_EXITS = { SIGINT: 130, SIGTERM: 143, SIGHUP: 129 } as const;

const WORKER = new URL('../worker/analysis.worker.js', import.meta.url);

class Interrupted extends Error {
  readonly exitCode: number;
  constructor(exitCode: number) {
    super('interrupted');
    this.exitCode = exitCode;
  }
}

process.exitCode = await main();

async function main(): Promise<number> {
  const call = parseCall(process.argv.slice(2), packageFile.version);
  if ('exitCode' in call) return call.exitCode;
  // npm runs a script in the package's folder; paths are meant from where npm was called.
  const { npm_lifecycle_event: script, INIT_CWD: calledFrom } = process.env;
  if (script === 'lacuna' && calledFrom !== undefined) process.chdir(calledFrom);
  const say = (line: string): void => void process.stdout.write(`${line}\n`);
  if (call.command === 'library reviews') return await runLibraryReviews(call, say, { now: () => new Date(), workerUrl: WORKER, productVersion: packageFile.version });
  if (call.command === 'library') {
    return await runLibraryCall(call, say, {
      now: () => new Date(),
      hostOver: (store) =>
        createHost({
          store, productVersion: packageFile.version, door: 'browser', samplesFolder: '', casesAtOnce: 1,
          startPool: (onWorkerLost) => createAnalysisPool({ size: 1, workerUrl: WORKER, productVersion: packageFile.version, onWorkerLost }),
        }),
    });
  }
  if (call.command === 'verify') {
    const summary = await runVerifyCall(call, packageFile.version, (line) => void process.stderr.write(`${line}\n`));
    if (call.json) process.stdout.write(`${JSON.stringify(summary)}\n`);
    return summary.exit_code;
  }
  const display = createProgressDisplay(process.stderr);
  const interruption = new AbortController();
  for (const [signal, exitCode] of Object.entries(SIGNAL_EXITS)) {
    // A second signal changes nothing: the first one already ends the run as fast as it can be ended cleanly.
    process.on(signal, () => interruption.abort(new Interrupted(exitCode)));
  }
  // A reader of the streams that goes away (`| head`) must not end the run half way.
  for (const stream of [process.stdout, process.stderr]) stream.on('error', () => undefined);
  try {
    const surroundings = {
      display,
      signal: interruption.signal,
      workerUrl: WORKER,
      productVersion: packageFile.version,
    };
    if (call.command === 'bundle verify') {
      const found = await runBundleVerify(call, surroundings);
      if (call.json) process.stdout.write(`${JSON.stringify(found)}\n`);
      return found.exit_code;
    }
    const summary = await runCall(call, surroundings);
    for (const line of wordsOf(summary)) display.say(line);
    if (call.json) process.stdout.write(`${JSON.stringify(summary)}\n`);
    return summary.exit_code;
  } catch (error) {
    if (error instanceof WrongCall) {
      display.say(`${error.message}\nNothing was written.`);
      return 2;
    }
    if (error instanceof OpenRelease) {
      display.say(`${error.message}\nNo result was written.`);
      return 2;
    }
    if (error instanceof Interrupted) {
      display.say('Interrupted. Nothing was written.');
      return error.exitCode;
    }
    display.say(`The run broke down: ${error instanceof Error ? error.message : String(error)}`);
    return EXIT_BROKEN;
  }
}

function runCall(call: Call, surroundings: RunSurroundings): Promise<ReadSummary> {
  switch (call.command) {
    case 'analyse':
      return run(call, surroundings);
    case 'cohort':
      return runCohort(call, surroundings);
    case 'bundle':
      return runBundle(call, surroundings);
    case 'report case':
      return runCaseSheets(call, surroundings);
    case 'report department':
      return runDepartmentReport(call, surroundings);
  }
}

function wordsOf(summary: ReadSummary): string[] {
  const { files, files_failed, rows_read, rows_rejected, cases, dropouts, failed, not_analysed, out } = summary;
  const lines = [
    ...failed.map(({ file, message }) => `not read: ${file}: ${message}`),
    ...not_analysed.map(({ case_id, message }) => `not analysed: ${case_id}: ${message}`),
  ];
  if (files === 0) lines.push('No file was found.');
  if (rows_rejected > 0) lines.push(`${rows_rejected} of ${rows_read} rows were rejected; see rejected-rows.csv and import-report.json.`);
  lines.push(`${files - files_failed} of ${files} files read, ${cases} cases, ${dropouts} dropouts; written to ${out}`);
  if (summary.release !== undefined) lines.push(releaseWords(summary.release));
  return lines;
}
