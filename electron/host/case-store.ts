import type { MeetingAction } from '../../core/model/action.ts';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseListRequest, ListDecision } from '../../core/model/case-list.ts';
import type { Story } from '../../core/model/story.ts';
import type { CaseMark } from '../../core/model/case-mark.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { LaneChoice } from '../../core/model/lane-choice.ts';
import type { Mapping } from '../../core/model/mapping.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import type { QualityChart } from '../../core/model/quality-chart.ts';
import type { ReportSetting } from '../../core/model/report-setting.ts';
import type { KeptProtocol, ProtocolContent, StudyProtocol } from '../../core/model/study-protocol.ts';
import type { CaseSummary } from '../../core/protocol/host-api.ts';
import type { KeptBases } from './kept-bases.ts';
import type { LibrarySettings } from './library-settings.ts';
import type { ImportLedger, PreparedEntry } from './import-ledger.ts';
import type { MadeCase } from '../../core/worker/analysis-service.ts';
import type { RemovedImportStore } from './removed-imports.ts';
import type { ReceivedReviews } from './received-reviews.ts';
import type { ReviewKeyStore } from './review-key.ts';
import type { ReviewTrail } from './review-trail.ts';
import type { ImportRun, ImportWork, ReadyCase, WorkDone } from './import-work.ts';

/** A place for the bytes of files that were chosen for one import. */
export interface StagingArea {
  readonly importId: string;
  /** What was staged so far, in the order it came. */
  readonly files: readonly StagedFile[];
  /**
   * Takes one file. A second file of the same relative path replaces the first.
   * Errors  rejects with a FailureError when the path leads outside the import or the disk refuses; nothing stays of the file.
   */
  stage(relativePath: string, body: AsyncIterable<Uint8Array>): Promise<{ readonly byteLength: number }>;
  /** Removes every file that `names` does not name by its path, and gives the others the names it says. */
  keepOnly(names: ReadonlyMap<string, string>): Promise<void>;
  /** Returns the work of a run; where the same run was interrupted before, what it had done is kept. */
  begin(run: Omit<ImportRun, 'schema' | 'files' | 'stored'>): Promise<ImportWork>;
  /** Removes the work of a run; what it has put into the library, aside or on hold stays. */
  end(): Promise<void>;
  /** Cases that this import has put into the library, and whether each took the place of one from before, which was put aside. */
  readonly stored: ReadonlyMap<string, boolean>;
  /** Makes a case ready to be published. */
  prepare(made: MadeCase): Promise<ReadyCase>;
  readReady(caseKey: string): Promise<Uint8Array>;
  readAside(caseKey: string): Promise<Uint8Array>;
  /** Keeps a case that is ready and must not be published yet for as long as the import lasts. */
  hold(caseKey: string): Promise<void>;
  readHeld(caseKey: string): Promise<Uint8Array>;
}

export interface StagedFile {
  /** Where the bytes lie on this machine; never shown. */
  readonly path: string;
  readonly relativePath: string;
  readonly byteLength: number;
  /** SHA-256 of its bytes, hexadecimal. */
  readonly sha256: string;
}

/** An import that was running when the program ended, with all its files still there. */
export interface InterruptedRun extends WorkDone {
  readonly importId: string;
  readonly run: ImportRun;
}

/** What is to change in the library at once. */
export interface Publication {
  readonly put: readonly ReadyCase[];
  /** Keys of cases that this import has put there before. */
  readonly takeBack: readonly string[];
  /** What the ledger is to say of it: a part of the publication. */
  readonly entry?: PreparedEntry | undefined;
}

export interface PublicationHooks {
  readonly signal?: AbortSignal | undefined;
  /** Told of every case that only has to be given its name. */
  readonly onFlushed?: ((done: ReadyCase) => void) | undefined;
  /** Called when the cases begin to come in: it is short, and goes through. */
  readonly onPoint?: (() => void) | undefined;
}

