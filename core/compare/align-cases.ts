import type { CaseMs } from '../base/brand.ts';
import type { CaseOrigin, CaseRecord } from '../model/case.ts';
import type { CaseComparison } from '../model/case-comparison.ts';

/** How a later reading's times are brought into the earlier case's time: `at + shiftMs`. */
export interface Alignment {
  readonly by: CaseComparison['alignedBy'];
  readonly shiftMs: number;
  /** See `CaseComparison.movedMs`. */
  readonly movedMs: number;
}

/**
 * Returns how two readings lie beside each other. Where their clocks set no row of the one on a row of the other while all their
 * rows keep the same distances, the clock alone was read otherwise: they are laid first row on first row.
 */
export function alignCases(before: CaseRecord, after: CaseRecord): Alignment {
  const byOrigin = originShift(before.origin, after.origin);
  if (byOrigin === null) return { by: 'first row', shiftMs: 0, movedMs: 0 };
  const { shiftMs, by } = byOrigin;
  if (shiftMs === 0 || sharesRow(before, after, shiftMs) || !haveSamePace(before, after)) return { by, shiftMs, movedMs: 0 };
  return { by: 'first row', shiftMs: 0, movedMs: shiftMs };
}

function originShift(before: CaseOrigin, after: CaseOrigin): { readonly by: 'date' | 'clock'; readonly shiftMs: number } | null {
  if (before.epochMs !== null && after.epochMs !== null) return { by: 'date', shiftMs: after.epochMs - before.epochMs };
  if (before.clock === after.clock) return { by: 'clock', shiftMs: after.originOffsetMs - before.originOffsetMs };
  return null;
}

function sharesRow(before: CaseRecord, after: CaseRecord, shiftMs: number): boolean {
  return after.channels.some((channel) => {
    const partner = before.channels.find((other) => other.channelId === channel.channelId);
    return partner !== undefined && haveCommonTime(partner.tMs, channel.tMs, shiftMs);
  });
}

function haveCommonTime(a: Float64Array, b: Float64Array, shiftMs: number): boolean {
  for (let i = 0, j = 0; i < a.length && j < b.length; ) {
    const gap = timeAt(a, i) - (timeAt(b, j) + shiftMs);
    if (gap === 0) return true;
    if (gap < 0) i += 1;
    else j += 1;
  }
  return false;
}

/** Whether both have the same channels with rows at the same distances from their first rows. */
function haveSamePace(before: CaseRecord, after: CaseRecord): boolean {
  if (before.channels.length === 0 || before.channels.length !== after.channels.length) return false;
  return after.channels.every((channel) => {
    const partner = before.channels.find((other) => other.channelId === channel.channelId);
    return partner !== undefined && partner.tMs.length === channel.tMs.length && partner.tMs.every((at, i) => at === channel.tMs[i]);
  });
}

/** Returns a time that is known to be there. */
export function timeAt(times: Float64Array, index: number): CaseMs {
  return times[index] ?? Number.NaN;
}
