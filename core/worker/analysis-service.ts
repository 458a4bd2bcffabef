import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import type { Failure, Result } from '../base/result.ts';
import { fail, ok } from '../base/result.ts';
import { compareCases } from '../compare/compare-cases.ts';
import type { CaseAnalysis } from '../model/analysis.ts';
import type { CaseRecord } from '../model/case.ts';
import type { FilePreview } from '../model/file-preview.ts';
import type { CaseComparison } from '../model/case-comparison.ts';
import type { ClockComparison } from '../model/clock-comparison.ts';
import type { Mapping } from '../model/mapping.ts';
import type { KnownTerms } from '../model/known-terms.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { PreparedCase } from '../model/prepared-case.ts';
import type { CaseSiteFigures, SiteCohort } from '../model/site-cohort.ts';
import type { SiteDetail } from '../model/site-detail.ts';
import { decodeCase } from '../persist/case-bytes.ts';
import { acceptedOffset } from '../pipeline/accepted-offset.ts';
import { analyzeCase } from '../pipeline/analyze-case.ts';
import type { FileReading } from '../pipeline/import-files.ts';
import { assembleCases, readFile } from '../pipeline/import-files.ts';
import { proposeClockOffsets } from '../pipeline/propose-clock-offsets.ts';
import { setClockOffset } from '../pipeline/set-clock-offset.ts';
import { previewFile, type PreviewRequest } from '../pipeline/preview-file.ts';
import { listKnownTerms } from '../terms/known-terms.ts';
import { siteFigures } from '../pipeline/site-figures.ts';
import { storedSiteDetail } from '../pipeline/site-detail.ts';
import { pseudonymsOf } from './pseudonyms.ts';
import type { ByteSource, ImportOptions, ImportOutcome } from '../readers/reader.ts';
import { prepareRobustness } from '../robustness/prepare-robustness.ts';
import { siteCohort } from '../sites/site-cohort.ts';

/** A file to be read, by its place on disk. Only the path leaves the host; the worker opens the file itself. */
export interface InputFile {
  /** Absolute path. Never written to any result. */
  readonly path: string;
  /** Relative to the chosen folder, '/' between parts: the name in every report. */
  readonly relativePath: string;
  /** Name of the folder the file lies in; names the case when no case column does. */
  readonly folderName: string;
  readonly byteLength: number;
}

/** What of `ImportOptions` is plain data and so can be sent to a worker. */
export interface ReadingOptions {
  readonly zone: string | null;
  readonly mapping: Mapping | null;
  readonly keepIdentifiers: boolean;
  /** Key of the codes that stand for persons and records, hexadecimal. It goes to the workers and into no result. */
  readonly pseudonymKey: string;
}

/** A clock to be set: the whole offset of a source. With `isProposal` it must be one that is proposed, and its evidence is kept. */
export interface ClockSetting {
  readonly sourceIndex: number;
  readonly offsetMs: number;
  readonly isProposal: boolean;
}

/** A sign of life from a worker while it reads: a plain message beside the calls, never a proxied callback. */
export interface WorkerMessage {
  readonly kind: 'bytes-read';
  readonly relativePath: string;
  /** Of the present pass; a file that needs a second pass starts again at 0. */
  readonly bytesDone: number;
}

/**
 * The object behind the wire. Every argument and result is plain data that survives a structured clone,
 * and every method returns a promise, so that the proxy on the other side has the same type.
 */
export interface AnalysisService {
  /**
   * Returns what one file holds (more than one reading where it is an archive or a workbook), or a failure when the disk does
   * not give it. Bad content is no failure: it stands in the reading.
   */
  readFile(file: InputFile, options: ReadingOptions): Promise<Result<readonly FileReading[]>>;
  assembleCases(readings: readonly FileReading[], options: ReadingOptions): Promise<ImportOutcome>;
  /** Returns what the head of a file becomes under given rules, or a failure when the disk does not give it. */
  previewFile(file: InputFile, request: PreviewRequest, pseudonymKey: string): Promise<Result<FilePreview>>;
  /** Returns the names that a person may choose from when a phrase is to be explained. */
  listKnownTerms(): Promise<KnownTerms>;
  analyze(record: CaseRecord, parameters: AnalysisParameters): Promise<CaseAnalysis>;
  proposeClockOffsets(record: CaseRecord): Promise<readonly ClockComparison[]>;
  /** Returns the case with the clock of one source set, or why it cannot be set. */
  setClockOffset(record: CaseRecord, change: ClockSetting): Promise<Result<CaseRecord>>;
  prepareRobustness(record: CaseRecord, parameters: AnalysisParameters): Promise<PreparedCase>;
  /** Returns the sensors of a stored case over time; fails as `decodeCase` does. */
  siteDetail(bytes: Uint8Array, parameters: AnalysisParameters): Promise<Result<SiteDetail>>;
  /** Returns what a stored case gives to a comparison of sites over cases; fails as `decodeCase` does. */
  siteFigures(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters): Promise<Result<CaseSiteFigures>>;
  compareCases(cases: readonly CaseSiteFigures[]): Promise<ComparedCases>;
  /** Returns what would change if the case in `after` took the place of that in `before`, both as stored bytes; a failure when one cannot be read. */
  compare(before: Uint8Array, after: Uint8Array): Promise<Result<CaseComparison>>;
}

