import { setMaxListeners } from 'node:events';
import { transfer } from 'comlink';
import type { Failure, Result } from '../../core/base/result.ts';
import { shownPath, type Door } from '../../core/identity/shown-path.ts';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { FilePreview } from '../../core/model/file-preview.ts';
import type { CaseComparison } from '../../core/model/case-comparison.ts';
import type { ClockComparison } from '../../core/model/clock-comparison.ts';
import type { FileReport } from '../../core/model/import-report.ts';
import type { KnownTerms } from '../../core/model/known-terms.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import type { PreparedCase } from '../../core/model/prepared-case.ts';
import type { CaseSiteFigures } from '../../core/model/site-cohort.ts';
import type { SiteDetail } from '../../core/model/site-detail.ts';
import type { FileReading } from '../../core/pipeline/import-files.ts';
import type { PreviewRequest } from '../../core/pipeline/preview-file.ts';
import type { ImportOutcome, ImportProgress } from '../../core/readers/reader.ts';
import type { AnalysisService, ClockSetting, ComparedCases, InputFile, ReadingOptions } from '../../core/worker/analysis-service.ts';
import { pseudonymsOf } from '../../core/worker/pseudonyms.ts';
import { buffersOf } from '../../core/worker/transferables.ts';
import type { CallOptions, SupervisedWorker } from './worker-supervisor.ts';
import { WorkerFailure, startWorker } from './worker-supervisor.ts';

export interface AnalysisPoolOptions {
  /** How many workers at most; they are started when first needed. */
  readonly size: number;
  /** The built `analysis.worker.js`. */
  readonly workerUrl: URL;
  readonly productVersion: string;
  /** Told whenever a worker was lost or fell silent. */
  readonly onWorkerLost?: ((failure: WorkerFailure) => void) | undefined;
  /** How long a worker may show no sign of life before its call is given up. Default 10 min. */
  readonly silenceMs?: number | undefined;
}

export interface CallHooks {
  readonly signal?: AbortSignal | undefined;
}

export interface ImportHooks extends CallHooks {
  /** `bytesDone` and `bytesTotal` are of the whole import; `file` is the one just read from. */
  readonly onProgress?: ((progress: ImportProgress) => void) | undefined;
}

/** Workers that read and analyse. No result depends on how many there are, or on which of them worked. */
export interface AnalysisPool {
  /**
   * Returns the cases of all files together, reports in the order of `files`; a container has one for each of its parts.
   * Errors  a file that cannot be read, or whose worker was lost, has `failure` in its report and the rest comes in.
   *         Rejects with the signal's reason when aborted, with a WorkerFailure when putting the cases together failed.
   */
  importFiles(files: readonly InputFile[], options: ReadingOptions, hooks?: ImportHooks): Promise<ImportOutcome>;
  /**
   * Returns the analysis of one case; the record is copied and stays usable.
   * Errors  rejects with a WorkerFailure when its worker was lost; the next call finds a new one.
   */
  analyze(record: CaseRecord, parameters: AnalysisParameters, hooks?: CallHooks): Promise<CaseAnalysis>;
  /** Returns a case prepared for definitions to be tried on it; see `core/robustness`. Errors as `analyze`. */
  prepareRobustness(record: CaseRecord, parameters: AnalysisParameters, hooks?: CallHooks): Promise<PreparedCase>;
  /**
   * Returns what the head of a file becomes under given rules.
   * Errors  rejects with a WorkerFailure as `analyze`; a disk that refuses is the failure of the result.
   */
  previewFile(file: InputFile, request: PreviewRequest, pseudonymKey: string, hooks?: CallHooks): Promise<Result<FilePreview>>;
  listKnownTerms(hooks?: CallHooks): Promise<KnownTerms>;
  /** Returns the sensors of a stored case over time. The bytes are moved: empty afterwards. Errors as for `analyze`. */
  siteDetail(bytes: Uint8Array, parameters: AnalysisParameters, hooks?: CallHooks): Promise<Result<SiteDetail>>;
  /** Returns what a stored case gives to a comparison of sites. The bytes are moved: empty afterwards. Errors as for `analyze`. */
  siteFigures(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, hooks?: CallHooks): Promise<Result<CaseSiteFigures>>;
  compareCases(cases: readonly CaseSiteFigures[], hooks?: CallHooks): Promise<ComparedCases>;
  /**
   * Returns what would change if the case in `after` took the place of that in `before`, both as stored bytes; a failure when one
   * of the two cannot be read.
   * Errors  as `analyze`.
   */
  compare(before: Uint8Array, after: Uint8Array, hooks?: CallHooks): Promise<Result<CaseComparison>>;
  /** Returns how the clocks of a case's sources stand to one another. Errors as `analyze`. */
  proposeClockOffsets(record: CaseRecord, hooks?: CallHooks): Promise<readonly ClockComparison[]>;
  /** Returns the case with one clock set, or why it cannot be. Errors as `analyze`. */
  setClockOffset(record: CaseRecord, change: ClockSetting, hooks?: CallHooks): Promise<Result<CaseRecord>>;
  /** Ends every worker; what is pending rejects. */
  dispose(): Promise<void>;
}

