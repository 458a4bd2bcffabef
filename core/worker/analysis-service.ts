import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import type { Failure, Result } from '../base/result.ts';
import { fail, ok } from '../base/result.ts';
import { reconcileCaseList } from '../cohort/case-list.ts';
import { drawChart } from '../cohort/draw-chart.ts';
import { editChart, makeChart, proposeChart } from '../cohort/make-chart.ts';
import { measureAgain } from '../cohort/measure-again.ts';
import type { MeasureTask } from '../cohort/measure-again.ts';
import { actionsCsv, actionsJson } from '../report/actions-table.ts';
import type { ActionView, MeasuredAgain } from '../model/action.ts';
import { nextStudy } from '../cohort/next-study.ts';
import { studyCaseOf, studyUnits } from '../cohort/study-units.ts';
import { groupingColumns, unitFunnel } from '../cohort/unit-funnel.ts';
import { cohortCaseOf } from '../cohort/cohort-case-of.ts';
import { cohortRobustness } from '../cohort/cohort-robustness.ts';
import { countedCases, mainExport, type MainExport } from '../cohort/main-export.ts';
import { mainResults, type MainResults } from '../cohort/main-results.ts';
import { compareCases } from '../compare/compare-cases.ts';
import type { CaseAnalysis } from '../model/analysis.ts';
import type { FileDigest } from '../model/bundle-manifest.ts';
import type { CaseRecord } from '../model/case.ts';
import type { FilePreview } from '../model/file-preview.ts';
import type { CaseComparison } from '../model/case-comparison.ts';
import type { CaseMark } from '../model/case-mark.ts';
import type { CaseListRequest, CaseListResult, LibraryCase, ListDecision } from '../model/case-list.ts';
import type { ClockComparison } from '../model/clock-comparison.ts';
import type { Mapping } from '../model/mapping.ts';
import type { KnownTerms } from '../model/known-terms.ts';
import type { CohortCase } from '../model/cohort-case.ts';
import type { ConfirmedFigures } from '../model/confirmed.ts';
import type { UnreadCase } from '../model/cohort-flow.ts';
import type { CohortOptions } from '../model/cohort-options.ts';
import type { CohortResults } from '../model/cohort-results.ts';
import type { NextStudy, NextStudyOptions, StudyCase } from '../model/next-study.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { SealedEntry } from '../model/review.ts';
import type { PreparedCase } from '../model/prepared-case.ts';
import type { Deck, DeckForm, DeckWishes, ReportForm } from '../model/deck.ts';
import { recordUntil } from '../model/record-until.ts';
import { placeView } from '../model/story.ts';
import type { Story } from '../model/story.ts';
import type { ReleaseAnswer, ReleaseContent, ReleaseList } from '../model/release.ts';
import type { ReportDocument, ReportSheets, ReportWishes } from '../model/report-document.ts';
import type { QualityCase } from '../model/quality-case.ts';
import type { ChartEdit, ChartRequest, QualityChart, QualityChartView, QualityDefinition, QualityProposal } from '../model/quality-chart.ts';
import type { CaseSiteFigures, SiteCohort } from '../model/site-cohort.ts';
import type { SiteDetail } from '../model/site-detail.ts';
import type { FunnelRequest, GroupingColumn, UnitFunnel } from '../model/unit-funnel.ts';
import { acceptedOffset } from '../pipeline/accepted-offset.ts';
import { codeListText } from '../pipeline/code-list.ts';
import { secondReading, type CodeFacts, type SecondReading } from '../pipeline/code-tables.ts';
import { proposeClockOffsets } from '../pipeline/propose-clock-offsets.ts';
import { keepClockOffsets } from '../pipeline/keep-clock-offsets.ts';
import { setClockOffset } from '../pipeline/set-clock-offset.ts';
import { previewFile, type PreviewRequest } from '../pipeline/preview-file.ts';
import { listKnownTerms } from '../terms/known-terms.ts';
import { isPersonColumn, storedQualityCase } from '../pipeline/quality-case.ts';
import { readCaseList } from '../pipeline/read-case-list.ts';
import { storedCohortCase } from '../pipeline/cohort-case.ts';
import { reviewFrom } from '../pipeline/review-from.ts';
import { siteFigures } from '../pipeline/site-figures.ts';
import { storedConfirmedFigures } from '../pipeline/stored-confirmed-figures.ts';
import { storedStudyCase } from '../pipeline/study-case.ts';
import { storedSiteDetail } from '../pipeline/site-detail.ts';
import { bundleZip, type LibraryBundle, type WrittenBundle } from './bundle-zip.ts';
import { pseudonymsOf } from './pseudonyms.ts';
import type { CodeTable } from '../readers/code-table.ts';
import { caseFingerprint } from '../review/case-fingerprint.ts';
import type { ReviewView } from '../review/review-of-case.ts';
import { prepareRobustness } from '../robustness/prepare-robustness.ts';
import { siteCohort } from '../sites/site-cohort.ts';
import type { FileReport } from '../model/import-report.ts';
import type { AgreementOptions, ReadCase, ReviewAgreement } from '../model/review-agreement.ts';
import { sourceDigests } from '../model/source-digests.ts';
import { decodeCase, encodeCase } from '../persist/case-bytes.ts';
import { analyzeCase } from '../pipeline/analyze-case.ts';
import type { GivenPart } from '../pipeline/build-planned-case.ts';
import { buildPlannedCase } from '../pipeline/build-planned-case.ts';
import type { CaseRemarks } from '../pipeline/complete-reports.ts';
import { completeReports } from '../pipeline/complete-reports.ts';
import { readFile } from '../pipeline/import-files.ts';
import type { CasePlan, PlannedCase } from '../pipeline/plan-cases.ts';
import { planCases } from '../pipeline/plan-cases.ts';
import { summarizeCase } from '../protocol/case-summary.ts';
import type { CaseSummary } from '../protocol/host-api.ts';
import type { ByteSource, ImportOptions } from '../readers/reader.ts';
import type { CaseReading, FileReading } from '../readers/reading.ts';
import { reviewAgreement } from '../review/agreement.ts';
import { readCase } from '../review/read-case.ts';
import { reviewBasisOf } from '../review/review-basis.ts';
import type { LocalCase } from '../review/merge-received.ts';
import { agreementText, verdictTableText } from '../report/agreement-table.ts';
import { caseListText } from '../report/case-list-table.ts';
import type { CaseReport } from '../report/case-report.ts';
import { caseFigures, reportCase, reviewRowsText, type CaseReportWishes } from '../report/case-report.ts';
import { departmentReport, type DepartmentGiven } from '../report/document/department-report.ts';
import { nextStudyText } from '../report/next-study-table.ts';
import type { AnalyzedCase } from '../report/case-context.ts';
import { storyDeck } from '../report/deck/story-deck.ts';
import { releaseOf } from '../report/release/release-list.ts';
import { readReportFonts, type ReportFonts } from './report-fonts.ts';
import type { ReleasedFile } from './write-release.ts';
import type { WrittenReport } from './write-report.ts';
import type { ShelfPlan } from './shelf-file.ts';
import { fromShelf, openShelf } from './shelf-file.ts';

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
  /** Lists of codes for a second reading. */
  readonly codeTables?: readonly CodeTable[] | undefined;
}

