import type { CohortCase } from '../../core/model/cohort-case.ts';
import type { CohortOptions } from '../../core/model/cohort-options.ts';
import { DEFAULT_COHORT_OPTIONS } from '../../core/model/cohort-options.ts';
import type { ReadCase } from '../../core/model/review-agreement.ts';
import type { CaseRemarks } from '../../core/pipeline/complete-reports.ts';
import { unmatchedText } from '../../core/report/case-report.ts';
import { cohortFileNames, cohortFiles } from '../../core/report/cohort-files.ts';
import type { UnanalyzedCase } from '../../core/report/import-report-file.ts';
import type { RunSettings } from '../../core/report/parameters-file.ts';
import type { AnalysisPool, ReadImport } from '../host/analysis-pool.ts';
import { inTurns } from '../host/in-turns.ts';
import { WorkerFailure } from '../host/worker-supervisor.ts';
import type { CohortCall } from './command-line.ts';
import { WrongCall } from './find-inputs.ts';
import { listsAndPlans, readListsAndPlans } from './lists-and-plans.ts';
import { readSummary, type CaseSums, type ReadSummary } from './read-summary.ts';
import { readRunSettings, withInputsRead, type RunSurroundings } from './read-inputs.ts';
import { placeReviews, readReviews, type PlacedReviews } from './read-reviews.ts';
import { rejectedRows } from './reading.ts';

/**
 * Returns the summary of a finished cohort; everything is written by then.
 * Errors  as `run`; a WrongCall too where cases are to be compared by persons, or the list of cases cannot be read.
 */
export async function runCohort(call: CohortCall, surroundings: RunSurroundings): Promise<ReadSummary> {
  const { display, signal, productVersion } = surroundings;
  const options = optionsOf(call);
  const reviews = await readReviews(call.reviews);
  if (reviews === null && options.dropouts !== 'computed') throw new WrongCall(`--dropouts ${options.dropouts} needs --reviews: without them nothing is confirmed.`);
  const written = cohortFileNames({ withCaseList: call.caseList !== undefined, withNextStudy: call.nextStudy !== undefined, withProtocol: call.protocol !== undefined, withReviews: reviews !== null });
  const settings: RunSettings = { ...(await readRunSettings(call, productVersion)), relativeTime: false, written, reviews: reviews?.given, cohort: options };
  const asked = await readListsAndPlans(call);
  return await withInputsRead(call, settings, surroundings, async ({ pool, read, size, out, pseudonymKey, shownSettings, reports }) => {
    const placed = reviews === null ? null : await placeReviews(reviews, pool, read, { size, signal, onCase: (done, total) => display.show('matching reviews', done, total) });
    for (const note of placed?.notes ?? []) display.say(note);
    const { cases, unanalyzed, remarks, reviewRows } = await casesOf(pool, read, { settings, size, placed, show: (done, total) => display.show('analysing', done, total), signal });
    checkColumns(cases, options);
    const unread = unanalyzed.map(({ caseId, message }) => ({ caseKey: caseId, caseId, reason: message }));
    const worked = await pool.cohortExport(cases, unread, options, settings.parameters, { signal, onFigures: (done, total) => display.show('working out', done, total) });
    if (!worked.ok) throw new WrongCall(`${worked.failure.message} ${worked.failure.remedy ?? ''}`.trim());
    const planned = await listsAndPlans(asked, cases, {
      pool, options, keepIdentifiers: call.keepIdentifiers, pseudonymKey, parameters: settings.parameters, signal, onDrawn: (done, total) => display.show('drawing studies', done, total),
    });
    const files = await reports(remarks);
    await out.write(cohortFiles({ run: worked.value, settings: shownSettings, files, rejectedRows: rejectedRows(read), unanalyzed, caseList: planned.list, planned, reviewRows: placed === null ? null : [...reviewRows, unmatchedText(placed.unmatched, { withNotes: call.keepIdentifiers, relativeTime: false })] }), signal);
    return readSummary({ productVersion, out: call.out, written }, files, unanalyzed, cohortSums(cases));
  });
}

