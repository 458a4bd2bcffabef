import type { CaseMs } from '../../core/base/brand.ts';
import type { Interval } from '../../core/base/interval.ts';
import { createViewport, type Viewport } from './viewport.ts';

/** A stretch of a case and the instant in it that is laid upon the instant of another. */
export interface Aligned {
  readonly bounds: Interval;
  readonly anchorMs: CaseMs;
}

/** Two windows that always show the same time before and after their own instant, and one cursor. */
export interface LinkedViewports {
  readonly first: Viewport;
  readonly second: Viewport;
}

/**
 * Returns windows onto two cases, or two stretches of one, laid over each other at their anchors.
 * Shape    each reaches as far before and after its anchor as the longer of both: beyond its own record a case shows nothing.
 *          Whatever moves one moves the other by the same time.
 */
export function linkViewports(a: Aligned, b: Aligned): LinkedViewports {
  const beforeMs = Math.min(a.bounds.startMs - a.anchorMs, b.bounds.startMs - b.anchorMs, 0);
  const afterMs = Math.max(a.bounds.endMs - a.anchorMs, b.bounds.endMs - b.anchorMs, 0);
  const around = (anchorMs: CaseMs): Viewport => createViewport({ startMs: anchorMs + beforeMs, endMs: anchorMs + afterMs });
  const first = around(a.anchorMs);
  const second = around(b.anchorMs);
  let isFollowing = false;
  const follow = (leader: Viewport, follower: Viewport, byMs: number): void => {
    leader.subscribe(() => {
      if (isFollowing) return;
      isFollowing = true;
      const { startMs, endMs } = leader.get();
      const cursorMs = leader.getCursorMs();
      follower.set({ startMs: startMs + byMs, endMs: endMs + byMs });
      follower.setCursorMs(cursorMs === null ? null : cursorMs + byMs);
      isFollowing = false;
    });
  };
  follow(first, second, b.anchorMs - a.anchorMs);
  follow(second, first, a.anchorMs - b.anchorMs);
  return { first, second };
}