/** A clock to be set: the whole offset of a source. With `isProposal` it must be one that is proposed, and its evidence is kept. */
export interface ClockSetting {
  readonly sourceIndex: number;
  readonly offsetMs: number;
  readonly isProposal: boolean;
}

/** A case as it goes into a cohort. */
export interface ReportedCohortCase {
  readonly one: CohortCase;
  readonly remarks: CaseRemarks;
  /** Its rows of reviews.csv; '' where none are wanted. */
  readonly reviewRows: string;
  /** What agreement of readers is worked out from; null: nothing is known of any review. */
  readonly read: ReadCase | null;
}

/** A sign of life from a worker: a plain message beside the calls, never a proxied callback. */
export type WorkerMessage =
  | {
      readonly kind: 'bytes-read';
      readonly relativePath: string;
      /** Of the present pass; a file that needs a second pass starts again at 0. */
      readonly bytesDone: number;
    }
  /** Patients drawn so far, and about how many will be. */
  | { readonly kind: 'patients-drawn'; readonly done: number; readonly total: number }
  /** Results of a cohort so far. */
  | { readonly kind: 'figures-made'; readonly done: number; readonly total: number };

/** What is held against a library. */
export interface CaseListTask {
  readonly request: CaseListRequest;
  readonly library: readonly LibraryCase[];
  readonly decisions: readonly ListDecision[];
}

/** A part of a case as a worker is handed it: the reading, put away, and the shelf on which it lies. */
export interface ShelvedPart {
  readonly shelfPath: string;
  readonly file: FileReading;
  readonly reading: CaseReading;
}

/** A planned case with all that a worker needs to build it. */
export interface CaseTask extends Pick<PlannedCase, 'caseId' | 'attributes'> {
  readonly parts: readonly ShelvedPart[];
}