/** Returns the sums over the cases of a run. */
export function cohortSums(cases: readonly CohortCase[]): CaseSums {
  const blind = cases.map((one) => one.blind);
  return {
    cases: cases.length,
    dropouts: sum(cases, ({ sites }) => sum(sites, ({ any }) => any.dropouts.length)),
    lostMidMs: sum(cases, ({ sites }) => sum(sites, ({ any }) => any.lostMs.mid)),
    blindIntervals: sum(blind, ({ count }) => count),
    blindMidMs: sum(blind, ({ lostMs }) => lostMs.mid),
  };
}

/** Returns how a call wants its cohort. Errors  throws WrongCall for a first day after the last. */
export function optionsOf({ seed, draws, conf, groupBy, patientColumn, from, to, leaveOutUndated, change, dropouts }: Pick<CohortCall, 'seed' | 'draws' | 'conf' | 'groupBy' | 'patientColumn' | 'from' | 'to' | 'leaveOutUndated' | 'change' | 'dropouts'>): CohortOptions {
  if (from !== undefined && to !== undefined && from > to) throw new WrongCall(`--from ${from} is later than --to ${to}.`);
  return {
    ...DEFAULT_COHORT_OPTIONS,
    choice: { facets: [], from: from ?? null, to: to ?? null, keepUndated: !leaveOutUndated },
    groupBy: groupBy ?? null,
    patientColumn: patientColumn ?? null,
    change: change ?? null,
    dropouts,
    seed,
    draws,
    conf,
  };
}

/** Builds and analyses the cases; what each gives is small and stays. */
export interface CasesWork {
  readonly settings: RunSettings;
  readonly size: number;
  readonly placed: PlacedReviews | null;
  readonly show: (done: number, total: number) => void;
  readonly signal: AbortSignal;
}

export async function casesOf(pool: AnalysisPool, read: ReadImport, { settings: { parameters, keepIdentifiers }, size, placed, show, signal }: CasesWork): Promise<{ cases: CohortCase[]; unanalyzed: UnanalyzedCase[]; remarks: (CaseRemarks | null)[]; reviewRows: readonly string[]; readings: readonly ReadCase[] }> {
  const remarks: (CaseRemarks | null)[] = read.plan.cases.map(() => null);
  const cases: CohortCase[] = [];
  const readings: ReadCase[] = [];
  const rows: { readonly caseId: string; readonly text: string }[] = [];
  const unanalyzed: UnanalyzedCase[] = [];
  let done = 0;
  await inTurns([...read.plan.cases.entries()], size, async ([place, planned]) => {
    signal.throwIfAborted();
    try {
      const { one, remarks: own, reviewRows, read: reading } = await pool.reportCohortCase(read, planned, parameters, placed === null ? null : placed.entriesOf(place), { reviews: placed === null ? 'none' : keepIdentifiers ? 'with notes' : 'without notes' }, { signal });
      rows.push({ caseId: planned.caseId, text: reviewRows });
      remarks[place] = own;
      cases.push(one);
      if (reading !== null) readings.push(reading);
    } catch (error) {
      signal.throwIfAborted();
      if (!(error instanceof WorkerFailure)) throw error;
      unanalyzed.push({ caseId: planned.caseId, message: error.message });
    }
    show((done += 1), read.plan.cases.length);
  });
  return { cases, unanalyzed: unanalyzed.sort((a, b) => (a.caseId < b.caseId ? -1 : 1)), remarks, reviewRows: rows.sort((a, b) => (a.caseId < b.caseId ? -1 : 1)).map(({ text }) => text), readings };
}

/** A misspelt heading must not make one group of all cases, or every case a patient of its own, in silence. */
export function checkColumns(cases: readonly CohortCase[], { groupBy, patientColumn }: CohortOptions): void {
  const known = [...new Set(cases.flatMap(({ attributes }) => Object.keys(attributes)))].sort();
  const asked = [...(groupBy?.kind === 'column' ? [{ option: '--group-by', column: groupBy.column }] : []), ...(patientColumn === null ? [] : [{ option: '--patient-column', column: patientColumn }])];
  const missing = asked.find(({ column }) => !known.includes(column));
  if (missing !== undefined) throw new WrongCall(`${missing.option}: no case has a column “${missing.column}”. ${known.length === 0 ? 'No case list with columns was read.' : `Columns that were read: ${known.join(', ')}.`}`);
}

function sum<T>(list: readonly T[], pick: (one: T) => number): number {
  return list.reduce((total, one) => total + pick(one), 0);
}
