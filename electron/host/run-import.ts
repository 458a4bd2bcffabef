import type { Mapping } from '../../core/model/mapping.ts';
import type { RejectedRow } from '../../core/model/import-report.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import type { PlannedCase } from '../../core/pipeline/plan-cases.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import type { FileOverrule, HostApi, HostEvent, ImportResult } from '../../core/protocol/host-api.ts';
import type { MadeCase } from '../../core/worker/analysis-service.ts';
import { rejectedRowsOf } from '../../core/worker/shelf-file.ts';
import type { AnalysisPool, ReadImport } from './analysis-pool.ts';
import type { CaseStore, StagingArea } from './case-store.ts';
import type { ImportConflicts, Placed } from './import-conflicts.ts';
import type { ImportWork, ReadyCase } from './import-work.ts';
import { inTurns } from './in-turns.ts';
import type { LedgerKeeper } from './ledger-keeper.ts';
import { looseNameOf, toInputFiles } from './input-files.ts';

/** More rejected rows than anyone reads on a screen; the counts in the report are complete. */
const MAX_REJECTED_ROWS = 1000;
/** Progress is told at most this often. */
const PROGRESS_EVERY_MS = 50;

type Progress = Omit<Extract<HostEvent, { kind: 'import-progress' }>, 'kind' | 'importId'>;

/** What an import works with. */
export interface ImportSurroundings {
  readonly store: CaseStore;
  readonly pool: AnalysisPool;
  readonly conflicts: ImportConflicts;
  readonly keeper: LedgerKeeper;
  readonly productVersion: string;
  /** Cases built at the same time; bounds the memory, not the results. */
  readonly casesAtOnce: number;
  readonly emit: (event: HostEvent) => void;
}

export interface ImportControl {
  readonly signal: AbortSignal;
  /** Called when the cases begin to come into the library: from then on the run goes through. */
  readonly onPoint: () => void;
}

/** What is asked of one run. */
export type ImportRequest = Omit<Parameters<HostApi['runImport']>[0], 'importId'>;

/**
 * Runs one import over its staged files: reads them, makes the cases one by one, and puts them into the library all at once.
 * What is done is kept beside the staged files as it comes; a run that was interrupted goes on from there.
 * Errors  rejects with the signal's reason or a FailureError; the library is as it was then.
 */
export async function runImport(request: ImportRequest, staging: StagingArea, surroundings: ImportSurroundings, control: ImportControl): Promise<ImportResult> {
  const { store, pool, conflicts, keeper, emit } = surroundings;
  const { signal } = control;
  if (staging.files.length === 0) throw new FailureError({ code: 'nothing-staged', message: 'No file was handed over for this import.', remedy: 'Choose at least one file or folder.' });
  signal.throwIfAborted();
  const { overrules, zone, mapping } = request;
  const parameters = await store.settings.readParameters();
  await keeper.begin(staging.files);
  const looseName = keeper.looseName ?? looseNameOf(staging.files);
  const tell = throttled((progress: Progress) => emit({ kind: 'import-progress', importId: staging.importId, ...progress }));
  const work = await staging.begin({ madeBy: `${surroundings.productVersion}, V8 ${process.versions.v8}`, request: { overrules: [...overrules], zone, mapping }, parameters });

  const read = await pool.readFiles(toInputFiles(staging.files, looseName), { zone, mapping: withOverrules(mapping, overrules), keepIdentifiers: false, pseudonymKey: store.settings.pseudonymKey }, work.shelves, { signal, onProgress: tell });
  const { cases } = read.plan;
  await work.planned(cases.length);
  let done = 0;
  conflicts.begin();
  const judged = await inTurns(cases, surroundings.casesAtOnce, async (planned) => {
    signal.throwIfAborted();
    const ready = await prepareCase(read, planned, staging, work, parameters, surroundings, signal);
    const verdict = await conflicts.judge(ready);
    tell({ stage: 'analysing', file: planned.caseId, bytesDone: (done += 1), bytesTotal: cases.length });
    return { ready, verdict };
  });
  const files = await pool.completeReports(read, judged.map(({ ready }) => ready.remarks), { signal });
  const earlier = await keeper.earlier(files);
  const rejected = await firstRejectedRows(read);

  const inOrder = [...judged].sort((a, b) => (a.ready.summary.caseId < b.ready.summary.caseId ? -1 : 1));
  const put = inOrder.flatMap(({ ready, verdict }) => (verdict.kind === 'new' ? [ready] : []));
  const putKeys = new Set(put.map(({ summary }) => summary.caseKey));
  let flushed = 0;
  // An import that is not in the ledger must not be in the library either, nor the other way round: both come in together.
  const entry = await keeper.prepare({ request, files, placed: inOrder, rejected: rejectedRows(read) }, looseName);
  const replaced = await store.publish(
    staging,
    { put, takeBack: [...staging.stored.keys()].filter((caseKey) => !putKeys.has(caseKey)), entry },
    { signal, onFlushed: ({ summary }) => tell({ stage: 'writing', file: summary.caseId, bytesDone: (flushed += 1), bytesTotal: put.length }), onPoint: control.onPoint },
  ).catch(async (error: unknown) => {
    await keeper.discard(entry);
    throw error;
  });
  keeper.published(files);
  const placed = inOrder.map(({ ready: { summary }, verdict }): Placed => (verdict.kind === 'new' ? { kind: 'stored', line: summary, replacedUnreadable: replaced.has(summary.caseKey) } : verdict));
  await conflicts.hold(inOrder.flatMap(({ verdict }) => (verdict.kind === 'held' ? [verdict.changed] : [])));
  await staging.end();
  return {
    importId: staging.importId,
    files,
    rejectedRows: rejected.slice(0, MAX_REJECTED_ROWS),
    rejectedRowsCut: rejected.length > MAX_REJECTED_ROWS,
    cases: [...new Map(placed.map(({ line }) => [line.caseKey, line])).values()],
    replaced: placed.flatMap((one) => (one.kind === 'stored' && one.replacedUnreadable ? [one.line.caseId] : [])),
    unchanged: placed.flatMap((one) => (one.kind === 'unchanged' ? [one.unchanged] : [])),
    changed: placed.flatMap((one) => (one.kind === 'held' ? [one.changed] : [])),
    earlier,
  };
}

