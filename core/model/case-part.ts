import type { Channel } from './channel.ts';

/** A channel as one file has it. */
export type PartChannel = Omit<Channel, 'channelId' | 'sourceIndex'>;

/** When an event or a drug began and, where that is known, ended, by the file's own clock. */
export type EntryTime = readonly [tMs: number, endMs: number | null];

/**
 * What one source gave to its case, its times as its own clock has them: with the events and drugs of the case itself it is
 * enough to put the case together anew when the clock of a source turns out to be wrong, after the file is gone.
 * Shape   one for each source of the case, in the same order. Arrays that went into the case unchanged are shared with it.
 */
export interface CasePart {
  /** null when the source holds no times. */
  readonly clock: 'absolute' | 'time of day' | 'elapsed' | null;
  /** Its times count from nought and may as well be those of a clock: the other sources decide. */
  readonly mayBeTimeOfDay: boolean;
  readonly zone: { readonly name: string; readonly basis: 'stated' | 'offset' | 'none' };
  /** Nothing in the file tells day and month apart. */
  readonly canSwapDayAndMonth: boolean;
  readonly channels: readonly PartChannel[];
  /** In the order in which the events of this source stand in the case. */
  readonly eventTimes: readonly EntryTime[];
  /** In the order in which the drugs of this source stand in the case. */
  readonly drugTimes: readonly EntryTime[];
  readonly nDuplicates: number;
  readonly nConflicts: number;
  readonly firstConflictLine: number | null;
}
