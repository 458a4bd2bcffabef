import type { RejectedRow } from '../../core/model/import-report.ts';
import type { EarlierReading, LedgerBegun, LedgerDecision, LedgerLine, LedgerPlace, LedgerRows, LedgerRun, LedgerStopped } from '../../core/model/ledger.ts';
import type { ReadEntries } from './ledger-line.ts';

/** An entry before it is in the ledger; how many of its rejected rows are kept is found when it is written. */
export type NewEntry = LedgerBegun | Omit<LedgerRun, 'rowsKept'> | LedgerStopped | LedgerDecision;

/** Names an entry that is written down beside the ledger and not yet a part of it. */
export interface PreparedEntry {
  readonly importId: string;
  readonly number: string;
}

/** Which rejected rows are wanted: of one file and reason, `limit` of them after the first `from`. */
export interface RowsWanted {
  readonly file: string;
  readonly reason: string;
  readonly from: number;
  readonly limit: number;
}

/**
 * What was done at every import. Entries are only added, never changed or taken away; whoever implements it may keep them in any
 * way, as long as an entry that `append` acknowledged is there, whole, after a crash.
 */
export interface ImportLedger {
  /**
   * Adds an entry, for a reading that went through with its rejected rows, of which the first `MAX_LEDGER_ROWS` are kept.
   * Errors  rejects with a FailureError when the disk refuses; no half entry stays.
   */
  append(entry: NewEntry, rejected?: Iterable<RejectedRow> | AsyncIterable<RejectedRow>): Promise<void>;
  /**
   * Writes an entry down as `append` does, but not into the ledger: the publication that is handed it brings it in together with the
   * cases that it tells of. One that is never published is gone at the next start, or when `discard` is called.
   * Errors  as `append`.
   */
  prepare(entry: NewEntry, rejected?: Iterable<RejectedRow> | AsyncIterable<RejectedRow>): Promise<PreparedEntry>;
  discard(prepared: PreparedEntry): Promise<void>;
  /** Is told that a publication brought an entry in. */
  entered(prepared: PreparedEntry): Promise<void>;
  /** Returns the line of every import, in no particular order; one that is being read now counts as interrupted. */
  list(): Promise<readonly LedgerLine[]>;
  /** Returns one import; without entries when there is none of that id. */
  read(importId: string): Promise<ReadEntries>;
  rejectedRows(place: LedgerPlace, wanted: RowsWanted): Promise<LedgerRows>;
  /** Returns, by digest, the newest reading of each file that an import other than `except` read. */
  earlierReadings(digests: readonly string[], except: string): Promise<ReadonlyMap<string, EarlierReading>>;
}
