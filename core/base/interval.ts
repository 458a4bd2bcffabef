import type { CaseMs } from './brand.ts';

/** A stretch of time. Which ends belong to it is said where it is used; lengths do not depend on it. */
export interface Interval {
  readonly startMs: CaseMs;
  readonly endMs: CaseMs;
}

/** A quantity of time (or of anything else) known only between limits. `mid` is the stated estimate. */
export interface Range3 {
  readonly low: number;
  readonly mid: number;
  readonly high: number;
}

/** Returns the length of `interval` in ms, 0 when it is empty or reversed. */
export function lengthMs(interval: Interval): number {
  return Math.max(0, interval.endMs - interval.startMs);
}

/** Returns the common part of two intervals, or null when they do not overlap (touching is not overlap). */
export function overlap(a: Interval, b: Interval): Interval | null {
  const startMs = Math.max(a.startMs, b.startMs);
  const endMs = Math.min(a.endMs, b.endMs);
  return endMs > startMs ? { startMs, endMs } : null;
}

/** Returns the union as a sorted array of disjoint intervals; touching ones are joined. Input is not modified. */
export function union(intervals: readonly Interval[]): Interval[] {
  const sorted = [...intervals].filter((i) => i.endMs >= i.startMs).sort((a, b) => a.startMs - b.startMs);
  const out: { startMs: number; endMs: number }[] = [];
  for (const next of sorted) {
    const last = out[out.length - 1];
    if (last !== undefined && next.startMs <= last.endMs) last.endMs = Math.max(last.endMs, next.endMs);
    else out.push({ startMs: next.startMs, endMs: next.endMs });
  }
  return out;
}

/** Returns the parts of `from` that no interval of `holes` covers, in time order. */
export function subtract(from: Interval, holes: readonly Interval[]): Interval[] {
  const out: Interval[] = [];
  let cursor = from.startMs;
  for (const hole of union(holes)) {
    if (hole.endMs <= cursor) continue;
    if (hole.startMs >= from.endMs) break;
    if (hole.startMs > cursor) out.push({ startMs: cursor, endMs: Math.min(hole.startMs, from.endMs) });
    cursor = Math.max(cursor, hole.endMs);
  }
  if (cursor < from.endMs) out.push({ startMs: cursor, endMs: from.endMs });
  return out;
}

/** Returns how many ms of `interval` the given intervals cover together. */
export function coveredMs(interval: Interval, by: readonly Interval[]): number {
  let total = 0;
  for (const part of union(by)) {
    const common = overlap(interval, part);
    if (common) total += lengthMs(common);
  }
  return total;
}

/** Returns the parts common to two lists of intervals, each sorted and disjoint (as `union` makes them), in time order. */
export function intersection(a: readonly Interval[], b: readonly Interval[]): Interval[] {
  const out: Interval[] = [];
  let i = 0;
  let j = 0;
  for (;;) {
    const x = a[i];
    const y = b[j];
    if (x === undefined || y === undefined) return out;
    const common = overlap(x, y);
    if (common !== null) out.push(common);
    if (x.endMs <= y.endMs) i++;
    else j++;
  }
}

/** Returns the parts of `from` outside `holes`, both sorted and disjoint (as `union` makes them), in time order. */
export function difference(from: readonly Interval[], holes: readonly Interval[]): Interval[] {
  const out: Interval[] = [];
  let at = 0;
  for (const span of from) {
    let cursor = span.startMs;
    for (let hole = holes[at]; hole !== undefined && hole.endMs <= cursor; hole = holes[at]) at++;
    for (let i = at; cursor < span.endMs; i++) {
      const hole = holes[i];
      if (hole === undefined || hole.startMs >= span.endMs) {
        out.push({ startMs: cursor, endMs: span.endMs });
        break;
      }
      if (hole.startMs > cursor) out.push({ startMs: cursor, endMs: hole.startMs });
      cursor = Math.max(cursor, hole.endMs);
    }
  }
  return out;
}

/** Returns the summed length of disjoint intervals, ms. */
export function totalMs(intervals: readonly Interval[]): number {
  let total = 0;
  for (const interval of intervals) total += lengthMs(interval);
  return total;
}
