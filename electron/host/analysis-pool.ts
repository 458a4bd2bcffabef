import { setMaxListeners } from 'node:events';
import { transfer } from 'comlink';
import type { Failure, Result } from '../../core/base/result.ts';
import { ok } from '../../core/base/result.ts';
import { shownPath } from '../../core/identity/shown-path.ts';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { FilePreview } from '../../core/model/file-preview.ts';
import type { CaseComparison } from '../../core/model/case-comparison.ts';
import type { CaseListResult } from '../../core/model/case-list.ts';
import type { ClockComparison } from '../../core/model/clock-comparison.ts';
import type { FileReport } from '../../core/model/import-report.ts';
import type { KnownTerms } from '../../core/model/known-terms.ts';
import type { CohortCase } from '../../core/model/cohort-case.ts';
import type { ConfirmedFigures } from '../../core/model/confirmed.ts';
import type { UnreadCase } from '../../core/model/cohort-flow.ts';
import type { CohortExport } from '../../core/model/cohort-export.ts';
import type { CohortOptions } from '../../core/model/cohort-options.ts';
import type { CohortResults } from '../../core/model/cohort-results.ts';
import type { NextStudy, NextStudyOptions, StudyCase } from '../../core/model/next-study.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import type { PreparedCase } from '../../core/model/prepared-case.ts';
import type { ActionView, MeasuredAgain } from '../../core/model/action.ts';
import type { Deck, DeckForm, ReportForm } from '../../core/model/deck.ts';
import type { ReleaseAnswer, ReleaseContent, ReleaseList } from '../../core/model/release.ts';
import type { ReportDocument, ReportSheets, ReportWishes } from '../../core/model/report-document.ts';
import type { QualityCase } from '../../core/model/quality-case.ts';
import type { ChartEdit, ChartRequest, QualityChart, QualityChartView, QualityDefinition, QualityProposal } from '../../core/model/quality-chart.ts';
import type { CaseSiteFigures } from '../../core/model/site-cohort.ts';
import type { AgreementOptions, ReadCase, ReviewAgreement } from '../../core/model/review-agreement.ts';
import type { SiteDetail } from '../../core/model/site-detail.ts';
import type { FunnelRequest, GroupingColumn, UnitFunnel } from '../../core/model/unit-funnel.ts';
import type { CodeFacts } from '../../core/pipeline/code-tables.ts';
import type { PreviewRequest } from '../../core/pipeline/preview-file.ts';
import type { LocalCase } from '../../core/review/merge-received.ts';
import type { ReviewView } from '../../core/review/review-of-case.ts';
import { pseudonymsOf } from '../../core/worker/pseudonyms.ts';
import type { CaseRemarks } from '../../core/pipeline/complete-reports.ts';
import type { CasePlan, PlannedCase } from '../../core/pipeline/plan-cases.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import type { ImportProgress } from '../../core/readers/reader.ts';
import type { FileReading } from '../../core/readers/reading.ts';
import type { AnalysisService, CaseFacts, CaseListTask, CaseTask, ChartMoment, ClockSetting, ComparedCases, EntriesOfCase, InputFile, MadeCase, MeasuredAction, ReadingOptions, ReportedCase, ReportedCohortCase, ReportedSheet, StoryDeckTask } from '../../core/worker/analysis-service.ts';
import type { WrittenReport } from '../../core/worker/write-report.ts';
import type { ReleasedFile } from '../../core/worker/write-release.ts';
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
  /** How many bytes of growing columns all workers together may hold while they read. Default 192 MB; changes no result. */
  readonly heldBytes?: number | undefined;
}

export interface CallHooks {
  readonly signal?: AbortSignal | undefined;
}

export interface ReadingHooks extends CallHooks {
  /** `bytesDone` and `bytesTotal` are of all files; `file` is the one just read from. */
  readonly onProgress?: ((progress: ImportProgress) => void) | undefined;
}

/** Told how many results of a cohort are made. */
export interface FigureHooks extends CallHooks {
  readonly onFigures?: ((done: number, total: number) => void) | undefined;
}

