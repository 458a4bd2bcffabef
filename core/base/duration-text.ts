import type { Range3 } from './interval.ts';
import { numberText } from './number-text.ts';

const SECOND_MS = 1000;
const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;

/**
 * Returns a length of time in words: "8.5 s", "40 s", "1 min 40 s", "2 h 5 min".
 * Units    ms in. Below 10 s a fraction keeps one decimal; from 1 h on seconds are rounded away.
 * Missing  null or NaN reads '–'.
 */
export function durationText(ms: number | null): string {
  if (ms === null || !Number.isFinite(ms)) return '–';
  if (ms < 0) return `\u2212${durationText(-ms)}`;
  const tenths = Math.round(ms / 100);
  if (tenths < 100 && tenths % 10 !== 0) return `${numberText(tenths / 10, 1)} s`;
  const seconds = Math.round(ms / SECOND_MS);
  if (seconds < 60) return `${seconds} s`;
  if (seconds < 3600) return joined(Math.floor(seconds / 60), 'min', seconds % 60, 's');
  const minutes = Math.round(ms / MINUTE_MS);
  return joined(Math.floor(minutes / 60), 'h', minutes % 60, 'min');
}

function joined(large: number, largeUnit: string, small: number, smallUnit: string): string {
  return small === 0 ? `${numberText(large)} ${largeUnit}` : `${numberText(large)} ${largeUnit} ${small} ${smallUnit}`;
}

/** Returns a length of an hour or more with its seconds: "1 h 17 min 45 s". */
function withSeconds(ms: number): string {
  const seconds = Math.round(ms / SECOND_MS);
  return `${numberText(Math.floor(seconds / 3600))} h ${Math.floor(seconds / 60) % 60} min ${seconds % 60} s`;
}

/**
 * Returns the limits of a range: "20–40 s", "1 min 20 s – 1 min 40 s"; one text when both limits are the same. Limits that only minutes
 * make alike bear their seconds ("1 h 17 min 45 s – 1 h 18 min 15 s"): a range never reads as if nothing were uncertain.
 */
export function limitsText(range: Pick<Range3, 'low' | 'high'>): string {
  const low = durationText(range.low);
  const high = durationText(range.high);
  if (low === high) {
    const isHidden = range.low >= HOUR_MS && withSeconds(range.low) !== withSeconds(range.high);
    return isHidden ? `${withSeconds(range.low)} – ${withSeconds(range.high)}` : low;
  }
  const lowPart = /^([\d.]+) (s|min|h)$/.exec(low);
  const highPart = /^([\d.]+) (s|min|h)$/.exec(high);
  if (lowPart && highPart && lowPart[2] === highPart[2]) return `${lowPart[1]}–${highPart[1]} ${highPart[2]}`;
  return `${low} – ${high}`;
}

/** Returns a range with its stated estimate: "20–40 s, mid 30 s"; only the estimate when there is nothing uncertain. */
export function rangeText(range: Range3): string {
  const limits = limitsText(range);
  const mid = durationText(range.mid);
  return limits === mid ? mid : `${limits}, mid ${mid}`;
}

/** Returns how long before an onset something stood: "3 min 20 s before", or "after" for a negative lead. */
export function leadText(leadMs: number): string {
  if (Math.round(leadMs / SECOND_MS) === 0) return 'at the onset';
  return leadMs > 0 ? `${durationText(leadMs)} before` : `${durationText(-leadMs)} after the onset`;
}

/** Returns a recording interval: "every 10 s", or "irregular" for null. */
export function intervalText(intervalMs: number | null): string {
  return intervalMs === null ? 'irregular' : `every ${durationText(intervalMs)}`;
}