const SILENCE_MS = 600_000;

type Job<T> = (service: AnalysisService) => PromiseLike<T>;

interface Task {
  run(worker: SupervisedWorker<AnalysisService>): Promise<void>;
  reject(reason: unknown): void;
}

/** Returns a pool. Dispose it, or its workers stay. */
export function createAnalysisPool(options: AnalysisPoolOptions): AnalysisPool {
  const silenceMs = options.silenceMs ?? SILENCE_MS;
  const idle: SupervisedWorker<AnalysisService>[] = [];
  const busy = new Set<SupervisedWorker<AnalysisService>>();
  const queue: Task[] = [];
  let isDisposed = false;

  const idleWorker = (): SupervisedWorker<AnalysisService> | null => {
    for (let worker = idle.pop(); worker !== undefined; worker = idle.pop()) {
      if (worker.isAlive) return worker; // the others were lost while they waited
    }
    return null;
  };

  const pump = (): void => {
    while (queue.length > 0 && busy.size < Math.max(1, options.size)) {
      const task = queue.shift();
      if (task === undefined) return;
      const worker = idleWorker() ?? startWorker<AnalysisService>(options.workerUrl, options.productVersion);
      busy.add(worker);
      void task.run(worker).finally(() => {
        busy.delete(worker);
        if (worker.isAlive && !isDisposed) idle.push(worker);
        pump();
      });
    }
  };

  const schedule = <T>(job: Job<T>, call: Omit<CallOptions, 'silenceMs'>): Promise<T> =>
    new Promise<T>((resolve, reject) => {
      if (isDisposed) {
        reject(closed());
        return;
      }
      if (call.signal?.aborted === true) {
        reject(call.signal.reason);
        return;
      }
      const withdraw = (): void => {
        const place = queue.indexOf(task);
        if (place >= 0) queue.splice(place, 1);
        reject(call.signal?.reason);
      };
      const task: Task = {
        reject,
        async run(worker) {
          call.signal?.removeEventListener('abort', withdraw);
          try {
            resolve(await worker.call(job, { ...call, silenceMs }));
          } catch (error) {
            if (error instanceof WorkerFailure && (error.code === 'worker-lost' || error.code === 'worker-silent')) options.onWorkerLost?.(error);
            reject(error);
          }
        },
      };
      if (call.signal !== undefined) {
        setMaxListeners(0, call.signal); // as many calls as there are files may wait on one signal; that is no leak
        call.signal.addEventListener('abort', withdraw, { once: true });
      }
      queue.push(task);
      pump();
    });

  return {
    async importFiles(files, readingOptions, { signal, onProgress } = {}) {
      const { zone, mapping, keepIdentifiers, pseudonymKey } = readingOptions;
      const plainOptions: ReadingOptions = { zone, mapping, keepIdentifiers, pseudonymKey };
      const door = { keepIdentifiers, pseudonymOf: pseudonymsOf(pseudonymKey) };
      const advance = onProgress === undefined ? undefined : progressOver(files, onProgress);
      const outcomes = await settled(
        files.map(async (file, index): Promise<Outcome> => {
          try {
            const result = await schedule((service) => service.readFile(file, plainOptions), {
              signal,
              onMessage: (message) => advance?.(index, message.bytesDone),
            });
            advance?.(index, file.byteLength);
            return result.ok ? { readings: result.value } : { failure: result.failure };
          } catch (error) {
            if (!(error instanceof WorkerFailure) || error.code === 'closed') throw error;
            advance?.(index, file.byteLength);
            return { failure: error };
          }
        }),
      );
      const read = outcomes.flatMap((outcome) => ('readings' in outcome ? outcome.readings : []));
      const outcome = await schedule((service) => service.assembleCases(transfer(read, buffersOf(read)), plainOptions), { signal });
      return { ...outcome, files: withUnread(files, outcomes, outcome.files, door) };
    },
    analyze(record, parameters, { signal } = {}) {
      // What the sources gave takes no part in an analysis: it stays on this side.
      const { parts: _parts, ...bare } = record;
      return schedule((service) => service.analyze(bare, parameters), { signal });
    },
    prepareRobustness(record, parameters, { signal } = {}) {
      return schedule((service) => service.prepareRobustness(record, parameters), { signal });
    },
    previewFile(file, request, pseudonymKey, { signal } = {}) {
      return schedule((service) => service.previewFile(file, request, pseudonymKey), { signal });
    },
    listKnownTerms({ signal } = {}) {
      return schedule((service) => service.listKnownTerms(), { signal });
    },
    siteDetail(bytes, parameters, { signal } = {}) {
      return schedule((service) => service.siteDetail(moved(bytes), parameters), { signal });
    },
    siteFigures(bytes, caseKey, parameters, { signal } = {}) {
      return schedule((service) => service.siteFigures(moved(bytes), caseKey, parameters), { signal });
    },
    compareCases(cases, { signal } = {}) {
      return schedule((service) => service.compareCases(cases), { signal });
    },
    compare(before, after, { signal } = {}) {
      return schedule((service) => service.compare(before, after), { signal });
    },
    proposeClockOffsets(record, { signal } = {}) {
      return schedule((service) => service.proposeClockOffsets(record), { signal });
    },
    setClockOffset(record, change, { signal } = {}) {
      return schedule((service) => service.setClockOffset(record, change), { signal });
    },
    async dispose() {
      isDisposed = true;
      for (const task of queue.splice(0)) task.reject(closed());
      await Promise.all([...idle.splice(0), ...busy].map((worker) => worker.end()));
    },
  };
}

