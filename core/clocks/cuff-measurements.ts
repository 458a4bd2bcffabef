import type { Quantity } from '../model/quantity.ts';
import { median } from '../stats/quantile.ts';
import type { ClockSource } from './clock-source.ts';

/** One cuff measurement as one source has it. */
export interface CuffMeasurement {
  /** Case time. */
  readonly atMs: number;
  readonly sys: number;
  readonly dia: number;
}

/** The cuff measurements of one source. */
export interface CuffMeasurements {
  readonly name: string;
  readonly list: readonly CuffMeasurement[];
  /** The finest part of time in which they are stamped: a minute where every stamp is a whole one. */
  readonly stampMs: number;
}

const STAMPS_MS = [60_000, 10_000, 1000] as const;

/**
 * Returns the measurements in which both systolic and diastolic cuff pressure stand, null where there is none. Where a wide table
 * repeats the last measurement on every row, the first row of each run counts.
 * Units   ms of case time, mmHg.
 */
export function cuffMeasurements({ channels, shiftMs }: ClockSource): CuffMeasurements | null {
  const sys = valuesOf(channels, 'nibp-sys');
  const dia = valuesOf(channels, 'nibp-dia');
  const all = [...sys.byTime].sort(([a], [b]) => a - b).flatMap(([tMs, own]): CuffMeasurement[] => {
    const low = dia.byTime.get(tMs);
    return low === undefined ? [] : [{ atMs: tMs + shiftMs, sys: own, dia: low }];
  });
  if (all.length === 0) return null;
  const times = all.map(({ atMs }) => atMs - shiftMs);
  return { name: sys.name, list: withoutRepeats(all), stampMs: STAMPS_MS.find((step) => times.every((t) => t % step === 0)) ?? 1 };
}

function valuesOf(channels: ClockSource['channels'], quantity: Quantity): { readonly name: string; readonly byTime: ReadonlyMap<number, number> } {
  const byTime = new Map<number, number>();
  const own = channels.filter((channel) => channel.quantity === quantity);
  for (const { tMs, value } of own) {
    for (let i = 0; i < tMs.length; i++) {
      const v = value[i] ?? NaN;
      const t = tMs[i] ?? NaN;
      if (!Number.isNaN(v) && !byTime.has(t)) byTime.set(t, v);
    }
  }
  return { name: own[0]?.label ?? '', byTime };
}

/** A measurement that stands on most rows is one that is carried on. */
function withoutRepeats(all: readonly CuffMeasurement[]): CuffMeasurement[] {
  const isSame = (i: number): boolean => all[i]?.sys === all[i - 1]?.sys && all[i]?.dia === all[i - 1]?.dia;
  const repeats = all.filter((_, i) => i > 0 && isSame(i)).length;
  if (repeats < all.length / 2) return [...all];
  const stepMs = median(all.slice(1).map(({ atMs }, i) => atMs - (all[i]?.atMs ?? NaN))) ?? 0;
  return all.filter(({ atMs }, i) => i === 0 || !isSame(i) || atMs - (all[i - 1]?.atMs ?? NaN) > 3 * stepMs);
}
