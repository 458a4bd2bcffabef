import type { Viewport } from '../state/viewport.ts';
import { drawnScale } from '../widgets/drawn-scale.ts';
import { pxToTime } from './episode-layer.ts';

/** A pointer that moved less than this between down and up has clicked. */
const CLICK_SLOP_PX = 4;
/** Zoom per px of wheel travel; a usual notch of 100 px shows a third more or less time. */
const ZOOM_PER_PX = 0.003;
/** A pinch on a trackpad comes as a wheel with the control key and small steps. */
const ZOOM_PER_PINCH_PX = 0.012;
const PX_PER_LINE = 16;

export interface PanZoomTarget {
  readonly viewport: Viewport;
  /** Moves the lanes up (positive) where they do not all fit. */
  scrollBy(dyPx: number): void;
  /** A drag with shift: from where it began to where it is. */
  onSpan(fromMs: number, toMs: number): void;
  /** A click, in px from the element's top left. */
  onClick(xPx: number, yPx: number): void;
  /** The pointer rests or moves without a button; null when it left. */
  onHover(at: { readonly xPx: number; readonly yPx: number } | null): void;
}

/**
 * Attaches drag, wheel, pinch and double click to an element that covers exactly the plots, and returns how to detach them.
 * Drag pans, with shift it measures, the wheel zooms at the pointer, shift or a sideways wheel pans, with alt it scrolls the lanes; a double click zooms in (with shift: out).
 * Touch: one finger pans and scrolls, two fingers pinch and pan. Trackpad: two fingers sideways pan, a pinch zooms.
 */
export function attachPanZoom(element: HTMLElement, { viewport, scrollBy, onSpan, onClick, onHover }: PanZoomTarget): () => void {
  const pointers = new Map<number, { x: number; y: number; clientY: number }>();
  let downAt: { readonly x: number; readonly y: number } | null = null;
  let isDragging = false;
  let spanFromMs: number | null = null;

  const local = (event: MouseEvent): { x: number; y: number; widthPx: number } => {
    const box = element.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top, widthPx: Math.max(1, box.width) };
  };
  const scale = (): number => drawnScale(element);
  const msPerPx = (widthPx: number): number => {
    const { startMs, endMs } = viewport.get();
    return (endMs - startMs) / widthPx;
  };

  const timeAt = (event: PointerEvent): number => {
    const { x, widthPx } = local(event);
    return pxToTime(Math.max(0, Math.min(widthPx, x)), viewport.get(), widthPx);
  };

  const onPointerDown = (event: PointerEvent): void => {
    if (event.pointerType === 'mouse' && event.button !== 0) return;
    const { x, y } = local(event);
    element.setPointerCapture(event.pointerId);
    pointers.set(event.pointerId, { x, y, clientY: event.clientY });
    downAt = pointers.size === 1 ? { x, y } : null;
    isDragging = pointers.size > 1;
    spanFromMs = event.shiftKey && pointers.size === 1 ? timeAt(event) : null;
  };

  const onPointerMove = (event: PointerEvent): void => {
    const { x, y, widthPx } = local(event);
    const before = pointers.get(event.pointerId);
    if (before === undefined) {
      viewport.setCursorMs(pxToTime(Math.max(0, Math.min(widthPx, x)), viewport.get(), widthPx));
      onHover({ xPx: x / scale(), yPx: y / scale() });
      return;
    }
    if (pointers.size === 2) {
      const other = [...pointers].find(([id]) => id !== event.pointerId)?.[1];
      if (other !== undefined) {
        const wasApart = Math.max(12, Math.hypot(before.x - other.x, before.clientY - other.clientY));
        const isApart = Math.max(12, Math.hypot(x - other.x, event.clientY - other.clientY));
        const middleMs = pxToTime((x + other.x) / 2, viewport.get(), widthPx);
        viewport.zoomAt(middleMs, isApart / wasApart);
        viewport.panBy(((before.x - x) / 2) * msPerPx(widthPx));
        scrollBy((before.clientY - event.clientY) / 2);
      }
    } else {
      if (downAt !== null && Math.hypot(x - downAt.x, y - downAt.y) > CLICK_SLOP_PX) isDragging = true;
      if (!isDragging) return;
      if (spanFromMs !== null) {
        viewport.setCursorMs(timeAt(event));
        onSpan(spanFromMs, timeAt(event));
        return;
      }
      viewport.panBy((before.x - x) * msPerPx(widthPx));
      // A mouse has its wheel for this; a finger has only the picture itself.
      if (event.pointerType === 'touch') scrollBy(before.clientY - event.clientY);
    }
    pointers.set(event.pointerId, { x, y, clientY: event.clientY });
  };

  const onPointerUp = (event: PointerEvent): void => {
    if (!pointers.delete(event.pointerId)) return;
    if (!isDragging && downAt !== null && event.type === 'pointerup') {
      const { x, y, widthPx } = local(event);
      viewport.setCursorMs(pxToTime(x, viewport.get(), widthPx));
      onClick(x / scale(), y / scale());
    }
    if (pointers.size === 0) isDragging = false;
    spanFromMs = null;
    downAt = null;
  };

  const onWheel = (event: WheelEvent): void => {
    event.preventDefault();
    const scale = event.deltaMode === WheelEvent.DOM_DELTA_LINE ? PX_PER_LINE : event.deltaMode === WheelEvent.DOM_DELTA_PAGE ? 400 : 1;
    const dx = event.deltaX * scale;
    const dy = event.deltaY * scale;
    const { x, widthPx } = local(event);
    if (event.altKey) scrollBy(dy);
    else if (event.ctrlKey) viewport.zoomAt(pxToTime(x, viewport.get(), widthPx), Math.exp(-dy * ZOOM_PER_PINCH_PX));
    else if (event.shiftKey || Math.abs(dx) > Math.abs(dy)) viewport.panBy((Math.abs(dx) > Math.abs(dy) ? dx : dy) * msPerPx(widthPx));
    else viewport.zoomAt(pxToTime(x, viewport.get(), widthPx), Math.exp(-dy * ZOOM_PER_PX));
  };

  const onDoubleClick = (event: MouseEvent): void => {
    const { x, widthPx } = local(event);
    viewport.zoomAt(pxToTime(x, viewport.get(), widthPx), event.shiftKey ? 0.5 : 2);
  };

  const onPointerLeave = (): void => {
    onHover(null);
  };

  element.addEventListener('pointerdown', onPointerDown);
  element.addEventListener('pointermove', onPointerMove);
  element.addEventListener('pointerup', onPointerUp);
  element.addEventListener('pointercancel', onPointerUp);
  element.addEventListener('pointerleave', onPointerLeave);
  element.addEventListener('wheel', onWheel, { passive: false });
  element.addEventListener('dblclick', onDoubleClick);
  return () => {
    element.removeEventListener('pointerdown', onPointerDown);
    element.removeEventListener('pointermove', onPointerMove);
    element.removeEventListener('pointerup', onPointerUp);
    element.removeEventListener('pointercancel', onPointerUp);
    element.removeEventListener('pointerleave', onPointerLeave);
    element.removeEventListener('wheel', onWheel);
    element.removeEventListener('dblclick', onDoubleClick);
  };
}