/** Entries about one case, in the order of the trail; null: nothing is known of any review. */
export type EntriesOfCase = readonly SealedEntry[] | null;

/** By what a case is known again in another library. */
export interface CaseFacts {
  /** sha-256 of every input, each once. */
  readonly inputDigests: readonly string[];
  /** See `core/review/case-fingerprint.ts`. */
  readonly contentFingerprint: string | null;
}

/** A case as it is to be stored. */
export interface MadeCase {
  /** In the form of `core/persist/case-bytes.ts`. */
  readonly bytes: Uint8Array<ArrayBuffer>;
  readonly summary: CaseSummary;
  /** Of the files that it was read from. */
  readonly digests: readonly string[];
  readonly remarks: CaseRemarks;
}

/** A case as it is to be written into tables. */
export interface ReportedCase extends CaseReport {
  readonly remarks: CaseRemarks;
}

/** A case as it goes into a research bundle: its rows of every table, and what it gives to the results over cases. */
export interface BundledCase {
  readonly report: CaseReport;
  readonly one: CohortCase;
}

/** The sheet of a case of a run. */
export interface ReportedSheet extends Pick<CaseReport, 'caseId' | 'figures'> {
  readonly written: WrittenReport;
  readonly remarks: CaseRemarks;
}

/** What the slides of a story are made from. */
export interface StoryDeckTask {
  readonly story: Story;
  /** Stored cases by their keys; those that are gone are missing. null: the library could not read it. */
  readonly cases: readonly { readonly caseKey: string; readonly bytes: Uint8Array | null; readonly marks: readonly CaseMark[] }[];
  readonly parameters: AnalysisParameters;
  readonly header: string;
  readonly wishes: DeckWishes;
}

/**
 * The object behind the wire. Every argument and result is plain data that survives a structured clone,
 * and every method returns a promise, so that the proxy on the other side has the same type.
 */
