import type { CaseMs, DurationMs } from '../../core/base/brand.ts';
import type { Interval } from '../../core/base/interval.ts';

/** The shortest stretch that fills the screen. Shorter would show nothing that a 1-s record holds. */
export const MIN_SPAN_MS = 10_000;

/**
 * The visible stretch of one open case and the cursor in it: the one store that every lane follows.
 * Instants are CaseMs. `get` returns the same object until the window changes, so it can be a snapshot.
 */
export interface Viewport {
  /** What `fit` shows; the window never leaves it. */
  readonly bounds: Interval;
  get(): Interval;
  /** Clipped to the bounds and to MIN_SPAN_MS. */
  set(interval: Interval): void;
  /** Called after each change of window or cursor. Returns how to unsubscribe. */
  subscribe(listener: () => void): () => void;
  /** A factor above 1 shows less time; the instant `ms` keeps its place on the screen. */
  zoomAt(ms: CaseMs, factor: number): void;
  /** Positive moves the window later. The span stays as it is. */
  panBy(ms: DurationMs): void;
  fit(): void;
  /** Shows the whole of `interval` with `paddingMs` on either side. */
  show(interval: Interval, paddingMs: DurationMs): void;
  /** null: no cursor. */
  getCursorMs(): CaseMs | null;
  setCursorMs(ms: CaseMs | null): void;
}

/** Returns `interval` moved and shortened so that it lies in `bounds`, at least MIN_SPAN_MS long where the bounds are. */
export function clipWindow(interval: Interval, bounds: Interval): Interval {
  const whole = bounds.endMs - bounds.startMs;
  const span = Math.min(whole, Math.max(Math.min(MIN_SPAN_MS, whole), interval.endMs - interval.startMs));
  const middle = (interval.startMs + interval.endMs) / 2;
  const wanted = interval.endMs - interval.startMs === span ? interval.startMs : middle - span / 2;
  const startMs = Math.min(Math.max(wanted, bounds.startMs), bounds.endMs - span);
  return { startMs, endMs: startMs + span };
}

/** Half of the windows that a key brings, ms: 1, 5 and 15 min on either side. */
export const AROUND_MS = [60_000, 300_000, 900_000] as const;

/**
 * Returns the instant that a change of zoom holds on to: the cursor where it is in sight, else the middle of what is chosen, else the
 * middle of the window.
 */
export function instantInFocus(viewport: Pick<Viewport, 'get' | 'getCursorMs'>, chosen: Interval | null): CaseMs {
  const window = viewport.get();
  const cursorMs = viewport.getCursorMs();
  if (cursorMs !== null && cursorMs >= window.startMs && cursorMs <= window.endMs) return cursorMs;
  const held = chosen ?? window;
  return (held.startMs + held.endMs) / 2;
}

/** Returns a viewport that shows all of `bounds`. Bounds without length are widened to MIN_SPAN_MS around them. */
export function createViewport(bounds: Interval): Viewport {
  const usable = bounds.endMs - bounds.startMs > 0
    ? bounds
    : { startMs: bounds.startMs - MIN_SPAN_MS / 2, endMs: bounds.startMs + MIN_SPAN_MS / 2 };
  const listeners = new Set<() => void>();
  let current: Interval = usable;
  let cursorMs: CaseMs | null = null;

  const tell = (): void => {
    for (const listener of [...listeners]) listener();
  };
  const set = (interval: Interval): void => {
    if (!Number.isFinite(interval.startMs) || !Number.isFinite(interval.endMs)) return;
    const next = clipWindow(interval, usable);
    if (next.startMs === current.startMs && next.endMs === current.endMs) return;
    current = next;
    tell();
  };

  return {
    bounds: usable,
    get: () => current,
    set,
    subscribe(listener) {
      listeners.add(listener);
      return () => {
        listeners.delete(listener);
      };
    },
    zoomAt(ms, factor) {
      if (!(factor > 0)) return;
      const span = current.endMs - current.startMs;
      const whole = usable.endMs - usable.startMs;
      const nextSpan = Math.min(whole, Math.max(Math.min(MIN_SPAN_MS, whole), span / factor));
      const share = (ms - current.startMs) / span;
      const startMs = ms - share * nextSpan;
      set({ startMs, endMs: startMs + nextSpan });
    },
    panBy(ms) {
      set({ startMs: current.startMs + ms, endMs: current.endMs + ms });
    },
    fit() {
      set(usable);
    },
    show(interval, paddingMs) {
      set({ startMs: interval.startMs - paddingMs, endMs: interval.endMs + paddingMs });
    },
    getCursorMs: () => cursorMs,
    setCursorMs(ms) {
      const next = ms === null || !Number.isFinite(ms) ? null : Math.min(usable.endMs, Math.max(usable.startMs, ms));
      if (next === cursorMs) return;
      cursorMs = next;
      tell();
    },
  };
}
