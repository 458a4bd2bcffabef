import { useCallback, useEffect, useLayoutEffect, useMemo, useRef, useState, useSyncExternalStore, type JSX, type KeyboardEvent } from 'react';
import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import type { PairDetail } from '../../../core/model/site-detail.ts';
import { apartText } from '../../format/site-text.ts';
import { isPrinting } from '../../widgets/printing.ts';
import type { Viewport } from '../../state/viewport.ts';
import type { ThemeName } from '../../state/theme.ts';
import { commandOf } from '../../timeline/keys.ts';
import type { PlotSpec } from '../../timeline/lanes.ts';
import { createPaletteSource, cssVariable } from '../../timeline/palette.ts';
import { attachPanZoom } from '../../timeline/pan-zoom.ts';
import { buildTrace, ColumnSource } from '../../timeline/plot-adapter.ts';
import type { LineStyle } from '../../timeline/site-style.ts';
import type { WallClock } from '../../timeline/ticks.ts';
import { UplotHost, type PlotHandle } from '../../timeline/uplot-host.tsx';
import { snapOut, yTicks, yToPx, type YScale } from '../../timeline/y-scale.ts';
import { siteText } from '../case-view/case-facts.ts';
import { NAMES_PX } from './coverage-matrix.tsx';
import { swingMarks } from './swing-marks.ts';
import { TimeAxis } from './time-axis.tsx';
import { useWidth } from './use-width.ts';

const HEIGHT_PX = 250;
const AXIS_PX = 20;
/** The axis reaches down to here at least, or the noise of rounding would fill the picture. */
const LEAST_RANGE_FROM_PCT = 90;
const PAN_SHARE = 0.1;
const PAGE_SHARE = 0.8;
export const ZOOM_STEP = 1.5;

export interface OverlayPlotProps {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
  readonly pair: PairDetail;
  readonly viewport: Viewport;
  readonly styles: ReadonlyMap<string, LineStyle>;
  readonly themeName: ThemeName;
  readonly wall: WallClock;
  /** By how much the second curve is drawn earlier than it was recorded; 0: as recorded. */
  readonly shiftMs: number;
  /** Place in `pair.swings` of the chosen fall or rise; null: none. */
  readonly chosenSwing: number | null;
  readonly onChooseSwing: (index: number) => void;
}