/** What a comparison of sites over cases works out. */
export type ComparedCases = Pick<SiteCohort, 'pairs' | 'sensors' | 'draws'>;

const CHUNK_BYTES = 1 << 20;

/**
 * Returns the service that a worker exposes; it runs as well without a thread.
 * `post` receives the progress messages.
 */
export function createAnalysisService(productVersion: string, post: (message: WorkerMessage) => void): AnalysisService {
  return {
    async readFile(file, options) {
      try {
        return ok(await readFile(sourceOf(file, post), stageOptions(options)));
      } catch (error) {
        const failure = diskFailure(error, file);
        if (failure === null) throw error;
        return fail(failure);
      }
    },
    async previewFile(file, request, pseudonymKey) {
      try {
        return ok(await previewFile(sourceOf(file, post), request, pseudonymsOf(pseudonymKey)));
      } catch (error) {
        const failure = diskFailure(error, file);
        if (failure === null) throw error;
        return fail(failure);
      }
    },
    async listKnownTerms() {
      return listKnownTerms();
    },
    async assembleCases(readings, options) {
      return assembleCases(readings, stageOptions(options));
    },
    async analyze(record, parameters) {
      return analyzeCase(record, parameters, productVersion);
    },
    async proposeClockOffsets(record) {
      return proposeClockOffsets(record);
    },
    async setClockOffset(record, { sourceIndex, offsetMs, isProposal }) {
      if (!isProposal) return setClockOffset(record, sourceIndex, offsetMs, null);
      const accepted = acceptedOffset(record, sourceIndex, offsetMs);
      return accepted.ok ? setClockOffset(record, sourceIndex, offsetMs, accepted.value) : accepted;
    },
    async prepareRobustness(record, parameters) {
      return prepareRobustness(record, parameters);
    },
    async siteDetail(bytes, parameters) {
      return storedSiteDetail(bytes, parameters);
    },
    async siteFigures(bytes, caseKey, parameters) {
      return siteFigures(bytes, caseKey, parameters, productVersion);
    },
    async compareCases(cases) {
      return siteCohort(cases);
    },
    async compare(before, after) {
      const was = decodeCase(before);
      if (!was.ok) return was;
      const is = decodeCase(after);
      return is.ok ? ok(compareCases(was.value, is.value)) : is;
    },
  };
}

function stageOptions({ pseudonymKey, ...options }: ReadingOptions): ImportOptions {
  return { ...options, pseudonymOf: pseudonymsOf(pseudonymKey), createDigest };
}

function createDigest(): ReturnType<ImportOptions['createDigest']> {
  const hash = createHash('sha256');
  return { update: (bytes) => void hash.update(bytes), hex: () => hash.digest('hex') };
}

function sourceOf(file: InputFile, post: (message: WorkerMessage) => void): ByteSource {
  return {
    relativePath: file.relativePath,
    folderName: file.folderName,
    byteLength: file.byteLength,
    async *open() {
      let bytesDone = 0;
      for await (const chunk of createReadStream(file.path, { highWaterMark: CHUNK_BYTES })) {
        const bytes: Uint8Array = chunk; // a stream without an encoding yields Buffers, which are Uint8Arrays
        yield bytes;
        bytesDone += bytes.byteLength;
        post({ kind: 'bytes-read', relativePath: file.relativePath, bytesDone });
      }
    },
    async *openRange(start, end) {
      let bytesDone = start;
      // The last byte of a stream's range counts as part of it.
      for await (const chunk of end > start ? createReadStream(file.path, { highWaterMark: CHUNK_BYTES, start, end: end - 1 }) : []) {
        const bytes: Uint8Array = chunk; // as above
        yield bytes;
        bytesDone += bytes.byteLength;
        post({ kind: 'bytes-read', relativePath: file.relativePath, bytesDone });
      }
    },
  };
}

const DISK_FAILURES: Readonly<Record<string, readonly [message: string, remedy: string]>> = {
  ENOENT: ['The file is no longer there.', 'Put it back, or leave it out.'],
  EACCES: ['The file may not be read.', 'Ask for permission to read it.'],
  EPERM: ['The file may not be read.', 'Ask for permission to read it.'],
  EISDIR: ['This is a folder, not a file.', 'Choose the files in it.'],
  EIO: ['The disk failed while the file was read.', 'Copy the file to another disk and try again.'],
};

/** Returns the failure that a refused read means, or null when the error did not come from the disk (our bug). */
function diskFailure(error: unknown, file: InputFile): Failure | null {
  if (!(error instanceof Error) || !('syscall' in error) || !('code' in error) || typeof error.code !== 'string') return null;
  const known = DISK_FAILURES[error.code];
  const [message, remedy] = known ?? [`The file could not be read (${error.code}).`, 'Copy it to another place and try again.'];
  return { code: 'file-unreadable', message, remedy, file: file.relativePath };
}
