import type { SourceKind } from './case.ts';
import type { EventKind } from './event.ts';
import type { Quantity } from './quantity.ts';
import type { Site } from './site.ts';

export type DateOrder = 'ymd' | 'dmy' | 'mdy';
export type DecimalMark = '.' | ',';
export type TimeKind = 'timestamp' | 'time of day' | 'elapsed s' | 'elapsed min' | 'elapsed hms' | 'elapsed m:ss' | 'unix s' | 'unix ms' | 'excel day';

/** The parts that a column can play. */
export const COLUMN_ROLES = [
  'value', 'ignore', 'time', 'date', 'end time', 'case', 'name', 'number', 'unit', 'site', 'sensor', 'flag', 'text', 'drug', 'dose', 'dose unit', 'rate', 'rate unit', 'route', 'action',
] as const;
export type ColumnRole = (typeof COLUMN_ROLES)[number];

/** What a column is taken as, when a person says so. */
export interface ColumnReading {
  /** 'ignore' leaves the column out; 'time', 'case' … are roles. */
  readonly role?: ColumnRole | undefined;
  readonly quantity?: Quantity | undefined;
  readonly site?: Site | undefined;
  readonly sensor?: string | undefined;
  readonly unit?: string | undefined;
  /** Cell texts of this column that mean "no value", beside those the product knows; the whole cell, case ignored. */
  readonly sentinels?: readonly string[] | undefined;
  /** Texts beside or in a cell that mark its value as the export's own artefact. */
  readonly flagWords?: readonly string[] | undefined;
  /** Whether a column that identifies persons, or was taken for one, is kept or left out (a case column: kept as it stands, or replaced by codes). */
  readonly identifier?: 'keep' | 'leave out' | undefined;
}

/** What a person says that a phrase of a drug or event column means, in place of what the dictionary makes of it. */
export type PhraseReading =
  | { readonly means: 'drug'; readonly inn: string; readonly isVasopressor?: boolean | undefined }
  | { readonly means: 'event'; readonly kind: EventKind; readonly term?: string | undefined; readonly phase?: 'start' | 'end' | 'moment' | undefined; readonly site?: Site | undefined }
  /** A plain note: drawn, never an exposure. */
  | { readonly means: 'note' };

/** How the record keeper made a stored value of its interval. */
export const VALUE_MAKINGS = ['snapshot', 'mean', 'median', 'hold', 'unknown'] as const;
export type ValueMaking = (typeof VALUE_MAKINGS)[number];

/** No display goes on showing an old value for longer than this without saying so; a larger figure is a slip. */
export const MAX_DEVICE_HOLD_S = 120;

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
  /** Cell texts of the whole file that mean "no value", beside those the product knows. */
  readonly sentinels?: readonly string[] | undefined;
  readonly flagWords?: readonly string[] | undefined;
  /** Keyed by the phrase as the file has it, case and outer blanks ignored. */
  readonly phrases?: Readonly<Record<string, PhraseReading>> | undefined;
  /** A fact about the file that no file tells: how each stored value came about. Left out: unknown. */
  readonly valueMaking?: ValueMaking | undefined;
  /** How long the device went on showing its last value before it blanked. Left out: the parameter of the analysis. */
  readonly deviceHoldS?: number | undefined;
  /** Keyed by the heading as the file has it; in a long table also by the name cell. */
  readonly columns?: Readonly<Record<string, ColumnReading>> | undefined;
}

/**
 * Rules for files of one shape. The first entry whose `match` fits is used; an empty match fits every file. Entries for exactly one
 * path are laid over it.
 */
export interface Mapping {
  readonly schema: 'lacuna-mapping/1';
  readonly name: string;
  readonly files: readonly {
    readonly match: {
      /** Every one of these headings must be there. */
      readonly headings?: readonly string[] | undefined;
      /** Exact file name, or a pattern with `*`. */
      readonly fileName?: string | undefined;
      /** Exactly this path below the chosen folder, and no other file. Laid over the entry that fits without it. */
      readonly path?: string | undefined;
    };
    readonly reading: ReadingRules;
    /** What reports call these rules; the mapping's own name where it is left out. */
    readonly name?: string | undefined;
  }[];
}