type Outcome = { readonly readings: readonly FileReading[] } | { readonly failure: Failure };

/** Bytes with their own buffer move to the worker; a view into a buffer that others share is copied. */
function moved(bytes: Uint8Array): Uint8Array {
  return bytes.buffer instanceof ArrayBuffer && bytes.byteLength === bytes.buffer.byteLength ? transfer(bytes, [bytes.buffer]) : bytes;
}

function closed(): WorkerFailure {
  return new WorkerFailure('closed', 'The analysis was closed.', 'Start it again.');
}

/** Returns all values, or rejects with the first reason once every promise has settled: nothing goes on in the background. */
async function settled<T>(promises: readonly Promise<T>[]): Promise<T[]> {
  const results = await Promise.allSettled(promises);
  return results.map((result) => {
    if (result.status === 'rejected') throw result.reason;
    return result.value;
  });
}

/** Puts the reports of the files that never reached the core between the others, so that every input file has at least one. */
function withUnread(files: readonly InputFile[], outcomes: readonly Outcome[], reports: readonly FileReport[], door: Door): FileReport[] {
  let next = 0;
  return files.flatMap((file, index) => {
    const outcome = outcomes[index];
    if (outcome !== undefined && 'failure' in outcome) return [unreadReport(shownPath(file.relativePath, door), file.byteLength, outcome.failure)];
    const count = outcome?.readings.length ?? 0;
    const own = reports.slice(next, next + count);
    next += count;
    if (own.length === 0 || own.length < count) throw new Error('a file has no report');
    return own;
  });
}

/** Returns the report of a file of which nothing could be read. */
export function unreadReport(file: string, byteLength: number, failure: Failure): FileReport {
  return {
    file,
    kind: 'unknown',
    encoding: '',
    delimiter: '',
    layout: '',
    rows_read: 0,
    rows_accepted: 0,
    rows_rejected: 0,
    rejected: [],
    notes: [],
    guesses: [],
    columns: [],
    cases: [],
    sha256: '',
    byte_length: byteLength,
    failure: { message: failure.message, line: failure.line ?? null, remedy: failure.remedy ?? null },
  };
}

/** Returns a function that takes the bytes read of one file and reports those of all; the sum never falls, even in a second pass. */
function progressOver(files: readonly InputFile[], onProgress: (progress: ImportProgress) => void): (index: number, bytes: number) => void {
  const done = files.map(() => 0);
  const bytesTotal = files.reduce((sum, file) => sum + file.byteLength, 0);
  let bytesDone = 0;
  return (index, bytes) => {
    const file = files[index];
    if (file === undefined) return;
    const before = done[index] ?? 0;
    const after = Math.min(Math.max(before, bytes), file.byteLength);
    done[index] = after;
    bytesDone += after - before;
    onProgress({ stage: 'reading', file: file.relativePath, bytesDone, bytesTotal });
  };
}