/** What became of one file: its readings, put away on its shelf, or why it could not be read. */
export type FileOutcome = { readonly readings: readonly FileReading[] } | { readonly failure: Failure };

/** Where the files of one import are put away while they are read, and what is known of them from an interrupted run. */
export interface ReadingShelves {
  /** Returns the absolute path of the shelf of the file at this place. */
  pathOf(place: number): string;
  /** Returns what an earlier run made of the file; null: it is to be read. */
  known(place: number): FileOutcome | null;
  /** Called once a file is read and its shelf closed, before the next one is counted as done. */
  keep(place: number, outcome: FileOutcome): Promise<void>;
}

/** All files of an import, read, and the cases they make. Small: the content lies on the shelves. */
export interface ReadImport {
  readonly inputs: readonly InputFile[];
  /** Their names as reports show them. */
  readonly shownPaths: readonly string[];
  /** One per input file, in their order. */
  readonly outcomes: readonly FileOutcome[];
  /** Of all files that could be read; an archive has one for each of its parts. */
  readonly readings: readonly FileReading[];
  /** The shelf of each reading. */
  readonly shelfPaths: readonly string[];
  readonly plan: CasePlan;
}

/** Workers that read, build and analyse. No result depends on how many there are, or on which of them worked. */
export interface AnalysisPool {
  /**
   * Reads the files and plans the cases that they make. What was read lies on the shelves; memory holds a bounded part of it.
   * Errors  a file that cannot be read, or whose worker was lost, has `failure` and the rest comes in.
   *         Rejects with the signal's reason when aborted, with a FailureError when the shelves cannot be written.
   */
  readFiles(files: readonly InputFile[], options: ReadingOptions, shelves: ReadingShelves, hooks?: ReadingHooks): Promise<ReadImport>;
  /**
   * Returns a planned case as it is to be stored; with null parameters without an analysis.
   * Errors  rejects with a WorkerFailure when its worker was lost; the next call finds a new one.
   */
  makeCase(read: ReadImport, planned: PlannedCase, caseKey: string, parameters: AnalysisParameters | null, hooks?: CallHooks): Promise<MadeCase>;
  /** Returns by what a planned case is known again. Errors as `makeCase`. */
  caseFacts(read: ReadImport, planned: PlannedCase, hooks?: CallHooks): Promise<CaseFacts>;
  /** Returns a planned case's part of the output tables. Errors as `makeCase`. */
  reportCase(read: ReadImport, planned: PlannedCase, parameters: AnalysisParameters, entries: EntriesOfCase, wishes: Parameters<AnalysisService['reportCase']>[3], hooks?: CallHooks): Promise<ReportedCase>;
  /** Returns a planned case as it goes into a research bundle. Errors as `makeCase`. */
  bundleCase(read: ReadImport, planned: PlannedCase, parameters: AnalysisParameters, entries: EntriesOfCase, wishes: Parameters<AnalysisService['bundleCase']>[3], hooks?: CallHooks): ReturnType<AnalysisService['bundleCase']>;
  /** Returns a stored case as it goes into a research bundle. The bytes are moved. Errors as for `analyze`. */
  storedBundleCase(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, entries: EntriesOfCase, wishes: Parameters<AnalysisService['storedBundleCase']>[4], hooks?: CallHooks): ReturnType<AnalysisService['storedBundleCase']>;
  /** Returns a research bundle of stored cases as one zip archive. */
  bundleZip(given: Parameters<AnalysisService['bundleZip']>[0], hooks?: CallHooks): ReturnType<AnalysisService['bundleZip']>;
  /** Returns codes.csv. */
  codeListText(hooks?: CallHooks): Promise<string>;
  /** Returns the sheet of a planned case. Errors as `makeCase`. */
  caseSheet(read: ReadImport, planned: PlannedCase, parameters: AnalysisParameters, entries: EntriesOfCase, wishes: ReportWishes, hooks?: CallHooks): Promise<ReportedSheet>;
  /** The bytes move to the worker when they have their own buffer. */
  storedCaseSheet(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, said: Parameters<AnalysisService['storedCaseSheet']>[3], wishes: ReportWishes, hooks?: CallHooks): Promise<Result<WrittenReport>>;
  departmentReport(given: Parameters<AnalysisService['departmentReport']>[0], wishes: ReportWishes, hooks?: CallHooks): Promise<WrittenReport>;
  releaseList(content: ReleaseContent, answers: readonly ReleaseAnswer[], hooks?: CallHooks): Promise<ReleaseList>;
  storyDeck(task: StoryDeckTask, hooks?: CallHooks): Promise<Deck>;
  releaseDeck(deck: Deck, answers: readonly ReleaseAnswer[], form: DeckForm, picture: number, hooks?: CallHooks): Promise<Result<ReleasedFile>>;
  releaseSheets(sheets: ReportSheets, answers: readonly ReleaseAnswer[], form: ReportForm, hooks?: CallHooks): Promise<Result<ReleasedFile>>;
  releaseReport(document: ReportDocument, answers: readonly ReleaseAnswer[], form: ReportForm, hooks?: CallHooks): Promise<Result<ReleasedFile>>;
  /** Returns the reports of all files, in their order; a container has one for each of its parts. `remarks` are those of the planned cases. */
  completeReports(read: ReadImport, remarks: readonly (CaseRemarks | null)[], hooks?: CallHooks): Promise<readonly FileReport[]>;
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
  siteFigures(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, entries: EntriesOfCase, hooks?: CallHooks): Promise<Result<CaseSiteFigures>>;
  /** Returns what reviewers made of the dropouts of a stored case, as the one who looks may see it. The bytes are moved: empty afterwards. Errors as for `analyze`. */
  confirmedFigures(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, entries: EntriesOfCase, view: ReviewView, hooks?: CallHooks): Promise<Result<ConfirmedFigures | null>>;
  compareCases(cases: readonly CaseSiteFigures[], hooks?: CallHooks): Promise<ComparedCases>;
  /** Returns what a stored case gives to a cohort. The bytes are moved: empty afterwards. Errors as for `analyze`. */
  cohortCase(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, entries: EntriesOfCase, hooks?: CallHooks): Promise<Result<CohortCase>>;
  /** Returns everything that is stated about a cohort. Errors as for `analyze`. */
  cohort(cases: readonly CohortCase[], unread: readonly UnreadCase[], options: CohortOptions, parameters: AnalysisParameters, hooks?: FigureHooks): Promise<Result<CohortResults>>;
  /** Returns what a planned case gives to a cohort. Errors as `makeCase`. */
  reportCohortCase(read: ReadImport, planned: PlannedCase, parameters: AnalysisParameters, entries: EntriesOfCase, wishes: Parameters<AnalysisService['reportCohortCase']>[3], hooks?: CallHooks): Promise<ReportedCohortCase>;
  /** Returns everything that a cohort is written out as. Errors as for `analyze`. */
  cohortExport(cases: readonly CohortCase[], unread: readonly UnreadCase[], options: CohortOptions, parameters: AnalysisParameters, hooks?: FigureHooks): Promise<Result<CohortExport>>;
  /**
   * Returns a list of cases held against a library, or why it cannot be read.
   * Errors  rejects with a WorkerFailure as `analyze`; a disk that refuses is the failure of the result.
   */
  reconcileCaseList(file: InputFile, task: CaseListTask, options: Pick<ReadingOptions, 'keepIdentifiers' | 'pseudonymKey'>, hooks?: CallHooks): Promise<Result<CaseListResult>>;
  caseListText(result: Pick<CaseListResult, 'rows' | 'cases'>, hooks?: CallHooks): Promise<string>;
  localCase(bytes: Uint8Array, caseKey: string, hooks?: CallHooks): Promise<Result<LocalCase>>;
  reviewAgreement(cases: readonly ReadCase[], options: AgreementOptions, hooks?: CallHooks): Promise<ReviewAgreement>;
  agreementTexts(agreement: ReviewAgreement, hooks?: CallHooks): Promise<{ readonly agreement: string; readonly verdicts: string }>;
  /** Returns what a stored case gives to the planning of a study. The bytes are moved: empty afterwards. Errors as for `analyze`. */
  studyCase(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, entries: EntriesOfCase, selection: 'computed' | 'confirmed', hooks?: CallHooks): Promise<Result<StudyCase>>;
  /** Returns what the chosen ones of the cases of a run give to the planning of a study. Errors as for `analyze`. */
  studyCases(cases: readonly CohortCase[], options: CohortOptions, parameters: AnalysisParameters, hooks?: CallHooks): Promise<{ readonly cases: readonly StudyCase[]; readonly dropouts: 'computed' | 'confirmed' }>;
  /** Returns power and precision of a study. Aborting ends the worker that draws. Errors as for `analyze`. */
  planStudy(cases: readonly StudyCase[], options: NextStudyOptions, hooks?: CallHooks & { readonly onDrawn?: ((done: number, total: number) => void) | undefined }): Promise<NextStudy>;
  nextStudyText(study: NextStudy, hooks?: CallHooks): Promise<string>;
  /** Returns what a stored case gives to quality charts. The bytes are moved: empty afterwards. Errors as for `analyze`. */
  qualityCase(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, entries: EntriesOfCase, hooks?: CallHooks): Promise<Result<QualityCase>>;
  /** Charts and funnels over such cases, or why there can be none. Errors as for `analyze`. */
  proposeChart(definition: QualityDefinition, cases: readonly QualityCase[], openMonth: string, hooks?: CallHooks): Promise<Result<QualityProposal>>;
  makeChart(request: ChartRequest, cases: readonly QualityCase[], at: ChartMoment, hooks?: CallHooks): Promise<Result<QualityChart>>;
  editChart(chart: QualityChart, edit: ChartEdit, cases: readonly QualityCase[], at: ChartMoment, hooks?: CallHooks): Promise<Result<QualityChart>>;
  drawChart(chart: QualityChart, cases: readonly QualityCase[], openMonth: string, hooks?: CallHooks): Promise<QualityChartView>;
  /** Returns the measure of an action before and after its change. Errors as for `analyze`. */
  measureAgain(task: MeasuredAction, cases: readonly QualityCase[], openMonth: string, hooks?: CallHooks): Promise<MeasuredAgain>;
  actionsText(views: readonly ActionView[], today: string, form: 'csv' | 'json', hooks?: CallHooks): Promise<string>;
  unitFunnel(request: FunnelRequest, cases: readonly QualityCase[], hooks?: CallHooks): Promise<Result<UnitFunnel>>;
  groupingColumns(cases: readonly QualityCase[], hooks?: CallHooks): Promise<readonly GroupingColumn[]>;
  /**
   * Returns what would change if the case in `after` took the place of that in `before`, both as stored bytes; a failure when one
   * of the two cannot be read.
   * Errors  as `analyze`.
   */
  compare(before: Uint8Array, after: Uint8Array, hooks?: CallHooks): Promise<Result<CaseComparison>>;
  /** Returns the case in `after` with the clocks as a person had set them in `before`. Errors as `compare`. */
  keepClocks(before: Uint8Array, after: Uint8Array, hooks?: CallHooks): Promise<Result<CaseRecord>>;
  /** Returns how the clocks of a case's sources stand to one another. Errors as `analyze`. */
  proposeClockOffsets(record: CaseRecord, hooks?: CallHooks): Promise<readonly ClockComparison[]>;
  /** Returns the case with one clock set, or why it cannot be. Errors as `analyze`. */
  setClockOffset(record: CaseRecord, change: ClockSetting, hooks?: CallHooks): Promise<Result<CaseRecord>>;
  /** Ends every worker; what is pending rejects. */
  dispose(): Promise<void>;
}

