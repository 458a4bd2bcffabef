import { MARK } from '../model/channel.ts';
import type { PartChannel } from '../model/case-part.ts';
import { QUANTITY_FACTS, type Quantity } from '../model/quantity.ts';
import { median } from '../stats/quantile.ts';
import type { ClockSource } from './clock-source.ts';

/** The plausible values of one quantity of one source, in the order of time. */
export interface Course {
  readonly name: string;
  readonly quantity: Quantity;
  /** Case time, rising. */
  readonly tMs: Float64Array;
  readonly value: Float64Array;
  /** Median of the time between neighbouring values. */
  readonly stepMs: number;
}

/** Fewer values than this have no course. */
const LEAST_VALUES = 30;

/**
 * Returns the course of a channel, null where it has fewer than 30 plausible values that the export did not flag.
 * Units   case time in ms, values in the quantity's own unit.
 */
export function courseOf({ quantity, label, tMs, value, mark }: PartChannel, { shiftMs }: Pick<ClockSource, 'shiftMs'>): Course | null {
  const range = QUANTITY_FACTS[quantity].plausible;
  const t: number[] = [];
  const v: number[] = [];
  for (let i = 0; i < tMs.length; i++) {
    const own = value[i] ?? NaN;
    if (Number.isNaN(own) || ((mark[i] ?? 0) & MARK.flagged) !== 0 || (range !== null && (own < range[0] || own > range[1]))) continue;
    t.push((tMs[i] ?? NaN) + shiftMs);
    v.push(own);
  }
  if (t.length < LEAST_VALUES) return null;
  const stepMs = median(t.slice(1).map((at, i) => at - (t[i] ?? NaN))) ?? NaN;
  return { name: label, quantity, tMs: Float64Array.from(t), value: Float64Array.from(v), stepMs };
}
