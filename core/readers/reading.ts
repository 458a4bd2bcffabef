import type { CodeColumn, CodeTable } from './code-table.ts';
import type { SourceKind } from '../model/case.ts';
import type { EventKind } from '../model/event.ts';
import type { FileReport, Guess, RejectedRow } from '../model/import-report.ts';
import type { DrugRecord } from '../model/drug.ts';
import type { ValueMaking } from '../model/mapping.ts';
import type { Quantity } from '../model/quantity.ts';
import type { Site } from '../model/site.ts';
import type { AsideContent, ShelvedContent, ShelvedRows } from './shelf.ts';

/** What the times of a file are: `absolute` in UTC ms, the others in ms from midnight of the first day or from the file's own nought. */
export type ClockKind = 'absolute' | 'time of day' | 'elapsed';

/** One channel as one file has it, times in the file's own clock. Plain data; several channels may share `tMs` and `line`. */
export interface RawChannel {
  readonly quantity: Quantity;
  readonly label: string;
  readonly unit: string;
  /** null for quantities that no oximeter sensor makes. */
  readonly site: Site | null;
  readonly sensor: string;
  readonly layout: 'wide' | 'long';
  /** As a mapping states them; left out where it does not. */
  readonly valueMaking?: ValueMaking | undefined;
  readonly deviceHoldS?: number | undefined;
  /** Strictly rising. */
  readonly tMs: Float64Array;
  readonly value: Float64Array;
  readonly mark: Uint8Array;
  readonly line: Uint32Array;
}

export interface RawEvent {
  readonly kind: EventKind;
  readonly term: string;
  readonly phase: 'start' | 'end' | 'moment';
  readonly text: string;
  readonly tMs: number;
  readonly endMs: number | null;
  readonly manual: boolean;
  readonly site: string | null;
  readonly line: number;
}

export interface RawDrug {
  readonly inn: string | null;
  readonly atc: string | null;
  readonly isVasopressor: boolean;
  readonly route: string | null;
  readonly form: DrugRecord['form'];
  readonly amount: number | null;
  readonly unit: string;
  readonly tMs: number;
  readonly endMs: number | null;
  readonly manual: boolean;
  readonly flags: readonly string[];
  readonly text: string;
  readonly line: number;
}

/** What one file says about one case. */
export interface CaseReading {
  /** The case column's text; null when the file has none and the folder names the case. */
  readonly caseKey: string | null;
  readonly channels: readonly RawChannel[];
  readonly events: readonly RawEvent[];
  readonly drugs: readonly RawDrug[];
  readonly attributes: Readonly<Record<string, string>>;
  /** Day of birth that the file states (days since 1970-01-01), for the age at the case; it goes no further than the putting together. */
  readonly bornOnDay?: number | undefined;
  /** Equal rows dropped, and instants at which two values stood. */
  readonly nDuplicates: number;
  readonly nConflicts: number;
  readonly firstConflictLine: number | null;
  /** Set when samples, events and drugs were set aside: the channels here are empty and the other lists too. */
  readonly aside?: AsideContent | undefined;
  /** Set when channels, events and drugs were put away; the lists here are empty then. */
  readonly shelved?: ShelvedContent | undefined;
}

/** One file, read: plain data that can cross a thread. Cases are put together from these by `assembleCases`. */
export interface FileReading {
  readonly source: {
    readonly relativePath: string;
    /** Path of the folder the file lies in, '' at the top. */
    readonly folder: string;
    readonly folderName: string;
    readonly name: string;
    readonly sha256: string;
    readonly byteLength: number;
    readonly kind: SourceKind;
  };
  /**
   * Set for the parts of an archive or workbook that stand in it side by side: the folder it lies in. Its parts make a folder of
   * their own, unless they belong with what lies around it (`core/pipeline/place-bundles.ts`).
   */
  readonly bundle?: { readonly folder: string; readonly folderName: string } | undefined;
  /** null when the file holds no times. */
  readonly clock: ClockKind | null;
  /**
   * Set where times were read as elapsed only because they start at nought, so that they may as well be those of a clock; the
   * guess to show when other files of the case decide for that.
   */
  readonly asTimeOfDay?: Guess | undefined;
  /** Zone in which its local times were read; `basis` says who stated it. */
  readonly zone: { readonly name: string; readonly basis: 'stated' | 'offset' | 'none' };
  /** Milliseconds to add to each of its times when cases are put together; the times here are as the file has them. */
  readonly clockOffsetMs: number;
  /** Day and month may be exchanged in every date of the file: nothing in it tells them apart. */
  readonly canSwapDayAndMonth: boolean;
  /** What tells the cases apart identifies persons: `withhold` puts codes in its place. */
  readonly areKeysMasked: boolean;
  /** What identifying cells of the file say, for `withhold` to find the same elsewhere; it never leaves the reader. */
  readonly identifiersSeen?: readonly string[] | undefined;
  /** Its columns of codes, where no list of codes explained one; `file` is the path as the host knows it. */
  readonly codeColumns?: { readonly file: string; readonly columns: readonly CodeColumn[] } | undefined;
  /** Set where the file has no times and may be a list of codes: what it lists, should any other file use it. */
  readonly codeTable?: CodeTable | undefined;
  readonly report: FileReport;
  readonly rejectedRows: readonly RejectedRow[];
  /** Set where a list of cases was read for a watch: its table there. */
  readonly listTable?: number | undefined;
  /** Set when the rejected rows were put away; the list here is empty then. */
  readonly shelvedRows?: ShelvedRows | undefined;
  readonly cases: readonly CaseReading[];
}
