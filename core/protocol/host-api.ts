import type { CaseAnalysis } from '../model/analysis.ts';
import type { FilePreview } from '../model/file-preview.ts';
import type { CaseListRequest, CaseListResult, ListDecision } from '../model/case-list.ts';
import type { ClockComparison } from '../model/clock-comparison.ts';
import type { FileReport, RejectedRow } from '../model/import-report.ts';
import type { EarlierReading, LedgerImport, LedgerLine, LedgerPlace, LedgerRows } from '../model/ledger.ts';
import type { KnownTerms } from '../model/known-terms.ts';
import type { Mapping, ReadingRules } from '../model/mapping.ts';
import type { CaseMark } from '../model/case-mark.ts';
import type { Story } from '../model/story.ts';
import type { LaneChoice } from '../model/lane-choice.ts';
import type { CaseComparison } from '../model/case-comparison.ts';
import type { CohortOptions } from '../model/cohort-options.ts';
import type { CohortResults } from '../model/cohort-results.ts';
import type { NextStudy, NextStudyOptions, PlannedStudy } from '../model/next-study.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { PreparedCase } from '../model/prepared-case.ts';
import type { ReportDocument, ReportWishes } from '../model/report-document.ts';
import type { ChartEdit, ChartRequest, QualityChart, QualityChartView, QualityDefinition, QualityProposal } from '../model/quality-chart.ts';
import type { SiteCohort } from '../model/site-cohort.ts';
import type { SiteDetail } from '../model/site-detail.ts';
import type { FunnelRequest, GroupingColumn, UnitFunnel } from '../model/unit-funnel.ts';
import type { KeptProtocol, ProtocolContent } from '../model/study-protocol.ts';
import type { ActionApi } from './action-api.ts';
import type { ReviewApi } from './review-api.ts';
import type { LibraryCalls } from './library-calls.ts';
import type { ReleaseApi } from './release-api.ts';
import type { ReportApi } from './report-api.ts';
import type { ReviewExchangeApi } from './review-exchange-api.ts';

/** One line of the library. Times in ms. */
export interface CaseSummary {
  /** Opaque and stable; never shown. */
  readonly caseKey: string;
  readonly caseId: string;
  readonly sites: readonly string[];
  /** ISO date of the first row in the case's zone, or null where the record has none. */
  readonly date: string | null;
  readonly dropouts: number;
  readonly lostMidMs: number;
  readonly lostLowMs: number;
  readonly lostHighMs: number;
  readonly longestMidMs: number;
  readonly blindMidMs: number;
  readonly monitoredMs: number;
  readonly shareMid: number | null;
  /** The same with doubtful samples counted as lost. */
  readonly doubtfulLost: { readonly dropouts: number; readonly lostMidMs: number; readonly shareMid: number | null };
  readonly intervalMs: number | null;
  readonly channels: number;
  readonly findings: number;
  readonly sourceNames: readonly string[];
  /** Set when the stored case cannot be opened; the other fields are then empty. */
  readonly problem: string | null;
}

export interface HostDescription {
  readonly productVersion: string;
  readonly door: 'desktop' | 'browser';
  /** The library's own name, without its path. */
  readonly libraryName: string;
  /** null: the library is a folder, which cannot be locked. `afterMinutes`: idle time after which it is to be locked; 0: never. */
  readonly lock: { readonly isLocked: boolean; readonly afterMinutes: number } | null;
}

/** A report in its forms, none of them a file yet. */
export interface MadeReport {
  readonly document: ReportDocument;
  readonly html: string;
  /** The bytes of the PDF in base 64. */
  readonly pdfBase64: string;
  readonly pages: number;
  /** Characters that the fonts of the PDF do not have; '' for none. */
  readonly notInFont: string;
}

/** A clock to be set: the whole offset that the source bears afterwards, in ms. */
export interface ClockChange {
  readonly caseKey: string;
  readonly sourceIndex: number;
  readonly offsetMs: number;
}

