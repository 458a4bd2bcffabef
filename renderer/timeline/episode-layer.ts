import type { Interval } from '../../core/base/interval.ts';
import type { BlindInterval, Dropout, FourInstants, RecordGap } from '../../core/model/analysis.ts';

/** A dropout is never drawn narrower than this, however much time fills the screen. */
export const MIN_BAND_PX = 3;
/** Room at the right end of a loss that never ended, for the arrows that say so. */
export const OPEN_END_PX = 16;
/** What is written on a record gap. */
export const RECORD_STOPPED = 'record stopped';
/** Shapes are cut this far outside the visible stretch, so that their edges stay off the screen. */
const OVERHANG_PX = 8;

/** A stretch along the time axis, in px from the left end of the plot. */
export interface PxSpan {
  readonly leftPx: number;
  readonly rightPx: number;
}

/** A loss as drawn: the certain part, and before and after it the stretches within which it began and ended. */
export interface LossShape {
  /** From last good to first good, or to where the count ends. */
  readonly whole: PxSpan;
  /** From first lost to last lost. */
  readonly certain: PxSpan;
  readonly onset: PxSpan | null;
  readonly restoration: PxSpan | null;
  /** Information never came back: the right end is not an end. */
  readonly isOpen: boolean;
}

export interface DropoutShape extends LossShape {
  readonly dropoutId: string;
  readonly siteKey: string;
  readonly number: number;
  /** null where the number does not fit into the certain part. */
  readonly label: string | null;
}

export interface RecordGapShape extends PxSpan {
  readonly label: string | null;
}

/** Returns where an instant stands, in px from the left end of a plot `widthPx` wide that shows `window`. */
export function timeToPx(ms: number, window: Interval, widthPx: number): number {
  return ((ms - window.startMs) / (window.endMs - window.startMs)) * widthPx;
}

/** Returns the instant at `px`; the inverse of timeToPx. */
export function pxToTime(px: number, window: Interval, widthPx: number): number {
  return window.startMs + (px / widthPx) * (window.endMs - window.startMs);
}

/**
 * Returns the shape of a loss, or null where it lies outside the window.
 * Shape    certain, onset and restoration touch and fill `whole`; `whole` is at least `minPx` wide, and `certain` too where `whole` is.
 * Missing  no first good instant: the shape is open and reaches to `endMs`.
 */
export function lossShape(loss: FourInstants, endMs: number, window: Interval, widthPx: number, minPx: number): LossShape | null {
  const isOpen = loss.firstGoodMs === null;
  const at = (ms: number): number => timeToPx(ms, window, widthPx);
  const wholeEndMs = loss.firstGoodMs ?? Math.max(endMs, loss.firstLostMs);
  const exact = { left: at(loss.lastGoodMs), firstLost: at(loss.firstLostMs), lastLost: at(loss.lastLostMs ?? wholeEndMs), right: at(wholeEndMs) };
  const whole = widen(exact.left, exact.right, minPx);
  const certain = inside(widen(exact.firstLost, exact.lastLost, minPx), whole);
  if (whole.rightPx < 0 || whole.leftPx > widthPx) return null;
  const cut = (span: PxSpan): PxSpan => ({
    leftPx: Math.max(-OVERHANG_PX, Math.min(widthPx + OVERHANG_PX, span.leftPx)),
    rightPx: Math.max(-OVERHANG_PX, Math.min(widthPx + OVERHANG_PX, span.rightPx)),
  });
  const part = (leftPx: number, rightPx: number): PxSpan | null => {
    const span = cut({ leftPx, rightPx });
    return span.rightPx > span.leftPx ? span : null;
  };
  return {
    whole: cut(whole),
    certain: cut(certain),
    onset: part(whole.leftPx, certain.leftPx),
    restoration: isOpen ? null : part(certain.rightPx, whole.rightPx),
    isOpen,
  };
}

function widen(leftPx: number, rightPx: number, minPx: number): PxSpan {
  if (rightPx - leftPx >= minPx) return { leftPx, rightPx };
  const middle = (leftPx + rightPx) / 2;
  return { leftPx: middle - minPx / 2, rightPx: middle + minPx / 2 };
}

