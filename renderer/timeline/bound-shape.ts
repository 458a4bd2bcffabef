import type { Interval } from '../../core/base/interval.ts';
import type { Dropout } from '../../core/model/analysis.ts';
import { timeToPx } from './episode-layer.ts';

/** The words that stand wherever the bound is shown (handbook 12 no. 7). */
export const BOUND_CAUTION = 'What cannot be excluded is not what happened.';

export interface BoundPoint {
  readonly xPx: number;
  readonly pct: number;
}

/** What cannot be excluded inside one dropout, as drawn: everything above the lower edge. */
export interface BoundShape {
  /** The lower edge from left to right, at least two points. */
  readonly edge: readonly BoundPoint[];
  readonly lowest: BoundPoint;
  /** Information never came back: the region has no right end. */
  readonly isOpen: boolean;
  readonly label: string;
}

/**
 * Returns the region of a dropout, or null where it lies outside the window or has no edge.
 * Shape   the points of `cannotExclude.edge`, in px from the left end of a plot `widthPx` wide that shows `window`; not clipped.
 */
export function boundShape(dropout: Dropout, window: Interval, widthPx: number): BoundShape | null {
  const { edge, pct, atMs } = dropout.cannotExclude;
  const first = edge[0];
  const last = edge[edge.length - 1];
  if (first === undefined || last === undefined || edge.length < 2 || last.atMs < window.startMs || first.atMs > window.endMs) return null;
  const at = (ms: number): number => timeToPx(ms, window, widthPx);
  return {
    edge: edge.map((point) => ({ xPx: at(point.atMs), pct: point.pct })),
    lowest: { xPx: at(atMs), pct },
    isOpen: dropout.firstGoodMs === null,
    label: boundText(pct),
  };
}

/** Returns the bound in words; nothing shorter may stand for it. */
export function boundText(pct: number): string {
  return `cannot be excluded: ${roundedDown(pct)} %`;
}

/** A bound is rounded away from what it bounds: 73.2 reads 73. */
export function roundedDown(pct: number): number {
  return Math.floor(pct + 1e-9);
}

/** Returns the lower edge at an instant inside the dropout, in per cent, or null outside it. */
export function boundAt(dropout: Dropout, atMs: number): number | null {
  const { edge } = dropout.cannotExclude;
  for (let i = 1; i < edge.length; i++) {
    const a = edge[i - 1];
    const b = edge[i];
    if (a === undefined || b === undefined || atMs < a.atMs || atMs > b.atMs) continue;
    return b.atMs === a.atMs ? Math.min(a.pct, b.pct) : a.pct + ((b.pct - a.pct) * (atMs - a.atMs)) / (b.atMs - a.atMs);
  }
  return null;
}