export interface AnalysisService {
  /**
   * Returns what one file holds (more than one reading where it is an archive or a workbook), content and rejected rows put away
   * on its shelf; or a failure when a disk does not do its part. Bad content is no failure: it stands in the reading.
   */
  readFile(file: InputFile, options: ReadingOptions, shelf: ShelfPlan): Promise<Result<readonly FileReading[]>>;
  /** Returns which files are to be read a second time with lists of codes that lie among them; null when none are. */
  secondReading(byFile: readonly (readonly CodeFacts[])[]): Promise<SecondReading | null>;
  planCases(readings: readonly FileReading[]): Promise<CasePlan>;
  /** Returns the case, built and analysed; with null parameters it is stored without an analysis. `caseKey` goes into its summary. */
  makeCase(task: CaseTask, caseKey: string, parameters: AnalysisParameters | null): Promise<MadeCase>;
  /** Returns by what a planned case is known again in another library. */
  caseFacts(task: CaseTask): Promise<CaseFacts>;
  /** Returns the case's part of every output table, with what readers said of it. */
  reportCase(task: CaseTask, parameters: AnalysisParameters, entries: EntriesOfCase, wishes: CaseReportWishes): Promise<ReportedCase>;
  /** Returns a planned case as it goes into a research bundle; its key is its name. */
  bundleCase(task: CaseTask, parameters: AnalysisParameters, entries: EntriesOfCase, wishes: CaseReportWishes): Promise<BundledCase & { readonly remarks: CaseRemarks }>;
  /** Returns a stored case in the same way, with the files that it was read from; fails as `decodeCase` does. */
  storedBundleCase(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, entries: EntriesOfCase, wishes: CaseReportWishes): Promise<Result<BundledCase & { readonly sources: readonly FileDigest[] }>>;
  /** Returns a research bundle of stored cases as one zip archive. */
  bundleZip(given: LibraryBundle): Promise<WrittenBundle>;
  /** Returns codes.csv. */
  codeListText(): Promise<string>;
  /** Returns the sheet of a planned case, with what the run sums up of it. */
  caseSheet(task: CaseTask, parameters: AnalysisParameters, entries: EntriesOfCase, wishes: ReportWishes): Promise<ReportedSheet>;
  /** Returns the sheet of a stored case; fails as `decodeCase` does. */
  storedCaseSheet(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, said: { readonly entries: EntriesOfCase; readonly view: ReviewView }, wishes: ReportWishes): Promise<Result<WrittenReport>>;
  departmentReport(given: DepartmentGiven, wishes: ReportWishes): Promise<WrittenReport>;
  /** Returns everything that would go out with these answers. */
  releaseList(content: ReleaseContent, answers: readonly ReleaseAnswer[]): Promise<ReleaseList>;
  /** Returns a report in one form, with the answers in it, or that something has to be answered. */
  /** Returns the slides of a story. A case whose bytes cannot be read is named as such. */
  storyDeck(parts: StoryDeckTask): Promise<Deck>;
  /** Returns slides in one form, with the answers in them, or why they cannot be. */
  releaseDeck(deck: Deck, answers: readonly ReleaseAnswer[], form: DeckForm, picture: number): Promise<Result<ReleasedFile>>;
  /** The same of sheets of several cases. */
  releaseSheets(sheets: ReportSheets, answers: readonly ReleaseAnswer[], form: ReportForm): Promise<Result<ReleasedFile>>;
  releaseReport(document: ReportDocument, answers: readonly ReleaseAnswer[], form: ReportForm): Promise<Result<ReleasedFile>>;
  completeReports(readings: readonly FileReading[], plan: CasePlan, remarks: readonly (CaseRemarks | null)[]): Promise<readonly FileReport[]>;
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
  siteFigures(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, entries: EntriesOfCase): Promise<Result<CaseSiteFigures>>;
  compareCases(cases: readonly CaseSiteFigures[]): Promise<ComparedCases>;
  /** Returns what reviewers made of the dropouts of a stored case, as the one who looks may see it; null where nothing was said of any. Fails as `decodeCase` does. */
  confirmedFigures(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, entries: EntriesOfCase, view: ReviewView): Promise<Result<ConfirmedFigures | null>>;
  /** Returns what a stored case gives to a cohort; fails as `decodeCase` does. */
  cohortCase(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, entries: EntriesOfCase): Promise<Result<CohortCase>>;
  /** Returns everything that is stated about a cohort, but its results under other definitions. */
  cohortMain(cases: readonly CohortCase[], unread: readonly UnreadCase[], options: CohortOptions, parameters: AnalysisParameters): Promise<Result<MainResults>>;
  /** Returns these; tells by messages how much of it is done. */
  cohortRobustness(cases: readonly CohortCase[], options: CohortOptions, parameters: AnalysisParameters): Promise<CohortResults['robustness']>;
  /** Returns what a planned case gives to a cohort; its key is its name. */
  reportCohortCase(task: CaseTask, parameters: AnalysisParameters, entries: EntriesOfCase, wishes: Pick<CaseReportWishes, 'reviews'>): Promise<ReportedCohortCase>;
  /** Returns everything that a cohort is written out as, but its results under other definitions. */
  cohortExport(cases: readonly CohortCase[], unread: readonly UnreadCase[], options: CohortOptions, parameters: AnalysisParameters): Promise<Result<MainExport>>;
  /** Returns a list of cases held against a library, or why it cannot be read. Only codes of what identifies persons are in the result. */
  reconcileCaseList(file: InputFile, task: CaseListTask, options: Pick<ReadingOptions, 'keepIdentifiers' | 'pseudonymKey'>): Promise<Result<CaseListResult>>;
  /** Returns case-list.csv. */
  caseListText(result: Pick<CaseListResult, 'rows' | 'cases'>): Promise<string>;
  /** Returns by what a stored case is known again when reviews of it come from another library. */
  localCase(bytes: Uint8Array, caseKey: string): Promise<Result<LocalCase>>;
  /** Returns how far readers agree. */
  reviewAgreement(cases: readonly ReadCase[], options: AgreementOptions): Promise<ReviewAgreement>;
  /** Returns agreement.csv and verdict-table.csv. */
  agreementTexts(agreement: ReviewAgreement): Promise<{ readonly agreement: string; readonly verdicts: string }>;
  /** Returns what a stored case gives to the planning of a study; fails as `decodeCase` does. */
  studyCase(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, entries: EntriesOfCase, selection: 'computed' | 'confirmed'): Promise<Result<StudyCase>>;
  /** Returns what the chosen ones of the cases of a run give to the planning of a study. */
  studyCases(cases: readonly CohortCase[], options: CohortOptions, parameters: AnalysisParameters): Promise<{ readonly cases: readonly StudyCase[]; readonly dropouts: 'computed' | 'confirmed' }>;
  /** Returns power and precision of a study; tells how far it is by messages. */
  planStudy(cases: readonly StudyCase[], options: NextStudyOptions): Promise<NextStudy>;
  /** Returns next-study.csv. */
  nextStudyText(study: NextStudy): Promise<string>;
  /** Returns what a stored case gives to quality charts; fails as `decodeCase` does. */
  qualityCase(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, entries: EntriesOfCase): Promise<Result<QualityCase>>;
  proposeChart(definition: QualityDefinition, cases: readonly QualityCase[], openMonth: string): Promise<Result<QualityProposal>>;
  makeChart(request: ChartRequest, cases: readonly QualityCase[], at: ChartMoment): Promise<Result<QualityChart>>;
  editChart(chart: QualityChart, edit: ChartEdit, cases: readonly QualityCase[], at: ChartMoment): Promise<Result<QualityChart>>;
  drawChart(chart: QualityChart, cases: readonly QualityCase[], openMonth: string): Promise<QualityChartView>;
  /** Returns the measure of an action before and after its change. */
  measureAgain(task: MeasuredAction, cases: readonly QualityCase[], openMonth: string): Promise<MeasuredAgain>;
  /** Returns actions.csv or actions.json. */
  actionsText(views: readonly ActionView[], today: string, form: 'csv' | 'json'): Promise<string>;
  unitFunnel(request: FunnelRequest, cases: readonly QualityCase[]): Promise<Result<UnitFunnel>>;
  groupingColumns(cases: readonly QualityCase[]): Promise<readonly GroupingColumn[]>;
  /**
   * Returns what would change if the case in `after` took the place of that in `before`, both as stored bytes; a failure when one
   * cannot be read. Clocks that a person had set in `before` are set in `after` as well.
   */
  compare(before: Uint8Array, after: Uint8Array): Promise<Result<CaseComparison>>;
  /** Returns the case in `after` with the clocks as a person had set them in `before`; a failure when one cannot be read. */
  keepClocks(before: Uint8Array, after: Uint8Array): Promise<Result<CaseRecord>>;
}

