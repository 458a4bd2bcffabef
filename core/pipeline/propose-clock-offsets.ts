import { compareClocks } from '../clocks/compare-clocks.ts';
import type { ClockComparison } from '../model/clock-comparison.ts';
import type { CaseRecord } from '../model/case.ts';
import { alignClocks, firstEntry, firstTrend, moveOf } from './align-clocks.ts';
import { partsOfCase } from './parts-of-case.ts';

/**
 * Returns how the clocks of a case's sources stand to one another, and what offsets are proposed; nothing is changed.
 * Shape   one comparison for each source with times but the leading one. The same case gives the same proposals.
 * Missing none where only one source has times, and none for a case stored before form 3.
 */
export function proposeClockOffsets(record: CaseRecord): ClockComparison[] {
  const parts = partsOfCase(record);
  if (parts === null) return [];
  alignClocks(parts, { add: () => undefined, takeAsTimeOfDay: () => undefined }, []);
  const first = Math.min(...parts.map((part) => firstTrend(part) + moveOf(part)));
  const originMs = Number.isFinite(first) ? first : Math.min(...parts.map((part) => firstEntry(part) + moveOf(part)));
  const sources = parts.flatMap((part, sourceIndex) => {
    if (part.clock === null || (part.reading.channels.length === 0 && part.reading.events.length === 0 && part.reading.drugs.length === 0)) return [];
    const { name, kind } = part.file.source;
    return [{
      sourceIndex,
      file: { name, kind, clockOffsetMs: part.file.clockOffsetMs },
      channels: part.reading.channels,
      shiftMs: moveOf(part) - originMs,
      events: record.events.filter((event) => event.source.sourceIndex === sourceIndex),
    }];
  });
  return compareClocks(sources);
}