/** Returns `span` moved, not shortened, so that it lies in `outer` (which is at least as long). */
function inside(span: PxSpan, outer: PxSpan): PxSpan {
  const shift = span.leftPx < outer.leftPx ? outer.leftPx - span.leftPx : span.rightPx > outer.rightPx ? outer.rightPx - span.rightPx : 0;
  return { leftPx: Math.max(outer.leftPx, span.leftPx + shift), rightPx: Math.min(outer.rightPx, span.rightPx + shift) };
}

/**
 * Returns the dropouts that show in the window, in time order.
 * Shape    `widthOf` gives a text's width in px; a label is given only where it fits into the visible certain part.
 */
export function dropoutShapes(
  dropouts: readonly Dropout[],
  caseEndMs: number,
  window: Interval,
  widthPx: number,
  widthOf: (text: string) => number,
): DropoutShape[] {
  const shapes: DropoutShape[] = [];
  for (const dropout of dropouts) {
    const shape = lossShape(dropout, dropout.censoredAtMs ?? caseEndMs, window, widthPx, MIN_BAND_PX);
    if (shape === null) continue;
    const visible = clipPx(shape.certain, widthPx);
    const texts = shape.isOpen ? [`${dropout.number} not restored`, String(dropout.number)] : [String(dropout.number)];
    const label = texts.find((text) => widthOf(text) + 6 + (shape.isOpen ? OPEN_END_PX : 0) <= visible.rightPx - visible.leftPx) ?? null;
    shapes.push({ ...shape, dropoutId: dropout.dropoutId, siteKey: dropout.siteKey, number: dropout.number, label });
  }
  return shapes;
}

/** Returns the blind intervals that show in the window, in time order. */
export function blindShapes(blind: readonly BlindInterval[], caseEndMs: number, window: Interval, widthPx: number): LossShape[] {
  return blind
    .map((interval) => lossShape(interval, caseEndMs, window, widthPx, MIN_BAND_PX))
    .filter((shape) => shape !== null);
}

/** Returns the part of `span` that lies on the plot. */
export function clipPx(span: PxSpan, widthPx: number): PxSpan {
  return { leftPx: Math.max(0, span.leftPx), rightPx: Math.min(widthPx, span.rightPx) };
}

/** Returns the stretches in which the recorder had stopped, from the last row before to the first row after. */
export function recordGapShapes(gaps: readonly RecordGap[], window: Interval, widthPx: number, widthOf: (text: string) => number): RecordGapShape[] {
  const shapes: RecordGapShape[] = [];
  for (const gap of gaps) {
    const span = widen(timeToPx(gap.lastRowMs, window, widthPx), timeToPx(gap.firstRowMs, window, widthPx), MIN_BAND_PX);
    if (span.rightPx < 0 || span.leftPx > widthPx) continue;
    const visible = clipPx(span, widthPx);
    const label = widthOf(RECORD_STOPPED) + 12 <= visible.rightPx - visible.leftPx ? RECORD_STOPPED : null;
    shapes.push({ leftPx: Math.max(-OVERHANG_PX, span.leftPx), rightPx: Math.min(widthPx + OVERHANG_PX, span.rightPx), label });
  }
  return shapes;
}

/** Returns intervals as px spans at least `minPx` wide, those that would touch joined: many short ones cost no more than a few. */
export function stripSpans(intervals: readonly Interval[], window: Interval, widthPx: number, minPx: number): PxSpan[] {
  const spans: { leftPx: number; rightPx: number }[] = [];
  for (const interval of intervals) {
    const span = widen(timeToPx(interval.startMs, window, widthPx), timeToPx(interval.endMs, window, widthPx), minPx);
    if (span.rightPx < 0 || span.leftPx > widthPx) continue;
    const last = spans[spans.length - 1];
    if (last !== undefined && span.leftPx <= last.rightPx + 0.5) last.rightPx = Math.max(last.rightPx, span.rightPx);
    else spans.push({ leftPx: Math.max(-OVERHANG_PX, span.leftPx), rightPx: Math.min(widthPx + OVERHANG_PX, span.rightPx) });
  }
  return spans;
}
