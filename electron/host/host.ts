import { shownPath, type Door } from '../../core/identity/shown-path.ts';
import { shownNote } from '../../core/identity/shown-note.ts';
import { decodeCase } from '../../core/persist/case-bytes.ts';
import { parseJsonText } from '../../core/persist/json-text.ts';
import { parseMapping } from '../../core/persist/mapping-file.ts';
import { parseParameters } from '../../core/persist/parameters-file.ts';
import { recordUntil } from '../../core/model/record-until.ts';
import { protocolFileText, protocolMarkdown } from '../../core/persist/protocol-file.ts';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseListResult } from '../../core/model/case-list.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import { listedCase } from '../../core/protocol/listed-case.ts';
import type { AskedOfList, CaseListArgs, CaseSummary, ChangeChoice, ChangedCase, HostApi, HostBytes, HostDescription, HostEvent, ImportResult, InterruptedImport } from '../../core/protocol/host-api.ts';
import type { ClockSetting } from '../../core/worker/analysis-service.ts';
import { pseudonymsOf } from '../../core/worker/pseudonyms.ts';
import { clockDetail, inputsDetail, parametersDetail, replacementIn, verdictsDetail } from './act-details.ts';
import type { AnalysisPool } from './analysis-pool.ts';
import type { CaseStore, InterruptedRun, StagingArea } from './case-store.ts';
import { inTurns } from './in-turns.ts';
import { noLibraryDesk } from './no-library-desk.ts';
import { createSharedDefinitions } from './shared-definitions.ts';
import { toInputFiles } from './input-files.ts';
import { runImport } from './run-import.ts';
import type { ImportRequest } from './run-import.ts';
import { importSamples } from './sample-import.ts';
import type { CaseWorkParts } from './case-work-parts.ts';
import { createCohorts } from './cohorts.ts';
import { createSiteComparisons } from './site-comparisons.ts';
import { createActions } from './actions.ts';
import { createQualityCases } from './quality-cases.ts';
import { createQualityCharts } from './quality-charts.ts';
import { createMadeBundles } from './made-bundles.ts';
import { createReleases } from './releases.ts';
import { storedSheet } from './case-sheets.ts';
import { createReportWork } from './report-work.ts';
import { createReviewExchange } from './review-exchange.ts';
import { createReviews } from './reviews.ts';
import type { ActDone } from './reviews.ts';
import { createStudyPlans } from './study-plans.ts';
import { createImportConflicts } from './import-conflicts.ts';
import type { ImportConflicts } from './import-conflicts.ts';
import { createLedgerKeeper } from './ledger-keeper.ts';
import type { LedgerKeeper } from './ledger-keeper.ts';
import type { PreparedEntry } from './import-ledger.ts';
import type { ReadEntries } from './ledger-line.ts';
import { openedImport } from './ledger-line.ts';
import { matchStaged } from './match-staged.ts';

/** Rejected rows that go to the page at a time. */
const LEDGER_ROWS_AT_ONCE = 200;

/** A list that is read as it is found, with nothing decided. */
const NOTHING_ASKED: AskedOfList = { request: { table: null, idColumn: null, dateColumn: null }, decisions: [] };

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

/** One import of this window. */
interface ImportSession {
  readonly conflicts: ImportConflicts;
  readonly keeper: LedgerKeeper;
  running: AbortController | null;
  /** Once cases come into the library the run goes through: it is short, and half an import is worth nothing. */
  isWriting: boolean;
}

