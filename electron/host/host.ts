import { shownPath } from '../../core/identity/shown-path.ts';
import { decodeCase } from '../../core/persist/case-bytes.ts';
import { parseJsonText } from '../../core/persist/json-text.ts';
import { parseMapping } from '../../core/persist/mapping-file.ts';
import { parseParameters } from '../../core/persist/parameters-file.ts';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { Mapping } from '../../core/model/mapping.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import type { CaseSummary, FileOverrule, HostApi, HostBytes, HostDescription, HostEvent, ImportResult } from '../../core/protocol/host-api.ts';
import type { ClockSetting } from '../../core/worker/analysis-service.ts';
import { pseudonymsOf } from '../../core/worker/pseudonyms.ts';
import type { AnalysisPool } from './analysis-pool.ts';
import { importSamples } from './sample-import.ts';
import { inTurns } from './in-turns.ts';
import { createSiteComparisons } from './site-comparisons.ts';
import type { AsideCase, CaseStore, StagedFile, StagingArea } from './case-store.ts';
import { createImportConflicts } from './import-conflicts.ts';
import type { ImportConflicts, Placed } from './import-conflicts.ts';
import { createLedgerKeeper } from './ledger-keeper.ts';
import type { LedgerKeeper } from './ledger-keeper.ts';
import type { ReadEntries } from './ledger-line.ts';
import { openedImport } from './ledger-line.ts';
import { matchStaged } from './match-staged.ts';

/** More rejected rows than anyone reads on a screen; the counts in the report are complete. */
const MAX_REJECTED_ROWS = 1000;
/** Rejected rows that go to the page at a time. */
const LEDGER_ROWS_AT_ONCE = 200;
/** Progress is told at most this often. */
const PROGRESS_EVERY_MS = 50;

export interface HostOptions {
  readonly store: CaseStore;
  readonly productVersion: string;
  readonly door: HostDescription['door'];
  /** Starts the workers; told what to do when one is lost. */
  readonly startPool: (onWorkerLost: (failure: { readonly message: string }) => void) => AnalysisPool;
  /** Where the sample cases lie. */
  readonly samplesFolder: string;
  /** Cases analysed at the same time; bounds the memory, not the results. */
  readonly casesAtOnce: number;
  /** What the ledger dates its entries with; the machine's clock when left out. */
  readonly now?: () => Date;
}

/** The host: everything the page can ask for, knowing neither Electron nor HTTP. */
export interface Host extends HostApi, HostBytes {
  /** Calls `listener` with every event; returns the function that stops it. */
  onEvent(listener: (event: HostEvent) => void): () => void;
  /** Goes on with a change of parameters that an earlier program did not bring to its end, and analyses cases that were stored without a readable analysis. */
  finishReanalysis(): Promise<void>;
  /** Ends what is running, then gives the library free. */
  close(): Promise<void>;
}

/** What one import has done to the library so far, so that it can be done again or undone. */
interface ImportSession {
  /** Cases this import stored, each with the one it put aside. */
  readonly stored: Map<string, AsideCase | null>;
  readonly conflicts: ImportConflicts;
  readonly keeper: LedgerKeeper;
  running: AbortController | null;
  /** Once cases are being written the run goes through: it is short, and half an import is worth nothing. */
  isWriting: boolean;
}

