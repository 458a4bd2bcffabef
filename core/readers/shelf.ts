import type { RejectedRow } from '../model/import-report.ts';
import type { CaseReading } from './reading.ts';

/** A place for bytes outside memory. Bytes once appended stay as they are. */
export interface Scratch {
  /** Returns the place at which the bytes begin. They may be changed by the caller afterwards. */
  append(bytes: Uint8Array): number;
  /** Fills `into` with the bytes that begin at `at`. */
  read(at: number, into: Uint8Array): void;
}

/** Where something lies that was put away. */
export interface ShelfPlace {
  readonly at: number;
  readonly length: number;
}

/** What stands in for the content of a reading that was set aside: its channels are still there, without samples. */
export interface AsideContent extends ShelfPlace {
  /** The first and the last time of anything in it, NaN where it holds none. */
  readonly firstMs: number;
  readonly lastMs: number;
}

/** What stands in for the content of a reading that was put away. */
export interface ShelvedContent extends ShelfPlace {
  readonly nChannels: number;
  readonly nEvents: number;
  readonly nDrugs: number;
}

/** What stands in for rejected rows that were put away. */
export interface ShelvedRows extends ShelfPlace {
  readonly count: number;
}

/**
 * Where a reader puts what need not stay in memory. The core has no disk: whoever has one hands this in.
 * No result depends on whether there is a shelf, or on what it holds when. While a file is read, its cases are set aside one by one
 * as they are put in order; when all that is to be known of the file is known, each is brought back, finished, and put away.
 */
export interface Shelf {
  /** For columns that grow while a file is read. */
  readonly scratch: Scratch;
  /** So many bytes of growing columns may stay in memory. */
  readonly heldBytes: number;
  /** Returns the reading without samples, events and drugs, which are set aside until the file is at its end. */
  setAside(reading: CaseReading): CaseReading;
  /** Returns a reading with what was set aside; other fields, those of its channels too, are as they are in the argument. */
  bringBack(reading: CaseReading): CaseReading;
  /** Returns the reading without its channels, events and drugs, which are put away for good. */
  putAway(reading: CaseReading): CaseReading;
  putRowsAway(rows: readonly RejectedRow[]): ShelvedRows;
}
