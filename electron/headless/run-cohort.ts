import { availableParallelism } from 'node:os';
import { shownMapping } from '../../core/identity/shown-mapping.ts';
import type { CohortCase } from '../../core/model/cohort-case.ts';
import type { CohortOptions } from '../../core/model/cohort-options.ts';
import { DEFAULT_COHORT_OPTIONS } from '../../core/model/cohort-options.ts';
import type { CaseRemarks } from '../../core/pipeline/complete-reports.ts';
import { cohortFileNames, cohortFiles } from '../../core/report/cohort-files.ts';
import type { UnanalyzedCase } from '../../core/report/import-report-file.ts';
import type { RunSettings } from '../../core/report/parameters-file.ts';
import { pseudonymsOf } from '../../core/worker/pseudonyms.ts';
import type { AnalysisPool, ReadImport } from '../host/analysis-pool.ts';
import { createAnalysisPool } from '../host/analysis-pool.ts';
import { inTurns } from '../host/in-turns.ts';
import { WorkerFailure } from '../host/worker-supervisor.ts';
import type { CohortCall } from './command-line.ts';
import { findInputs, WrongCall } from './find-inputs.ts';
import { listsAndPlans, readListsAndPlans } from './lists-and-plans.ts';
import { openOutputFolder } from './output-folder.ts';
import { keyFromInputs, readPseudonymKey } from './pseudonym-key.ts';
import { checkedZone, readMapping, readParameters } from './read-settings.ts';
import { readSummary, type ReadSummary } from './read-summary.ts';
import { DEFAULT_MAX_WORKERS, rejectedRows, shelvesIn, unreadableReports } from './reading.ts';
import type { RunSurroundings } from './run.ts';

/**
 * Returns the summary of a finished cohort; everything is written by then.
 * Errors  as `run`; a WrongCall too where cases are to be compared by persons, or the list of cases cannot be read.
 */
export async function runCohort(call: CohortCall, { display, signal, workerUrl, productVersion }: RunSurroundings): Promise<ReadSummary> {
  const options = optionsOf(call);
  const written = cohortFileNames({ withCaseList: call.caseList !== undefined, withNextStudy: call.nextStudy !== undefined, withProtocol: call.protocol !== undefined });
  const settings: RunSettings = {
    productVersion,
    parameters: await readParameters(call.parameters),
    zone: checkedZone(call.zone),
    mapping: await readMapping(call.mapping),
    keepIdentifiers: call.keepIdentifiers,
    pseudonyms: call.pseudonymKey === undefined ? 'key from the input' : 'key from a file',
    relativeTime: false,
    written,
    cohort: options,
  };
  const statedKey = await readPseudonymKey(call.pseudonymKey);
  const asked = await readListsAndPlans(call);
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
    const { cases, unanalyzed, remarks } = await casesOf(pool, read, settings, size, (done, total) => display.show('analysing', done, total), signal);
    checkColumns(cases, options);
    const unread = unanalyzed.map(({ caseId, message }) => ({ caseKey: caseId, caseId, reason: message }));
    const worked = await pool.cohortExport(cases, unread, options, settings.parameters, { signal, onFigures: (done, total) => display.show('working out', done, total) });
    if (!worked.ok) throw new WrongCall(`${worked.failure.message} ${worked.failure.remedy ?? ''}`.trim());
    const planned = await listsAndPlans(asked, cases, {
      pool, options, keepIdentifiers: call.keepIdentifiers, pseudonymKey, parameters: settings.parameters, signal, onDrawn: (done, total) => display.show('drawing studies', done, total),
    });
    const door = { keepIdentifiers: call.keepIdentifiers, pseudonymOf: pseudonymsOf(pseudonymKey) };
    const files = [...(await pool.completeReports(read, remarks, { signal })), ...unreadableReports(inputs, door)];
    const shownSettings = { ...settings, mapping: settings.mapping === null ? null : shownMapping(settings.mapping, door) };
    await out.write(cohortFiles({ run: worked.value, settings: shownSettings, files, rejectedRows: rejectedRows(read), unanalyzed, caseList: planned.list, planned }), signal);
    const blind = cases.map((one) => one.blind);
    return readSummary({ productVersion, out: call.out, written }, files, unanalyzed, {
      cases: cases.length,
      dropouts: sum(cases, ({ sites }) => sum(sites, ({ any }) => any.dropouts.length)),
      lostMidMs: sum(cases, ({ sites }) => sum(sites, ({ any }) => any.lostMs.mid)),
      blindIntervals: sum(blind, ({ count }) => count),
      blindMidMs: sum(blind, ({ lostMs }) => lostMs.mid),
    });
  } finally {
    display.end();
    await pool.dispose();
    await out.discard();
  }
}

function optionsOf({ seed, draws, conf, groupBy, patientColumn, from, to, leaveOutUndated, change }: CohortCall): CohortOptions {
  if (from !== undefined && to !== undefined && from > to) throw new WrongCall(`--from ${from} is later than --to ${to}.`);
  return {
    ...DEFAULT_COHORT_OPTIONS,
    choice: { facets: [], from: from ?? null, to: to ?? null, keepUndated: !leaveOutUndated },
    groupBy: groupBy ?? null,
    patientColumn: patientColumn ?? null,
    change: change ?? null,
    seed,
    draws,
    conf,
  };
}

/** Builds and analyses the cases; what each gives is small and stays. */
async function casesOf(pool: AnalysisPool, read: ReadImport, { parameters }: RunSettings, size: number, show: (done: number, total: number) => void, signal: AbortSignal): Promise<{ cases: CohortCase[]; unanalyzed: UnanalyzedCase[]; remarks: (CaseRemarks | null)[] }> {
  const remarks: (CaseRemarks | null)[] = read.plan.cases.map(() => null);
  const cases: CohortCase[] = [];
  const unanalyzed: UnanalyzedCase[] = [];
  let done = 0;
  await inTurns([...read.plan.cases.entries()], size, async ([place, planned]) => {
    signal.throwIfAborted();
    try {
      const { one, remarks: own } = await pool.reportCohortCase(read, planned, parameters, { signal });
      remarks[place] = own;
      cases.push(one);
    } catch (error) {
      signal.throwIfAborted();
      if (!(error instanceof WorkerFailure)) throw error;
      unanalyzed.push({ caseId: planned.caseId, message: error.message });
    }
    show((done += 1), read.plan.cases.length);
  });
  return { cases, unanalyzed: unanalyzed.sort((a, b) => (a.caseId < b.caseId ? -1 : 1)), remarks };
}

/** A misspelt heading must not make one group of all cases, or every case a patient of its own, in silence. */
function checkColumns(cases: readonly CohortCase[], { groupBy, patientColumn }: CohortOptions): void {
  const known = [...new Set(cases.flatMap(({ attributes }) => Object.keys(attributes)))].sort();
  const asked = [...(groupBy?.kind === 'column' ? [{ option: '--group-by', column: groupBy.column }] : []), ...(patientColumn === null ? [] : [{ option: '--patient-column', column: patientColumn }])];
  const missing = asked.find(({ column }) => !known.includes(column));
  if (missing !== undefined) throw new WrongCall(`${missing.option}: no case has a column “${missing.column}”. ${known.length === 0 ? 'No case list with columns was read.' : `Columns that were read: ${known.join(', ')}.`}`);
}

function sum<T>(list: readonly T[], pick: (one: T) => number): number {
  return list.reduce((total, one) => total + pick(one), 0);
}