/** Returns the host over a store and a pool of workers. */
export function createHost(options: HostOptions): Host {
  const { store } = options;
  const listeners = new Set<(event: HostEvent) => void>();
  const emit = (event: HostEvent): void => {
    for (const listener of listeners) listener(event);
  };
  const pool = options.startPool((failure) => emit({ kind: 'worker-lost', message: failure.message }));
  const sessions = new Map<string, ImportSession>();
  const closing = new AbortController();
  let lastChange: Promise<unknown> = Promise.resolve();
  const comparisons = createSiteComparisons({ store, pool, casesAtOnce: options.casesAtOnce, closing: closing.signal, tell: emit });

  /** Runs what changes the library one after the other: imports, removals, new parameters. */
  function exclusively<T>(change: () => Promise<T>): Promise<T> {
    const next = lastChange.then(change, change);
    lastChange = next.catch(() => undefined);
    return next;
  }

  function sessionOf(importId: string): { readonly staging: StagingArea; readonly session: ImportSession } {
    const staging = store.stagingOf(importId);
    const session = sessions.get(importId);
    if (staging === null || session === undefined) throw new FailureError({ code: 'import-over', message: 'This import is over; its files are no longer kept.', remedy: 'Choose the files again and import them anew.' });
    return { staging, session };
  }

  function isReading(importId: string): boolean {
    return (sessions.get(importId)?.running ?? null) !== null;
  }

  async function readLedger(importId: string): Promise<ReadEntries> {
    const read = await store.ledger.read(importId);
    if (read.entries.length + read.damaged === 0) throw ledgerMissing();
    return read;
  }

  async function readCase(caseKey: string): Promise<CaseRecord> {
    const decoded = decodeCase(await store.readBytes(caseKey));
    if (!decoded.ok) throw new FailureError(decoded.failure);
    return decoded.value.record;
  }

  /** Returns a stored case with the clock of one source set; what is stored stays as it is. */
  async function withClock(caseKey: string, change: ClockSetting): Promise<CaseRecord> {
    const moved = await pool.setClockOffset(await readCase(caseKey), change, { signal: closing.signal });
    if (!moved.ok) throw new FailureError(moved.failure);
    return moved.value;
  }

  /** Takes back what an earlier run of the same import stored and `kept` does not name. */
  async function undo(staging: StagingArea, session: ImportSession, kept: ReadonlySet<string>): Promise<void> {
    for (const [caseKey, aside] of session.stored) {
      if (kept.has(caseKey)) continue;
      if (aside === null) await store.remove(caseKey);
      else await store.bringBack(staging, aside);
      session.stored.delete(caseKey);
    }
  }

  async function runImport(args: Parameters<HostApi['runImport']>[0], staging: StagingArea, session: ImportSession, signal: AbortSignal): Promise<ImportResult> {
    if (staging.files.length === 0) throw new FailureError({ code: 'nothing-staged', message: 'No file was handed over for this import.', remedy: 'Choose at least one file or folder.' });
    signal.throwIfAborted();
    const parameters = await store.readParameters();
    const tell = throttled((progress: Omit<Extract<HostEvent, { kind: 'import-progress' }>, 'kind' | 'importId'>) => emit({ kind: 'import-progress', importId: args.importId, ...progress }));
    await session.keeper.begin(staging.files);
    const looseName = session.keeper.looseName ?? looseNameOf(staging.files);
    const files = toInputFiles(staging.files, looseName);
    const outcome = await pool.importFiles(files, { zone: args.zone, mapping: withOverrules(args.mapping, args.overrules), keepIdentifiers: false, pseudonymKey: store.pseudonymKey }, { signal, onProgress: tell });

    const step = (stage: 'analysing' | 'writing', caseId: string, done: number): void => tell({ stage, file: caseId, bytesDone: done, bytesTotal: outcome.cases.length });
    let analysed = 0;
    const analyses = await inTurns(outcome.cases, options.casesAtOnce, async (record) => {
      const analysis = await analyzeOrNull(record, parameters, signal);
      analysed += 1;
      step('analysing', record.caseId, analysed);
      return analysis;
    });

    signal.throwIfAborted();
    session.isWriting = true;
    const earlier = await session.keeper.earlier(outcome.files);
    const placed = await writeCases(outcome.cases, analyses, staging, session, (caseId, done) => step('writing', caseId, done), async (all) => {
      await session.keeper.finish({ request: args, files: outcome.files, placed: all, rejected: outcome.rejectedRows }, looseName);
    });
    return {
      importId: args.importId,
      files: outcome.files,
      rejectedRows: outcome.rejectedRows.slice(0, MAX_REJECTED_ROWS),
      rejectedRowsCut: outcome.rejectedRows.length > MAX_REJECTED_ROWS,
      cases: [...new Map(placed.map(({ line }) => [line.caseKey, line])).values()],
      replaced: placed.flatMap((one) => (one.kind === 'stored' && one.replacedUnreadable ? [one.line.caseId] : [])),
      unchanged: placed.flatMap((one) => (one.kind === 'unchanged' ? [one.unchanged] : [])),
      changed: placed.flatMap((one) => (one.kind === 'held' ? [one.changed] : [])),
      earlier,
    };
  }

  /**
   * Stores the cases of one run in place of those of an earlier run of the same import; those that differ from what the library holds
   * under their name are held back. `onPlaced` is the last step. After a failure, of that too, the library is as before the import.
   */
  async function writeCases(
    records: readonly CaseRecord[],
    analyses: readonly (CaseAnalysis | null)[],
    staging: StagingArea,
    session: ImportSession,
    onWritten: (caseId: string, done: number) => void,
    onPlaced: (placed: readonly Placed[]) => Promise<void>,
  ): Promise<Placed[]> {
    const placed: Placed[] = [];
    session.conflicts.begin();
    try {
      for (const [i, record] of records.entries()) {
        placed.push(await session.conflicts.place(record, analyses[i] ?? null));
        onWritten(record.caseId, i + 1);
      }
      await undo(staging, session, new Set(placed.flatMap((one) => (one.kind === 'stored' ? [one.line.caseKey] : []))));
      await onPlaced(placed);
    } catch (error) {
      session.conflicts.begin();
      await undo(staging, session, new Set());
      throw error;
    }
    return placed;
  }

  /** Analyses every readable case anew; a program that ends before the last one finds the rest still marked as pending. */
  async function reanalyzeAll(parameters: AnalysisParameters): Promise<readonly CaseSummary[]> {
    try {
      await inTurns(store.list(), options.casesAtOnce, async ({ caseKey, caseId }) => {
        closing.signal.throwIfAborted();
        if (caseId === '') return; // unreadable: it stays listed with its problem
        try {
          const record = await readCase(caseKey);
          await store.save(record, await analyzeOrNull(record, parameters, closing.signal));
        } catch (error) {
          if (!(error instanceof FailureError) || error.code === 'disk-full') throw error;
          await store.refresh(caseKey);
        }
      });
      await store.endReanalysis();
      return store.list();
    } finally {
      emit({ kind: 'library-changed' });
    }
  }

  /** A worker that is lost over one case must not cost the others; the case is stored without its figures and says so. */
  async function analyzeOrNull(record: CaseRecord, parameters: AnalysisParameters, signal: AbortSignal): Promise<CaseAnalysis | null> {
    try {
      return await pool.analyze(record, parameters, { signal });
    } catch (error) {
      signal.throwIfAborted();
      emit({ kind: 'worker-lost', message: `${record.caseId} could not be analysed: ${toFailure(error).message}` });
      return null;
    }
  }

  const host: Host = {
    async describe() {
      return { productVersion: options.productVersion, door: options.door, libraryName: store.libraryName };
    },
    async listCases() {
      return store.list();
    },
    async beginImport() {
      const staging = await store.openStaging();
      const stored = new Map<string, AsideCase | null>();
      const keeper = createLedgerKeeper({ ledger: store.ledger, importId: staging.importId, productVersion: options.productVersion, now: options.now ?? (() => new Date()) });
      sessions.set(staging.importId, { stored, conflicts: createImportConflicts({ store, pool, staging, stored }), keeper, running: null, isWriting: false });
      return { importId: staging.importId };
    },
    async stageFile(importId, relativePath, body) {
      return await sessionOf(importId).staging.stage(relativePath, body);
    },
    async runImport(args) {
      const { staging, session } = sessionOf(args.importId);
      if (session.running !== null) throw new FailureError({ code: 'import-running', message: 'This import is already running.', remedy: 'Wait until it ends, or cancel it.' });
      const running = new AbortController();
      session.running = running;
      const signal = AbortSignal.any([running.signal, closing.signal]);
      try {
        return await exclusively(() => runImport(args, staging, session, signal));
      } catch (error) {
        const isCancelled = signal.aborted && !session.isWriting;
        await session.keeper.stop(error, isCancelled).catch(() => undefined); // the error itself is what is told; without this entry the ledger shows an interrupted reading
        if (isCancelled) throw new FailureError({ code: 'cancelled', message: 'The reading was cancelled; the library is as it was before.', remedy: 'Start it again whenever you like.' });
        throw error;
      } finally {
        session.running = null;
        session.isWriting = false;
        emit({ kind: 'library-changed' });
      }
    },
    async compareChange({ importId, caseKey }) {
      return await sessionOf(importId).session.conflicts.compare(caseKey);
    },
    async decideChanges({ importId, decisions }) {
      const { session } = sessionOf(importId);
      try {
        return await exclusively(async () => {
          const parameters = await store.readParameters();
          const isCurrent = (analysis: CaseAnalysis | null): boolean => analysis !== null && JSON.stringify(analysis.parameters) === JSON.stringify(parameters);
          const changed = await session.conflicts.decide(decisions, async (record, held) => (isCurrent(held) ? held : await analyzeOrNull(record, parameters, closing.signal)));
          await session.keeper.decide(decisions, changed);
          const keys = new Set([...changed.map(({ caseKey }) => caseKey), ...session.stored.keys()]);
          return { changed, cases: store.list().filter(({ caseKey }) => keys.has(caseKey)) };
        });
      } finally {
        emit({ kind: 'library-changed' });
      }
    },
    async listLedger() {
      const lines = await store.ledger.list();
      return lines.map((line) => (isReading(line.importId) ? { ...line, state: 'running' as const } : line)).sort((a, b) => (a.firstAt < b.firstAt ? 1 : a.firstAt > b.firstAt ? -1 : a.importId < b.importId ? -1 : 1));
    },
    async openLedger({ importId, run }) {
      return openedImport(await readLedger(importId), isReading(importId), run);
    },
    async ledgerRows({ importId, run, ...wanted }) {
      return await store.ledger.rejectedRows({ importId, run }, { ...wanted, limit: LEDGER_ROWS_AT_ONCE });
    },
    async matchStaged({ importId, place }) {
      const { staging, session } = sessionOf(importId);
      const { run } = openedImport(await readLedger(place.importId), false, place.run);
      if (run === null) throw ledgerMissing();
      const match = await matchStaged(staging, run);
      session.keeper.correct(run);
      return { ...match, overrules: run.overrules, zone: run.zone, mapping: run.mapping };
    },
    async endImport({ importId }) {
      const session = sessions.get(importId);
      session?.running?.abort();
      await exclusively(async () => {
        sessions.delete(importId);
        await store.endStaging(importId);
      });
      return { ended: true };
    },
    async cancelImport({ importId }) {
      const session = sessions.get(importId);
      if (session === undefined || session.running === null || session.isWriting) return { cancelled: false };
      session.running.abort();
      return { cancelled: true };
    },
    importSamples: () => importSamples(host, options.samplesFolder),
    async analyze({ caseKey, parameters }) {
      return await pool.analyze(await readCase(caseKey), parameters, { signal: closing.signal });
    },
    async prepareRobustness({ caseKey, parameters }) {
      return await pool.prepareRobustness(await readCase(caseKey), parameters, { signal: closing.signal });
    },
    async siteDetail({ caseKey, parameters }) {
      const detail = await pool.siteDetail(await store.readBytes(caseKey), parameters, { signal: closing.signal });
      if (!detail.ok) throw new FailureError(detail.failure);
      return detail.value;
    },
    compareSites: comparisons.compare,
    async cancelComparison({ jobId }) {
      return { cancelled: comparisons.cancel(jobId) };
    },
    async proposeClockOffsets({ caseKey }) {
      return await pool.proposeClockOffsets(await readCase(caseKey), { signal: closing.signal });
    },
    async tryClockOffset({ caseKey, sourceIndex, offsetMs }) {
      const moved = await withClock(caseKey, { sourceIndex, offsetMs, isProposal: false });
      return await pool.analyze(moved, await store.readParameters(), { signal: closing.signal });
    },
    async setClockOffset({ caseKey, sourceIndex, offsetMs, isProposal }) {
      try {
        return await exclusively(async () => {
          const moved = await withClock(caseKey, { sourceIndex, offsetMs, isProposal });
          // A case without its analysis would be worse than one with a wrong clock: a failure leaves the stored one as it is.
          return await store.save(moved, await pool.analyze(moved, await store.readParameters(), { signal: closing.signal }));
        });
      } finally {
        emit({ kind: 'library-changed' });
      }
    },
    async removeCase({ caseKey }) {
      const removed = await exclusively(() => store.remove(caseKey));
      if (removed) emit({ kind: 'library-changed' });
      return { removed };
    },
    getParameters: () => store.readParameters(),
    async saveParameters({ parameters }) {
      return await exclusively(async () => {
        await store.saveParameters(parameters);
        return await reanalyzeAll(parameters);
      });
    },
    async previewFile({ importId, file, zone, rules }) {
      const { staging, session } = sessionOf(importId);
      // Reports show a code where a file's name is that of a person.
      const door = { keepIdentifiers: false, pseudonymOf: pseudonymsOf(store.pseudonymKey) };
      const around = toInputFiles(staging.files, session.keeper.looseName ?? looseNameOf(staging.files)).find(({ relativePath }) => [relativePath, shownPath(relativePath, door)].some((path) => path === file || file.startsWith(`${path}/`)));
      if (around === undefined) throw new FailureError({ code: 'file-missing', message: `This import holds no file ${file}.`, file, remedy: 'Choose the files again and import them anew.' });
      const preview = await pool.previewFile(around, { file: around.relativePath === file ? shownPath(file, door) : file, zone, rules }, store.pseudonymKey, { signal: closing.signal });
      if (!preview.ok) throw new FailureError(preview.failure);
      return preview.value;
    },
    listKnownTerms: () => pool.listKnownTerms({ signal: closing.signal }),
    listMappings: () => store.mappings.list(),
    saveMapping: ({ mapping, replace }) => exclusively(() => store.mappings.save(mapping, replace)),
    renameMapping: ({ name, to }) => exclusively(() => store.mappings.rename(name, to)),
    removeMapping: ({ name }) => exclusively(() => store.mappings.remove(name)),
    async readMapping({ text }) {
      const json = parseJsonText(text);
      const read = json.ok ? parseMapping(json.value) : json;
      if (!read.ok) throw new FailureError(read.failure);
      return read.value;
    },
    listParameterSets: () => store.parameterSets.list(),
    saveParameterSet: ({ parameters }) => exclusively(() => store.parameterSets.save(parameters)),
    removeParameterSet: ({ name }) => exclusively(() => store.parameterSets.remove(name)),
    async readParameterSet({ text }) {
      const json = parseJsonText(text);
      const read = json.ok ? parseParameters(json.value) : json;
      if (!read.ok) throw new FailureError(read.failure);
      return read.value;
    },
    async finishReanalysis() {
      const lacksAnalysis = store.list().some(({ caseId, problem }) => caseId !== '' && problem !== null);
      if (store.isReanalysisPending || lacksAnalysis) await exclusively(async () => reanalyzeAll(await store.readParameters()));
    },
    openCase: (caseKey) => store.readBytes(caseKey),
    onEvent(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    async close() {
      closing.abort();
      await lastChange;
      await pool.dispose();
      await store.close();
    },
  };
  return host;
}

function ledgerMissing(): FailureError {
  return new FailureError({ code: 'ledger-missing', message: 'The ledger of this library has no such import.', remedy: 'Go back to the list of imports.' });
}

/** Files chosen one by one come without their folder: the first one's name has to name the case they may form. */
function looseNameOf(staged: readonly StagedFile[]): string {
  const [first] = staged.map(({ relativePath }) => relativePath).filter((path) => !path.includes('/')).sort();
  return first?.replace(/\.[^.]+$/, '') ?? '';
}

/** Returns the staged files as the reader wants them: sorted by path, so that the order of choosing changes nothing. */
function toInputFiles(staged: readonly StagedFile[], looseName: string): { path: string; relativePath: string; folderName: string; byteLength: number }[] {
  const files = [...staged].sort((a, b) => (a.relativePath < b.relativePath ? -1 : 1));
  return files.map(({ path, relativePath, byteLength }) => ({ path, relativePath, byteLength, folderName: relativePath.split('/').at(-2) ?? looseName }));
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