async function prepareCase(read: ReadImport, planned: PlannedCase, staging: StagingArea, work: ImportWork, parameters: AnalysisParameters, { store, pool, emit }: ImportSurroundings, signal: AbortSignal): Promise<ReadyCase> {
  const caseKey = store.keyOf(planned.caseId);
  const before = await work.prepared(caseKey);
  if (before !== null) return before;
  let made: MadeCase;
  try {
    made = await pool.makeCase(read, planned, caseKey, parameters, { signal });
  } catch (error) {
    // A worker that is lost over one case must not cost the others; the case is stored without its figures and says so.
    signal.throwIfAborted();
    emit({ kind: 'worker-lost', message: `${planned.caseId} could not be analysed: ${toFailure(error).message}` });
    made = await pool.makeCase(read, planned, caseKey, null, { signal });
  }
  return await staging.prepare(made);
}

/** Returns the first rejected rows, one more than are shown where there are more. */
async function firstRejectedRows(read: ReadImport): Promise<RejectedRow[]> {
  const rows: RejectedRow[] = [];
  for await (const row of rejectedRows(read)) if (rows.push(row) > MAX_REJECTED_ROWS) break;
  return rows;
}

/** Yields the rejected rows in the order of the files, those of one file in memory at a time. */
async function* rejectedRows({ readings, shelfPaths }: ReadImport): AsyncGenerator<RejectedRow> {
  for (const [i, reading] of readings.entries()) yield* await rejectedRowsOf(shelfPaths[i] ?? '', reading);
}

/** Returns the mapping with what the user overruled for single files put first, where it wins. */
function withOverrules(mapping: Mapping | null, overrules: readonly FileOverrule[]): Mapping | null {
  if (overrules.length === 0) return mapping;
  // What was said by hand has no name: the report names mappings only.
  const own = overrules.map(({ file, rules, mapping: from }) => ({ match: { path: file }, reading: rules, name: from ?? '' }));
  return { schema: 'lacuna-mapping/1', name: mapping?.name ?? 'overruled by hand', files: [...own, ...(mapping?.files ?? [])] };
}

/** Returns `tell` with calls in quick succession left out; a change of stage and the last step are always told. */
function throttled<P extends { readonly stage: string; readonly bytesDone: number; readonly bytesTotal: number }>(tell: (progress: P) => void): (progress: P) => void {
  let last = -Infinity;
  let stage = '';
  return (progress) => {
    const now = performance.now();
    if (now - last < PROGRESS_EVERY_MS && progress.stage === stage && progress.bytesDone < progress.bytesTotal) return;
    last = now;
    stage = progress.stage;
    tell(progress);
  };
}
