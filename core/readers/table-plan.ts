import type { IdentifierKind } from '../identity/identifier-heading.ts';
import type { Guess, Withheld } from '../model/import-report.ts';
import type { DateOrder, DecimalMark } from '../model/mapping.ts';
import type { Quantity } from '../model/quantity.ts';
import type { Site } from '../model/site.ts';
import type { CodeLabels } from './code-table.ts';
import type { JoinedPressure } from './joined-pressures.ts';
import type { ColumnProfile, SampleRow } from './sample-table.ts';

/** What a column is used for. */
export type ColumnRole =
  | 'value'
  | 'ignore'
  | 'time'
  | 'clock'
  | 'end time'
  | 'case'
  | 'name'
  | 'number'
  | 'unit'
  | 'site'
  | 'sensor'
  | 'flag'
  | 'text'
  | 'drug'
  | 'dose'
  | 'dose unit'
  | 'rate'
  | 'rate unit'
  | 'route'
  | 'action'
  | 'identifier'
  | 'attribute';

export interface ColumnPlan {
  readonly index: number;
  /** The heading as the file has it, or `column 46` where it names none. */
  readonly heading: string;
  readonly unit: string;
  role: ColumnRole;
  quantity: Quantity | null;
  site: Site;
  sensor: string;
  /** Why it is not used, for the report. */
  because: string;
  /** What it holds of a person, and what is done with it; null for both where it identifies nobody. */
  identity: IdentifierKind | null;
  handling: Withheld['done'] | null;
  readonly profile: ColumnProfile;
}

/** How a time column is written. `ms` and hours are met in files but cannot be stated in a mapping. */
export type TimeForm = 'timestamp' | 'time of day' | 'elapsed s' | 'elapsed min' | 'elapsed ms' | 'elapsed h' | 'elapsed hms' | 'elapsed m:ss' | 'unix s' | 'unix ms' | 'excel day';

export interface TimePlan {
  readonly form: TimeForm;
  readonly column: number;
  /** Column of the clock time where date and time stand apart; -1 otherwise. */
  readonly clockColumn: number;
  order: DateOrder;
  /** False: the sample holds dates that allow more than one order. */
  isOrderProven: boolean;
  /** Set where times were read as elapsed only because they start at nought; the guess to show when other files decide for a clock. */
  readonly asTimeOfDay?: Guess | undefined;
  /** Times read from day numbers are rounded to this. */
  readonly resolutionMs: number;
}

export type TableShape = 'wide' | 'long' | 'entries' | 'case list' | 'code table';

export interface TablePlan {
  readonly shape: TableShape;
  /** Byte between cells; -1 for an aligned log. */
  readonly delimiter: number;
  readonly decimal: DecimalMark;
  readonly columns: readonly ColumnPlan[];
  readonly headings: readonly string[];
  readonly headingLines: readonly number[];
  readonly unitLine: number | null;
  /** Rows before this physical line are headings and preamble. */
  readonly firstDataLine: number;
  readonly preambleLines: readonly number[];
  readonly time: TimePlan | null;
  readonly guesses: Guess[];
  readonly notes: string[];
  readonly sample: readonly SampleRow[];
  /** Starts and ends of the heading words of an aligned log. */
  readonly spans: readonly { readonly start: number; readonly end: number }[];
  /** Set where a column holds codes that another file explains. */
  readonly codes: (CodeLabels & { readonly column: number }) | null;
  /** Columns whose cells hold more than one pressure; the figures are read from columns of their own behind those of the file. */
  readonly pressures: readonly JoinedPressure[];
}