/** Sets of parameters by name; every call resolves with all of them, in the order of their names. */
export interface ParameterSetStore {
  list(): Promise<readonly AnalysisParameters[]>;
  save(parameters: AnalysisParameters): Promise<readonly AnalysisParameters[]>;
  remove(name: string): Promise<readonly AnalysisParameters[]>;
}

/** Quality charts in the order in which they were made; every call resolves with all of them. */
export interface QualityChartStore {
  list(): Promise<readonly QualityChart[]>;
  /** Keeps a chart: a new one (`before` null), or in place of `before`, which must be what is kept. */
  keep(chart: QualityChart, before: QualityChart | null): Promise<readonly QualityChart[]>;
  remove(chartId: string): Promise<readonly QualityChart[]>;
}

/** Actions in the order in which they were written; a call that changes one resolves with all of them. None is ever removed. */
export interface ActionStore {
  list(): Promise<readonly MeetingAction[]>;
  add(action: MeetingAction): Promise<readonly MeetingAction[]>;
  /** Puts an action in the place of `before`, which must be the edition that is kept. */
  replace(action: MeetingAction, before: MeetingAction): Promise<readonly MeetingAction[]>;
}

/** Protocols in the order in which they were fixed; every call resolves with all of them. None is ever changed or removed. */
export interface ProtocolStore {
  list(): Promise<readonly KeptProtocol[]>;
  /** Keeps a protocol as it is; with `before` as the next version of one, for a reason. */
  /** Keeps protocols of another library as they were fixed there; none of them may be here. */
  take(protocols: readonly StudyProtocol[]): Promise<void>;
  fix(content: ProtocolContent, before: { readonly protocolId: string; readonly reason: string } | null, by: { readonly now: Date; readonly productVersion: string }): Promise<readonly KeptProtocol[]>;
}

/** How a list of cases was read, and what a person decided about its rows. */
export interface KeptListDecisions {
  readonly request: CaseListRequest;
  readonly decisions: readonly ListDecision[];
}

/** Decisions about lists of cases, by the sha-256 of the list. */
export interface ListDecisionStore {
  of(sha256: string): Promise<KeptListDecisions | null>;
  keep(sha256: string, kept: KeptListDecisions): Promise<void>;
}

/** The lanes of the timeline as this library has them. */
export interface LaneChoiceStore {
  read(): Promise<LaneChoice>;
  keep(choice: LaneChoice): Promise<LaneChoice>;
}

/** What is printed on everything that leaves this library. */
export interface ReportSettingStore {
  read(): Promise<ReportSetting>;
  keep(setting: ReportSetting): Promise<ReportSetting>;
}

/** Marks and notes by case; a call about a case resolves with all of its marks, in time order. */
export interface CaseMarkStore {
  list(caseKey: string): Promise<readonly CaseMark[]>;
  /** Keeps a mark, in place of the one with its id where there is one. */
  keep(caseKey: string, mark: CaseMark): Promise<readonly CaseMark[]>;
  remove(caseKey: string, markId: string): Promise<readonly CaseMark[]>;
  /** Removes every mark of a case that is itself removed. */
  forget(caseKey: string): Promise<void>;
}

/** Stories in the order in which they were made; every call resolves with all of them. */
export interface StoryStore {
  list(): Promise<readonly Story[]>;
  /** Keeps a story, in place of the one with its id where there is one and its revision is the same. */
  keep(story: Story): Promise<readonly Story[]>;
  remove(storyId: string): Promise<readonly Story[]>;
}

/** Mappings by name; every call resolves with all of them, in the order of their names. */
export interface SavedMappingStore {
  list(): Promise<readonly Mapping[]>;
  /** `replace`: one of the same name gives way; otherwise it is an error. */
  save(mapping: Mapping, replace: boolean): Promise<readonly Mapping[]>;
  rename(name: string, to: string): Promise<readonly Mapping[]>;
  remove(name: string): Promise<readonly Mapping[]>;
}

/**
 * The library: cases, the parameters they are analysed with, and the files of imports that are not over.
 * Whoever implements it may keep them in any way, as long as a case that `save` acknowledged is there after a crash.
 */
