import type { Interval } from '../../../core/base/interval.ts';
import type { StateSpan } from '../../../core/model/site-detail.ts';

/** Where stretches of time are drawn: a strip of `heightPx` whose left end is the start of the window. */
export interface Strip {
  readonly window: Interval;
  readonly widthPx: number;
  readonly topPx: number;
  readonly heightPx: number;
  /** A stretch is never drawn thinner than this, or a short loss would vanish among ten hours. */
  readonly leastPx: number;
}

/** Returns where an instant stands in the strip, px; not clipped. */
export function xOf(atMs: number, { window, widthPx }: Pick<Strip, 'window' | 'widthPx'>): number {
  return ((atMs - window.startMs) / (window.endMs - window.startMs)) * widthPx;
}

/**
 * Returns the stretches of one state as one path of boxes, '' for none in the window.
 * Shape   boxes that touch or overlap on the screen are one, so that the path stays short however many stretches there are.
 */
export function statePath<State>(spans: readonly StateSpan<State>[], state: State, strip: Strip): string {
  const { window, widthPx, topPx, heightPx, leastPx } = strip;
  let path = '';
  let from = NaN;
  let to = NaN;
  const close = (): void => {
    if (!Number.isNaN(from)) path += `M${round(from)} ${round(topPx)}H${round(to)}V${round(topPx + heightPx)}H${round(from)}Z`;
  };
  for (const span of spans) {
    if (span.state !== state || span.endMs <= window.startMs || span.startMs >= window.endMs) continue;
    let left = Math.max(0, xOf(span.startMs, strip));
    let right = Math.min(widthPx, xOf(span.endMs, strip));
    if (right - left < leastPx) {
      const middle = Math.min(widthPx - leastPx / 2, Math.max(leastPx / 2, (left + right) / 2));
      left = middle - leastPx / 2;
      right = middle + leastPx / 2;
    }
    if (left <= to + 0.25) to = Math.max(to, right);
    else {
      close();
      from = left;
      to = right;
    }
  }
  close();
  return path;
}

function round(px: number): number {
  return Math.round(px * 100) / 100;
}

/** Returns how long the stretches of a state last together, ms. */
export function stateMs<State>(spans: readonly StateSpan<State>[], state: State): number {
  return spans.reduce((sum, span) => (span.state === state ? sum + span.endMs - span.startMs : sum), 0);
}
