import { useLayoutEffect, useRef, useSyncExternalStore } from 'react';
import type { JSX, KeyboardEvent, PointerEvent } from 'react';
import type { Interval } from '../../core/base/interval.ts';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import { readEnvelope } from '../../core/signal/envelope.ts';
import type { CaseClock } from '../format/time-text.ts';
import type { Viewport } from '../state/viewport.ts';
import { drawnScale } from '../widgets/drawn-scale.ts';
import { withAlpha } from './color.ts';
import { dropoutShapes, recordGapShapes, timeToPx } from './episode-layer.ts';
import type { Lane } from './lanes.ts';
import type { Palette } from './palette.ts';
import type { LineStyle } from './site-style.ts';
import { yToPx } from './y-scale.ts';
import { useIsPrinting } from '../widgets/printing.ts';
import { usePixelRatio } from './use-pixel-ratio.ts';

export const OVERVIEW_PX = 46;
/** Rows of losses take this much of the strip's top. */
const LOSS_PX = 5;

export interface OverviewStripProps {
  readonly spo2: Lane | null;
  readonly analysis: CaseAnalysis;
  readonly styles: ReadonlyMap<string, LineStyle>;
  readonly caseEndMs: number;
  readonly viewport: Viewport;
  readonly clock: CaseClock;
  readonly palette: Palette;
  readonly leftPx: number;
  readonly widthPx: number;
  /** How much larger the page draws it (CSS zoom). */
  readonly scale: number;
}

/** Returns the strip of the whole case: lowest SpO2 of each pixel, every dropout, and the visible window as a handle. */
export function OverviewStrip(props: OverviewStripProps): JSX.Element {
  const { spo2, analysis, styles, caseEndMs, viewport, clock, palette, leftPx, widthPx, scale } = props;
  const canvasRef = useRef<HTMLCanvasElement>(null);
  const ratio = usePixelRatio() * scale;
  // What is painted while the sheet is taken comes to it as lines, not as dots: it is painted then even where nothing else changed.
  const isOnPaper = useIsPrinting();
  useLayoutEffect(() => {
    const canvas = canvasRef.current;
    const ctx = canvas?.getContext('2d') ?? null;
    if (canvas === null || ctx === null) return;
    canvas.width = Math.round(widthPx * ratio);
    canvas.height = Math.round(OVERVIEW_PX * ratio);
    ctx.setTransform(ratio, 0, 0, ratio, 0, 0);
    paintOverview(ctx, { spo2, analysis, styles, caseEndMs, bounds: viewport.bounds, palette, widthPx });
  }, [spo2, analysis, styles, caseEndMs, viewport, palette, widthPx, ratio, isOnPaper]);
  return (
    <div className="tl-overview" style={{ height: OVERVIEW_PX }}>
      <span className="tl-lane-title" style={{ top: 4 }}>Whole case</span>
      <div className="tl-overview-track" style={{ left: leftPx, width: widthPx, height: OVERVIEW_PX }}>
        <canvas ref={canvasRef} style={{ width: widthPx, height: OVERVIEW_PX }} aria-hidden="true" />
        <WindowHandle viewport={viewport} clock={clock} widthPx={widthPx} />
      </div>
    </div>
  );
}

interface OverviewPaint {
  readonly spo2: Lane | null;
  readonly analysis: CaseAnalysis;
  readonly styles: ReadonlyMap<string, LineStyle>;
  readonly caseEndMs: number;
  readonly bounds: Interval;
  readonly palette: Palette;
  readonly widthPx: number;
}

function paintOverview(ctx: CanvasRenderingContext2D, { spo2, analysis, styles, caseEndMs, bounds, palette, widthPx }: OverviewPaint): void {
  ctx.clearRect(0, 0, widthPx, OVERVIEW_PX);
  ctx.fillStyle = palette.panel;
  ctx.fillRect(0, 0, widthPx, OVERVIEW_PX);
  for (const gap of recordGapShapes(analysis.recordGaps, bounds, widthPx, () => Infinity)) {
    ctx.fillStyle = palette.recordGapFill;
    ctx.fillRect(gap.leftPx, 0, gap.rightPx - gap.leftPx, OVERVIEW_PX);
  }
  const top = analysis.sites.length * LOSS_PX + 3;
  const height = OVERVIEW_PX - top - 3;
  for (const line of spo2?.plots.flatMap((plot) => plot.series) ?? []) {
    const read = readEnvelope(line.trace.envelope, bounds.startMs, bounds.endMs, widthPx);
    ctx.strokeStyle = palette[line.style.color];
    ctx.lineWidth = 1;
    ctx.beginPath();
    let isPenUp = true;
    for (let i = 0; i < read.n; i++) {
      const low = read.min[i] ?? NaN;
      if (Number.isNaN(low) || spo2 === null) {
        isPenUp = true;
        continue;
      }
      const x = timeToPx(read.x[i] ?? NaN, bounds, widthPx);
      const y = top + yToPx(spo2.scale, low, height);
      if (isPenUp) ctx.moveTo(x - 0.5, y);
      ctx.lineTo(x + (isPenUp ? 0.5 : 0), y);
      isPenUp = false;
    }
    ctx.stroke();
  }
  analysis.sites.forEach((site, iSite) => {
    const color = palette[styles.get(site.siteKey)?.color ?? 'siteOther'];
    for (const shape of dropoutShapes(site.dropouts, caseEndMs, bounds, widthPx, () => Infinity)) {
      ctx.fillStyle = withAlpha(color, 0.14);
      ctx.fillRect(shape.certain.leftPx, 0, shape.certain.rightPx - shape.certain.leftPx, OVERVIEW_PX);
      ctx.fillStyle = color;
      ctx.fillRect(shape.certain.leftPx, 1 + iSite * LOSS_PX, shape.certain.rightPx - shape.certain.leftPx, LOSS_PX - 1);
    }
  });
}

