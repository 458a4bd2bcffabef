import type { FileReport } from './import-report.ts';
import type { Mapping, ReadingRules } from './mapping.ts';

/** The form of ledger entries; a later form gets another number, and this one stays readable. */
export const LEDGER_SCHEMA = 'lacuna-ledger/1';

/** At most this many rejected rows of one reading are kept with their text; all are counted. */
export const MAX_LEDGER_ROWS = 200_000;

interface EntryBase {
  readonly schema: typeof LEDGER_SCHEMA;
  readonly importId: string;
  /** Instant in UTC, ISO 8601. */
  readonly at: string;
  readonly productVersion: string;
  /** Which reading of the import it belongs to, from 1: an import may be read again with other rules. */
  readonly run: number;
}

/** Written before anything is read: without a later entry of the same run the program ended in between. */
export interface LedgerBegun extends EntryBase {
  readonly kind: 'begun';
  readonly files: readonly { readonly file: string; readonly byteLength: number }[];
  /** The reading whose rejected rows this import takes in again, if it does. */
  readonly corrects: LedgerPlace | null;
}

/** Names one reading of one import. */
export interface LedgerPlace {
  readonly importId: string;
  readonly run: number;
}

/** Something the product had taken on its own and a person, or a mapping, said otherwise. */
export interface Overruled {
  readonly file: string;
  /** As in `Guess.field`. */
  readonly field: string;
  /** What had been taken at the reading before, in words; null where none was read before. */
  readonly taken: string | null;
  /** What was said instead, as JSON. */
  readonly said: string;
  /** The saved mapping it came from; null when it was said by hand. */
  readonly mapping: string | null;
}

/** What became of one case of a reading. */
export interface LedgerCase {
  readonly caseKey: string;
  readonly caseId: string;
  /** 'stored', 'already there' (under `heldBy`), or 'differs': known under its name with other content, and waiting for a decision. */
  readonly outcome: 'stored' | 'already there' | 'differs';
  readonly heldBy: string | null;
}

/** One reading that went through. */
export interface LedgerRun extends EntryBase {
  readonly kind: 'run';
  /** The zone that a person stated for all files; null: nobody did. */
  readonly zone: string | null;
  readonly mapping: Mapping | null;
  readonly overrules: readonly { readonly file: string; readonly rules: ReadingRules; readonly mapping?: string | undefined }[];
  readonly overruled: readonly Overruled[];
  readonly files: readonly FileReport[];
  readonly cases: readonly LedgerCase[];
  /** Rejected rows that are kept beside the entry; the counts in `files` are complete. */
  readonly rowsKept: number;
  /** The name that files without a folder gave their case. */
  readonly looseName: string;
}

/** A reading that did not go through; nothing of it was stored. */
export interface LedgerStopped extends EntryBase {
  readonly kind: 'stopped';
  readonly why: 'cancelled' | 'failed';
  readonly message: string;
}

/** What a person decided about known cases with other content. */
export interface LedgerDecision extends EntryBase {
  readonly kind: 'decision';
  readonly decisions: readonly { readonly caseKey: string; readonly caseId: string; readonly decision: 'replace' | 'keep old' | 'keep both'; readonly storedAs: string | null }[];
}

/** One entry of the ledger. Entries are only ever added. */
export type LedgerEntry = LedgerBegun | LedgerRun | LedgerStopped | LedgerDecision;

/** How an import ended. 'waiting': cases differ from the library and nobody decided, so that it keeps the earlier ones. */
export type LedgerState = 'complete' | 'waiting' | 'running' | 'interrupted' | 'cancelled' | 'failed' | 'damaged';

/** One import in the list of the ledger: its last reading that went through. */
export interface LedgerLine {
  readonly importId: string;
  readonly state: LedgerState;
  readonly firstAt: string;
  readonly lastAt: string;
  readonly runs: number;
  readonly productVersion: string;
  /** Up to three names of files. */
  readonly names: readonly string[];
  readonly files: number;
  readonly filesFailed: number;
  readonly rowsRead: number;
  readonly rowsAccepted: number;
  readonly rowsRejected: number;
  readonly casesStored: number;
  readonly casesThere: number;
  readonly casesWaiting: number;
  readonly overruled: number;
}

/** One import, opened: every entry in short, and one reading whole. */
export interface LedgerImport {
  readonly line: LedgerLine;
  readonly history: readonly { readonly at: string; readonly kind: LedgerEntry['kind']; readonly run: number; readonly words: string }[];
  /** The reading asked for, else the last that went through; null where none did. */
  readonly run: LedgerRun | null;
  readonly decisions: LedgerDecision['decisions'];
  /** Entries that could not be read from the disk. */
  readonly damaged: number;
}

/** A part of the rejected rows of one file and reason. */
export interface LedgerRows {
  readonly rows: readonly { readonly line: number; readonly row: string }[];
  /** How many of this file and reason are kept with their text. */
  readonly kept: number;
}

/** An earlier import that read a file of the same digest. */
export interface EarlierReading {
  readonly importId: string;
  readonly run: number;
  readonly at: string;
  /** The name it had then. */
  readonly file: string;
  readonly caseIds: readonly string[];
}
