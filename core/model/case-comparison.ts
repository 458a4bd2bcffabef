import type { CaseMs } from '../base/brand.ts';
import type { Interval, Range3 } from '../base/interval.ts';
import type { CaseOrigin } from './case.ts';
import type { RestoredBy } from './analysis.ts';

/** What became of one thing between two readings of a case. */
export type ChangeState = 'added' | 'removed' | 'changed' | 'same';

/** How the rows of one channel differ. `rowsAfter` = `rowsBefore` − `rowsRemoved` + `rowsAdded`. */
export interface ChannelChange {
  readonly channelId: string;
  readonly label: string;
  readonly unit: string;
  readonly state: ChangeState;
  readonly rowsBefore: number;
  readonly rowsAfter: number;
  readonly rowsAdded: number;
  readonly rowsRemoved: number;
  /** Rows of one instant whose value, or whose mark, differs. */
  readonly rowsChanged: number;
  /** First row that differs, in the earlier case's time; null when none does. */
  readonly firstMs: CaseMs | null;
  /** What is otherwise said of the channel and now differs: "unit: mmHg → kPa". */
  readonly facts: readonly string[];
}

/** One event or drug as a person would compare it. */
export interface EntryState {
  readonly atMs: CaseMs;
  readonly endMs: CaseMs | null;
  /** The text as written. */
  readonly text: string;
  /** What it was read as, in words. */
  readonly reading: string;
}

export interface EntryChange {
  readonly state: Exclude<ChangeState, 'same'>;
  readonly before: EntryState | null;
  readonly after: EntryState | null;
}

/** The counts are complete; of the changes at most `MAX_LISTED_CHANGES` are listed. */
export interface ListedChanges<T> {
  readonly before: number;
  readonly after: number;
  readonly added: number;
  readonly removed: number;
  readonly changed: number;
  readonly list: readonly T[];
}

export interface DropoutState {
  readonly firstLostMs: CaseMs;
  readonly firstGoodMs: CaseMs | null;
  readonly lostMs: Range3;
  readonly restoredBy: RestoredBy;
}

/** A dropout of one sensor, or with `siteKey` 'case' a blind interval. */
export interface DropoutChange {
  readonly siteKey: string;
  readonly state: Exclude<ChangeState, 'same'>;
  readonly before: DropoutState | null;
  readonly after: DropoutState | null;
}

/** More single changes than anyone reads before deciding. */
export const MAX_LISTED_CHANGES = 200;

/**
 * What differs between a stored case and a new reading of a case of the same name.
 * Units   all times are in ms of the earlier case's own time, whatever the origin of the later one.
 */
export interface CaseComparison {
  /** Nothing differs that is drawn, listed or counted. Lines, file names and remarks of the reading are not looked at. */
  readonly isSame: boolean;
  /** The new reading holds nothing that the stored case does not hold, and lacks only what came from files that it did not read. */
  readonly isContained: boolean;
  /** How the two were laid beside each other: by date, by the record's clock, or first row on first row. */
  readonly alignedBy: 'date' | 'clock' | 'first row';
  /** Every time of the new reading lies so much later than in the stored case, and nothing else of its times differs; 0 otherwise. */
  readonly movedMs: number;
  /** The stored case's origin: what its times are. */
  readonly origin: CaseOrigin;
  readonly span: { readonly before: Interval | null; readonly after: Interval | null };
  readonly channels: readonly ChannelChange[];
  readonly events: ListedChanges<EntryChange>;
  readonly drugs: ListedChanges<EntryChange>;
  /** null when one of the two has no analysis. */
  readonly dropouts: ListedChanges<DropoutChange> | null;
  /** Zone, clock and columns of a case list: "zone: UTC → Europe/Oslo". */
  readonly facts: readonly string[];
  /** Clocks that a person had set in the stored case: the new reading is compared, and would be stored, with them. */
  readonly clocksKept: readonly { readonly source: string; readonly offsetMs: number }[];
  /** Files, by digest: names of those only the new reading has, names of those only the stored case has, and how many both have. */
  readonly sources: { readonly added: readonly string[]; readonly removed: readonly string[]; readonly same: number };
}