type Part = 'start' | 'whole' | 'end';

function WindowHandle({ viewport, clock, widthPx }: { readonly viewport: Viewport; readonly clock: CaseClock; readonly widthPx: number }): JSX.Element {
  const window = useSyncExternalStore(viewport.subscribe, viewport.get);
  const dragRef = useRef<{ readonly part: Part; readonly x: number; readonly from: Interval } | null>(null);
  const { bounds } = viewport;
  const leftPx = timeToPx(window.startMs, bounds, widthPx);
  const rightPx = timeToPx(window.endMs, bounds, widthPx);

  const move = (part: Part, from: Interval, byMs: number): void => {
    if (part === 'whole') viewport.set(shifted(from, byMs, bounds));
    else if (part === 'start') viewport.set({ startMs: Math.min(from.startMs + byMs, from.endMs - 1), endMs: from.endMs });
    else viewport.set({ startMs: from.startMs, endMs: Math.max(from.endMs + byMs, from.startMs + 1) });
  };
  const onPointerDown = (part: Part) => (event: PointerEvent<HTMLElement>) => {
    event.stopPropagation();
    event.currentTarget.setPointerCapture(event.pointerId);
    dragRef.current = { part, x: event.clientX, from: viewport.get() };
  };
  const onPointerMove = (event: PointerEvent<HTMLElement>): void => {
    const drag = dragRef.current;
    if (drag === null) return;
    move(drag.part, drag.from, ((event.clientX - drag.x) / drawnScale(event.currentTarget) / widthPx) * (bounds.endMs - bounds.startMs));
  };
  const onPointerUp = (): void => {
    dragRef.current = null;
  };
  const onKeyDown = (part: Part) => (event: KeyboardEvent<HTMLElement>) => {
    const direction = event.key === 'ArrowRight' ? 1 : event.key === 'ArrowLeft' ? -1 : 0;
    if (direction === 0 || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    event.stopPropagation();
    const current = viewport.get();
    move(part, current, (direction * (current.endMs - current.startMs)) / (event.shiftKey ? 2 : 10));
  };
  // A press beside the handle brings the window there.
  const onTrackDown = (event: PointerEvent<HTMLElement>): void => {
    const box = event.currentTarget.getBoundingClientRect();
    const atMs = bounds.startMs + ((event.clientX - box.left) / Math.max(1, box.width)) * (bounds.endMs - bounds.startMs);
    const current = viewport.get();
    const half = (current.endMs - current.startMs) / 2;
    viewport.set(shifted({ startMs: atMs - half, endMs: atMs + half }, 0, bounds));
  };

  const slider = (part: Part, label: string, valueMs: number, text: string) => ({
    role: 'slider',
    tabIndex: 0,
    'aria-label': label,
    'aria-valuemin': Math.round(bounds.startMs / 1000),
    'aria-valuemax': Math.round(bounds.endMs / 1000),
    'aria-valuenow': Math.round(valueMs / 1000),
    'aria-valuetext': text,
    onPointerDown: onPointerDown(part),
    onPointerMove,
    onPointerUp,
    onPointerCancel: onPointerUp,
    onKeyDown: onKeyDown(part),
  });
  const startText = clock.clock(window.startMs);
  const endText = clock.clock(window.endMs);
  return (
    <div className="tl-overview-press" onPointerDown={onTrackDown}>
      <div className="tl-overview-veil" style={{ left: 0, width: Math.max(0, leftPx) }} />
      <div className="tl-overview-veil" style={{ left: rightPx, width: Math.max(0, widthPx - rightPx) }} />
      <div className="tl-overview-window" style={{ left: leftPx, width: Math.max(6, rightPx - leftPx) }} {...slider('whole', 'Visible window', window.startMs, `${startText} to ${endText}`)} />
      <div className="tl-overview-grip" style={{ left: leftPx - 5 }} {...slider('start', 'Start of the visible window', window.startMs, startText)} />
      <div className="tl-overview-grip" style={{ left: Math.max(rightPx, leftPx + 6) - 5 }} {...slider('end', 'End of the visible window', window.endMs, endText)} />
    </div>
  );
}

function shifted(window: Interval, byMs: number, bounds: Interval): Interval {
  const span = window.endMs - window.startMs;
  const startMs = Math.max(bounds.startMs, Math.min(bounds.endMs - span, window.startMs + byMs));
  return { startMs, endMs: startMs + span };
}