/** So many bytes of growing columns all workers together hold while they read. */
const HELD_BYTES = 192 << 20;
const SILENCE_MS = 600_000;

type Job<T> = (service: AnalysisService) => PromiseLike<T>;

interface Task {
  run(worker: SupervisedWorker<AnalysisService>): Promise<void>;
  reject(reason: unknown): void;
}

function figureCall({ signal, onFigures }: FigureHooks): Omit<CallOptions, 'silenceMs'> {
  return {
    signal,
    onMessage: (message) => {
      if (message.kind === 'figures-made') onFigures?.(message.done, message.total);
    },
  };
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
    async readFiles(files, readingOptions, shelves, { signal, onProgress } = {}) {
      const { zone, mapping, keepIdentifiers, pseudonymKey } = readingOptions;
      const plainOptions: ReadingOptions = { zone, mapping, keepIdentifiers, pseudonymKey };
      const door = { keepIdentifiers, pseudonymOf: pseudonymsOf(pseudonymKey) };
      const advance = onProgress === undefined ? undefined : progressOver(files, onProgress);
      const heldBytes = Math.floor((options.heldBytes ?? HELD_BYTES) / Math.max(1, Math.min(options.size, files.length)));
      const read = async (file: InputFile, place: number, ownOptions: ReadingOptions): Promise<FileOutcome> => {
        try {
          const result = await schedule((service) => service.readFile(file, ownOptions, { path: shelves.pathOf(place), heldBytes }), {
            signal,
            onMessage: (message) => {
              if (message.kind === 'bytes-read') advance?.(place, message.bytesDone);
            },
          });
          if (result.ok) return { readings: result.value };
          if (result.failure.code === 'disk-full') throw new FailureError(result.failure);
          return { failure: result.failure };
        } catch (error) {
          if (!(error instanceof WorkerFailure) || error.code === 'closed') throw error;
          return { failure: toFailure(error) }; // plain, so that it can be kept
        }
      };
      const first = await settled(
        files.map(async (file, place): Promise<FileOutcome> => {
          let outcome = shelves.known(place);
          if (outcome === null) {
            outcome = await read(file, place, plainOptions);
            await shelves.keep(place, outcome);
          }
          advance?.(place, file.byteLength);
          return outcome;
        }),
      );
      // Where a list of codes lies among the files, those that it explains are read once more.
      const facts = first.map((outcome) => ('readings' in outcome ? outcome.readings.map(codeFactsOf) : []));
      const second = facts.some((own) => own.some(({ table }) => table !== null)) ? await schedule((service) => service.secondReading(facts), { signal }) : null;
      const outcomes = second === null ? first : await settled(first.map(async (before, place): Promise<FileOutcome> => {
        const file = files[place];
        if (file === undefined || !second.again.includes(place)) return before;
        const outcome = await read(file, place, { ...plainOptions, codeTables: second.codeTables });
        await shelves.keep(place, outcome);
        return outcome;
      }));
      const readings = outcomes.flatMap((outcome) => ('readings' in outcome ? outcome.readings : []));
      const shelfPaths = outcomes.flatMap((outcome, place) => ('readings' in outcome ? outcome.readings.map(() => shelves.pathOf(place)) : []));
      const plan = await schedule((service) => service.planCases(readings), { signal });
      return { inputs: files, shownPaths: files.map(({ relativePath }) => shownPath(relativePath, door)), outcomes, readings, shelfPaths, plan };
    },
    makeCase(read, planned, caseKey, parameters, { signal } = {}) {
      const task = taskOf(read, planned);
      return schedule((service) => service.makeCase(task, caseKey, parameters), { signal });
    },
    caseFacts(read, planned, { signal } = {}) {
      const task = taskOf(read, planned);
      return schedule((service) => service.caseFacts(task), { signal });
    },
    reportCase(read, planned, parameters, entries, wishes, { signal } = {}) {
      const task = taskOf(read, planned);
      return schedule((service) => service.reportCase(task, parameters, entries, wishes), { signal });
    },
    bundleCase(read, planned, parameters, entries, wishes, { signal } = {}) {
      const task = taskOf(read, planned);
      return schedule((service) => service.bundleCase(task, parameters, entries, wishes), { signal });
    },
    storedBundleCase(bytes, caseKey, parameters, entries, wishes, { signal } = {}) {
      return schedule((service) => service.storedBundleCase(moved(bytes), caseKey, parameters, entries, wishes), { signal });
    },
    bundleZip(given, { signal } = {}) {
      return schedule((service) => service.bundleZip(given), { signal });
    },
    codeListText({ signal } = {}) {
      return schedule((service) => service.codeListText(), { signal });
    },
    caseSheet(read, planned, parameters, entries, wishes, { signal } = {}) {
      const task = taskOf(read, planned);
      return schedule((service) => service.caseSheet(task, parameters, entries, wishes), { signal });
    },
    storedCaseSheet(bytes, caseKey, parameters, said, wishes, { signal } = {}) {
      return schedule((service) => service.storedCaseSheet(moved(bytes), caseKey, parameters, said, wishes), { signal });
    },
    departmentReport(given, wishes, { signal } = {}) {
      return schedule((service) => service.departmentReport(given, wishes), { signal });
    },
    releaseList(content, answers, { signal } = {}) {
      return schedule((service) => service.releaseList(content, answers), { signal });
    },
    storyDeck(task, { signal } = {}) {
      return schedule((service) => service.storyDeck(task), { signal });
    },
    releaseDeck(deck, answers, form, picture, { signal } = {}) {
      return schedule((service) => service.releaseDeck(deck, answers, form, picture), { signal });
    },
    releaseSheets(sheets, answers, form, { signal } = {}) {
      return schedule((service) => service.releaseSheets(sheets, answers, form), { signal });
    },
    releaseReport(document, answers, form, { signal } = {}) {
      return schedule((service) => service.releaseReport(document, answers, form), { signal });
    },
    async completeReports(read, remarks, { signal } = {}) {
      const reports = await schedule((service) => service.completeReports(read.readings, read.plan, remarks), { signal });
      return withUnread(read, reports);
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
    siteFigures(bytes, caseKey, parameters, entries, { signal } = {}) {
      return schedule((service) => service.siteFigures(moved(bytes), caseKey, parameters, entries), { signal });
    },
    confirmedFigures(bytes, caseKey, parameters, entries, view, { signal } = {}) {
      return schedule((service) => service.confirmedFigures(moved(bytes), caseKey, parameters, entries, view), { signal });
    },
    compareCases(cases, { signal } = {}) {
      return schedule((service) => service.compareCases(cases), { signal });
    },
    cohortCase(bytes, caseKey, parameters, entries, { signal } = {}) {
      return schedule((service) => service.cohortCase(moved(bytes), caseKey, parameters, entries), { signal });
    },
    async cohort(cases, unread, cohortOptions, parameters, hooks = {}) {
      const [main, robustness] = await both(
        schedule((service) => service.cohortMain(cases, unread, cohortOptions, parameters), { signal: hooks.signal }),
        schedule((service) => service.cohortRobustness(cases, cohortOptions, parameters), figureCall(hooks)),
      );
      return main.ok ? ok({ ...main.value, robustness }) : main;
    },
    reportCohortCase(read, planned, parameters, entries, wishes, { signal } = {}) {
      const task = taskOf(read, planned);
      return schedule((service) => service.reportCohortCase(task, parameters, entries, wishes), { signal });
    },
    async cohortExport(cases, unread, cohortOptions, parameters, hooks = {}) {
      const [main, robustness] = await both(
        schedule((service) => service.cohortExport(cases, unread, cohortOptions, parameters), { signal: hooks.signal }),
        schedule((service) => service.cohortRobustness(cases, cohortOptions, parameters), figureCall(hooks)),
      );
      return main.ok ? ok({ ...main.value, results: { ...main.value.results, robustness } }) : main;
    },
    reconcileCaseList(file, task, listOptions, { signal } = {}) {
      return schedule((service) => service.reconcileCaseList(file, task, listOptions), { signal });
    },
    localCase(bytes, caseKey, { signal } = {}) {
      return schedule((service) => service.localCase(moved(bytes), caseKey), { signal });
    },
    reviewAgreement(cases, agreementOptions, { signal } = {}) {
      return schedule((service) => service.reviewAgreement(cases, agreementOptions), { signal });
    },
    agreementTexts(agreement, { signal } = {}) {
      return schedule((service) => service.agreementTexts(agreement), { signal });
    },
    caseListText(result, { signal } = {}) {
      return schedule((service) => service.caseListText(result), { signal });
    },
    studyCase(bytes, caseKey, parameters, entries, selection, { signal } = {}) {
      return schedule((service) => service.studyCase(moved(bytes), caseKey, parameters, entries, selection), { signal });
    },
    studyCases(cases, cohortOptions, parameters, { signal } = {}) {
      return schedule((service) => service.studyCases(cases, cohortOptions, parameters), { signal });
    },
    planStudy(cases, studyOptions, { signal, onDrawn } = {}) {
      return schedule((service) => service.planStudy(cases, studyOptions), {
        signal,
        onMessage: (message) => {
          if (message.kind === 'patients-drawn') onDrawn?.(message.done, message.total);
        },
      });
    },
    nextStudyText(study, { signal } = {}) {
      return schedule((service) => service.nextStudyText(study), { signal });
    },
    qualityCase(bytes, caseKey, parameters, entries, { signal } = {}) {
      return schedule((service) => service.qualityCase(moved(bytes), caseKey, parameters, entries), { signal });
    },
    proposeChart(definition, cases, openMonth, { signal } = {}) {
      return schedule((service) => service.proposeChart(definition, cases, openMonth), { signal });
    },
    makeChart(request, cases, at, { signal } = {}) {
      return schedule((service) => service.makeChart(request, cases, at), { signal });
    },
    editChart(chart, edit, cases, at, { signal } = {}) {
      return schedule((service) => service.editChart(chart, edit, cases, at), { signal });
    },
    drawChart(chart, cases, openMonth, { signal } = {}) {
      return schedule((service) => service.drawChart(chart, cases, openMonth), { signal });
    },
    measureAgain(task, cases, openMonth, { signal } = {}) {
      return schedule((service) => service.measureAgain(task, cases, openMonth), { signal });
    },
    actionsText(views, today, form, { signal } = {}) {
      return schedule((service) => service.actionsText(views, today, form), { signal });
    },
    unitFunnel(request, cases, { signal } = {}) {
      return schedule((service) => service.unitFunnel(request, cases), { signal });
    },
    groupingColumns(cases, { signal } = {}) {
      return schedule((service) => service.groupingColumns(cases), { signal });
    },
    compare(before, after, { signal } = {}) {
      return schedule((service) => service.compare(before, after), { signal });
    },
    keepClocks(before, after, { signal } = {}) {
      return schedule((service) => service.keepClocks(before, after), { signal });
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

/** What of a reading says whether it needs, or is, a list of codes: looked at, not worked out, on this side. */
function codeFactsOf({ codeColumns, codeTable }: FileReading): CodeFacts {
  return { file: codeColumns?.file ?? '', columns: codeColumns?.columns ?? [], table: codeTable ?? null };
}

/** Returns what a worker needs to build a planned case. */
function taskOf({ readings, shelfPaths }: ReadImport, { caseId, attributes, parts }: PlannedCase): CaseTask {
  return {
    caseId,
    attributes,
    parts: parts.map(({ file, reading }) => {
      const from = readings[file];
      const own = from?.cases[reading];
      const shelfPath = shelfPaths[file];
      if (from === undefined || own === undefined || shelfPath === undefined) throw new Error(`the plan of ${caseId} names a reading that is not there`);
      return { shelfPath, file: { ...from, cases: [], rejectedRows: [] }, reading: own };
    }),
  };
}

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

/** Returns both values, or rejects with the first reason once both have settled. */
async function both<A, B>(first: Promise<A>, second: Promise<B>): Promise<[A, B]> {
  await Promise.allSettled([first, second]);
  return [await first, await second];
}

/** Puts the reports of the files that never reached the core between the others, so that every input file has at least one. */
function withUnread({ inputs, shownPaths, outcomes }: ReadImport, reports: readonly FileReport[]): FileReport[] {
  let next = 0;
  return inputs.flatMap((file, place) => {
    const outcome = outcomes[place];
    if (outcome !== undefined && 'failure' in outcome) return [unreadReport(shownPaths[place] ?? '', file.byteLength, outcome.failure)];
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
