import type { SourceKind } from './case.ts';
import type { ReadingRules, ValueMaking } from './mapping.ts';

/** A decision the product took where the file allows more than one reading. */
export interface Guess {
  /** The field of ReadingRules that overrules it: `dateOrder`, `decimalMark`, `columns.<heading>` … */
  readonly field: string;
  /** In words: "03/04/2031 read as 3 April". */
  readonly taken: string;
  readonly because: string;
  /** 'proven' by the file itself, 'likely', or 'assumed' for want of evidence. */
  readonly certainty: 'proven' | 'likely' | 'assumed';
  /** Other readings, each with the rules that would choose it. */
  readonly alternatives: readonly { readonly label: string; readonly rules: ReadingRules }[];
}

/** What a column or (long table) a name was read as. */
export interface ColumnReport {
  readonly heading: string;
  /** In words: "SpO2 at the finger, %", "not used", "time". */
  readonly readAs: string;
  readonly quantity: string | null;
  readonly site: string | null;
  /** Cells of accepted rows with a usable number; in a column of times, words or the like, cells that hold something. */
  readonly values: number;
  /** The other cells of accepted rows: without a usable number, fillers included; in a column of times or words, empty ones. */
  readonly missing: number;
}

export interface RejectedGroup {
  readonly reason: string;
  readonly count: number;
  readonly first_line: number;
}

/** What of a file identifies, or may identify, a person, and what was done with it at the door. */
export interface Withheld {
  /** The column's heading, or '' for free text anywhere in the file. */
  readonly heading: string;
  readonly looksLike: 'name' | 'record number' | 'birth date' | 'age' | 'address' | 'contact' | 'other number' | 'free text';
  readonly done: 'left out' | 'replaced by a code' | 'grouped' | 'blanked in the text' | 'kept';
  readonly count: number;
  readonly firstLine: number | null;
}

/** A phrase of a drug or event entry that the dictionary did not know. A `drug` is drawn under its own words, never an exposure; an `event` is a plain note. */
export interface UnknownPhrase {
  readonly text: string;
  readonly kind: 'drug' | 'event';
  /** Entries that have it. */
  readonly count: number;
  readonly first_line: number;
}

/** One entry of import-report.json. Field names are fixed (snake case) because the file is read from outside. */
export interface FileReport {
  readonly file: string;
  readonly kind: SourceKind;
  readonly encoding: string;
  readonly delimiter: string;
  readonly layout: string;
  readonly rows_read: number;
  readonly rows_accepted: number;
  readonly rows_rejected: number;
  readonly rejected: readonly RejectedGroup[];
  readonly notes: readonly string[];
  readonly guesses: readonly Guess[];
  readonly columns: readonly ColumnReport[];
  readonly cases: readonly string[];
  /** Identifiers that were recognised; an empty list means that none was, not that there is none. Left out by readers that look for none. */
  readonly withheld?: readonly Withheld[] | undefined;
  /** The most frequent first, at most 200. A mapping can say what they mean. Left out by readers that know no phrases. */
  readonly unknown_phrases?: readonly UnknownPhrase[] | undefined;
  /** Entries whose phrase is not known either and stands in no line of the list. */
  readonly unknown_phrases_not_listed?: number | undefined;
  /** How its values were made, as a mapping states it. Left out where the file holds no values. */
  readonly value_making?: ValueMaking | 'not stated' | undefined;
  /** Device hold as a mapping states it, null where it does not. Left out where the file holds no values. */
  readonly device_hold_s?: number | null | undefined;
  readonly sha256: string;
  readonly byte_length: number;
  /** The file on the disk that this is a part of: an archive or a workbook. Left out for a file of its own. */
  readonly container?: { readonly file: string; readonly sha256: string; readonly byte_length: number } | undefined;
  /** The mapping whose rules were used, by name. Left out where none was. */
  readonly mapping?: string | undefined;
  /** The headings of a table as the file has them, also of one that was not understood: what a mapping fits by. Left out where there are none. */
  readonly headings?: readonly string[] | undefined;
  /** Set when the file could not be read at all. */
  readonly failure: { readonly message: string; readonly line: number | null; readonly remedy: string | null } | null;
}

/** One line of rejected-rows.csv. */
export interface RejectedRow {
  readonly file: string;
  readonly line: number;
  readonly reason: string;
  readonly row: string;
}
