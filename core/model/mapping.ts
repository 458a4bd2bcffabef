import type { SourceKind } from './case.ts';
import type { Quantity } from './quantity.ts';
import type { Site } from './site.ts';

export type DateOrder = 'ymd' | 'dmy' | 'mdy';
export type DecimalMark = '.' | ',';
export type TimeKind = 'timestamp' | 'time of day' | 'elapsed s' | 'elapsed min' | 'elapsed hms' | 'unix s' | 'unix ms' | 'excel day';

/** What a column is taken as, when a person says so. */
export interface ColumnReading {
  /** 'ignore' leaves the column out; 'time', 'case' … are roles. */
  readonly role?: 'value' | 'ignore' | 'time' | 'date' | 'case' | 'name' | 'number' | 'unit' | 'site' | 'flag' | 'text' | 'drug' | 'dose' | 'route' | undefined;
  readonly quantity?: Quantity | undefined;
  readonly site?: Site | undefined;
  readonly sensor?: string | undefined;
  readonly unit?: string | undefined;
}

/** A clock that is wrong by more than a leap year is no offset but a wrong date order or a wrong file. */
export const MAX_CLOCK_OFFSET_S = 366 * 86_400;

/** What a person says about how a file is to be read; anything left out is worked out by the product. */
export interface ReadingRules {
  readonly kind?: SourceKind | undefined;
  readonly encoding?: string | undefined;
  readonly delimiter?: string | undefined;
  readonly decimalMark?: DecimalMark | undefined;
  readonly dateOrder?: DateOrder | undefined;
  readonly timeKind?: TimeKind | undefined;
  readonly zone?: string | undefined;
  readonly caseId?: string | undefined;
  /** Seconds added to every time of the file: positive where its clock was behind, negative where it was ahead. */
  readonly clockOffsetS?: number | undefined;
  /** Keyed by the heading as the file has it; in a long table also by the name cell. */
  readonly columns?: Readonly<Record<string, ColumnReading>> | undefined;
}

/** Rules for files of one shape. The first entry whose `match` fits is used; an empty match fits every file. */
export interface Mapping {
  readonly schema: 'lacuna-mapping/1';
  readonly name: string;
  readonly files: readonly {
    readonly match: {
      /** Every one of these headings must be there. */
      readonly headings?: readonly string[] | undefined;
      /** Exact file name, or a pattern with `*`. */
      readonly fileName?: string | undefined;
    };
    readonly reading: ReadingRules;
  }[];
}
