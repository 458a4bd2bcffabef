import type { RejectedGroup, RejectedRow } from './import-report.ts';

/** A case of the library as a list is held against it. */
export interface LibraryCase {
  /** Opaque and stable; never shown. */
  readonly caseKey: string;
  /** '' for a stored case that cannot be opened. */
  readonly caseId: string;
  /** ISO date of its first row in its own zone, null for an undated record. */
  readonly date: string | null;
  readonly sites: readonly string[];
  readonly monitoredMs: number;
  readonly lostMidMs: number;
  readonly dropouts: number;
  /** Why it has no SpO2 to work with; null where it has. */
  readonly unusable: string | null;
}

/** A column that may name the cases of a list, or say when they were. */
export interface ListColumnChoice {
  /** What chooses it: its heading, or `column 3` where the heading is not its own. */
  readonly key: string;
  readonly heading: string;
  /** Of the accepted rows: how many have a text there, and how many of these fit the library. */
  readonly filled: number;
  readonly fits: number;
  /** What stands in it identifies persons: only codes of it are kept. */
  readonly isCoded: boolean;
}

/** A case of the library whose identifier a row may mean. */
export interface NearCase {
  readonly caseId: string;
  /** In what the two writings differ. */
  readonly differs: readonly string[];
}

/** One accepted row of a list: what is left of it when identifiers are kept out. */
export interface ListedRow {
  /** Physical line, the row of the sheet in a workbook. */
  readonly line: number;
  /** The identifier, or the code that stands for it. */
  readonly key: string;
  /** ISO date; null where the list has none, or none that can be read. */
  readonly date: string | null;
  /** First row with the same identifier; its own line where it is the first. */
  readonly firstLine: number;
  /** An earlier row whose identifier differs from it only in writing. */
  readonly likeLine: number | null;
  /** Cases of the library with just this identifier, or whose code was made of it. */
  readonly exact: readonly string[];
  /** Cases whose identifier differs only in writing. Empty where `exact` is not. */
  readonly near: readonly NearCase[];
}

/** What of a list is to be read otherwise than it is found; null leaves it to the program. */
export interface CaseListRequest {
  readonly table: string | null;
  readonly idColumn: string | null;
  readonly dateColumn: string | null;
}

/** A list of cases as it was read. */
export interface ReadCaseList {
  readonly file: string;
  readonly sha256: string;
  readonly encoding: string;
  readonly delimiter: string;
  /** Sheets of a workbook, parts of an archive; of one table alone its name. */
  readonly tables: readonly string[];
  readonly table: string;
  readonly idColumns: readonly ListColumnChoice[];
  readonly idColumn: string;
  /** Why that column was taken. */
  readonly idBecause: string;
  readonly dateColumns: readonly ListColumnChoice[];
  readonly dateColumn: string | null;
  /** rowsRead = rowsAccepted + rowsRejected. */
  readonly rowsRead: number;
  readonly rowsAccepted: number;
  readonly rowsRejected: number;
  readonly rejected: readonly RejectedGroup[];
  readonly rejectedRows: readonly RejectedRow[];
  readonly notes: readonly string[];
  readonly rows: readonly ListedRow[];
}

/** What a person decided about a row that fits doubtfully: the case that it means, or that it means none of those proposed. */
export interface ListDecision {
  readonly line: number;
  readonly caseKey: string | null;
}

export const LIST_ROW_STATES = ['matched', 'no usable SpO2', 'to be decided', 'missing', 'twice in the list', 'rejected'] as const;
export type ListRowState = (typeof LIST_ROW_STATES)[number];

export const LIBRARY_CASE_STATES = ['not in the list', 'twice in the library'] as const;
export type LibraryCaseState = (typeof LIBRARY_CASE_STATES)[number];

/** A case that a row may mean, with what is against it. */
export interface ProposedMatch {
  readonly caseKey: string;
  readonly caseId: string;
  readonly date: string | null;
  readonly doubts: readonly string[];
}

/** What became of one row of the list. */
export interface ReconciledRow {
  readonly line: number;
  /** '' for a rejected row. */
  readonly key: string;
  readonly date: string | null;
  readonly state: ListRowState;
  /** In words; '' for a match without remarks. */
  readonly reason: string;
  readonly caseKey: string | null;
  readonly caseId: string | null;
  readonly caseDate: string | null;
  /** Every doubtful match, also of a row that a person decided. */
  readonly proposals: readonly ProposedMatch[];
  readonly decision: 'accepted' | 'refused' | null;
}

/** A case of the library that no row means, or that seems to be there twice. */
export interface ReconciledCase {
  readonly caseKey: string;
  readonly caseId: string;
  readonly date: string | null;
  readonly state: LibraryCaseState;
  readonly reason: string;
}

/** A list held against the library. */
export interface CaseListResult {
  readonly list: Omit<ReadCaseList, 'rows' | 'rejectedRows'>;
  /** Every row that was read, in the order of the list: each in one state. */
  readonly rows: readonly ReconciledRow[];
  readonly cases: readonly ReconciledCase[];
  readonly counts: Readonly<Record<ListRowState | LibraryCaseState, number>>;
  readonly libraryCases: number;
}
