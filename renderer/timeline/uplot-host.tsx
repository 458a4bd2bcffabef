import { useLayoutEffect, useRef } from 'react';
import type { JSX } from 'react';
import UPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';
import type { Interval } from '../../core/base/interval.ts';
import type { PlotSeries, PlotSpec } from './lanes.ts';
import { withAlpha } from './color.ts';
import { markerPath } from './marker-shape.ts';
import type { Palette } from './palette.ts';
import type { PlotColumns } from './plot-adapter.ts';

const MARKER_EVERY_PX = 130;
const DENSE_WIDTH_PX = 1;
const MARKER_RADIUS_PX = 3.4;

/** What the timeline needs of a mounted plot: drawing a window, at once. Its canvas is made when it is first drawn: a lane that nobody scrolls to costs none. */
export interface PlotHandle {
  draw(window: Interval): void;
}

export interface UplotHostProps {
  readonly spec: PlotSpec;
  readonly widthPx: number;
  readonly heightPx: number;
  readonly palette: Palette;
  /** How much larger the page draws the plot (CSS zoom): it is drawn in that size, so that its lines stay sharp. */
  readonly scale: number;
  /** Called with the plot when it stands, and with null when it is gone. Must not change between renders. */
  readonly onPlot: (plotKey: string, handle: PlotHandle | null) => void;
}

/**
 * Returns an element that owns one plot: makes it, sizes it, and destroys it.
 * It draws lines only. Axes, grid, bands and cursor belong to the timeline, and the window comes through `PlotHandle.draw`.
 */
export function UplotHost({ spec, widthPx, heightPx, palette, scale, onPlot }: UplotHostProps): JSX.Element {
  const elementRef = useRef<HTMLDivElement>(null);
  const plotRef = useRef<OwnedPlot | null>(null);

  // Before the timeline around it draws: a plot made for another size would be gone by then, on paper and in a window that went to another screen.
  useLayoutEffect(() => {
    const element = elementRef.current;
    if (element === null) return undefined;
    const plot = createOwnedPlot(spec, element, scale);
    plotRef.current = plot;
    onPlot(spec.plotKey, plot);
    return () => {
      onPlot(spec.plotKey, null);
      plotRef.current = null;
      plot.destroy();
    };
  }, [spec, scale, onPlot]);

  useLayoutEffect(() => {
    plotRef.current?.dress(widthPx, heightPx, palette);
  }, [spec, scale, widthPx, heightPx, palette]);

  return <div ref={elementRef} className="tl-plot" style={scale === 1 ? undefined : { zoom: 1 / scale }} aria-hidden="true" />;
}

interface OwnedPlot extends PlotHandle {
  dress(widthPx: number, heightPx: number, palette: Palette): void;
  destroy(): void;
}

function alignedData(columns: PlotColumns): UPlot.AlignedData {
  // The library declares mutable arrays but does not write into them, so the read-only columns may be handed over.
  return [columns.xSec, ...columns.columns] as UPlot.AlignedData;
}

function createOwnedPlot(spec: PlotSpec, element: HTMLElement, scale: number): OwnedPlot {
  let palette: Palette | null = null;
  let widthPx = 10;
  let heightPx = 10;
  let shown: PlotColumns | null = null;
  const colorOf = (key: keyof Palette): string => palette?.[key] ?? '#808080';

  const series = spec.series.map((line, i): UPlot.Series => ({
    scale: 'y',
    stroke: () => colorOf(line.style.color),
    width: line.style.widthPx * scale,
    dash: line.style.dashPx.map((px) => px * scale),
    spanGaps: false,
    points: {
      show: (u, seriesIndex) => isSparse(u, seriesIndex, scale),
      // Where points are not shown, a sample between two breaks still needs one: a line of one point has no length.
      filter: (u, seriesIndex, show) => (show ? null : lonelySamples(u, seriesIndex)),
      size: 4 * scale,
      width: 0,
      fill: () => colorOf(line.style.color),
    },
    show: !spec.series[i]?.isHidden,
  }));

  const optionsNow = (): UPlot.Options => ({
    width: widthPx * scale,
    height: heightPx * scale,
    padding: [0, 0, 0, 0],
    legend: { show: false },
    cursor: { show: false },
    select: { show: false, left: 0, top: 0, width: 0, height: 0 },
    axes: [{ show: false }, { show: false }],
    scales: {
      x: { time: false, auto: false },
      y: { auto: false, distr: spec.scale.kind === 'log' ? 3 : 1, range: () => [spec.scale.min, spec.scale.max] },
    },
    series: [{}, ...series],
    bands: spec.band === null ? [] : [{ series: [spec.band.upper + 1, spec.band.lower + 1], fill: () => withAlpha(colorOf(spec.band?.color ?? 'ink'), 0.16) }],
    hooks: {
      draw: [
        (u) => {
          spec.series.forEach((line, i) => {
            drawMarkers(u, i + 1, line, colorOf(line.style.color), colorOf('panel'), scale);
          });
        },
      ],
    },
  });
  let plot: UPlot | null = null;

  return {
    draw(window) {
      const spanMs = window.endMs - window.startMs;
      const columns = spec.source.columnsFor(spanMs, widthPx);
      // A line of one pixel is drawn several times faster than a wider one without a graphics card; where samples crowd it looks nearly the same.
      const isDense = spec.source.isDense(spanMs, widthPx);
      const drawInto = (u: UPlot, setColumns: () => void): void => {
        spec.series.forEach((line, i) => {
          const drawn = u.series[i + 1];
          if (drawn !== undefined) drawn.width = (isDense ? Math.min(DENSE_WIDTH_PX, line.style.widthPx) : line.style.widthPx) * scale;
        });
        u.batch(() => {
          setColumns();
          u.setScale('x', { min: window.startMs / 1000, max: window.endMs / 1000 });
        });
      };
      // Made and drawn in one batch: by itself the library would draw an empty plot first.
      if (plot === null) {
        plot = new UPlot(optionsNow(), alignedData(columns), (made, init) => {
          element.append(made.root);
          drawInto(made, () => init());
        });
      } else {
        const known = plot;
        drawInto(known, () => {
          if (columns !== shown) known.setData(alignedData(columns), false);
        });
      }
      shown = columns;
    },
    dress(nextWidthPx, nextHeightPx, nextPalette) {
      const resized = nextWidthPx !== widthPx || nextHeightPx !== heightPx;
      const recolored = palette !== null && palette !== nextPalette;
      palette = nextPalette;
      widthPx = nextWidthPx;
      heightPx = nextHeightPx;
      if (resized) plot?.setSize({ width: widthPx * scale, height: heightPx * scale });
      if (recolored) plot?.redraw(false);
    },
    destroy() {
      plot?.destroy();
    },
  };
}