/** What a comparison of sites over cases works out. */
export type ComparedCases = Pick<SiteCohort, 'pairs' | 'sensors' | 'draws'>;

/** What is measured again, with the changes that are marked on its chart. */
export interface MeasuredAction extends MeasureTask {
  readonly marked: readonly { readonly date: string }[];
}

/** What the host gives to the making of a chart. */
export interface ChartMoment {
  /** ISO instant. */
  readonly now: string;
  /** `YYYY-MM`: the month that is not over. */
  readonly openMonth: string;
  readonly newId: string;
}

const CHUNK_BYTES = 1 << 20;
/** How the effect of a change gets its interval. Source: statistics 0; the seed stands in the results. */
const EFFECT_OPTIONS = { conf: 0.95, replicates: 2000, seed: 20260101 } as const;

/**
 * Returns the service that a worker exposes; it runs as well without a thread.
 * `post` receives the progress messages.
 */
export function createAnalysisService(productVersion: string, post: (message: WorkerMessage) => void): AnalysisService {
  let readFonts: Promise<ReportFonts> | null = null;
  /** What writes reports is large, and loaded by the first worker that is asked for one. */
  const reportWriters = async () => {
    readFonts ??= readReportFonts();
    return { ...(await import('./write-report.ts')), ...(await import('./write-release.ts')), fonts: await readFonts };
  };
  const bundledCase = (record: CaseRecord, caseKey: string, parameters: AnalysisParameters, entries: EntriesOfCase, wishes: CaseReportWishes): BundledCase => {
    const clocks = record.sources.length > 1 ? proposeClockOffsets(record) : [];
    const analysis = analyzeCase(record, parameters, productVersion);
    const review = reviewFrom(entries, caseKey, digestOf)(record, analysis);
    return { report: reportCase({ record, analysis, clocks, review, entries }, wishes), one: cohortCaseOf(caseKey, record, analysis, review) };
  };
  return {
    async readFile(file, options, plan) {
      let bytesDone = 0;
      const tell = (done: number): void => {
        bytesDone = done;
        post({ kind: 'bytes-read', relativePath: file.relativePath, bytesDone });
      };
      try {
        const shelf = openShelf(plan, () => tell(bytesDone));
        try {
          return ok(await readFile(sourceOf(file, tell), { ...stageOptions(options), shelf }));
        } finally {
          shelf.close();
        }
      } catch (error) {
        const failure = diskFailure(error, file);
        if (failure === null) throw error;
        return fail(failure);
      }
    },
    async previewFile(file, request, pseudonymKey) {
      try {
        return ok(await previewFile(sourceOf(file, () => undefined), request, pseudonymsOf(pseudonymKey)));
      } catch (error) {
        const failure = diskFailure(error, file);
        if (failure === null) throw error;
        return fail(failure);
      }
    },
    async listKnownTerms() {
      return listKnownTerms();
    },
    async secondReading(byFile) {
      return secondReading(byFile);
    },
    async planCases(readings) {
      return planCases(readings);
    },
    async makeCase(task, caseKey, parameters) {
      const { record, ...remarks } = buildPlannedCase(task, await partsOf(task));
      const analysis = parameters === null ? null : analyzeCase(record, parameters, productVersion);
      return { bytes: encodeCase(record, analysis), summary: summarizeCase(caseKey, record, analysis), digests: sourceDigests(record), remarks };
    },
    async caseFacts(task) {
      const { record } = buildPlannedCase(task, await partsOf(task));
      return { inputDigests: [...new Set(record.sources.map(({ sha256 }) => sha256))], contentFingerprint: caseFingerprint(record, digestOf) };
    },
    async reportCase(task, parameters, entries, wishes) {
      const { record, ...remarks } = buildPlannedCase(task, await partsOf(task));
      const clocks = record.sources.length > 1 ? proposeClockOffsets(record) : [];
      const analysis = analyzeCase(record, parameters, productVersion);
      return { ...reportCase({ record, analysis, clocks, review: reviewFrom(entries, record.caseId, digestOf)(record, analysis), entries }, wishes), remarks };
    },
    async bundleCase(task, parameters, entries, wishes) {
      const { record, ...remarks } = buildPlannedCase(task, await partsOf(task));
      return { ...bundledCase(record, record.caseId, parameters, entries, wishes), remarks };
    },
    async storedBundleCase(bytes, caseKey, parameters, entries, wishes) {
      const decoded = decodeCase(bytes);
      if (!decoded.ok) return decoded;
      const { record } = decoded.value;
      return ok({ ...bundledCase(record, caseKey, parameters, entries, wishes), sources: record.sources.map(({ name, sha256, byteLength }) => ({ file: name, sha256, byte_length: byteLength })) });
    },
    async bundleZip(given) {
      return await bundleZip(given, codeListText());
    },
    async codeListText() {
      return codeListText();
    },
    async caseSheet(task, parameters, entries, wishes) {
      const { record, ...remarks } = buildPlannedCase(task, await partsOf(task));
      const analysis = analyzeCase(record, parameters, productVersion);
      const { writeCaseSheet, fonts } = await reportWriters();
      return { caseId: record.caseId, figures: caseFigures(analysis), written: await writeCaseSheet({ record, analysis, review: reviewFrom(entries, record.caseId, digestOf)(record, analysis) }, wishes, fonts), remarks };
    },
    async storedCaseSheet(bytes, caseKey, parameters, { entries, view }, wishes) {
      const decoded = decodeCase(bytes);
      if (!decoded.ok) return decoded;
      const { record } = decoded.value;
      const { writeCaseSheet, fonts } = await reportWriters();
      const analysis = analyzeCase(record, parameters, productVersion);
      return ok(await writeCaseSheet({ record, analysis, review: reviewFrom(entries, caseKey, digestOf, view)(record, analysis) }, wishes, fonts));
    },
    async departmentReport(given, wishes) {
      const { writeReport, fonts } = await reportWriters();
      return await writeReport(departmentReport(given, wishes), fonts);
    },
    async releaseList(content, answers) {
      return releaseOf(content, answers).list;
    },
    async storyDeck({ cases, ...parts }) {
      const analyzed = new Map<string, AnalyzedCase | null>();
      for (const { caseKey, bytes } of cases) {
        const decoded = bytes === null ? null : decodeCase(bytes);
        analyzed.set(caseKey, decoded?.ok === true ? { record: decoded.value.record, analysis: analyzeCase(decoded.value.record, parts.parameters, productVersion) } : null);
      }
      const then = new Map<string, AnalyzedCase>();
      for (const { momentId, view } of parts.wishes.keepsLaterBack ? parts.story.moments : []) {
        const whole = view === null ? null : (analyzed.get(view.caseKey) ?? null);
        const place = view === null || whole === null ? null : placeView(view, whole.record, whole.analysis);
        if (whole === null || place?.kind !== 'placed' || place.instantMs === null) continue;
        // What was recorded by the instant is analysed by itself: nothing that came later has a part in it.
        const record = recordUntil(whole.record, place.instantMs);
        then.set(momentId, { record, analysis: analyzeCase(record, parts.parameters, productVersion) });
      }
      return storyDeck({ ...parts, then, cases: analyzed, marks: new Map(cases.map(({ caseKey, marks }) => [caseKey, marks])), terms: listKnownTerms(), productVersion });
    },
    async releaseDeck(deck, answers, form, picture) {
      const { releaseDeck, fonts } = await reportWriters();
      return await releaseDeck(deck, answers, form, picture, fonts);
    },
    async releaseSheets(sheets, answers, form) {
      const { releaseSheets, fonts } = await reportWriters();
      return await releaseSheets(sheets, answers, form, fonts);
    },
    async releaseReport(document, answers, form) {
      const { releaseReport, fonts } = await reportWriters();
      return await releaseReport(document, answers, form, fonts);
    },
    async completeReports(readings, plan, remarks) {
      return completeReports(readings, plan, remarks);
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
    async siteFigures(bytes, caseKey, parameters, entries) {
      return siteFigures(bytes, caseKey, parameters, productVersion, reviewFrom(entries, caseKey, digestOf));
    },
    async confirmedFigures(bytes, caseKey, parameters, entries, view) {
      return storedConfirmedFigures(bytes, parameters, productVersion, reviewFrom(entries, caseKey, digestOf, view));
    },
    async compareCases(cases) {
      return siteCohort(cases);
    },
    async cohortCase(bytes, caseKey, parameters, entries) {
      return storedCohortCase(bytes, caseKey, parameters, productVersion, reviewFrom(entries, caseKey, digestOf));
    },
    async cohortMain(cases, unread, options, parameters) {
      const refused = refusal(options);
      return refused === null ? ok(mainResults(cases, unread, options, parameters, productVersion, isPersonColumn)) : fail(refused);
    },
    async cohortRobustness(cases, options, parameters) {
      return cohortRobustness(cases, options, parameters, (done, total) => post({ kind: 'figures-made', done, total }));
    },
    async reportCohortCase(task, parameters, entries, { reviews }) {
      const { record, ...remarks } = buildPlannedCase(task, await partsOf(task));
      const analysis = analyzeCase(record, parameters, productVersion);
      const review = reviewFrom(entries, record.caseId, digestOf)(record, analysis);
      return { one: cohortCaseOf(record.caseId, record, analysis, review), remarks, reviewRows: reviews === 'none' ? '' : reviewRowsText({ record, analysis, review, entries }, reviews), read: entries === null ? null : readCase(entries, reviewBasisOf(record.caseId, record, analysis, digestOf)) };
    },
    async cohortExport(cases, unread, options, parameters) {
      const refused = refusal(options);
      return refused === null ? ok(mainExport(cases, unread, options, parameters, productVersion, { digestOf, isPersonColumn })) : fail(refused);
    },
    async reconcileCaseList(file, { request, library, decisions }, { keepIdentifiers, pseudonymKey }) {
      try {
        const read = await readCaseList(sourceOf(file, () => undefined), request, library, { keepIdentifiers, pseudonymOf: pseudonymsOf(pseudonymKey), createDigest });
        return read.ok ? ok(reconcileCaseList(read.value, library, decisions)) : read;
      } catch (error) {
        const failure = diskFailure(error, file);
        if (failure === null) throw error;
        return fail(failure);
      }
    },
    async caseListText(result) {
      return caseListText(result);
    },
    async localCase(bytes, caseKey) {
      const decoded = decodeCase(bytes);
      if (!decoded.ok) return decoded;
      const { record } = decoded.value;
      return ok({ caseKey, caseId: record.caseId, inputDigests: sourceDigests(record), contentFingerprint: caseFingerprint(record, digestOf) });
    },
    async reviewAgreement(cases, options) {
      return reviewAgreement(cases, options);
    },
    async agreementTexts(agreement) {
      return { agreement: agreementText(agreement), verdicts: verdictTableText(agreement) };
    },
    async studyCase(bytes, caseKey, parameters, entries, selection) {
      return storedStudyCase(bytes, caseKey, parameters, productVersion, reviewFrom(entries, caseKey, digestOf), selection);
    },
    async studyCases(cases, options, parameters) {
      const { counted, dropouts } = countedCases(cases, options);
      return { cases: counted.map((one) => studyCaseOf(one, parameters)), dropouts };
    },
    async planStudy(cases, options) {
      return nextStudy(studyUnits(cases, options), options, (done, total) => post({ kind: 'patients-drawn', done, total }));
    },
    async nextStudyText(study) {
      return nextStudyText(study);
    },
    async qualityCase(bytes, caseKey, parameters, entries) {
      return storedQualityCase(bytes, caseKey, parameters, productVersion, reviewFrom(entries, caseKey, digestOf));
    },
    async proposeChart(definition, cases, openMonth) {
      return proposeChart(definition, cases, { openMonth, digestOf, isPersonColumn });
    },
    async makeChart(request, cases, at) {
      return makeChart(request, cases, { ...at, digestOf, isPersonColumn });
    },
    async editChart(chart, edit, cases, at) {
      return editChart(chart, edit, cases, { ...at, digestOf, isPersonColumn });
    },
    async drawChart(chart, cases, openMonth) {
      return drawChart(chart, cases, { openMonth, digestOf, ...EFFECT_OPTIONS });
    },
    async measureAgain({ marked, ...task }, cases, openMonth) {
      return measureAgain(task, cases, { marked, openMonth, digestOf, ...EFFECT_OPTIONS });
    },
    async actionsText(views, today, form) {
      return form === 'csv' ? actionsCsv(views) : actionsJson(views, today);
    },
    async unitFunnel(request, cases) {
      return unitFunnel(cases, request, isPersonColumn);
    },
    async groupingColumns(cases) {
      return groupingColumns(cases, isPersonColumn);
    },
    async compare(before, after) {
      const was = decodeCase(before);
      if (!was.ok) return was;
      const is = decodeCase(after);
      if (!is.ok) return is;
      const { record, kept } = keepClockOffsets(was.value.record, is.value.record);
      const parameters = is.value.analysis?.parameters;
      const analysis = kept.length === 0 || parameters === undefined ? is.value.analysis : analyzeCase(record, parameters, productVersion);
      return ok({ ...compareCases(was.value, { record, analysis }), clocksKept: kept });
    },
    async keepClocks(before, after) {
      const was = decodeCase(before);
      if (!was.ok) return was;
      const is = decodeCase(after);
      return is.ok ? ok(keepClockOffsets(was.value.record, is.value.record).record) : is;
    },
  };
}

/** Why cases are not compared by what is asked for; null when they can be. */
function refusal({ groupBy, choice }: CohortOptions): Failure | null {
  const named = [groupBy, ...choice.facets.map(({ facet }) => facet)].find((facet) => facet?.kind === 'column' && isPersonColumn(facet.column));
  return named?.kind === 'column' ? { code: 'column-of-persons', message: `The column “${named.column}” names persons; persons are not compared.`, remedy: 'Compare by a column of services, rooms or procedures.' } : null;
}

function stageOptions({ pseudonymKey, ...options }: ReadingOptions): ImportOptions {
  return { ...options, pseudonymOf: pseudonymsOf(pseudonymKey), createDigest };
}

function partsOf(task: CaseTask): Promise<GivenPart[]> {
  return Promise.all(task.parts.map(async ({ shelfPath, file, reading }) => ({ file, reading: await fromShelf(shelfPath, reading) })));
}

function createDigest(): ReturnType<ImportOptions['createDigest']> {
  const hash = createHash('sha256');
  return { update: (bytes) => void hash.update(bytes), hex: () => hash.digest('hex') };
}

function sourceOf(file: InputFile, tell: (bytesDone: number) => void): ByteSource {
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
        tell(bytesDone);
      }
    },
    async *openRange(start, end) {
      let bytesDone = start;
      // The last byte of a stream's range counts as part of it.
      for await (const chunk of end > start ? createReadStream(file.path, { highWaterMark: CHUNK_BYTES, start, end: end - 1 }) : []) {
        const bytes: Uint8Array = chunk; // as above
        yield bytes;
        bytesDone += bytes.byteLength;
        tell(bytesDone);
      }
    },
  };
}

