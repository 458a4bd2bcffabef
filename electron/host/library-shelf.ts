/** One text that is kept under a name and replaced as a whole. */
export interface LibraryDocument {
  /** Returns the text; null where none was ever kept. Rejects with the disk's error when it cannot be read. */
  read(): Promise<string | null>;
  /**
   * Puts `text` in the place of what is there. When the promise resolves it is on the disk; until then the earlier text is.
   * Errors  rejects with a FailureError (`disk-full`, `library-unwritable`); the earlier text is unchanged then.
   */
  replace(text: string): Promise<void>;
  /** What a person can do with a text that is damaged: the beginning of a remedy, without its full stop. */
  readonly wayOut: string;
  /** How a person gets an earlier text back: the same. */
  readonly wayBack: string;
}

/** An entry as it is in a journal. */
export interface JournalEntry {
  readonly number: string;
  /** null where the disk does not give it. */
  readonly text: string | null;
}

/** Names an entry that is written down beside a journal and not yet a part of it. */
export interface PreparedJournalEntry {
  readonly group: string;
  readonly number: string;
}

/** An entry before it is in a journal. */
export interface NewJournalEntry {
  /** Lines that belong to the entry, without line ends; taken one by one, so that their number is bounded by the disk alone. */
  readonly lines: Iterable<string> | AsyncIterable<string>;
  /** Returns the entry's text once it is known how many lines there were. */
  text(lineCount: number): string;
}

/**
 * Entries in groups, numbered in the order in which they came. They are only added, never changed or taken away.
 * A group's name is 32 hexadecimal digits and says nothing about what is in it.
 */
export interface LibraryJournal {
  /** Returns the groups that have an entry, in the order of their names. */
  groups(): Promise<readonly string[]>;
  /** Returns the entries of a group in their order; none where there is no such group. */
  read(group: string): Promise<readonly JournalEntry[]>;
  /** Yields the lines of an entry, some at a time, in their order. */
  lines(group: string, number: string): AsyncIterable<readonly string[]>;
  /**
   * Adds an entry with its lines. When the promise resolves both are on the disk.
   * Errors  rejects with a FailureError when the disk refuses, or with the error of `lines`; no half entry stays.
   */
  append(group: string, entry: NewJournalEntry): Promise<void>;
  /**
   * Writes an entry down as `append` does, but beside the journal: the publication that is handed it brings it in.
   * One that is never published is gone at the next start, or when it is discarded.
   */
  prepare(group: string, entry: NewJournalEntry): Promise<PreparedJournalEntry>;
  discard(prepared: PreparedJournalEntry): Promise<void>;
}

/** Documents by their names: lower case and hyphens, what they hold and not what they are for a person. */
export const DOCUMENT_NAMES = ['library', 'parameters', 'parameter-sets', 'mappings', 'protocols', 'quality-charts', 'case-lists', 'removed-imports', 'trail-head', 'timeline-lanes', 'case-marks', 'stories', 'report-setting', 'reviews-key', 'review-exchange', 'review-bases', 'actions'] as const;
export type DocumentName = (typeof DOCUMENT_NAMES)[number];

export const JOURNAL_NAMES = ['ledger', 'reviews', 'received-reviews'] as const;
export type JournalName = (typeof JOURNAL_NAMES)[number];

/**
 * Everything in a library that is not a case. What is kept here is small enough to be held in memory; a document is one call's work.
 * Whoever implements it may keep it in any way, as long as what a promise acknowledged is there, whole, after a crash.
 */
export interface LibraryShelf {
  document(name: DocumentName): LibraryDocument;
  journal(name: JournalName): LibraryJournal;
}
