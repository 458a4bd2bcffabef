import { MARK } from '../../core/model/channel.ts';
import type { Channel } from '../../core/model/channel.ts';
import { QUANTITY_FACTS } from '../../core/model/quantity.ts';
import type { Quantity } from '../../core/model/quantity.ts';
import { siteKey } from '../../core/model/site.ts';
import type { Site } from '../../core/model/site.ts';

/**
 * One cell of an invented export: a number; `null` for an empty cell; `'---'` for one of the export's fillers;
 * `'no row'` for a row that is not there at all; `{ flagged: 97 }` for a value that the export itself doubts.
 */
export type Cell = number | null | '---' | 'no row' | { readonly flagged: number };

export interface ChannelSpec {
  readonly quantity: Quantity;
  readonly site?: Site;
  readonly sensor?: string;
  readonly channelId?: string;
  readonly label?: string;
  readonly layout?: 'wide' | 'long';
  readonly sourceIndex?: number;
}

/** Returns `channelId` as the readers make it: `spo2@finger`, `heart-rate`. */
export function channelIdOf(spec: ChannelSpec): string {
  if (spec.channelId !== undefined) return spec.channelId;
  if (!QUANTITY_FACTS[spec.quantity].ofSensor) return spec.quantity;
  return `${spec.quantity}@${siteKey({ site: spec.site ?? 'unstated', sensor: spec.sensor ?? '' })}`;
}

/** Returns a channel from (second, cell) pairs in time order. Sensor quantities without a site are put at `unstated`. */
export function channelAt(spec: ChannelSpec, points: readonly (readonly [number, Cell])[]): Channel {
  const kept = points.filter(([, cell]) => cell !== 'no row');
  const tMs = new Float64Array(kept.length);
  const value = new Float64Array(kept.length);
  const mark = new Uint8Array(kept.length);
  const line = new Uint32Array(kept.length);
  kept.forEach(([second, cell], i) => {
    tMs[i] = second * 1000;
    line[i] = i + 2;
    if (typeof cell === 'number') value[i] = cell;
    else if (cell === null || cell === 'no row') [value[i], mark[i]] = [NaN, MARK.empty];
    else if (cell === '---') [value[i], mark[i]] = [NaN, MARK.sentinel];
    else [value[i], mark[i]] = [cell.flagged, MARK.flagged];
  });
  return channelOf(spec, { tMs, value, mark, line });
}

/** Returns a channel with one cell every `intervalS` seconds from `startS` on. */
export function regularChannel(spec: ChannelSpec, cells: readonly Cell[], intervalS = 1, startS = 0): Channel {
  return channelAt(
    spec,
    cells.map((cell, i) => [startS + i * intervalS, cell] as const),
  );
}

/** Returns a channel over arrays already made; marks and lines are filled in where left out (NaN becomes an empty cell). */
export function channelOf(
  spec: ChannelSpec,
  arrays: { tMs: Float64Array; value: Float64Array; mark?: Uint8Array; line?: Uint32Array },
): Channel {
  const { tMs, value } = arrays;
  const facts = QUANTITY_FACTS[spec.quantity];
  return {
    channelId: channelIdOf(spec),
    quantity: spec.quantity,
    label: spec.label ?? facts.name,
    unit: facts.unit,
    site: facts.ofSensor ? (spec.site ?? 'unstated') : null,
    sensor: spec.sensor ?? '',
    sourceIndex: spec.sourceIndex ?? 0,
    layout: spec.layout ?? 'wide',
    tMs,
    value,
    mark: arrays.mark ?? Uint8Array.from(value, (v) => (Number.isNaN(v) ? MARK.empty : MARK.none)),
    line: arrays.line ?? Uint32Array.from(tMs, (_, i) => i + 2),
  };
}

/** Returns `count` times the same cell: `[...repeat(97, 10), ...repeat(null, 3)]`. */
export function repeat(cell: Cell, count: number): Cell[] {
  return Array.from({ length: count }, () => cell);
}

/** Returns numbers that change at every sample (so that nothing looks held): base, base + 1, base, … */
export function alternating(base: number, count: number, step = 1): number[] {
  return Array.from({ length: count }, (_, i) => base + (i % 2) * step);
}
