import type { EntryBody, SealedEntry, TrailCheck } from '../../core/model/review.ts';

/** Who writes an entry, when, and with which version of the program. */
export interface EntryStamp {
  /** A local name. */
  readonly by: string;
  readonly at: Date;
  readonly productVersion: string;
}

/**
 * Everything that was said about dropouts and done to the library, in one order over the whole library. Entries are only added, never
 * changed or taken away; each holds the hash of the one before it. Whoever implements it may keep them in any way, as long as an entry
 * that `add` acknowledged is there, whole, after a crash.
 * Errors  all calls reject with the disk's refusal as a FailureError; `reviews-damaged` where an entry of the case asked for cannot be
 *         had as it was written: nothing is written over it, and other cases go on.
 */
export interface ReviewTrail {
  /** Returns what was said of a case and done to it, in order; none where nothing was. */
  ofCase(caseKey: string): Promise<readonly SealedEntry[]>;
  /** Returns the keys of the cases that something was said of, without those that only something was done to. */
  reviewedCases(): Promise<ReadonlySet<string>>;
  /**
   * Adds entries, one call after the other, whatever else the library is doing. `compose` is handed what `ofCase` returns at that
   * moment and gives the entries to add; it may throw, and nothing is added then.
   * Returns the new entries, which are on the disk. When the disk refuses one of several, those before it stay.
   */
  add(caseKey: string | null, stamp: EntryStamp, compose: (soFar: readonly SealedEntry[]) => readonly EntryBody[]): Promise<readonly SealedEntry[]>;
  /** Returns entries before a place (null: the last), newest first, and how many there are in all. */
  list(before: number | null, limit: number): Promise<{ readonly entries: readonly SealedEntry[]; readonly total: number }>;
  /** Reads everything from the disk anew and checks it. `noted`: a hash that must be in the trail. */
  check(noted: string | null): Promise<TrailCheck>;
  /** Resolves when nothing is being added any more. */
  settled(): Promise<void>;
}
