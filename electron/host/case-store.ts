import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { Mapping } from '../../core/model/mapping.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import type { CaseSummary } from '../../core/protocol/host-api.ts';
import type { ImportLedger } from './import-ledger.ts';

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
}

export interface StagedFile {
  /** Where the bytes lie on this machine; never shown. */
  readonly path: string;
  readonly relativePath: string;
  readonly byteLength: number;
}

/** A stored case put aside before another took its place, to be brought back when the import is undone. */
export interface AsideCase {
  readonly caseKey: string;
}

/** Sets of parameters by name; every call resolves with all of them, in the order of their names. */
export interface ParameterSetStore {
  list(): Promise<readonly AnalysisParameters[]>;
  save(parameters: AnalysisParameters): Promise<readonly AnalysisParameters[]>;
  remove(name: string): Promise<readonly AnalysisParameters[]>;
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
  /** True until `markSamplesOffered`: the library was never filled with the sample cases. */
  readonly samplesPending: boolean;
  markSamplesOffered(): Promise<void>;
  /** Returns a line for every stored case, the unreadable ones with `problem` set, ordered by case id, then key. */
  list(): readonly CaseSummary[];
  /** Returns the key under which a case of this name is or would be stored. */
  keyOf(caseId: string): string;
  /** Returns a number that changes whenever the stored case of this key does; null when there is none. */
  revisionOf(caseKey: string): number | null;
  /** Key of the codes that stand for persons and records in this library, hexadecimal: the same in every import. */
  readonly pseudonymKey: string;
  /** Returns the case as bytes of `core/persist/case-bytes.ts`; rejects with a FailureError when there is none. */
  readBytes(caseKey: string): Promise<Uint8Array>;
  /**
   * Stores a case under its key, in place of the one that was there.
   * When the promise resolves the case is on the disk; until then the old one is.
   */
  save(record: CaseRecord, analysis: CaseAnalysis | null): Promise<CaseSummary>;
  remove(caseKey: string): Promise<boolean>;
  /** Puts the present case of this key aside for the time of an import; null when there is none. */
  putAside(staging: StagingArea, caseKey: string): Promise<AsideCase | null>;
  /** Returns the bytes of a case that was put aside. */
  readAside(staging: StagingArea, aside: AsideCase): Promise<Uint8Array>;
  /** Brings a case back that was put aside, in place of what is there now. */
  bringBack(staging: StagingArea, aside: AsideCase): Promise<void>;
  /**
   * Keeps a case of an import that must not be stored yet, under the key it would have; an earlier one of that key is replaced.
   * It is gone when the import ends.
   */
  hold(staging: StagingArea, caseKey: string, bytes: Uint8Array): Promise<void>;
  readHeld(staging: StagingArea, caseKey: string): Promise<Uint8Array>;
  /** Returns the keys of the readable cases that were read from all of these files, by digest, in the order of `list`. */
  casesFrom(digests: readonly string[]): readonly string[];
  readParameters(): Promise<AnalysisParameters>;
  /** Stores the parameters and marks every case as still to be analysed with them. */
  saveParameters(parameters: AnalysisParameters): Promise<void>;
  /** Sets of parameters saved under a name. */
  readonly parameterSets: ParameterSetStore;
  /** What was said about files of a shape, saved under a name. */
  readonly mappings: SavedMappingStore;
  readonly ledger: ImportLedger;
  readonly isReanalysisPending: boolean;
  /** Says that every case has been analysed with the stored parameters. */
  endReanalysis(): Promise<void>;
  /** Reads a case's line anew, after it turned out to be unreadable. */
  refresh(caseKey: string): Promise<void>;
  openStaging(): Promise<StagingArea>;
  /** Removes the staged files and everything put aside. */
  endStaging(importId: string): Promise<boolean>;
  stagingOf(importId: string): StagingArea | null;
  /** Gives the library free for another program. */
  close(): Promise<void>;
}