/** Returns SpO2 of both sensors on one axis with every fall and rise marked at both, and the seconds between. */
export function OverlayPlot(props: OverlayPlotProps): JSX.Element {
  const { record, analysis, pair, viewport, styles, themeName, wall, shiftMs, chosenSwing, onChooseSwing } = props;
  const ref = useRef<HTMLDivElement>(null);
  const pointerRef = useRef<HTMLDivElement>(null);
  const { widthPx: width, scale: drawn } = useWidth(ref);
  const widthPx = Math.max(10, width - NAMES_PX);
  const window = useSyncExternalStore(viewport.subscribe, viewport.get);
  const [paletteSource] = useState(createPaletteSource);
  const palette = useSyncExternalStore(paletteSource.subscribe, () => paletteSource.snapshot(themeName));
  const { specs, scale } = useMemo(() => buildSpecs(record, analysis, pair, styles), [record, analysis, pair, styles]);
  const handles = useRef(new Map<string, PlotHandle>());

  const draw = useCallback((): void => {
    const shown = viewport.get();
    handles.current.get(pair.firstKey)?.draw(shown);
    handles.current.get(pair.secondKey)?.draw({ startMs: shown.startMs + shiftMs, endMs: shown.endMs + shiftMs });
  }, [viewport, pair, shiftMs]);
  const onPlot = useCallback((plotKey: string, handle: PlotHandle | null): void => {
    if (handle === null) handles.current.delete(plotKey);
    else handles.current.set(plotKey, handle);
  }, []);
  // In the next frame: the plots have taken their size then, and what was drawn without data is done with.
  useLayoutEffect(() => {
    if (isPrinting()) {
      // A sheet is taken of the page before the next frame comes.
      draw();
      return undefined;
    }
    const element = ref.current;
    // Whoever takes a picture of it waits for this sign.
    if (element !== null) element.dataset['drawn'] = 'false';
    const frame = requestAnimationFrame(() => {
      draw();
      if (element !== null && width > 0) element.dataset['drawn'] = 'true';
    });
    return () => cancelAnimationFrame(frame);
  }, [draw, window, width, drawn, palette, specs]);

  const marks = swingMarks(pair.swings, window, widthPx, scale, HEIGHT_PX, shiftMs, apartText);
  const marksRef = useRef(marks);
  useEffect(() => {
    marksRef.current = marks;
  });
  useEffect(() => {
    const element = pointerRef.current;
    if (element === null) return undefined;
    return attachPanZoom(element, {
      viewport,
      onClick: (xPx) => {
        const near = [...marksRef.current].sort((a, b) => distance(a, xPx) - distance(b, xPx))[0];
        if (near !== undefined && distance(near, xPx) < 14) onChooseSwing(near.index);
      },
      onHover: () => undefined,
      scrollBy: () => undefined,
      onSpan: () => undefined,
    });
  }, [viewport, onChooseSwing]);

  const onKeyDown = (event: KeyboardEvent<HTMLDivElement>): void => {
    const shown = viewport.get();
    const spanMs = shown.endMs - shown.startMs;
    const middleMs = (shown.startMs + shown.endMs) / 2;
    switch (commandOf(event)) {
      case 'pan later': viewport.panBy(spanMs * PAN_SHARE); break;
      case 'pan earlier': viewport.panBy(-spanMs * PAN_SHARE); break;
      case 'page later': viewport.panBy(spanMs * PAGE_SHARE); break;
      case 'page earlier': viewport.panBy(-spanMs * PAGE_SHARE); break;
      case 'zoom in': viewport.zoomAt(middleMs, ZOOM_STEP); break;
      case 'zoom out': viewport.zoomAt(middleMs, 1 / ZOOM_STEP); break;
      case 'fit': viewport.fit(); break;
      case 'to start': viewport.panBy(viewport.bounds.startMs - shown.startMs); break;
      case 'to end': viewport.panBy(viewport.bounds.endMs - shown.endMs); break;
      default: return;
    }
    event.preventDefault();
    event.stopPropagation();
  };

  return (
    <div
      ref={ref} className="cs-overlay" style={{ height: HEIGHT_PX + AXIS_PX }} tabIndex={0} role="group" onKeyDown={onKeyDown}
      // The page scrolls: a wheel without the control key is left to it.
      onWheelCapture={(event) => {
        if (!event.ctrlKey) event.stopPropagation();
      }}
      aria-label={`SpO2 at ${siteText(pair.firstKey)} and ${siteText(pair.secondKey)}. Arrow keys move, plus and minus zoom, 0 shows the whole case. Falls and rises stand in the list beneath.`}
    >
      <div className="cs-axis-title" style={{ width: NAMES_PX - 34 }}>SpO2, %{shiftMs === 0 ? null : <strong className="cs-shifted">{siteText(pair.secondKey)} shifted {apartText(shiftMs)} {shiftMs > 0 ? 'earlier' : 'later'}</strong>}</div>
      <svg className="cs-strip" width={width} height={HEIGHT_PX + AXIS_PX} aria-hidden="true" focusable="false">
        <rect x={NAMES_PX} y={0} width={widthPx} height={HEIGHT_PX} className="cs-paper" />
        {yTicks(scale, HEIGHT_PX, 28).map((tick) => (
          <g key={tick} className="cs-axis">
            <line x1={NAMES_PX} x2={NAMES_PX + widthPx} y1={yToPx(scale, tick, HEIGHT_PX)} y2={yToPx(scale, tick, HEIGHT_PX)} className="cs-grid-line" />
            <text x={NAMES_PX - 6} y={Math.min(HEIGHT_PX - 2, Math.max(10, yToPx(scale, tick, HEIGHT_PX) + 4))} textAnchor="end">{tick}</text>
          </g>
        ))}
        <g transform={`translate(${NAMES_PX} 0)`}><TimeAxis window={window} widthPx={widthPx} topPx={HEIGHT_PX} wall={wall} /></g>
      </svg>
      <div className="cs-plots" style={{ left: NAMES_PX, width: widthPx, height: HEIGHT_PX }} ref={pointerRef}>
        {specs.map((spec) => (
          <div key={spec.plotKey} className="cs-plot"><UplotHost spec={spec} widthPx={widthPx} heightPx={HEIGHT_PX} palette={palette} onPlot={onPlot} scale={drawn} /></div>
        ))}
        <svg className="cs-strip cs-marks" width={widthPx} height={HEIGHT_PX} aria-hidden="true" focusable="false">
          {marks.map((mark) => {
            const isChosen = mark.index === chosenSwing;
            const sign = mark.direction === 'fall' ? 1 : -1;
            const arrow = (x: number, color: string): JSX.Element => (
              <path d={`M${x - 5} ${mark.yPx - 4 * sign}H${x + 5}L${x} ${mark.yPx + 5 * sign}Z`} fill={cssVariable('panel')} stroke={color} strokeWidth="1.6" />
            );
            const color = (key: string): string => cssVariable(styles.get(key)?.color ?? 'inkSoft');
            return (
              <g key={mark.index} className={isChosen ? 'cs-mark-chosen' : undefined}>
                {mark.secondPx === null ? null : <line x1={mark.firstPx} x2={mark.secondPx} y1={mark.yPx} y2={mark.yPx} className="cs-mark-line" />}
                {isChosen && mark.secondPx !== null ? (
                  <>
                    <line x1={mark.firstPx} x2={mark.firstPx} y1={0} y2={HEIGHT_PX} className="cs-mark-upright" />
                    <line x1={mark.secondPx} x2={mark.secondPx} y1={0} y2={HEIGHT_PX} className="cs-mark-upright" />
                  </>
                ) : null}
                {arrow(mark.firstPx, color(pair.firstKey))}
                {mark.secondPx === null ? null : arrow(mark.secondPx, color(pair.secondKey))}
                {mark.label === null ? null : <text x={(mark.firstPx + (mark.secondPx ?? mark.firstPx)) / 2} y={mark.yPx - 9} textAnchor="middle" className="cs-mark-text">{mark.label}</text>}
              </g>
            );
          })}
        </svg>
      </div>
    </div>
  );
}

