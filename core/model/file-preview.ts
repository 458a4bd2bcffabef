import type { SourceKind } from './case.ts';
import type { DrugRecord } from './drug.ts';
import type { EventKind } from './event.ts';
import type { FileReport, Guess, Withheld } from './import-report.ts';
import type { DateOrder, DecimalMark, TimeKind } from './mapping.ts';
import type { Quantity } from './quantity.ts';
import type { Site } from './site.ts';

/** What a row of a file, or one of its cells, becomes. */
export type PreviewOutcome =
  | {
      readonly kind: 'value';
      /** Index among the columns; -1 where the row as a whole is one value. */
      readonly column: number;
      readonly quantity: Quantity;
      /** null for quantities that no oximeter sensor makes. */
      readonly site: Site | null;
      readonly sensor: string;
      readonly unit: string;
      readonly value: number;
      /** The export's own artefact flag stands beside it; the value is kept and marked. */
      readonly isFlagged: boolean;
      /** Brought to the unit shown by a factor (a fraction to per cent, kPa to mmHg). */
      readonly isConverted: boolean;
    }
  | {
      readonly kind: 'missing';
      readonly column: number;
      readonly quantity: Quantity;
      readonly site: Site | null;
      readonly sensor: string;
      readonly why: 'empty' | 'filler';
      readonly isFlagged: boolean;
    }
  | {
      readonly kind: 'drug';
      readonly inn: string | null;
      readonly isVasopressor: boolean;
      readonly form: DrugRecord['form'];
      readonly amount: number | null;
      readonly unit: string;
      readonly route: string | null;
      readonly flags: readonly string[];
      readonly text: string;
    }
  | { readonly kind: 'event'; readonly event: EventKind; readonly term: string; readonly phase: 'start' | 'end' | 'moment'; readonly site: string | null; readonly text: string }
  /** A row of a case list: facts of a case. */
  | { readonly kind: 'facts' }
  | { readonly kind: 'rejected'; readonly reason: string }
  /** Accepted, and nothing of its own is kept. */
  | { readonly kind: 'nothing'; readonly why: string };

export interface PreviewRow {
  /** Physical line in the file. */
  readonly line: number;
  readonly part: 'preamble' | 'headings' | 'units' | 'row';
  /** The cells as they stand, long ones cut; null for a cell that is not kept because it names a person. */
  readonly cells: readonly (string | null)[];
  /** ms in the file's own clock with the offset set by hand added; null where the row has no time. */
  readonly timeMs: number | null;
  readonly becomes: readonly PreviewOutcome[];
}

export interface PreviewColumn {
  /** -1 for a name of a long table, which stands in the cells of a column and is settled as a column is. */
  readonly index: number;
  /** `column 3` for a column without one. */
  readonly heading: string;
  /** What rules call it: the heading, or `column 3` where several columns share one. */
  readonly key: string;
  /** What the column is used for, as the planner has it; '' where the table was not understood. */
  readonly role: string;
  readonly readAs: string;
  readonly quantity: Quantity | null;
  readonly site: Site | null;
  readonly sensor: string;
  readonly unit: string;
  /** 'stated' by a person, 'assumed' and the others as a guess has it, 'known' by its heading, 'unknown' where nobody knows. */
  readonly certainty: 'stated' | 'known' | Guess['certainty'] | 'unknown';
  /** Why, where there is something to say. */
  readonly because: string;
  /** Different texts of its cells: the most frequent numbers, then the most frequent words. */
  readonly examples: readonly string[];
  readonly isWithheld: boolean;
}

/** A phrase of a drug or event entry that the dictionary did not know. */
export interface PreviewPhrase {
  readonly text: string;
  readonly kind: 'drug' | 'event';
  readonly count: number;
  readonly firstLine: number;
}

/** So many rows are shown from the start of a file, of a very wide table fewer. */
export const FIRST_ROWS = 100;

/** What the head of a file becomes under given rules: plain data. */
export interface FilePreview {
  readonly file: string;
  /** Kind of table or carrier; '' where the file was not understood. */
  readonly layout: string;
  readonly kind: SourceKind;
  readonly encoding: string;
  readonly delimiter: string;
  readonly decimalMark: DecimalMark | null;
  /** null where no date of the file needs an order. */
  readonly dateOrder: DateOrder | null;
  /** How times are written; forms that a mapping cannot state are named as well. */
  readonly timeForm: TimeKind | 'elapsed ms' | 'elapsed h' | null;
  /** What the times are. */
  readonly clock: 'absolute' | 'time of day' | 'elapsed' | null;
  /** The zone in which they are to be shown, and who stated it. */
  readonly zone: { readonly name: string; readonly basis: 'stated' | 'offset' | 'none' };
  readonly headings: readonly string[];
  readonly columns: readonly PreviewColumn[];
  /** The first rows, then further ones that have something to look at. */
  readonly rows: readonly PreviewRow[];
  readonly rowsRead: number;
  readonly rowsAccepted: number;
  readonly rowsRejected: number;
  /** The whole file was read for this, not only its head. */
  readonly isWhole: boolean;
  readonly guesses: readonly Guess[];
  readonly notes: readonly string[];
  readonly unknownPhrases: readonly PreviewPhrase[];
  /** Left out by readers that look for no identifiers. */
  readonly withheld?: readonly Withheld[] | undefined;
  readonly failure: FileReport['failure'];
}
