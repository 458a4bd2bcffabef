import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { FilePreview } from '../../core/model/file-preview.ts';
import { ok } from '../../core/base/result.ts';
import type { FileReport, RejectedRow } from '../../core/model/import-report.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { prepareRobustness } from '../../core/robustness/prepare-robustness.ts';
import { siteDetail } from '../../core/pipeline/site-detail.ts';
import { siteFigures } from '../../core/pipeline/site-figures.ts';
import { decodeCase } from '../../core/persist/case-bytes.ts';
import { siteCohort } from '../../core/sites/site-cohort.ts';
import type { AnalysisPool } from '../../electron/host/analysis-pool.ts';
import { buildFilePreview } from './file-preview.ts';
import { createAnalysisService } from '../../core/worker/analysis-service.ts';
import { buildCaseAnalysis, buildCaseRecord } from './stored-case.ts';

type ImportArgs = Parameters<AnalysisPool['importFiles']>;

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
  const read = over.read ?? (async (files) => files.map((file) => buildCaseRecord({ caseId: file.folderName })));
  const pool: StandInPool = {
    imports: [],
    figured: [],
    analyzed: [],
    previews: [],
    isDisposed: false,
    async importFiles(...args) {
      pool.imports.push({ files: args[0], options: args[1] });
      const cases = await read(...args);
      args[2]?.signal?.throwIfAborted();
      return { cases, files: args[0].map((file) => over.report?.(file.relativePath) ?? buildFileReport({ file: file.relativePath })), rejectedRows: over.rejectedRows ?? [] };
    },
    async analyze(record, parameters) {
      pool.analyzed.push({ caseId: record.caseId, parameters });
      return over.analyze === undefined ? buildCaseAnalysis(undefined, { caseId: record.caseId, parameters }) : await over.analyze(record, parameters);
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
    async siteFigures(bytes, caseKey, parameters) {
      pool.figured.push(caseKey);
      await over.beforeFigures?.(caseKey);
      return siteFigures(bytes, caseKey, parameters, '0.0.0-test');
    },
    async compareCases(cases, { signal } = {}) {
      signal?.throwIfAborted();
      return siteCohort(cases);
    },
    compare: (before, after) => createAnalysisService('0.0.0-test', () => undefined).compare(before, after),
    async proposeClockOffsets() {
      return [];
    },
    async setClockOffset(record, { sourceIndex, offsetMs }) {
      return { ok: true, value: { ...record, sources: record.sources.map((source, i) => (i === sourceIndex ? { ...source, clockOffsetMs: offsetMs } : source)) } };
    },
    async dispose() {
      pool.isDisposed = true;
    },
  };
  return pool;
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