export interface CaseStore {
  /** The library's own name, without its place. */
  readonly libraryName: string;
  /** What the library knows of itself, and the parameters that its figures are computed with. */
  readonly settings: LibrarySettings;
  /** Returns a line for every stored case, the unreadable ones with `problem` set, ordered by case id, then key. */
  list(): readonly CaseSummary[];
  /** Returns the key under which a case of this name is or would be stored. */
  keyOf(caseId: string): string;
  /** Returns a number that changes whenever the stored case of this key does; null when there is none. */
  revisionOf(caseKey: string): number | null;
  /** Returns what names the stored content of this key, the same after a start as long as nothing was written under it; null when there is none or it cannot be told. */
  stampOf(caseKey: string): string | null;
  /** Returns the case as bytes of `core/persist/case-bytes.ts`; rejects with a FailureError when there is none. */
  readBytes(caseKey: string): Promise<Uint8Array>;
  /**
   * Stores a case under its key, in place of the one that was there.
   * When the promise resolves the case is on the disk; until then the old one is.
   */
  save(record: CaseRecord, analysis: CaseAnalysis | null): Promise<CaseSummary>;
  remove(caseKey: string): Promise<boolean>;
  /** Returns the library's line of this key; null when there is none. */
  lineOf(caseKey: string): CaseSummary | null;
  /** Returns the keys of the readable cases that were read from all of these files, by digest, in the order of `list`. */
  casesFrom(digests: readonly string[]): readonly string[];
  /**
   * Puts cases of an import that are ready into the library and takes back others that the import has put there: all or none, also
   * when the program is killed, and the ledger's entry about it with them. Returns the keys of those that replaced a case from before the import.
   * Errors  rejects with the signal's reason, or with a FailureError when a case cannot be flushed: nothing has changed then. When
   *         the disk fails later, everything that the import has stored is taken back. The entry is then not in the ledger.
   */
  publish(staging: StagingArea, change: Publication, hooks: PublicationHooks): Promise<ReadonlySet<string>>;
  /** Sets of parameters saved under a name. */
  readonly parameterSets: ParameterSetStore;
  readonly protocols: ProtocolStore;
  readonly listDecisions: ListDecisionStore;
  readonly qualityCharts: QualityChartStore;
  readonly actions: ActionStore;
  readonly lanes: LaneChoiceStore;
  readonly marks: CaseMarkStore;
  /** What is told at meetings. */
  readonly stories: StoryStore;
  readonly reportSetting: ReportSettingStore;
  /** What was said about files of a shape, saved under a name. */
  readonly mappings: SavedMappingStore;
  readonly ledger: ImportLedger;
  /** Verdicts, and what was done to the library. */
  readonly reviews: ReviewTrail;
  /** What reviews need of the cases, over starts. */
  readonly reviewBases: KeptBases;
  /** What this library signs the reviews with that it sends. */
  readonly reviewKey: ReviewKeyStore;
  /** Reviews that other libraries sent, as they came. */
  readonly receivedReviews: ReceivedReviews;
  /** Imports that were cut short and cannot be gone on with. */
  readonly removedImports: RemovedImportStore;
  /** Says that every case has been analysed with the stored parameters. */
  endReanalysis(): Promise<void>;
  /** Reads a case's line anew, after it turned out to be unreadable. */
  refresh(caseKey: string): Promise<void>;
  /** `isResumable`: whether a run that is interrupted is offered again at the next start. */
  openStaging(options: { readonly isResumable: boolean }): Promise<StagingArea>;
  /** Returns the imports that an earlier program left unfinished; each has its staging area. */
  interruptedRuns(): Promise<readonly InterruptedRun[]>;
  /** Removes the staged files, the work of a run and everything put aside. */
  endStaging(importId: string): Promise<boolean>;
  stagingOf(importId: string): StagingArea | null;
  /** Gives the library free for another program. What a running import has done stays for the next start. */
  close(): Promise<void>;
}