/** Visible samples stand wide enough apart for each to have its dot; dots and lines are enlarged with the window. */
function isSparse(u: UPlot, seriesIndex: number, scale: number): boolean {
  const [i0, i1] = u.series[seriesIndex]?.idxs ?? [0, 0];
  return (i1 - i0) * 9 * scale < u.width;
}

function lonelySamples(u: UPlot, seriesIndex: number): number[] {
  const column = u.data[seriesIndex] ?? [];
  const [i0, i1] = u.series[seriesIndex]?.idxs ?? [0, 0];
  const lonely: number[] = [];
  let runStart = -1;
  let runLength = 0;
  for (let i = i0; i <= i1 + 1; i++) {
    const value = i <= i1 ? column[i] : null;
    if (value === undefined) continue;
    if (value === null) {
      if (runLength === 1) lonely.push(runStart);
      runLength = 0;
    } else {
      if (runLength === 0) runStart = i;
      // The two values of one bucket are one place on the screen.
      if (runLength === 0 || (u.data[0][i] ?? 0) - (u.data[0][runStart] ?? 0) > secPerPx(u)) runLength++;
    }
  }
  return lonely;
}

function secPerPx(u: UPlot): number {
  const { min, max } = u.scales['x'] ?? {};
  return ((max ?? 0) - (min ?? 0)) / Math.max(1, u.width);
}

/** Draws the line's marker at even steps of time, so that markers move with the samples when the window moves. */
function drawMarkers(u: UPlot, seriesIndex: number, line: PlotSeries, color: string, ground: string, scale: number): void {
  const outline = markerPath(line.style.marker, MARKER_RADIUS_PX * UPlot.pxRatio * scale);
  const { min, max } = u.scales['x'] ?? {};
  if (outline === '' || line.isHidden || min === undefined || max === undefined) return;
  const xs = u.data[0];
  const column = u.data[seriesIndex] ?? [];
  const stepSec = 2 ** Math.ceil(Math.log2(secPerPx(u) * MARKER_EVERY_PX * scale));
  const shape = new Path2D(outline);
  const { ctx } = u;
  ctx.save();
  ctx.beginPath();
  ctx.rect(u.bbox.left, u.bbox.top, u.bbox.width, u.bbox.height);
  ctx.clip();
  ctx.strokeStyle = color;
  ctx.fillStyle = ground;
  ctx.lineWidth = 1.4 * UPlot.pxRatio * scale;
  // Sensors are set off against each other, so that markers of lines on one height do not hide each other.
  const offset = ((seriesIndex - 1) / Math.max(1, u.series.length - 1)) * stepSec;
  for (let at = Math.floor(min / stepSec) * stepSec + offset; at <= max; at += stepSec) {
    const i = nextValue(xs, column, at, at + stepSec / 4);
    if (i < 0) continue;
    const x = u.valToPos(xs[i] ?? NaN, 'x', true);
    const y = u.valToPos(column[i] ?? NaN, 'y', true);
    ctx.setTransform(1, 0, 0, 1, x, y);
    ctx.fill(shape);
    ctx.stroke(shape);
    ctx.setTransform(1, 0, 0, 1, 0, 0);
  }
  ctx.restore();
}

/** Returns the index of the first value at or after `from` and before `to`, or −1. */
function nextValue(xs: ArrayLike<number>, column: ArrayLike<number | null | undefined>, from: number, to: number): number {
  let low = 0;
  let high = xs.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((xs[middle] ?? Infinity) < from) low = middle + 1;
    else high = middle;
  }
  for (let i = low; i < xs.length && (xs[i] ?? Infinity) < to; i++) if (column[i] !== null && column[i] !== undefined) return i;
  return -1;
}
