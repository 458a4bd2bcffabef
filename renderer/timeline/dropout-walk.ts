import type { Interval } from '../../core/base/interval.ts';
import type { CaseAnalysis, Dropout } from '../../core/model/analysis.ts';

/** Least time shown on either side of a dropout that was gone to: what preceded it should be in sight. */
const AROUND_MS = 5 * 60_000;

/** Returns the dropouts of all sites in the order in which they began. */
export function dropoutsInOrder(analysis: CaseAnalysis): Dropout[] {
  return analysis.sites.flatMap((site) => site.dropouts).sort((a, b) => a.firstLostMs - b.firstLostMs || (a.siteKey < b.siteKey ? -1 : 1));
}

/**
 * Returns the dropout to go to from the selected one: its neighbour, or null at either end.
 * Missing  nothing selected: the first that begins inside or after the window (going back: the last that begins before its end).
 */
export function neighbourDropout(ordered: readonly Dropout[], selectedId: string | null, window: Interval, direction: 1 | -1): Dropout | null {
  const at = ordered.findIndex((dropout) => dropout.dropoutId === selectedId);
  if (at >= 0) return ordered[at + direction] ?? null;
  return direction === 1
    ? (ordered.find((dropout) => dropout.firstLostMs >= window.startMs) ?? ordered[ordered.length - 1] ?? null)
    : (ordered.findLast((dropout) => dropout.firstLostMs <= window.endMs) ?? ordered[0] ?? null);
}

/** Returns from where to where a dropout reaches; one never restored ends where its count ends. */
export function dropoutSpan(dropout: Dropout, caseEndMs: number): Interval {
  return { startMs: dropout.lastGoodMs, endMs: dropout.firstGoodMs ?? dropout.censoredAtMs ?? caseEndMs };
}

/**
 * Returns the window to show a dropout in. The present zoom is kept when it suits: the dropout takes between a fiftieth and
 * a half of the window. Otherwise the dropout is shown with twice its length, at least five minutes, on either side.
 */
export function windowAround(span: Interval, current: Interval): Interval {
  const lengthMs = span.endMs - span.startMs;
  const currentMs = current.endMs - current.startMs;
  const middleMs = (span.startMs + span.endMs) / 2;
  const suits = lengthMs <= currentMs / 2 && lengthMs >= currentMs / 50;
  const halfMs = suits ? currentMs / 2 : lengthMs / 2 + Math.max(AROUND_MS, 2 * lengthMs);
  return { startMs: middleMs - halfMs, endMs: middleMs + halfMs };
}