export interface ImportResult {
  readonly importId: string;
  readonly files: readonly FileReport[];
  readonly rejectedRows: readonly RejectedRow[];
  /** At most this many rejected rows are carried; the count in `files` is complete. */
  readonly rejectedRowsCut: boolean;
  /** Every case of this import as it now stands in the library: stored, already there, or waiting for a decision with the earlier one in its place. */
  readonly cases: readonly CaseSummary[];
  /** Cases that took the place of an earlier one of their name: by a person's decision, or because the earlier copy could not be read. */
  readonly replaced: readonly string[];
  /** Cases that the library already holds with the same content; they were not stored a second time. */
  readonly unchanged: readonly UnchangedCase[];
  /** Cases whose name is known and whose content differs: none of them was stored; each waits for `decideChanges`. */
  readonly changed: readonly ChangedCase[];
  /** Files, or parts of archives and workbooks, whose very bytes were read at an earlier import. */
  readonly earlier: readonly { readonly file: string; readonly reading: EarlierReading }[];
}

/** Files chosen again for an import whose rejected rows are to be taken in. */
export interface StagedMatch {
  /** The names they had then, which they bear again. */
  readonly matched: readonly string[];
  /** Files of other content; they are dropped from the import. */
  readonly foreign: readonly string[];
  /** Files of that import that were not chosen. */
  readonly missing: readonly { readonly file: string; readonly byteLength: number }[];
  /** What was said at that import. */
  readonly overrules: readonly FileOverrule[];
  readonly zone: string | null;
  readonly mapping: Mapping | null;
}

export interface ChangeChoice {
  readonly caseKey: string;
  readonly decision: ChangeDecision;
  readonly storeAs: string | null;
}

export interface UnchangedCase {
  /** The name that the import gave it. */
  readonly caseId: string;
  /** The case of the library that holds it. */
  readonly heldBy: { readonly caseKey: string; readonly caseId: string };
}

export type ChangeDecision = 'replace' | 'keep old' | 'keep both';

/** What becomes of the verdicts in force on a case under another analysis, by how each stands to its dropouts. */
export interface VerdictsUnder {
  readonly verdicts: number;
  readonly same: number;
  readonly moved: number;
  readonly split: number;
  readonly joined: number;
  readonly withoutDropout: number;
}

/** What differs between the library's case and the one of an import. */
export interface ComparedChange extends CaseComparison {
  /** What becomes of its verdicts if it is replaced; they stay in any case. null: it has none. `not told`: they, or one of the two analyses, cannot be read. */
  readonly reviews: VerdictsUnder | 'not told' | null;
}

/** A case of the library that an import reads otherwise. The figures count what differs; `compareChange` has all of it. */
export interface ChangedCase {
  readonly caseKey: string;
  readonly caseId: string;
  readonly rows: { readonly added: number; readonly removed: number; readonly changed: number };
  readonly events: number;
  readonly drugs: number;
  /** null when one of the two has no analysis. */
  readonly dropouts: number | null;
  /** null: the library still holds the earlier one, because nobody decided. */
  readonly decision: ChangeDecision | null;
  /** The name of the new one where both are kept. */
  readonly storedAs: string | null;
}

/** A staged list of cases, with how it is to be read and what a person decided about its rows so far. */
export interface CaseListArgs {
  readonly importId: string;
  /** The name under which it was staged. */
  readonly file: string;
  /** null: as it was last asked for this content, and what was decided then. */
  readonly asked: AskedOfList | null;
}

export interface AskedOfList {
  readonly request: CaseListRequest;
  readonly decisions: readonly ListDecision[];
}

/** What is said about one file. */
export interface FileOverrule {
  readonly file: string;
  readonly rules: ReadingRules;
  /** The saved mapping that the rules came from, as the report is to name it; left out where they are said by hand. */
  readonly mapping?: string | undefined;
}

/** An import that was running when the program ended. Its files are still there; nothing of it is in the library. */
export interface InterruptedImport {
  readonly importId: string;
  readonly files: readonly { readonly file: string; readonly byteLength: number }[];
  /** Files that need not be read again. */
  readonly filesRead: number;
  /** Cases that the files make; null until all are read. */
  readonly cases: number | null;
  /** Cases that need not be made again. */
  readonly casesDone: number;
  /** Cases that an earlier reading of the same import has put into the library; they stay until this one goes through. */
  readonly casesStored: number;
  /** What was said about all files and about single ones: going on reads them so. */
  readonly zone: string | null;
  readonly mapping: Mapping | null;
  readonly overrules: readonly FileOverrule[];
}

