import type { Channel } from '../../core/model/channel.ts';
import type { Site } from '../../core/model/site.ts';
import { channelAt } from './channel.ts';
import type { Cell } from './channel.ts';

/** A time, in seconds, in which a sensor truly gave no information: from `fromS` (included) to `toS` (excluded). */
export interface TrueLoss {
  readonly fromS: number;
  readonly toS: number;
}

export interface RecordingSpec {
  readonly intervalS: number;
  /** Time of the first row. */
  readonly phaseS: number;
  readonly rows: number;
  /** How the export writes a lost value. */
  readonly lostAs: null | '---' | 'no row';
  readonly site?: Site;
  readonly sensor?: string;
}

/** Returns the SpO2 channel that a recorder would have kept of a sensor with the given true losses. */
export function recorded(spec: RecordingSpec, losses: readonly TrueLoss[], spo2 = 97): Channel {
  return channelAt(
    { quantity: 'spo2', site: spec.site ?? 'finger', sensor: spec.sensor ?? '', layout: spec.lostAs === 'no row' ? 'long' : 'wide' },
    Array.from({ length: spec.rows }, (_, i) => {
      const atS = spec.phaseS + i * spec.intervalS;
      const isLost = losses.some((loss) => atS >= loss.fromS && atS < loss.toS);
      const cell: Cell = isLost ? spec.lostAs : spo2 - (i % 2);
      return [atS, cell] as const;
    }),
  );
}

/** Returns a channel of another quantity that never fails on the same rows: the proof that the recorder ran. */
export function running(spec: RecordingSpec, quantity: 'heart-rate' | 'etco2' = 'heart-rate'): Channel {
  return channelAt({ quantity }, Array.from({ length: spec.rows }, (_, i) => [spec.phaseS + i * spec.intervalS, 60 + (i % 7)] as const));
}

/** Returns how much of the true losses lies between two instants, in seconds. */
export function trulyLostS(losses: readonly TrueLoss[], fromS: number, toS: number): number {
  return losses.reduce((sum, loss) => sum + Math.max(0, Math.min(loss.toS, toS) - Math.max(loss.fromS, fromS)), 0);
}
