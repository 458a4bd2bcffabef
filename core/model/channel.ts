import type { CaseMs } from '../base/brand.ts';
import type { ValueMaking } from './mapping.ts';
import type { Quantity } from './quantity.ts';
import type { Site } from './site.ts';

/** Why a sample has no usable number, or what the export says about it. Bits of `Channel.mark`. */
export const MARK = {
  /** A number as recorded. */
  none: 0,
  /** The row is there and this cell is empty. */
  empty: 1,
  /** One of the export's fillers (`---`, 127, 0 where 0 is no measurement). */
  sentinel: 2,
  /** The export's own artefact or "sensor off" flag stands beside the value; the value is kept. */
  flagged: 4,
  /** The number was decided by a correction at import (fraction to per cent, kPa to mmHg). */
  converted: 8,
} as const;

/**
 * One quantity at one sensor over time, as imported: frozen, never edited.
 * Shape   all four arrays have the same length; `tMs` strictly increases. Channels of one table may share `tMs` and `line`.
 * Units   `value` in the quantity's canonical unit.
 * Missing `value` is NaN for an empty or filler cell. A row that is not there at all has no sample.
 */
export interface Channel {
  /** Stable inside a case: `spo2@finger`, `spo2@unstated 2`, `heart-rate`. */
  readonly channelId: string;
  readonly quantity: Quantity;
  /** The column's or row's name as the file has it. */
  readonly label: string;
  readonly unit: string;
  /** null for quantities that no oximeter sensor makes. */
  readonly site: Site | null;
  /** See SensorPlace.sensor; '' elsewhere. */
  readonly sensor: string;
  readonly sourceIndex: number;
  /** 'wide': a sample exists for every row of the table; 'long': only for rows that name this channel. */
  readonly layout: 'wide' | 'long';
  /** How the record keeper made its values, as a mapping states it. Left out: not stated. */
  readonly valueMaking?: ValueMaking | undefined;
  /** How long the device went on showing its last value, seconds, as a mapping states it. Left out: the parameter of the analysis. */
  readonly deviceHoldS?: number | undefined;
  readonly tMs: Float64Array;
  readonly value: Float64Array;
  readonly mark: Uint8Array;
  /** Physical line of each sample in its source file. */
  readonly line: Uint32Array;
}

/** A sample's time and place, for sentences. */
export interface SampleRef {
  readonly channelId: string;
  readonly index: number;
  readonly atMs: CaseMs;
}
