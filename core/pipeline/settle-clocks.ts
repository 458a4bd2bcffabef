import type { AcceptedOffset } from '../model/clock-comparison.ts';
import type { CaseReading, ClockKind, FileReading } from '../readers/reading.ts';
import { DAY_MS } from '../time/civil.ts';
import { ZoneClock } from '../time/zone-clock.ts';

const HOUR_MS = 3_600_000;

/** What one file says about a case, with the clock in which its times are taken: as much of its reading as the assembly of a case needs. */
export interface ClockedPart {
  readonly file: Pick<FileReading, 'clock' | 'zone' | 'clockOffsetMs' | 'canSwapDayAndMonth'> & {
    readonly source: Pick<FileReading['source'], 'name' | 'sha256' | 'byteLength' | 'kind'>;
    readonly asTimeOfDay?: unknown;
    readonly acceptedOffset?: AcceptedOffset | undefined;
  };
  readonly reading: Omit<CaseReading, 'caseKey' | 'attributes'>;
  clock: ClockKind | null;
}

interface Span {
  readonly start: number;
  readonly end: number;
}

function spanOf({ reading, file }: ClockedPart): Span | null {
  let start = Infinity;
  let end = -Infinity;
  const take = (ms: number): void => {
    start = Math.min(start, ms);
    end = Math.max(end, ms);
  };
  for (const { tMs } of reading.channels) {
    if (tMs.length === 0) continue;
    take(tMs[0] ?? NaN);
    take(tMs[tMs.length - 1] ?? NaN);
  }
  for (const entry of [...reading.events, ...reading.drugs]) take(entry.tMs);
  return end < start ? null : { start: start + file.clockOffsetMs, end: end + file.clockOffsetMs };
}

/** Returns where a part begins and ends as time of day on its own wall clock, ms after the midnight before its start. */
function wallSpanOf(part: ClockedPart): Span | null {
  const span = spanOf(part);
  if (span === null) return null;
  // Times without a zone are wall-clock times as they stand.
  const offsetMs = part.clock === 'absolute' && part.file.zone.basis !== 'none' ? new ZoneClock(part.file.zone.name).offsetAt(span.start) : 0;
  const start = span.start + offsetMs;
  const midnight = Math.floor(start / DAY_MS) * DAY_MS;
  return { start: start - midnight, end: span.end + offsetMs - midnight };
}

function lieTogether(a: Span, b: Span): boolean {
  return [-DAY_MS, 0, DAY_MS].some((day) => b.start + day <= a.end + HOUR_MS && b.end + day >= a.start - HOUR_MS);
}

/**
 * Takes times that start at nought for those of a clock where the other files of the case show a clock at that hour: every file
 * with clock times lies within an hour of them, there is at least one, and none counts elapsed time for certain.
 * Returns for each part that was changed the names of the files that decided. Changes `clock` of the parts.
 */
export function settleOpenClocks(parts: readonly ClockedPart[]): Map<ClockedPart, readonly string[]> {
  const settled = new Map<ClockedPart, readonly string[]>();
  const isOpen = (part: ClockedPart): boolean => part.clock === 'elapsed' && part.file.asTimeOfDay !== undefined;
  const firm = parts.filter((part) => part.clock !== null && !isOpen(part));
  const clocks = firm.filter((part) => part.clock !== 'elapsed');
  if (clocks.length === 0 || clocks.length < firm.length) return settled;
  const spans = clocks.map(wallSpanOf);
  for (const part of parts) {
    if (!isOpen(part)) continue;
    const own = spanOf(part);
    if (own === null || !spans.every((span) => span !== null && lieTogether(own, span))) continue;
    settled.set(part, clocks.map(({ file }) => file.source.name));
  }
  for (const part of settled.keys()) part.clock = 'time of day';
  return settled;
}