function digestOf(text: string): string {
  return createHash('sha256').update(text, 'utf8').digest('hex');
}

const DISK_FULL = ['The disk is full: what was read could not be put down.', 'Make room on the disk that holds the results and do it again.'] as const;

const DISK_FAILURES: Readonly<Record<string, readonly [message: string, remedy: string]>> = {
  ENOENT: ['The file is no longer there.', 'Put it back, or leave it out.'],
  EACCES: ['The file may not be read.', 'Ask for permission to read it.'],
  EPERM: ['The file may not be read.', 'Ask for permission to read it.'],
  EISDIR: ['This is a folder, not a file.', 'Choose the files in it.'],
  ENOSPC: DISK_FULL,
  EDQUOT: DISK_FULL,
  EIO: ['The disk failed while the file was read.', 'Copy the file to another disk and try again.'],
};

/** Returns the failure that a refused read means, or null when the error did not come from the disk (our bug). */
function diskFailure(error: unknown, file: InputFile): Failure | null {
  if (!(error instanceof Error) || !('syscall' in error) || !('code' in error) || typeof error.code !== 'string') return null;
  const known = DISK_FAILURES[error.code];
  const [message, remedy] = known ?? [`The file could not be read (${error.code}).`, 'Copy it to another place and try again.'];
  return { code: known === DISK_FULL ? 'disk-full' : 'file-unreadable', message, remedy, file: file.relativePath };
}
