import type { Interval } from '../../core/base/interval.ts';
import { upperBound } from '../../core/base/search.ts';
import type { StatusRuns } from '../../core/model/analysis.ts';
import type { PxSpan } from './episode-layer.ts';
import { timeToPx } from './episode-layer.ts';

export type ShownStatus = keyof StatusRuns;

/** The statuses of a strip in the order in which they are drawn: doubtful ones under lost ones. */
export const SHOWN_STATUSES: readonly ShownStatus[] = ['weak', 'disputed', 'held', 'flagged', 'implausible'];

/** What each status means, in words. */
export const STATUS_WORDS: Readonly<Record<ShownStatus, string>> = {
  weak: 'weak: the perfusion index was below the limit, so the value is doubtful',
  disputed: 'disputed: pulse rate and heart rate differed, so the value is doubtful',
  held: 'held: the display repeated an old value, so the value is lost',
  flagged: 'flagged: the export itself marks the value as an artefact, so it is lost',
  implausible: 'implausible: outside the plausible limits, so the value is lost',
};

/** A run of samples of one status. */
export interface StatusRun extends Interval {
  readonly status: ShownStatus;
}

/** Returns the statuses that a site has at all, in the order of drawing. */
export function statusesOf(runs: StatusRuns): ShownStatus[] {
  return SHOWN_STATUSES.filter((status) => runs[status].length > 0);
}

/** Returns the run that holds `atMs` (its end not included), or null. Runs of different statuses never overlap. */
export function runAt(runs: StatusRuns, atMs: number): StatusRun | null {
  for (const status of SHOWN_STATUSES) {
    const edges = runs[status];
    const after = upperBound(edges, atMs);
    // An odd number of edges at or before the instant: a run has begun and not ended. A run without length holds its own instant.
    if (after % 2 === 1) return { status, startMs: edges[after - 1] ?? NaN, endMs: edges[after] ?? NaN };
    if (after > 0 && edges[after - 1] === atMs && edges[after - 2] === atMs) return { status, startMs: atMs, endMs: atMs };
  }
  return null;
}

/** Returns the run of a site nearest to `atMs` and no further than `reachMs` from it, or null: what a pointer means by a thin run. */
export function runNear(runs: StatusRuns, atMs: number, reachMs: number): StatusRun | null {
  let best: StatusRun | null = runAt(runs, atMs);
  let nearest = best === null ? reachMs : 0;
  if (best !== null) return best;
  for (const status of SHOWN_STATUSES) {
    const edges = runs[status];
    const after = upperBound(edges, atMs);
    for (const i of [after - 2, after]) {
      const startMs = edges[i];
      const endMs = edges[i + 1];
      if (startMs === undefined || endMs === undefined) continue;
      const awayMs = Math.max(startMs - atMs, atMs - endMs);
      if (awayMs <= nearest) [best, nearest] = [{ status, startMs, endMs }, awayMs];
    }
  }
  return best;
}

/**
 * Returns the runs of one status that show in the window as spans at least `minPx` wide, those that would touch joined.
 * Shape   in time order, disjoint, at most one per two pixels however many runs there are.
 */
export function runSpans(edges: readonly number[], window: Interval, widthPx: number, minPx: number): PxSpan[] {
  const spans: { leftPx: number; rightPx: number }[] = [];
  let from = Math.max(0, upperBound(edges, window.startMs) - 2);
  from -= from % 2;
  for (let i = from; i + 1 < edges.length; i += 2) {
    const startMs = edges[i] ?? NaN;
    if (startMs > window.endMs) break;
    const leftPx = Math.max(-8, timeToPx(startMs, window, widthPx));
    const rightPx = Math.min(widthPx + 8, Math.max(timeToPx(edges[i + 1] ?? NaN, window, widthPx), leftPx + minPx));
    if (rightPx < 0) continue;
    const last = spans[spans.length - 1];
    if (last !== undefined && leftPx <= last.rightPx + 0.5) last.rightPx = Math.max(last.rightPx, rightPx);
    else spans.push({ leftPx, rightPx });
  }
  return spans;
}