/** Returns the host over a store and a pool of workers. */
export function createHost(options: HostOptions): Host {
  const { store } = options;
  const listeners = new Set<(event: HostEvent) => void>();
  const emit = (event: HostEvent): void => {
    for (const listener of listeners) listener(event);
    // A case that has come may be one that reviews from elsewhere wait for.
    if (event.kind === 'library-changed') void exchange.joinWaiting();
  };
  const pool = options.startPool((failure) => emit({ kind: 'worker-lost', message: failure.message }));
  const sessions = new Map<string, ImportSession>();
  const closing = new AbortController();
  let lastChange: Promise<unknown> = Promise.resolve();
  const parts: CaseWorkParts = { store, pool, casesAtOnce: options.casesAtOnce, closing: closing.signal, tell: emit };
  const comparisons = createSiteComparisons(parts);
  const cohorts = createCohorts(parts);
  const bundles = createMadeBundles();
  const plans = createStudyPlans(parts);

  /** Runs what changes the library one after the other: imports, removals, new parameters. */
  function exclusively<T>(change: () => Promise<T>): Promise<T> {
    const next = lastChange.then(change, change);
    lastChange = next.catch(() => undefined);
    return next;
  }

  const now = options.now ?? (() => new Date());
  const qualityCases = createQualityCases(parts);
  const charts = createQualityCharts({ ...parts, now, exclusively, qualityCases });
  const reviews = createReviews({ ...parts, now, productVersion: options.productVersion });
  const definitions = createSharedDefinitions({ store, charts, productVersion: options.productVersion, now, exclusively });
  const actions = createActions({ ...parts, now, productVersion: options.productVersion, exclusively, qualityCases, reviews });
  const releases = createReleases({ store, pool, closing: closing.signal, exclusively, bundles, reviews });
  const exchange = createReviewExchange({ ...parts, now, productVersion: options.productVersion, exclusively, reviews });
  const reportWork = createReportWork({ ...parts, cohorts, exchange, reviews, productVersion: options.productVersion, bundles });

  function sessionOf(importId: string): { readonly staging: StagingArea; readonly session: ImportSession } {
    const staging = store.stagingOf(importId);
    if (staging === null) throw importOver();
    const session = sessions.get(importId) ?? { conflicts: createImportConflicts({ store, pool, staging }), keeper: newKeeper(importId), running: null, isWriting: false };
    sessions.set(importId, session);
    return { staging, session };
  }

  function newKeeper(importId: string): LedgerKeeper {
    return createLedgerKeeper({ ledger: store.ledger, importId, productVersion: options.productVersion, now, door: { keepIdentifiers: false, pseudonymOf: pseudonymsOf(store.settings.pseudonymKey) } });
  }

  /** Tells the keeper of an interrupted import what that import corrects, as its first program knew. */
  async function correctAgain(importId: string): Promise<void> {
    const begun = (await store.ledger.read(importId)).entries.findLast((entry) => entry.kind === 'begun');
    const place = begun?.corrects ?? null;
    if (place === null) return;
    const { run: corrected } = openedImport(await readLedger(place.importId), false, place.run);
    if (corrected !== null) sessionOf(importId).session.keeper.correct(corrected);
  }

  function isReading(importId: string): boolean {
    return (sessions.get(importId)?.running ?? null) !== null;
  }

  async function readLedger(importId: string): Promise<ReadEntries> {
    const read = await store.ledger.read(importId);
    if (read.entries.length + read.damaged === 0) throw ledgerMissing();
    return read;
  }

  async function begin(kind: { readonly isResumable: boolean }): Promise<{ readonly importId: string }> {
    const { importId } = await store.openStaging(kind);
    return { importId };
  }

  async function run(importId: string, request: ImportRequest): Promise<ImportResult> {
    const { staging, session } = sessionOf(importId);
    if (session.running !== null) throw new FailureError({ code: 'import-running', message: 'This import is already running.', remedy: 'Wait until it ends, or cancel it.' });
    const running = new AbortController();
    session.running = running;
    const signal = AbortSignal.any([running.signal, closing.signal]);
    const surroundings = { store, pool, productVersion: options.productVersion, casesAtOnce: options.casesAtOnce, emit };
    try {
      return await exclusively(async () => {
        const result = await runImport(request, staging, { ...surroundings, conflicts: session.conflicts, keeper: session.keeper }, { signal, onPoint: () => (session.isWriting = true) });
        // The cases are in the library and in the ledger: a trail that the disk refuses now must not make the import look failed.
        await reviews.note(result.replaced.map((caseId) => ({ by: undefined, act: 'case replaced', caseKey: store.keyOf(caseId), detail: 'by a new reading; the earlier copy could not be read' }))).catch(() => undefined);
        return result;
      });
    } catch (error) {
      const isCancelled = signal.aborted && !session.isWriting;
      // A program that closes leaves what is done for its next start; a person who cancels wants none of it.
      if (!closing.signal.aborted) {
        await staging.end();
        await session.keeper.stop(error, isCancelled).catch(() => undefined); // the error itself is what is told; without this entry the ledger shows an interrupted reading
      }
      if (isCancelled) throw new FailureError({ code: 'cancelled', message: 'The reading was cancelled; the library is as it was before.', remedy: 'Start it again whenever you like.' });
      throw error;
    } finally {
      session.running = null;
      session.isWriting = false;
      emit({ kind: 'library-changed' });
    }
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

  /** Returns what the trail is to say of cases that take the place of the library's, or give it back. */
  async function replacements(staging: StagingArea, decisions: readonly ChangeChoice[], changed: readonly ChangedCase[], by: string | undefined): Promise<ActDone[]> {
    const acts: ActDone[] = [];
    for (const choice of decisions) {
      const { caseKey } = choice;
      const kind = replacementIn(choice, changed.find((one) => one.caseKey === caseKey));
      if (kind === null) continue;
      const then = kind === 'put in' ? await staging.readHeld(caseKey) : await staging.readAside(caseKey);
      acts.push({ by, act: 'case replaced', caseKey, detail: `${kind === 'put in' ? 'by a new reading' : 'the earlier reading was put back'}; ${inputsDetail(await store.readBytes(caseKey), then)}; ${verdictsDetail(await reviews.verdictsUnder(caseKey, then))}` });
    }
    return acts;
  }

  async function reconcile({ importId, file, asked }: CaseListArgs): Promise<{ readonly result: CaseListResult; readonly asked: AskedOfList }> {
    const { staging } = sessionOf(importId);
    const list = toInputFiles(staging.files, null).find(({ relativePath }) => relativePath === file);
    const sha256 = staging.files.find(({ relativePath }) => relativePath === file)?.sha256;
    if (list === undefined || sha256 === undefined) throw new FailureError({ code: 'file-missing', message: `The list ${file} is no longer here.`, file, remedy: 'Choose the list again.' });
    const own = asked ?? (await store.listDecisions.of(sha256)) ?? NOTHING_ASKED;
    const answer = await pool.reconcileCaseList(list, { ...own, library: store.list().map(listedCase) }, { keepIdentifiers: false, pseudonymKey: store.settings.pseudonymKey }, { signal: closing.signal });
    if (!answer.ok) throw new FailureError(answer.failure);
    if (asked !== null) await exclusively(() => store.listDecisions.keep(sha256, asked));
    return { result: answer.value, asked: own };
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
      return { productVersion: options.productVersion, door: options.door, libraryName: store.libraryName, lock: null };
    },
    ...noLibraryDesk(),
    removedImports: () => store.removedImports.list(),
    async forgetRemovedImports() {
      await exclusively(() => store.removedImports.forget());
      return { forgotten: true };
    },
    ...definitions,
    async listCases() {
      return store.list();
    },
    beginImport: () => begin({ isResumable: true }),
    async stageFile(importId, relativePath, body) {
      return await sessionOf(importId).staging.stage(relativePath, body);
    },
    async readBefore({ importId }) {
      const { staging, session } = sessionOf(importId);
      return await session.keeper.readBefore(staging.files);
    },
    runImport: ({ importId, ...request }) => run(importId, request),
    async interruptedImports() {
      const door = { keepIdentifiers: false, pseudonymOf: pseudonymsOf(store.settings.pseudonymKey) };
      return (await store.interruptedRuns()).map((one) => describeInterrupted(one, door));
    },
    async resumeImport({ importId }) {
      const left = (await store.interruptedRuns()).find((one) => one.importId === importId);
      if (left === undefined) throw importOver();
      await correctAgain(importId);
      return await run(importId, left.run.request);
    },
    async compareChange({ importId, caseKey }) {
      const { staging, session } = sessionOf(importId);
      const comparison = await session.conflicts.compare(caseKey);
      return { ...comparison, reviews: await reviews.verdictsUnder(caseKey, await staging.readHeld(caseKey)) };
    },
    async decideChanges({ importId, decisions, by }) {
      const { staging, session } = sessionOf(importId);
      try {
        return await exclusively(async () => {
          const acts: ActDone[] = [];
          const parameters = await store.settings.readParameters();
          const isCurrent = (analysis: CaseAnalysis | null): boolean => analysis !== null && JSON.stringify(analysis.parameters) === JSON.stringify(parameters);
          const analyze = async (record: CaseRecord, held: CaseAnalysis | null): Promise<CaseAnalysis | null> => (isCurrent(held) ? held : await analyzeOrNull(record, parameters, closing.signal));
          const prepareEntry = async (): Promise<PreparedEntry> => {
            acts.push(...(await replacements(staging, decisions, session.conflicts.changed, by)));
            await reviews.note(acts);
            return await session.keeper.prepareDecision(decisions, session.conflicts.changed);
          };
          const changed = await session.conflicts.decide(decisions, analyze, prepareEntry).catch(async (error: unknown) => {
            await reviews.noteNotDone(acts);
            throw error;
          });
          const keys = new Set([...changed.map(({ caseKey }) => caseKey), ...staging.stored.keys()]);
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
    // Samples that did not all come in are imported anew at the next start: nothing to ask about.
    importSamples: () => importSamples(host, () => begin({ isResumable: false }), options.samplesFolder),
    async analyze({ caseKey, parameters, untilMs }) {
      const record = await readCase(caseKey);
      return await pool.analyze(untilMs === undefined ? record : recordUntil(record, untilMs), parameters, { signal: closing.signal });
    },
    async caseSheet({ caseKey, parameters, wishes, view = null }) {
      const { document, html, pdf, pages, notInFont } = await storedSheet({ store, pool, reviews, closing: closing.signal }, { caseKey, parameters, wishes, view });
      return { document, html, pdfBase64: Buffer.from(pdf).toString('base64'), pages, notInFont };
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
    cohort: cohorts.workOut,
    async cancelCohort({ jobId }) {
      return { cancelled: cohorts.cancel(jobId) };
    },
    async cancelComparison({ jobId }) {
      return { cancelled: comparisons.cancel(jobId) };
    },
    reconcileCaseList: reconcile,
    async caseListText(args) {
      return { text: await pool.caseListText((await reconcile(args)).result, { signal: closing.signal }) };
    },
    planStudy: plans.plan,
    async cancelStudy({ jobId }) {
      return { cancelled: plans.cancel(jobId) };
    },
    async nextStudyText({ study }) {
      return { text: await pool.nextStudyText(study, { signal: closing.signal }) };
    },
    ...charts,
    ...actions,
    ...reviews.calls,
    ...exchange.calls,
    ...releases,
    ...reportWork,
    async cancelReviewWork({ jobId }) {
      return { cancelled: exchange.cancel(jobId) || (await reviews.calls.cancelReviewWork({ jobId })).cancelled };
    },
    listProtocols: () => store.protocols.list(),
    fixProtocol: ({ content, before }) => exclusively(() => store.protocols.fix(content, before, { now: now(), productVersion: options.productVersion })),
    async protocolText({ protocolId, version, form }) {
      const kept = (await store.protocols.list()).find(({ protocol }) => protocol.protocolId === protocolId && protocol.version === version);
      if (kept === undefined) throw new FailureError({ code: 'protocol-missing', message: 'The library has no such protocol.', remedy: 'Go back to the list of protocols.' });
      return { text: form === 'markdown' ? protocolMarkdown(kept.protocol) : protocolFileText(kept.protocol) };
    },
    async proposeClockOffsets({ caseKey }) {
      return await pool.proposeClockOffsets(await readCase(caseKey), { signal: closing.signal });
    },
    async tryClockOffset({ caseKey, sourceIndex, offsetMs }) {
      const moved = await withClock(caseKey, { sourceIndex, offsetMs, isProposal: false });
      return await pool.analyze(moved, await store.settings.readParameters(), { signal: closing.signal });
    },
    async setClockOffset({ caseKey, sourceIndex, offsetMs, isProposal, by }) {
      try {
        return await exclusively(async () => {
          const beforeMs = (await readCase(caseKey)).sources[sourceIndex]?.clockOffsetMs ?? 0;
          const moved = await withClock(caseKey, { sourceIndex, offsetMs, isProposal });
          // A case without its analysis would be worse than one with a wrong clock: a failure leaves the stored one as it is.
          const analysis = await pool.analyze(moved, await store.settings.readParameters(), { signal: closing.signal });
          return await reviews.recorded([{ by, act: 'clock set', caseKey, detail: clockDetail(sourceIndex, beforeMs, offsetMs) }], () => store.save(moved, analysis));
        });
      } finally {
        emit({ kind: 'library-changed' });
      }
    },
    getLanes: () => store.lanes.read(),
    saveLanes: ({ choice }) => exclusively(() => store.lanes.keep(choice)),
    listMarks: ({ caseKey }) => store.marks.list(caseKey),
    async listShownMarks({ caseKey }) {
      const name = store.lineOf(caseKey)?.caseId ?? '';
      return (await store.marks.list(caseKey)).map((mark) => ({ ...mark, text: shownNote(mark.text, name) }));
    },
    keepMark({ caseKey, mark }) {
      return exclusively(async () => {
        if (store.lineOf(caseKey) === null) throw new FailureError({ code: 'case-missing', message: 'The case of this mark is no longer in the library.', remedy: 'Go back to the library.' });
        return await store.marks.keep(caseKey, mark);
      });
    },
    removeMark: ({ caseKey, markId }) => exclusively(() => store.marks.remove(caseKey, markId)),
    listStories: () => store.stories.list(),
    keepStory: ({ story }) => exclusively(() => store.stories.keep(story)),
    removeStory: ({ storyId }) => exclusively(() => store.stories.remove(storyId)),
    async removeCase({ caseKey, by }) {
      const removed = await exclusively(async () => {
        if (store.lineOf(caseKey) === null) return false;
        const stay = verdictsDetail(await store.readBytes(caseKey).then((bytes) => reviews.verdictsUnder(caseKey, bytes), () => 'not told'));
        return await reviews.recorded([{ by, act: 'case removed', caseKey, detail: `what was said of it stays; ${stay}` }], () => store.remove(caseKey));
      });
      if (removed) {
        emit({ kind: 'library-changed' });
        await exclusively(() => store.marks.forget(caseKey));
      }
      return { removed };
    },
    getParameters: () => store.settings.readParameters(),
    async saveParameters({ parameters, by }) {
      return await exclusively(async () => {
        const detail = await store.settings.readParameters().then((before) => parametersDetail(before, parameters), () => 'the stored ones could not be read');
        await reviews.recorded(detail === null ? [] : [{ by, act: 'parameters changed', caseKey: null, detail }], () => store.settings.saveParameters(parameters));
        return await reanalyzeAll(parameters);
      });
    },
    async previewFile({ importId, file, zone, rules, atLine }) {
      const { staging, session } = sessionOf(importId);
      // Reports show a code where a file's name is that of a person.
      const door = { keepIdentifiers: false, pseudonymOf: pseudonymsOf(store.settings.pseudonymKey) };
      const around = toInputFiles(staging.files, session.keeper.looseName).find(({ relativePath }) => [relativePath, shownPath(relativePath, door)].some((path) => path === file || file.startsWith(`${path}/`)));
      if (around === undefined) throw new FailureError({ code: 'file-missing', message: `This import holds no file ${file}.`, file, remedy: 'Choose the files again and import them anew.' });
      const preview = await pool.previewFile(around, { file: around.relativePath === file ? shownPath(file, door) : file, zone, rules, atLine }, store.settings.pseudonymKey, { signal: closing.signal });
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
      if (store.settings.reanalysisPending || lacksAnalysis) await exclusively(async () => reanalyzeAll(await store.settings.readParameters()));
    },
    openCase: (caseKey) => store.readBytes(caseKey),
    onEvent(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    async close() {
      closing.abort();
      await lastChange;
      await store.reviews.settled();
      try {
        await pool.dispose();
      } finally {
        await store.close();
      }
    },
  };
  return host;
}

function ledgerMissing(): FailureError {
  return new FailureError({ code: 'ledger-missing', message: 'The ledger of this library has no such import.', remedy: 'Go back to the list of imports.' });
}

function importOver(): FailureError {
  return new FailureError({ code: 'import-over', message: 'This import is over; its files are no longer kept.', remedy: 'Choose the files again and import them anew.' });
}

function describeInterrupted({ importId, run, filesRead, cases, casesDone }: InterruptedRun, door: Door): InterruptedImport {
  return { importId, files: run.files.map(({ relativePath, byteLength }) => ({ file: shownPath(relativePath, door), byteLength })), filesRead, cases, casesDone, casesStored: Object.keys(run.stored).length, zone: run.request.zone, mapping: run.request.mapping, overrules: run.request.overrules };
}
