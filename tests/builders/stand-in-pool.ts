import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { FilePreview } from '../../core/model/file-preview.ts';
import { ok } from '../../core/base/result.ts';
import type { FileReport, RejectedRow } from '../../core/model/import-report.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { prepareRobustness } from '../../core/robustness/prepare-robustness.ts';
import { siteDetail } from '../../core/pipeline/site-detail.ts';
import { siteCohort } from '../../core/sites/site-cohort.ts';
import { buildFilePreview } from './file-preview.ts';
import { createAnalysisService } from '../../core/worker/analysis-service.ts';
import { decodeCase, encodeCase } from '../../core/persist/case-bytes.ts';
import { sourceDigests } from '../../core/model/source-digests.ts';
import type { PlannedCase } from '../../core/pipeline/plan-cases.ts';
import { summarizeCase } from '../../core/protocol/case-summary.ts';
import type { FileReading } from '../../core/readers/reading.ts';
import type { AnalysisPool, ReadImport } from '../../electron/host/analysis-pool.ts';
import { buildCaseAnalysis, buildCaseRecord } from './stored-case.ts';

type ReadArgs = Parameters<AnalysisPool['readFiles']>;
/** What an import is read from, shelves left out. */
type ImportArgs = [files: ReadArgs[0], options: ReadArgs[1], hooks: ReadArgs[3]];

export interface StandInPool extends AnalysisPool {
  /** What the host asked for, in order. */
  readonly imports: { readonly files: ImportArgs[0]; readonly options: ImportArgs[1] }[];
  /** Case keys of which the site figures were asked for. */
  readonly figured: string[];
  readonly analyzed: { readonly caseId: string; readonly parameters: AnalysisParameters }[];
  /** Previews asked for: where the bytes lie, and what was asked. */
  readonly previews: { readonly of: string; readonly request: Parameters<AnalysisPool['previewFile']>[1] }[];
  isDisposed: boolean;
}

export function buildFileReport(over: Partial<FileReport> = {}): FileReport {
  return {
    file: 'a/trends.csv', kind: 'trends', encoding: 'utf-8', delimiter: ',', layout: 'wide', rows_read: 3, rows_accepted: 3, rows_rejected: 0, rejected: [],
    notes: [], guesses: [], columns: [], cases: ['case-1'], sha256: 'ab'.repeat(32), byte_length: 10, failure: null, ...over,
  };
}

/**
 * Returns a pool without threads, for tests of what the host does around it.
 * `read` makes the cases of an import; by default each file is a case named after its folder.
 */