/** An answer drawn from every case of the library, and the cases that could not be read for it. */
export interface QualityAnswer<T> {
  readonly answer: T;
  readonly leftOut: readonly { readonly caseKey: string; readonly caseId: string; readonly reason: string }[];
}

/** Who does something that the trail of reviews is told of: a local name; left out, the trail names this computer. */
export interface DoneBy {
  readonly by?: string | undefined;
}

/**
 * Calls from the page to the host: plain data in, plain data out.
 * Every call's arguments and reply have a schema in `host-api-schema.ts`, checked on both sides.
 * A failed call rejects with a `Failure`-shaped error (code, message, remedy).
 */
export interface HostApi extends ReviewApi, ReviewExchangeApi, ActionApi, ReleaseApi, ReportApi, LibraryCalls {
  describe(): Promise<HostDescription>;
  /** Opens an encrypted library; one that is open already stays so. Errors  `passphrase-wrong` and whatever keeps a library from opening. */
  unlockLibrary(args: { readonly passphrase: string }): Promise<{ readonly unlocked: boolean }>;
  /** Closes an encrypted library until it is unlocked again. Errors  `library-busy` while another call is being answered, `not-encrypted`. */
  lockLibrary(): Promise<{ readonly locked: boolean }>;
  /** Returns every import that this library saw, the newest first. */
  listLedger(): Promise<readonly LedgerLine[]>;
  /** Returns one import with one of its readings; without `run` the last that went through. */
  openLedger(args: { readonly importId: string; readonly run: number | null }): Promise<LedgerImport>;
  /** Returns rejected rows of one file and reason, some at a time, after the first `from`. */
  ledgerRows(args: LedgerPlace & { readonly file: string; readonly reason: string; readonly from: number }): Promise<LedgerRows>;
  /** Compares the staged files with those of an earlier reading, by digest, and prepares the import to read them again as they were. */
  matchStaged(args: { readonly importId: string; readonly place: LedgerPlace }): Promise<StagedMatch>;
  listCases(): Promise<readonly CaseSummary[]>;
  /** Opens a staging area for one import. */
  beginImport(): Promise<{ readonly importId: string }>;
  /** Returns which staged files, by their digest, an earlier import has read: known before anything is read. */
  readBefore(args: { readonly importId: string }): Promise<ImportResult['earlier']>;
  /** Reads everything staged, stores the cases, and keeps the staged files so that guesses can be overruled. */
  runImport(args: { readonly importId: string; readonly overrules: readonly FileOverrule[]; readonly zone: string | null; readonly mapping: Mapping | null }): Promise<ImportResult>;
  /** Returns what the first rows of a staged file, or of a part of one, become under rules that are on trial, and with them the rows around a line. Stores nothing. */
  previewFile(args: { readonly importId: string; readonly file: string; readonly zone: string | null; readonly rules: ReadingRules; readonly atLine: number | null }): Promise<FilePreview>;
  /** What the dictionary knows, to choose from. */
  listKnownTerms(): Promise<KnownTerms>;
  /** The mappings that were saved, in the order of their names. */
  listMappings(): Promise<readonly Mapping[]>;
  /** Keeps a mapping under its name. Returns all. Errors: `name-taken` where there is one of that name and it is not to be replaced, `no-name`. */
  saveMapping(args: { readonly mapping: Mapping; readonly replace: boolean }): Promise<readonly Mapping[]>;
  renameMapping(args: { readonly name: string; readonly to: string }): Promise<readonly Mapping[]>;
  removeMapping(args: { readonly name: string }): Promise<readonly Mapping[]>;
  /** Returns the mapping that the text of a mapping file holds; keeps nothing. */
  readMapping(args: { readonly text: string }): Promise<Mapping>;
  /** Returns what would change in the library's case if the new reading took its place. */
  compareChange(args: { readonly importId: string; readonly caseKey: string }): Promise<ComparedChange>;
  /**
   * Carries out what a person decided about cases that the import reads otherwise; a later decision takes the place of an earlier
   * one until the import is ended. `storeAs` names the new case where both are kept. A case that is replaced keeps its key.
   */
  decideChanges(args: { readonly importId: string; readonly decisions: readonly ChangeChoice[] } & DoneBy): Promise<{ readonly changed: readonly ChangedCase[]; readonly cases: readonly CaseSummary[] }>;
  /** Removes the staged files, and what an interrupted import has done. The report can no longer be overruled after that. */
  endImport(args: { readonly importId: string }): Promise<{ readonly ended: true }>;
  cancelImport(args: { readonly importId: string }): Promise<{ readonly cancelled: boolean }>;
  /** Returns the imports that were running when the program ended, until each is resumed or ended. */
  interruptedImports(): Promise<readonly InterruptedImport[]>;
  /** Goes on with such an import from where it was; the result is that of a run that was not interrupted. */
  resumeImport(args: { readonly importId: string }): Promise<ImportResult>;
  /** Imports the invented sample cases that come with the program. */
  importSamples(): Promise<ImportResult>;
  /** With `untilMs` the analysis of what had been recorded by that instant (CaseMs), as if the record ended there. Stores nothing. */
  analyze(args: { readonly caseKey: string; readonly parameters: AnalysisParameters; readonly untilMs?: number | undefined }): Promise<CaseAnalysis>;
  /** Returns the one-page sheet of a case under the parameters: as a document to look at, as HTML and as PDF. Writes no file. */
  caseSheet(args: { readonly caseKey: string; readonly parameters: AnalysisParameters; readonly wishes: ReportWishes; readonly view?: { readonly by: string | null; readonly blinded: boolean } | null | undefined }): Promise<MadeReport>;
  /** Prepares a case so that definitions of a dropout can be tried on it without the host. */
  prepareRobustness(args: { readonly caseKey: string; readonly parameters: AnalysisParameters }): Promise<PreparedCase>;
  /** The sensors of a case over time, and every two of them: what the comparison of its sites is drawn from. */
  siteDetail(args: { readonly caseKey: string; readonly parameters: AnalysisParameters }): Promise<SiteDetail>;
  /**
   * Sites against each other over the given cases, with the library's parameters. `jobId` is made by the page and names the
   * work in its progress and when it is cancelled. A case that cannot be read is left out with the reason.
   */
  compareSites(args: { readonly jobId: string; readonly caseKeys: readonly string[] }): Promise<SiteCohort>;
  cancelComparison(args: { readonly jobId: string }): Promise<{ readonly cancelled: boolean }>;
  /**
   * Everything that is stated about a cohort of the given cases (null: of the whole library), with the library's parameters.
   * `jobId` is made by the page and names the work in its progress and when it is cancelled. A case that cannot be read stands in
   * the flow of cases with the reason.
   */
  cohort(args: { readonly jobId: string; readonly caseKeys: readonly string[] | null; readonly options: CohortOptions }): Promise<CohortResults>;
  cancelCohort(args: { readonly jobId: string }): Promise<{ readonly cancelled: boolean }>;
  /**
   * Holds a staged list of cases against the library. What is asked and decided is kept for this content of a list; nothing of the
   * list itself is. Errors: why the list cannot be read, with line and remedy.
   */
  reconcileCaseList(args: CaseListArgs): Promise<{ readonly result: CaseListResult; readonly asked: AskedOfList }>;
  /** Returns the same as the text of case-list.csv. */
  caseListText(args: CaseListArgs): Promise<{ readonly text: string }>;
  /**
   * Plans a study from the given cases with the library's parameters. `jobId` is made by the page and names the work in its progress
   * and when it is cancelled. A case that cannot be read is left out with the reason.
   */
  planStudy(args: { readonly jobId: string; readonly caseKeys: readonly string[]; readonly options: NextStudyOptions }): Promise<PlannedStudy>;
  cancelStudy(args: { readonly jobId: string }): Promise<{ readonly cancelled: boolean }>;
  /** Returns a planned study as the text of next-study.csv. */
  nextStudyText(args: { readonly study: NextStudy }): Promise<{ readonly text: string }>;
  /** The protocols of the library, every version, in the order in which they were fixed. */
  listProtocols(): Promise<readonly KeptProtocol[]>;
  /**
   * Fixes a protocol; with `before` as the next version of one, for a reason. None is ever changed or removed. Returns all.
   * Errors: `no-reason`, `nothing-changed`, `protocol-missing`, `protocols-damaged`.
   */
  fixProtocol(args: { readonly content: ProtocolContent; readonly before: { readonly protocolId: string; readonly reason: string } | null }): Promise<readonly KeptProtocol[]>;
  /** Returns a protocol to be filed: as Markdown, or as the file that the headless run reads. */
  protocolText(args: { readonly protocolId: string; readonly version: number; readonly form: 'markdown' | 'json' }): Promise<{ readonly text: string }>;
  /** The quality charts of the library, in the order in which they were made. */
  listQualityCharts(): Promise<readonly QualityChart[]>;
  /** Returns what a chart of this definition would look like. Keeps nothing. `jobId` as for `compareSites`; the same for the calls below. */
  proposeQualityChart(args: { readonly jobId: string; readonly definition: QualityDefinition }): Promise<QualityAnswer<QualityProposal>>;
  /** Makes a chart: keeps its complete points and fixes its first limits. */
  makeQualityChart(args: { readonly jobId: string; readonly request: ChartRequest }): Promise<QualityAnswer<QualityChartView>>;
  /** Returns a chart with the points of today beside those that were kept. Changes nothing. */
  drawQualityChart(args: { readonly jobId: string; readonly chartId: string }): Promise<QualityAnswer<QualityChartView>>;
  /** Changes a chart as a person says. Errors: `chart-changed` where it was changed meanwhile, and those of `core/cohort/make-chart.ts`. */
  editQualityChart(args: { readonly jobId: string; readonly chartId: string; readonly edit: ChartEdit }): Promise<QualityAnswer<QualityChartView>>;
  /** Removes a chart with all that was kept for it. Returns the others. */
  removeQualityChart(args: { readonly chartId: string }): Promise<readonly QualityChart[]>;
  /** Returns rooms, services or sites of a period against all of them together, with the parameters of the library. */
  unitFunnel(args: { readonly jobId: string; readonly request: FunnelRequest }): Promise<QualityAnswer<UnitFunnel>>;
  /** Returns the columns that cases may be grouped and chosen by, and why others are not. */
  groupingColumns(args: { readonly jobId: string }): Promise<QualityAnswer<readonly GroupingColumn[]>>;
  cancelQualityWork(args: { readonly jobId: string }): Promise<{ readonly cancelled: boolean }>;
  /** Returns how the clocks of a case's sources stand to one another, and what offsets are proposed. Changes nothing. */
  proposeClockOffsets(args: { readonly caseKey: string }): Promise<readonly ClockComparison[]>;
  /** Returns the analysis that the case would have with this clock offset, under the library's parameters. Changes nothing. */
  tryClockOffset(args: ClockChange): Promise<CaseAnalysis>;
  /** Sets the clock of one source, analyses the case anew and stores it. With `isProposal` the offset must be one that is proposed: its evidence is kept with the case. */
  setClockOffset(args: ClockChange & DoneBy & { readonly isProposal: boolean }): Promise<CaseSummary>;
  /** The lanes of the timeline as this library has them. Errors: `lanes-damaged`. */
  getLanes(): Promise<LaneChoice>;
  saveLanes(args: { readonly choice: LaneChoice }): Promise<LaneChoice>;
  /** The marks and notes of a case, in time order; so also for the calls below. Errors: `marks-damaged`. */
  listMarks(args: { readonly caseKey: string }): Promise<readonly CaseMark[]>;
  /** The same marks as a meeting may see them: what may identify somebody is left out of each note (`shownNote`). Errors: `marks-damaged`. */
  listShownMarks(args: { readonly caseKey: string }): Promise<readonly CaseMark[]>;
  /** Keeps a mark of a case, in place of the one with its id where there is one. Errors: `marks-full`, `case-missing`. */
  keepMark(args: { readonly caseKey: string; readonly mark: CaseMark }): Promise<readonly CaseMark[]>;
  removeMark(args: { readonly caseKey: string; readonly markId: string }): Promise<readonly CaseMark[]>;
  /** The stories of the library, in the order in which they were made; so also for the calls below. Errors: `stories-damaged`. */
  listStories(): Promise<readonly Story[]>;
  /** Keeps a story, in place of the one with its id. Its revision is that of the kept one, 0 for a new one. Errors: `story-changed`, `story-missing`, `stories-full`, `no-title`. */
  keepStory(args: { readonly story: Story }): Promise<readonly Story[]>;
  /** Errors: `story-missing`. */
  removeStory(args: { readonly storyId: string }): Promise<readonly Story[]>;
  /** Removes a case with its marks; moments of stories that show it stay and say that it is gone. */
  removeCase(args: { readonly caseKey: string } & DoneBy): Promise<{ readonly removed: boolean }>;
  getParameters(): Promise<AnalysisParameters>;
  /** Stores the set that new imports and the library figures use; re-analyses every case of the library. */
  saveParameters(args: { readonly parameters: AnalysisParameters } & DoneBy): Promise<readonly CaseSummary[]>;
  /** The sets that were saved under a name, in the order of their names. */
  listParameterSets(): Promise<readonly AnalysisParameters[]>;
  /** Keeps a set under its name, in place of one of the same name. Returns all sets. Errors: `name-taken` for a name of the program's own. */
  saveParameterSet(args: { readonly parameters: AnalysisParameters }): Promise<readonly AnalysisParameters[]>;
  removeParameterSet(args: { readonly name: string }): Promise<readonly AnalysisParameters[]>;
  /** Returns the set that the text of a parameters file asks for; keeps nothing. */
  readParameterSet(args: { readonly text: string }): Promise<AnalysisParameters>;
}