function distance(mark: { readonly firstPx: number; readonly secondPx: number | null }, xPx: number): number {
  const left = Math.min(mark.firstPx, mark.secondPx ?? mark.firstPx);
  const right = Math.max(mark.firstPx, mark.secondPx ?? mark.firstPx);
  return xPx < left ? left - xPx : xPx > right ? xPx - right : 0;
}

function buildSpecs(record: CaseRecord, analysis: CaseAnalysis, pair: PairDetail, styles: ReadonlyMap<string, LineStyle>): { readonly specs: PlotSpec[]; readonly scale: YScale } {
  const lines = [pair.firstKey, pair.secondKey].flatMap((siteKey) => {
    const site = analysis.sites.find((candidate) => candidate.siteKey === siteKey);
    const channel = record.channels.find((candidate) => candidate.channelId === site?.channelId);
    const style = styles.get(siteKey);
    return channel === undefined || style === undefined ? [] : [{ siteKey, style, trace: buildTrace(channel, analysis.parameters.spo2Plausible) }];
  });
  let least = 100;
  let most = 90;
  for (const { trace } of lines) {
    for (const v of trace.value) {
      if (v < least) least = v;
      if (v > most) most = v;
    }
  }
  const [min, max] = snapOut(Math.min(least - 1, LEAST_RANGE_FROM_PCT), most, 5);
  // A little above the top tick, or a line at 100 % would be cut in half.
  const scale: YScale = { kind: 'linear', min, max: max + (max - min) / 40 };
  return {
    scale,
    specs: lines.map(({ siteKey, style, trace }) => ({ plotKey: siteKey, series: [{ trace, style, isHidden: false }], scale, source: new ColumnSource([trace], ['both']), band: null })),
  };
}
