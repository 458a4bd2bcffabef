import type { CaseMs } from '../base/brand.ts';
import type { Interval } from '../base/interval.ts';
import type { CaseOrigin } from './case.ts';

/**
 * An instant or a span of a case that a person marked, with a note. It stands beside the case, never in it.
 * Times are those of the record's clock, not of its first row: so a mark stays in its place when the case is read again with more rows.
 */
export interface CaseMark {
  /** 32 hexadecimal digits, made with the mark. */
  readonly markId: string;
  /** The clock that `startMs` and `endMs` are read on: the case's own when the mark was made. */
  readonly clock: CaseOrigin['clock'];
  /** ms: UTC for a dated clock, after midnight for a time of day, since the export's own start for an elapsed clock. */
  readonly startMs: number;
  /** null: the mark is of an instant. */
  readonly endMs: number | null;
  /** As it was typed. It may identify a person. */
  readonly text: string;
}

export const MARK_TEXT_MOST = 2000;
export const MARKS_MOST = 500;

/** Returns the ms of the record's clock at the origin of its times. */
function clockAtOrigin(origin: CaseOrigin): number {
  return origin.clock === 'absolute' ? (origin.epochMs ?? 0) : origin.originOffsetMs;
}

/** Returns a stretch of a case as the times that a mark keeps. */
export function markTimes(origin: CaseOrigin, startMs: CaseMs, endMs: CaseMs | null): Pick<CaseMark, 'clock' | 'startMs' | 'endMs'> {
  const at = clockAtOrigin(origin);
  return { clock: origin.clock, startMs: startMs + at, endMs: endMs === null ? null : endMs + at };
}

/**
 * Returns where a mark stands in a case; an instant has no length.
 * Missing  null where the record's clock is another than the mark's (the case was read again without its date): then nobody can say.
 */
export function placeOfMark(mark: CaseMark, origin: CaseOrigin): Interval | null {
  if (mark.clock !== origin.clock) return null;
  const at = clockAtOrigin(origin);
  return { startMs: mark.startMs - at, endMs: (mark.endMs ?? mark.startMs) - at };
}