/**
 * Two things travel as raw bytes beside the calls, since arrays are too big for JSON:
 *   openCase(caseKey)                → bytes in the form of `core/persist/case-bytes.ts` (CaseRecord and CaseAnalysis)
 *   stageFile(importId, path, body)  ← the bytes of one chosen file, streamed
 */
export interface HostBytes {
  openCase(caseKey: string): Promise<Uint8Array>;
  stageFile(importId: string, relativePath: string, body: AsyncIterable<Uint8Array>): Promise<{ readonly byteLength: number }>;
}

/** Messages from the host to the page. */
export type HostEvent =
  | { readonly kind: 'import-progress'; readonly importId: string; readonly stage: 'reading' | 'analysing' | 'writing'; readonly file: string; readonly bytesDone: number; readonly bytesTotal: number }
  | { readonly kind: 'comparison-progress'; readonly jobId: string; readonly done: number; readonly total: number }
  | { readonly kind: 'cohort-progress'; readonly jobId: string; readonly stage: 'reading' | 'working out'; readonly done: number; readonly total: number }
  | { readonly kind: 'study-progress'; readonly jobId: string; readonly stage: 'reading' | 'drawing'; readonly done: number; readonly total: number }
  | { readonly kind: 'quality-progress'; readonly jobId: string; readonly done: number; readonly total: number }
  /** How many cases of a queue of dropouts are read. */
  | { readonly kind: 'review-progress'; readonly jobId: string; readonly done: number; readonly total: number }
  /** Something came into the trail: about a case, or about the library as a whole (null). What it is has to be asked for. */
  | { readonly kind: 'reviews-changed'; readonly caseKey: string | null; /** No figure follows from it: an act of the library, or that a reader was shown what others said. */ readonly figuresStay?: true | undefined }
  | { readonly kind: 'library-changed' }
  /** An action was written or changed. */
  | { readonly kind: 'actions-changed' }
  /** Nothing of the library may stay on the screen: it is locked, or another one took its place. */
  | { readonly kind: 'library-locked' }
  /** The time after which the library is to be locked is another one. */
  | { readonly kind: 'lock-changed' }
  | { readonly kind: 'worker-lost'; readonly message: string };