export function buildStandInPool(over: {
  read?: (...args: ImportArgs) => Promise<readonly CaseRecord[]>;
  analyze?: (record: CaseRecord, parameters: AnalysisParameters) => Promise<CaseAnalysis>;
  rejectedRows?: readonly RejectedRow[];
  report?: (file: string) => FileReport;
  beforeFigures?: (caseKey: string) => Promise<void>;
} = {}): StandInPool {
  const read = over.read ?? (async (files) => [...new Set(files.map((file) => file.folderName))].map((caseId) => buildCaseRecord({ caseId })));
  const recordsOf = new WeakMap<ReadImport, readonly CaseRecord[]>();
  const recordOf = (from: ReadImport, planned: PlannedCase): CaseRecord => {
    const record = recordsOf.get(from)?.find(({ caseId }) => caseId === planned.caseId);
    if (record === undefined) throw new Error(`no record of ${planned.caseId}`);
    return record;
  };
  const analyze = async (record: CaseRecord, parameters: AnalysisParameters): Promise<CaseAnalysis> => {
    pool.analyzed.push({ caseId: record.caseId, parameters });
    return over.analyze === undefined ? buildCaseAnalysis(undefined, { caseId: record.caseId, parameters }) : await over.analyze(record, parameters);
  };
  const service = createAnalysisService('0.0.0-test', () => undefined);
  const pool: StandInPool = {
    imports: [],
    figured: [],
    analyzed: [],
    previews: [],
    isDisposed: false,
    async readFiles(files, options, _shelves, hooks) {
      pool.imports.push({ files, options });
      const records = await read(files, options, hooks);
      hooks?.signal?.throwIfAborted();
      const result: ReadImport = {
        inputs: files,
        shownPaths: [],
        outcomes: [],
        readings: [buildReading({ rejectedRows: over.rejectedRows ?? [] })],
        shelfPaths: [],
        plan: { cases: records.map(({ caseId }) => ({ caseId, attributes: {}, parts: [] })), notes: [] },
      };
      recordsOf.set(result, records);
      return result;
    },
    async makeCase(from, planned, caseKey, parameters, hooks) {
      hooks?.signal?.throwIfAborted();
      const record = recordOf(from, planned);
      const analysis = parameters === null ? null : await analyze(record, parameters);
      return { bytes: encodeCase(record, analysis), summary: summarizeCase(caseKey, record, analysis), digests: sourceDigests(record), remarks: { notes: [], asTimeOfDay: [], agedBy: null } };
    },
    async prepareRobustness(record, parameters) {
      return prepareRobustness(record, parameters);
    },
    async previewFile(file, request) {
      pool.previews.push({ of: file.relativePath, request });
      const preview: FilePreview = buildFilePreview({ file: request.file });
      return ok(preview);
    },
    async listKnownTerms() {
      return { drugs: [], events: [] };
    },
    async siteDetail(bytes, parameters) {
      const decoded = decodeCase(bytes);
      return decoded.ok ? ok(siteDetail(decoded.value.record, parameters)) : decoded;
    },
    async siteFigures(bytes, caseKey, parameters, entries) {
      pool.figured.push(caseKey);
      await over.beforeFigures?.(caseKey);
      return service.siteFigures(bytes, caseKey, parameters, entries);
    },
    confirmedFigures(bytes, caseKey, parameters, entries, view) {
      return service.confirmedFigures(bytes, caseKey, parameters, entries, view);
    },
    async compareCases(cases, { signal } = {}) {
      signal?.throwIfAborted();
      return siteCohort(cases);
    },
    async cohortCase(bytes, caseKey, parameters, entries) {
      pool.figured.push(caseKey);
      await over.beforeFigures?.(caseKey);
      return service.cohortCase(bytes, caseKey, parameters, entries);
    },
    async cohort(cases, unread, options, parameters, { signal, onFigures } = {}) {
      signal?.throwIfAborted();
      const main = await service.cohortMain(cases, unread, options, parameters);
      const robustness = await createAnalysisService('0.0.0-test', (message) => {
        if (message.kind === 'figures-made') onFigures?.(message.done, message.total);
      }).cohortRobustness(cases, options, parameters);
      return main.ok ? ok({ ...main.value, robustness }) : main;
    },
    caseFacts: () => Promise.reject(new Error('the host reads no reviews into tables')),
    reportCohortCase: () => Promise.reject(new Error('the host writes no tables')),
    async cohortExport(cases, unread, options, parameters, { signal } = {}) {
      signal?.throwIfAborted();
      const main = await service.cohortExport(cases, unread, options, parameters);
      return main.ok ? ok({ ...main.value, results: { ...main.value.results, robustness: await service.cohortRobustness(cases, options, parameters) } }) : main;
    },
    reconcileCaseList: (file, task, options) => service.reconcileCaseList(file, task, options),
    caseListText: (result) => service.caseListText(result),
    localCase: (bytes, caseKey) => service.localCase(bytes, caseKey),
    reviewAgreement: (cases, agreementOptions) => service.reviewAgreement(cases, agreementOptions),
    agreementTexts: (agreement) => service.agreementTexts(agreement),
    studyCase: (bytes, caseKey, parameters, entries, selection) => service.studyCase(bytes, caseKey, parameters, entries, selection),
    studyCases: (cases, options, parameters) => service.studyCases(cases, options, parameters),
    planStudy: (cases, options, { signal, onDrawn } = {}) => {
      signal?.throwIfAborted();
      return createAnalysisService('0.0.0-test', (message) => {
        if (message.kind === 'patients-drawn') onDrawn?.(message.done, message.total);
      }).planStudy(cases, options);
    },
    nextStudyText: (study) => service.nextStudyText(study),
    async qualityCase(bytes, caseKey, parameters, entries) {
      pool.figured.push(caseKey);
      await over.beforeFigures?.(caseKey);
      return await service.qualityCase(bytes, caseKey, parameters, entries);
    },
    proposeChart: (definition, cases, openMonth) => service.proposeChart(definition, cases, openMonth),
    makeChart: (request, cases, at) => service.makeChart(request, cases, at),
    editChart: (chart, edit, cases, at) => service.editChart(chart, edit, cases, at),
    drawChart: (chart, cases, openMonth) => service.drawChart(chart, cases, openMonth),
    measureAgain: (task, cases, openMonth) => service.measureAgain(task, cases, openMonth),
    actionsText: (views, today, form) => service.actionsText(views, today, form),
    unitFunnel: (request, cases) => service.unitFunnel(request, cases),
    groupingColumns: (cases) => service.groupingColumns(cases),
    compare: (before, after) => createAnalysisService('0.0.0-test', () => undefined).compare(before, after),
    keepClocks: (before, after) => createAnalysisService('0.0.0-test', () => undefined).keepClocks(before, after),
    async proposeClockOffsets() {
      return [];
    },
    async setClockOffset(record, { sourceIndex, offsetMs }) {
      return { ok: true, value: { ...record, sources: record.sources.map((source, i) => (i === sourceIndex ? { ...source, clockOffsetMs: offsetMs } : source)) } };
    },
    bundleCase: () => Promise.reject(new Error('the host reads no inputs for a bundle')),
    storedBundleCase: (bytes, caseKey, parameters, entries, wishes) => service.storedBundleCase(bytes, caseKey, parameters, entries, wishes),
    bundleZip: (given) => service.bundleZip(given),
    codeListText: () => Promise.resolve(''),
    caseSheet: () => Promise.reject(new Error('the host reads no inputs for a sheet')),
    storedCaseSheet: (bytes, caseKey, parameters, said, wishes) => service.storedCaseSheet(bytes, caseKey, parameters, said, wishes),
    releaseList: (content, answers) => service.releaseList(content, answers),
    storyDeck: (task) => service.storyDeck(task),
    releaseDeck: (deck, answers, form, picture) => service.releaseDeck(deck, answers, form, picture),
    releaseSheets: (sheets, answers, form) => service.releaseSheets(sheets, answers, form),
    releaseReport: (document, answers, form) => service.releaseReport(document, answers, form),
    departmentReport: (given, wishes) => service.departmentReport(given, wishes),
    reportCase: () => Promise.reject(new Error('the host writes no tables')),
    completeReports: (from) => Promise.resolve(from.inputs.map((file) => over.report?.(file.relativePath) ?? buildFileReport({ file: file.relativePath }))),
    analyze,
    async dispose() {
      pool.isDisposed = true;
    },
  };
  return pool;
}

function buildReading(over: Partial<FileReading>): FileReading {
  return {
    source: { relativePath: 'x.csv', folder: '', folderName: '', name: 'x.csv', sha256: '', byteLength: 0, kind: 'trends' },
    clock: null, zone: { name: 'UTC', basis: 'none' }, clockOffsetMs: 0, canSwapDayAndMonth: false, areKeysMasked: false,
    report: buildFileReport(), rejectedRows: [], cases: [], ...over,
  };
}

/** Returns a body of bytes as a page would hand it over. */
export async function* bodyOf(...chunks: string[]): AsyncGenerator<Uint8Array> {
  for (const chunk of chunks) yield new TextEncoder().encode(chunk);
}

/** Returns a promise with the handles to settle it (`Promise.withResolvers` of later engines). */
export function deferred<T>(): { readonly promise: Promise<T>; resolve(value: T): void } {
  let settle: (value: T) => void = () => undefined;
  const promise = new Promise<T>((resolve) => {
    settle = resolve;
  });
  return { promise, resolve: (value) => settle(value) };
}
