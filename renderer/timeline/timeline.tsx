import { useCallback, useEffect, useLayoutEffect, useMemo, useRef, useState, useSyncExternalStore } from 'react';
import type { CSSProperties, JSX, KeyboardEvent, RefObject } from 'react';
import type { Interval } from '../../core/base/interval.ts';
import { upperBound } from '../../core/base/search.ts';
import type { CaseAnalysis, Dropout, StatusRuns } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { Channel } from '../../core/model/channel.ts';
import type { LaneChoice } from '../../core/model/lane-choice.ts';
import { FALL_RATE_PRESETS } from '../../core/model/parameters.ts';
import { plainNumberText } from '../format/number-text.ts';
import { createCaseClock, durationText } from '../format/time-text.ts';
import type { CaseClock } from '../format/time-text.ts';
import { AROUND_MS, instantInFocus } from '../state/viewport.ts';
import { isPrinting, PRINT_TIMELINE_PX, PRINT_WIDTH_PX, useIsPrinting } from '../widgets/printing.ts';
import type { PlacedMark } from '../state/case-marks.ts';
import { createStore, useStore } from '../state/store.ts';
import type { Store } from '../state/store.ts';
import type { Viewport } from '../state/viewport.ts';
import { drawnScale } from '../widgets/drawn-scale.ts';
import { BOUND_CAUTION } from './bound-shape.ts';
import { cursorValue, neighbourSample } from './cursor-values.ts';
import { dropoutSpan, dropoutsInOrder, neighbourDropout, windowAround } from './dropout-walk.ts';
import { timeToPx } from './episode-layer.ts';
import { createFrame } from './frame.ts';
import type { HandBounds } from './hand-bounds.ts';
import { commandOf } from './keys.ts';
import type { TimelineCommand } from './keys.ts';
import { rememberWidths, spreadLabels } from './label-layout.ts';
import { LaneGrips } from './lane-grips.tsx';
import type { LaneGripsProps } from './lane-grips.tsx';
import { ENTRY_PX, gutters, layoutTimeline } from './lane-layout.ts';
import type { TimelineLayout } from './lane-layout.ts';
import { arrangeLanes, choiceOf, movedBefore, shownLanes } from './lane-order.ts';
import { LanePanel } from './lane-panel.tsx';
import { furtherChannels, furtherLane } from './lanes.ts';
import type { Lane } from './lanes.ts';
import { OverviewStrip, OVERVIEW_PX } from './overview-strip.tsx';
import { PaperLegend } from './paper-legend.tsx';
import { drawnMarks, markRowCount } from './mark-layout.ts';
import type { DrawnMark } from './mark-layout.ts';
import type { Measured } from './measure.ts';
import { MeasurePanel } from './measure-panel.tsx';
import { createPaletteSource } from './palette.ts';
import type { Palette } from './palette.ts';
import { attachPanZoom } from './pan-zoom.ts';
import { Readout, noteKey } from './readout.tsx';
import { TEXT_PX, paintScene } from './scene-paint.ts';
import type { HitArea, Scene } from './scene-paint.ts';
import { cursorSentence, dropoutSentence } from './speech.ts';
import { STATUS_WORDS, runNear, statusesOf } from './status-runs.ts';
import { StatusSwatch } from './status-swatch.tsx';
import { HandBoundsSwatch, Swatch } from './swatch.tsx';
import { createWallClock, timeTicks } from './ticks.ts';
import type { TimeTick, WallClock } from './ticks.ts';
import { buildTimelineModel, timelineLabel, withLanes } from './timeline-model.ts';
import type { TimelineModel } from './timeline-model.ts';
import { UplotHost } from './uplot-host.tsx';
import type { PlotHandle } from './uplot-host.tsx';
import { usePixelRatio } from './use-pixel-ratio.ts';
import { ValueTable } from './value-table.tsx';
import { yToPx } from './y-scale.ts';
import './timeline.css';

export interface TimelineProps {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
  /** Made by `createViewport(caseExtent(record, analysis))`; one per open case. */
  readonly viewport: Viewport;
  readonly selectedDropoutId: string | null;
  readonly onSelectDropout: (dropoutId: string) => void;
  /** Which lanes are drawn, in which order and height. */
  readonly lanes: LaneChoice;
  readonly onLanes: (lanes: LaneChoice) => void;
  /** What a person marked, in time order. */
  readonly marks: readonly PlacedMark[];
  readonly chosenMarkId: string | null;
  readonly onChooseMark: (markId: string) => void;
  /** Asks for a mark of an instant (null), or of a span. */
  readonly onMark: (startMs: number, endMs: number | null) => void;
  /** Bounds that readers set by hand; one array as long as they are the same. */
  readonly handBounds: readonly HandBounds[];
  /** Goes to the comparison of two stretches; null: there is none from here. */
  readonly onCompare: (() => void) | null;
  readonly themeName: 'light' | 'dark';
  /** Whether what cannot be excluded is drawn; left out: the timeline keeps it to itself. */
  readonly boundShown?: Store<boolean>;
  /** Without the bar and the strip of the whole case: what stands around it has them. */
  readonly isBare?: boolean;
  /** Where not all of it can be seen at once, it opens with the losses and the lanes in sight; what happened stands above, to be scrolled to. */
  readonly opensAtLosses?: boolean;
  /** Where it shares a sheet with another picture: it is as low as its lines allow, leaves the signs to what stands around it, and is told its height in CSS px, drawn or not. */
  readonly onSheetHeight?: (heightPx: number) => void;
}

const AXIS_PX = 24;
const PAN_SHARE = 0.1;
const PAGE_SHARE = 0.8;
const ZOOM_STEP = 1.5;

/** Returns the timeline of one case. It fills its parent, which must have a height. */
export function Timeline(props: TimelineProps): JSX.Element {
  const { record, analysis, viewport, selectedDropoutId, onSelectDropout, lanes: choice, onLanes, marks, chosenMarkId, onChooseMark, onMark, handBounds, onCompare, themeName, isBare = false, opensAtLosses = false, onSheetHeight } = props;
  const rootRef = useRef<HTMLDivElement>(null);
  const ownChoiceRef = useRef<string | null>(null);
  const [isTable, setIsTable] = useState(false);
  const [ownBoundShown] = useState(() => createStore(false));
  const boundShown = props.boundShown ?? ownBoundShown;
  const isBoundShown = useStore(boundShown);
  const [measureStore] = useState(() => createStore<Measured | null>(null));
  const [spoken, setWords] = useState('');
  /** Words that are said twice are said again: a live region tells only what changes. */
  const setSpoken = useCallback((words: string): void => setWords((was) => (was === words ? `${words}\u00a0` : words)), []);
  const [pointed, setPointed] = useState('');
  const screenSize = useElementSize(rootRef);
  const isOnPaper = useIsPrinting();
  const size = isOnPaper ? PRINT_SIZE : screenSize;
  // What opens over the timeline is no taller than it.
  useLayoutEffect(() => rootRef.current?.style.setProperty('--frame-px', `${size.heightPx}px`), [size.heightPx]);
  const [paletteSource] = useState(createPaletteSource);
  const palette = useSyncExternalStore(paletteSource.subscribe, () => paletteSource.snapshot(themeName));
  const ownModel = useMemo(() => buildTimelineModel(record, analysis), [record, analysis]);
  const further = useMemo(() => furtherChannels(record), [record]);
  const [laneOf] = useState(rememberedLanes);
  const laneRows = useMemo(() => arrangeLanes(ownModel.lanes, further, choice, laneOf), [ownModel, further, choice, laneOf]);
  const shownRows = useMemo(() => shownLanes(laneRows), [laneRows]);
  const model = useMemo(() => withLanes(ownModel, shownRows.map((row) => row.lane())), [ownModel, shownRows]);
  /** A lane whose edge is being pulled. */
  const [pulled, setPulled] = useState<{ readonly laneId: string; readonly heightPx: number } | null>(null);
  const clock = useMemo(() => createCaseClock(record.origin), [record.origin]);
  const ordered = useMemo(() => dropoutsInOrder(analysis), [analysis]);
  const { caseEndMs } = model;

  const selectByKey = (direction: 1 | -1): void => {
    const next = neighbourDropout(ordered, selectedDropoutId, viewport.get(), direction);
    if (next === null) setSpoken(direction === 1 ? 'No later dropout.' : 'No earlier dropout.');
    else onSelectDropout(next.dropoutId);
  };
  const selectByPointer = useCallback(
    (dropoutId: string): void => {
      // What was clicked is in sight already: the window stays where the eye is.
      ownChoiceRef.current = dropoutId;
      onSelectDropout(dropoutId);
    },
    [onSelectDropout],
  );

  // Whoever chose the dropout (a key, the list beside), the window goes to it.
  useEffect(() => {
    const index = ordered.findIndex((dropout) => dropout.dropoutId === selectedDropoutId);
    const dropout = ordered[index];
    if (dropout === undefined) return;
    if (ownChoiceRef.current !== dropout.dropoutId) showDropout(viewport, dropout, caseEndMs);
    ownChoiceRef.current = null;
    setSpoken(dropoutSentence(dropout, index + 1, ordered.length, clock, analysis));
  }, [selectedDropoutId, ordered, viewport, caseEndMs, clock, analysis, setSpoken]);

  const speakCursor = (atMs: number): void => {
    const values = model.lanes.flatMap((lane) =>
      lane.entries.map((entry) => ({ entry, laneTitle: lane.title, at: cursorValue(entry, model.traces, analysis, atMs, isBoundShown) })),
    );
    setSpoken(cursorSentence(atMs, values, clock));
  };
  const chosenSpan = (): Interval | null => {
    const dropout = ordered.find(({ dropoutId }) => dropoutId === selectedDropoutId);
    return dropout === undefined ? null : dropoutSpan(dropout, caseEndMs);
  };
  const speakWindow = (): void => {
    const { startMs, endMs } = viewport.get();
    setSpoken(`Showing ${clock.clock(startMs)} to ${clock.clock(endMs)}, ${durationText(endMs - startMs)}.`);
  };
  const measure = (atMs: number): void => {
    const measured = measureStore.get();
    if (measured === null) {
      viewport.setCursorMs(atMs);
      measureStore.set({ fromMs: atMs, toMs: null });
      setSpoken(`Measuring from ${clock.clock(atMs)}. Move the cursor and press M.`);
    } else if (measured.toMs === null) measureStore.set({ fromMs: measured.fromMs, toMs: atMs });
    else {
      measureStore.set(null);
      setSpoken('Measuring ended.');
    }
  };
  const run = (command: TimelineCommand): void => {
    const window = viewport.get();
    const spanMs = window.endMs - window.startMs;
    const focusMs = instantInFocus(viewport, null);
    const showAround = (halfMs: number): void => {
      const atMs = instantInFocus(viewport, chosenSpan());
      viewport.show({ startMs: atMs, endMs: atMs }, halfMs);
      speakWindow();
    };
    switch (command) {
      case 'next dropout': selectByKey(1); break;
      case 'previous dropout': selectByKey(-1); break;
      case 'pan later': viewport.panBy(spanMs * PAN_SHARE); break;
      case 'pan earlier': viewport.panBy(-spanMs * PAN_SHARE); break;
      case 'page later': viewport.panBy(spanMs * PAGE_SHARE); break;
      case 'page earlier': viewport.panBy(-spanMs * PAGE_SHARE); break;
      case 'zoom in': viewport.zoomAt(focusMs, ZOOM_STEP); break;
      case 'zoom out': viewport.zoomAt(focusMs, 1 / ZOOM_STEP); break;
      case '1 min around': showAround(AROUND_MS[0]); break;
      case '5 min around': showAround(AROUND_MS[1]); break;
      case '15 min around': showAround(AROUND_MS[2]); break;
      case 'fit': viewport.fit(); speakWindow(); break;
      case 'to start': viewport.panBy(viewport.bounds.startMs - window.startMs); break;
      case 'to end': viewport.panBy(viewport.bounds.endMs - window.endMs); break;
      case 'cursor later': stepCursor(viewport, ownModel, focusMs, 1, speakCursor); break;
      case 'cursor earlier': stepCursor(viewport, ownModel, focusMs, -1, speakCursor); break;
      case 'clear cursor':
        if (measureStore.get() === null) viewport.setCursorMs(null);
        else measureStore.set(null);
        break;
      case 'measure': measure(focusMs); break;
      case 'mark': {
        const measured = measureStore.get();
        const ends = measured === null ? [focusMs] : [measured.fromMs, measured.toMs ?? focusMs];
        measureStore.set(null);
        onMark(Math.min(...ends), Math.max(...ends) > Math.min(...ends) ? Math.max(...ends) : null);
        break;
      }
      case 'toggle table': setIsTable((was) => !was); break;
      case 'toggle bound': boundShown.set(!boundShown.get()); break;
    }
  };
  const onKeyDown = (event: KeyboardEvent<HTMLDivElement>): void => {
    const command = commandOf(event);
    if (command === null) return;
    // Inside the table the arrow keys belong to its own scrolling.
    if (isTable && event.key.length > 1) return;
    event.preventDefault();
    run(command);
  };

  // The picture and its table take each other's place: whoever was in one goes on in the other.
  const pictureRef = useRef<HTMLDivElement>(null);
  const tableRef = useRef<HTMLDivElement>(null);
  const wasTableRef = useRef(false);
  useEffect(() => {
    if (wasTableRef.current === isTable) return;
    wasTableRef.current = isTable;
    (isTable ? tableRef : pictureRef).current?.focus({ preventScroll: true });
  }, [isTable]);

  const label = useMemo(() => timelineLabel(record, analysis, model.lanes), [record, analysis, model]);
  const { leftPx, rightPx } = gutters(size.widthPx);
  const plotWidthPx = Math.max(80, size.widthPx - leftPx - rightPx);
  const resizeLane = (laneId: string, heightPx: number | null, isDone: boolean): void => {
    setPulled(isDone || heightPx === null ? null : { laneId, heightPx });
    const laneName = laneRows.find((row) => row.laneId === laneId)?.laneName;
    if (isDone) onLanes(choiceOf(laneRows.map((row) => (row.laneName === laneName ? { ...row, heightPx } : row)), choice));
  };
  const barPx = isBare || isOnPaper ? 0 : BAR_LINE_PX * barLines(size.widthPx);
  const heights = useMemo(
    () => new Map(shownRows.flatMap(({ laneId, heightPx }): [string, number][] => (pulled?.laneId === laneId ? [[laneId, pulled.heightPx]] : heightPx === null ? [] : [[laneId, heightPx]]))),
    [shownRows, pulled],
  );
  // A strip of the whole beneath the whole would say nothing on paper.
  const hasOverview = !isBare && !(isOnPaper && isWhole(viewport));
  const stageHeightPx = size.heightPx - (hasOverview ? OVERVIEW_PX : 0) - AXIS_PX - barPx - (isBoundShown ? CAUTION_PX : 0);
  const shownMarks = useMemo(() => drawnMarks(marks), [marks]);
  const isSharing = isOnPaper && onSheetHeight !== undefined;
  const layout = useMemo(
    () => layoutTimeline({ ...model, heights, markRowCount: markRowCount(shownMarks) }, size.widthPx, isSharing ? 0 : stageHeightPx, isOnPaper, isSharing ? SHARED_LANES : 1),
    [model, heights, shownMarks, size.widthPx, stageHeightPx, isOnPaper, isSharing],
  );
  const sheetPx = layout.heightPx + AXIS_PX + (hasOverview ? OVERVIEW_PX : 0);
  useLayoutEffect(() => {
    if (isSharing) onSheetHeight(sheetPx);
  }, [isSharing, onSheetHeight, sheetPx]);
  const drawnPx = useMemo(() => new Map(layout.lanes.map((box) => [box.lane.laneId, box.heightPx])), [layout]);
  return (
    <div ref={rootRef} className="tl-root" role="group" aria-label={`Timeline of case ${record.caseId}`} data-drawn="false" data-case={record.caseId} onKeyDown={onKeyDown} {...(isOnPaper && !isTable && !isSharing ? sheetFit(sheetPx) : {})}>
      {!isBare && <Bar
        isTable={isTable} isBoundShown={isBoundShown} hasDropouts={ordered.length > 0} hasHandBounds={handBounds.length > 0} pointed={pointed} viewport={viewport} clock={clock} rightPx={rightPx} heightPx={barPx} run={run}
        lanePanel={<LanePanel rows={laneRows} choice={choice} drawnPx={drawnPx} onChoose={onLanes} onSay={setSpoken} />}
        onCompare={onCompare}
      />}
      {isBoundShown && (
        <p className="tl-caution" style={{ height: CAUTION_PX }} role="note">
          <strong>{BOUND_CAUTION}</strong> The faint region is a bound, no estimate: the greatest rates of fall, {plainNumberText(analysis.parameters.fallPctPerS)}&nbsp;%/s{presetText(analysis.parameters.fallPctPerS)}, and rise, {plainNumberText(analysis.parameters.risePctPerS)}&nbsp;%/s (set in the definitions).
        </p>
      )}
      {size.widthPx > 0 && (
        <>
          {hasOverview && <OverviewStrip
            spo2={ownModel.lanes.find((lane) => lane.laneKey === 'spo2') ?? null}
            analysis={analysis} styles={model.styles} caseEndMs={caseEndMs} viewport={viewport} clock={clock} palette={palette} leftPx={leftPx} widthPx={plotWidthPx} scale={size.scale}
          />}
          {isTable ? (
            <ValueTable
              record={record} analysis={analysis} lanes={model.lanes} traces={model.traces} happenings={model.happenings} marks={shownMarks} caseEndMs={caseEndMs}
              viewport={viewport} clock={clock} isBoundShown={isBoundShown} selectedDropoutId={selectedDropoutId} handBounds={handBounds} onSelectDropout={onSelectDropout} elementRef={tableRef}
            />
          ) : (
            <Stage
              record={record} analysis={analysis} model={model} viewport={viewport} clock={clock} palette={palette} isBoundShown={isBoundShown} selectedDropoutId={selectedDropoutId} handBounds={handBounds}
              layout={layout} opensAtLosses={opensAtLosses} scale={size.scale} marks={shownMarks} chosenMarkId={chosenMarkId} onChooseMark={onChooseMark} measureStore={measureStore} heightPx={stageHeightPx} onResizeLane={resizeLane} onMoveLane={(laneId, beforeId) => onLanes(choiceOf(movedBefore(laneRows, laneId, beforeId), choice))} rootRef={rootRef} elementRef={pictureRef} label={label} onChoose={selectByPointer} onPoint={setPointed}
            />
          )}
          {isOnPaper && !isTable && !isSharing && <PaperLegend analyses={[analysis]} isBoundShown={isBoundShown} hasHandBounds={handBounds.length > 0} />}
        </>
      )}
      <MeasurePanel store={measureStore} lanes={model.lanes} traces={model.traces} analysis={analysis} viewport={viewport} clock={clock} onSay={setSpoken} />
      <div className="tl-unseen" aria-live="polite" data-spoken="">{spoken}</div>
    </div>
  );
}

/** Room for a picture under the title on a sheet lying down, in CSS px of print.css there, without the words about its signs. */
const SHEET_PX = 560;
/** What is left of the least heights of lanes where two pictures share a sheet. */
const SHARED_LANES = 0.65;
/** Larger, it would be wider than the sheet. */
const MOST_ZOOM = 1.15;
/** Smaller, its words could not be read: it goes over to the next sheet instead. */
const LEAST_ZOOM = 0.62;

/** Returns how a picture of a height fits a sheet lying down, for print.css. */
function sheetFit(heightPx: number): { readonly style?: CSSProperties; readonly 'data-tall'?: boolean } {
  const zoom = Math.min(MOST_ZOOM, SHEET_PX / heightPx);
  return zoom < LEAST_ZOOM ? { 'data-tall': true } : { style: { '--sheet-zoom': zoom.toFixed(3) } as CSSProperties }; // React's type knows no custom properties
}

function isWhole(viewport: Viewport): boolean {
  const { startMs, endMs } = viewport.get();
  return startMs <= viewport.bounds.startMs && endMs >= viewport.bounds.endMs;
}

/** Returns `furtherLane` that makes the lane of each channel once. */
function rememberedLanes(): (channel: Channel) => Lane {
  const made = new WeakMap<Channel, Lane>();
  return (channel) => {
    const lane = made.get(channel) ?? furtherLane(channel);
    made.set(channel, lane);
    return lane;
  };
}

const BAR_LINE_PX = 32;

/** Returns the lines of the bar: one where there is room for its buttons and the words of what is pointed at, two to four where there is not. */
function barLines(widthPx: number): number {
  return widthPx >= 1180 ? 1 : widthPx >= 680 ? 2 : widthPx >= 480 ? 3 : 4;
}
const CAUTION_PX = 38;

/** On paper it is as large as it has to be to be read there, whatever the window is; its bar stays away. */
const PRINT_SIZE = { widthPx: PRINT_WIDTH_PX, heightPx: PRINT_TIMELINE_PX, scale: 1 } as const;

/** Returns which patients a rate of fall is proposed for, in brackets, or nothing. */
function presetText(pctPerS: number): string {
  const preset = FALL_RATE_PRESETS.find((candidate) => candidate.pctPerS === pctPerS);
  return preset === undefined ? '' : ` (${preset.label})`;
}

interface BarProps {
  readonly isTable: boolean;
  readonly isBoundShown: boolean;
  readonly hasDropouts: boolean;
  readonly hasHandBounds: boolean;
  readonly pointed: string;
  readonly viewport: Viewport;
  readonly clock: CaseClock;
  readonly rightPx: number;
  readonly heightPx: number;
  readonly run: (command: TimelineCommand) => void;
  readonly lanePanel: JSX.Element;
  readonly onCompare: (() => void) | null;
}

/** The same commands for the pointer, and the words of what is pointed at. */
function Bar({ isTable, isBoundShown, hasDropouts, hasHandBounds, pointed, viewport, clock, rightPx, heightPx, run, lanePanel, onCompare }: BarProps): JSX.Element {
  const cursorMs = useSyncExternalStore(viewport.subscribe, viewport.getCursorMs);
  const button = (command: TimelineCommand, text: string, title: string, isDisabled = false): JSX.Element => (
    <button
      type="button" className="tl-button" title={title} aria-label={title} disabled={isDisabled}
      onClick={() => {
        run(command);
      }}
    >
      {text}
    </button>
  );
  return (
    <div className="tl-bar" style={{ height: heightPx }}>
      {button('previous dropout', '‹ Previous', 'Previous dropout (P)', !hasDropouts)}
      {button('next dropout', 'Next ›', 'Next dropout (N)', !hasDropouts)}
      <span className="tl-bar-space" />
      {button('measure', 'Measure', 'Measure between two instants (M); with the pointer, drag with Shift')}
      {button('mark', 'Mark', 'Mark the cursor’s instant, or what is measured, and write a note (K)')}
      {button('zoom out', '−', 'Show more time (−)')}
      {button('zoom in', '+', 'Show less time (+)')}
      {button('1 min around', '±1', 'Show 1 min before and after the cursor or the chosen dropout (1)')}
      {button('5 min around', '±5', 'Show 5 min before and after the cursor or the chosen dropout (2)')}
      {button('15 min around', '±15 min', 'Show 15 min before and after the cursor or the chosen dropout (3)')}
      {button('fit', 'Whole case', 'Show the whole case (0)')}
      {lanePanel}
      <button
        type="button" className="tl-button" aria-pressed={isTable} title="Table of what is visible (T)"
        onClick={() => {
          run('toggle table');
        }}
      >
        Table
      </button>
      <button
        type="button" className="tl-button" aria-pressed={isBoundShown} disabled={!hasDropouts} title="How low SpO2 can have gone inside dropouts: a bound, not what happened (E)"
        onClick={() => {
          run('toggle bound');
        }}
      >
        Cannot be excluded
      </button>
      {onCompare !== null && <button type="button" className="tl-button" title="Lay two stretches of this case, or another case, over each other" onClick={onCompare}>Compare</button>}
      {hasHandBounds && <span className="tl-legend" title="Bounds that a reader set by hand: legs at the first and last lost sample, dots to the last good and first good one; broken while it is not saved"><HandBoundsSwatch /> by hand</span>}
      <span className="tl-pointed" aria-hidden="true">{pointed}</span>
      <span className="tl-cursor-clock" style={{ width: rightPx - 8 }} data-cursor-clock="">{cursorMs === null ? '' : `At ${clock.clock(cursorMs)}`}</span>
    </div>
  );
}

interface StageProps {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
  readonly model: TimelineModel;
  readonly viewport: Viewport;
  readonly clock: CaseClock;
  readonly palette: Palette;
  readonly isBoundShown: boolean;
  readonly selectedDropoutId: string | null;
  readonly handBounds: readonly HandBounds[];
  readonly layout: TimelineLayout;
  readonly opensAtLosses: boolean;
  /** How much larger the page draws it. */
  readonly scale: number;
  readonly marks: readonly DrawnMark[];
  readonly chosenMarkId: string | null;
  readonly onChooseMark: (markId: string) => void;
  readonly measureStore: Store<Measured | null>;
  /** Of what can be seen of it; the rest scrolls. */
  readonly heightPx: number;
  readonly onResizeLane: LaneGripsProps['onResize'];
  readonly onMoveLane: LaneGripsProps['onMove'];
  /** Wears `data-drawn`. */
  readonly rootRef: { readonly current: HTMLElement | null };
  readonly elementRef: RefObject<HTMLDivElement | null>;
  readonly label: string;
  readonly onChoose: (dropoutId: string) => void;
  readonly onPoint: (text: string) => void;
}

/** The lanes under one time axis. Everything that follows the viewport is drawn here, once per animation frame, outside React. */
function Stage(props: StageProps): JSX.Element {
  const { record, analysis, model, viewport, clock, palette, isBoundShown, selectedDropoutId, handBounds, layout, opensAtLosses, scale, marks, chosenMarkId, onChooseMark, measureStore, heightPx, onResizeLane, onMoveLane, rootRef, elementRef, label, onChoose, onPoint } = props;
  const sceneRef = useRef<HTMLCanvasElement>(null);
  const axisRef = useRef<HTMLCanvasElement>(null);
  const pointerRef = useRef<HTMLDivElement>(null);
  const lineRef = useRef<HTMLDivElement>(null);
  const bandRef = useRef<HTMLDivElement>(null);
  const plotsRef = useRef(new Map<string, PlotHandle>());
  const entriesRef = useRef(new Map<string, HTMLElement>());
  const hitsRef = useRef<readonly HitArea[]>([]);
  const ratio = usePixelRatio();
  const wallClock = useMemo(() => createWallClock(record.origin), [record.origin]);
  const onPlot = useCallback((plotKey: string, handle: PlotHandle | null): void => {
    if (handle === null) plotsRef.current.delete(plotKey);
    else plotsRef.current.set(plotKey, handle);
  }, []);
  const onEntry = useCallback((entryKey: string, element: HTMLElement | null): void => {
    if (element === null) entriesRef.current.delete(entryKey);
    else entriesRef.current.set(entryKey, element);
  }, []);

  const isOpenedRef = useRef(false);
  useLayoutEffect(() => {
    if (isOpenedRef.current || !opensAtLosses || elementRef.current === null) return;
    isOpenedRef.current = true;
    const lossesPx = (layout.blind ?? layout.lossRows[0] ?? layout.lanes[0])?.topPx ?? 0;
    if (layout.heightPx > heightPx && heightPx - lossesPx < LEAST_LANES_PX) elementRef.current.scrollTop = lossesPx - 3;
  }, [opensAtLosses, layout, heightPx, elementRef]);

  useLayoutEffect(() => {
    const sceneCtx = fitCanvas(sceneRef.current, layout.widthPx, layout.heightPx, ratio * scale);
    const axisCtx = fitCanvas(axisRef.current, layout.widthPx, AXIS_PX, ratio * scale);
    const root = rootRef.current;
    if (sceneCtx === null || axisCtx === null || root === null) return undefined;
    const fontFamily = getComputedStyle(root).fontFamily;
    sceneCtx.font = `${TEXT_PX}px ${fontFamily}`;
    const scene: Scene = {
      layout, analysis, happenings: model.happenings, marks, chosenMarkId, styles: model.styles, doubtful: model.doubtful, caseEndMs: model.caseEndMs, isBoundShown, selectedDropoutId, handBounds, palette, fontFamily,
      widthOf: rememberWidths((text) => sceneCtx.measureText(text).width),
    };
    let drawnWindow: unknown = null;
    let scrolledPx = elementRef.current?.scrollTop ?? 0;
    const drawnPlots = new Map<PlotHandle, Interval>();
    /** Draws the plots that show `shown` not yet; of lanes out of sight only where a sheet is taken of all of them. */
    const drawPlots = (shown: Interval, isSheet: boolean): void => {
      for (const { lane, topPx, heightPx: laneHeightPx } of layout.lanes) {
        if (!isSheet && !isNearSight(topPx, laneHeightPx, scrolledPx, heightPx)) continue;
        for (const { plotKey } of lane.plots) {
          const plot = plotsRef.current.get(plotKey);
          if (plot === undefined || drawnPlots.get(plot) === shown) continue;
          plot.draw(shown);
          drawnPlots.set(plot, shown);
        }
      }
    };
    const frame = createFrame(
      () => {
        const window = viewport.get();
        if (drawnWindow !== window) {
          drawnWindow = window;
          const ticks = timeTicks(window, layout.plotWidthPx, wallClock);
          hitsRef.current = paintScene(sceneCtx, scene, window, ticks);
          paintAxis(axisCtx, scene, wallClock, window, ticks);
          placeEntries(layout, entriesRef.current, window);
        }
        drawPlots(window, isPrinting());
        placeCursor(lineRef.current, layout, viewport);
        placeMeasured(bandRef.current, layout, viewport, measureStore.get());
      },
      (isPending) => {
        root.dataset['drawn'] = isPending ? 'false' : 'true';
      },
    );
    const unsubscribe = viewport.subscribe(frame.request);
    const unsubscribeMeasure = measureStore.subscribe(frame.request);
    frame.request();
    // A sheet is taken of the page before the next frame comes.
    if (isPrinting()) frame.flush();
    const onPrint = (): void => {
      drawnWindow = null;
      drawnPlots.clear();
      frame.request();
      frame.flush();
      drawPlots(viewport.get(), true);
    };
    const onScroll = (): void => {
      scrolledPx = elementRef.current?.scrollTop ?? 0;
      frame.request();
    };
    const stage = elementRef.current;
    stage?.addEventListener('scroll', onScroll, { passive: true });
    window.addEventListener('beforeprint', onPrint);
    return () => {
      stage?.removeEventListener('scroll', onScroll);
      window.removeEventListener('beforeprint', onPrint);
      unsubscribe();
      unsubscribeMeasure();
      frame.dispose();
    };
  }, [layout, heightPx, scale, ratio, marks, chosenMarkId, analysis, model, viewport, palette, isBoundShown, selectedDropoutId, handBounds, wallClock, rootRef, elementRef, measureStore]);

  useEffect(() => {
    const element = pointerRef.current;
    if (element === null) return undefined;
    const find = (xPx: number, yPx: number): HitArea | undefined => {
      const x = xPx + layout.plotLeftPx;
      return hitsRef.current.findLast((hit) => x >= hit.leftPx && x <= hit.rightPx && yPx >= hit.topPx && yPx <= hit.bottomPx);
    };
    return attachPanZoom(element, {
      viewport,
      scrollBy(dyPx) {
        elementRef.current?.scrollBy(0, dyPx);
      },
      onSpan(fromMs, toMs) {
        measureStore.set({ fromMs, toMs });
      },
      onClick(xPx, yPx) {
        const hit = find(xPx, yPx);
        if (hit?.target.kind === 'dropout') onChoose(hit.target.dropoutId);
        if (hit?.target.kind === 'mark') onChooseMark(hit.target.markId);
      },
      onHover(at) {
        const hit = at === null ? undefined : find(at.xPx, at.yPx);
        if (hit === undefined) onPoint('');
        else if (hit.target.kind === 'text' || hit.target.kind === 'mark') onPoint(`${clock.clock(hit.target.atMs)} ${hit.target.text}`);
        else if (hit.target.kind === 'status') onPoint(at === null ? '' : statusWords(hit.target.siteKey, at.xPx, viewport.get(), layout.plotWidthPx, analysis, clock));
        else onPoint(dropoutWords(hit.target.dropoutId, analysis, clock));
        element.style.cursor = hit?.target.kind === 'dropout' || hit?.target.kind === 'mark' ? 'pointer' : '';
      },
    });
  }, [viewport, layout, analysis, clock, onChoose, onPoint, elementRef, measureStore, onChooseMark]);

  return (
    <>
      <div ref={elementRef} className="tl-stage" role="application" aria-label={label} tabIndex={0} style={{ height: Math.max(80, heightPx) }}>
        <div className="tl-stage-inner" style={{ height: layout.heightPx }}>
          <canvas ref={sceneRef} className="tl-scene" style={{ width: layout.widthPx, height: layout.heightPx }} aria-hidden="true" />
          <Titles layout={layout} model={model} analysis={analysis} />
          {layout.lanes.map(({ lane, topPx, heightPx: laneHeightPx }) =>
            lane.plots.map((plot) => (
              <div key={plot.plotKey} className="tl-plot-place" style={{ left: layout.plotLeftPx, top: topPx }}>
                <UplotHost spec={plot} widthPx={layout.plotWidthPx} heightPx={laneHeightPx} palette={palette} scale={scale} onPlot={onPlot} />
              </div>
            )),
          )}
          <Readout
            boxes={layout.lanes} traces={model.traces} analysis={analysis} isBoundShown={isBoundShown} viewport={viewport}
            leftPx={layout.plotLeftPx + layout.plotWidthPx + 6} widthPx={layout.widthPx - layout.plotLeftPx - layout.plotWidthPx - 12} onEntry={onEntry}
          />
          <div ref={bandRef} className="tl-measured" style={{ height: layout.heightPx, display: 'none' }} aria-hidden="true" />
          <div ref={lineRef} className="tl-cursor" style={{ height: layout.heightPx }} aria-hidden="true" />
          <div ref={pointerRef} className="tl-pointer" style={{ left: layout.plotLeftPx, width: layout.plotWidthPx, height: layout.heightPx }} />
          <LaneGrips layout={layout} onResize={onResizeLane} onMove={onMoveLane} />
        </div>
      </div>
      <canvas ref={axisRef} className="tl-axis" style={{ width: layout.widthPx, height: AXIS_PX }} aria-hidden="true" />
    </>
  );
}

function dropoutWords(dropoutId: string, analysis: CaseAnalysis, clock: CaseClock): string {
  const ordered = dropoutsInOrder(analysis);
  const index = ordered.findIndex((dropout) => dropout.dropoutId === dropoutId);
  const dropout = ordered[index];
  return dropout === undefined ? '' : dropoutSentence(dropout, index + 1, ordered.length, clock, analysis);
}

function statusWords(siteKey: string, xPx: number, window: Interval, plotWidthPx: number, analysis: CaseAnalysis, clock: CaseClock): string {
  const runs = analysis.sites.find((site) => site.siteKey === siteKey)?.statusRuns;
  const msPerPx = (window.endMs - window.startMs) / plotWidthPx;
  const run = runs === undefined ? null : runNear(runs, window.startMs + xPx * msPerPx, 3 * msPerPx);
  // What it is comes first: in a narrow bar the end is cut off.
  return run === null ? '' : `${STATUS_WORDS[run.status]} (${siteKey}, ${clock.clock(run.startMs)}, ${durationText(run.endMs - run.startMs)})`;
}

const NO_RUNS: StatusRuns = { implausible: [], flagged: [], held: [], weak: [], disputed: [] };

/** The names left of the lanes and rows, and what the patterns of the status rows mean. */
function Titles({ layout, model, analysis }: { readonly layout: TimelineLayout; readonly model: TimelineModel; readonly analysis: CaseAnalysis }): JSX.Element {
  const row = (key: string, topPx: number, heightPx: number, content: JSX.Element | string): JSX.Element => (
    <span key={key} className="tl-row-title" style={{ top: topPx, height: heightPx, width: layout.plotLeftPx - 8 }}>
      {content}
    </span>
  );
  return (
    <div className="tl-titles" aria-hidden="true">
      {layout.marks !== null && row('marks', layout.marks.topPx, 18, 'Marks')}
      {layout.phases !== null && row('phases', layout.phases.topPx, 18, 'Phases')}
      {layout.moments !== null && row('moments', layout.moments.topPx, 18, 'Events')}
      {layout.states !== null && row('states', layout.states.topPx, 18, 'States')}
      {layout.infusions.map((box, i) => row(`infusion ${i}`, box.topPx, box.heightPx, model.happenings.infusions[i]?.name ?? ''))}
      {layout.boluses !== null && row('boluses', layout.boluses.topPx, 18, 'Boluses')}
      {layout.blind !== null && row('blind', layout.blind.topPx, layout.blind.heightPx, 'No site')}
      {layout.lossRows.map(({ siteKey, topPx, heightPx }) => {
        const style = model.styles.get(siteKey);
        return row(`loss ${siteKey}`, topPx, heightPx, <>{style !== undefined && <Swatch style={style} />}<span className="tl-clip">{siteKey}</span></>);
      })}
      {layout.statusRows.map(({ siteKey, topPx, heightPx }) => row(`status ${siteKey}`, topPx - 1, heightPx, <span className="tl-status-title">value status</span>))}
      {layout.statusRows.map(({ siteKey, topPx, heightPx }) => (
        <span
          key={`key ${siteKey}`} className="tl-status-key"
          style={{ top: topPx - 1, height: heightPx, left: layout.plotLeftPx + layout.plotWidthPx + 6, width: layout.widthPx - layout.plotLeftPx - layout.plotWidthPx - 10 }}
        >
          {statusesOf(analysis.sites.find((site) => site.siteKey === siteKey)?.statusRuns ?? NO_RUNS).map((status) => <span key={status}><StatusSwatch status={status} /> {status}</span>)}
        </span>
      ))}
      {layout.lanes.map(({ lane, topPx, heightPx }) => (
        <span key={lane.laneId} className="tl-lane-title" style={{ top: topPx + 2, maxHeight: heightPx }} title={lane.title}>
          {lane.title}
          <small>{lane.unit === 'log' ? 'log scale' : lane.unit}</small>
        </span>
      ))}
    </div>
  );
}

function showDropout(viewport: Viewport, dropout: Dropout, caseEndMs: number): void {
  viewport.set(windowAround(dropoutSpan(dropout, caseEndMs), viewport.get()));
  viewport.setCursorMs(dropout.firstLostMs);
}

function stepCursor(viewport: Viewport, model: TimelineModel, fromMs: number, direction: 1 | -1, speak: (atMs: number) => void): void {
  const next = neighbourSample(model.lanes, fromMs, direction);
  if (next === null) return;
  viewport.setCursorMs(next);
  const window = viewport.get();
  // The cursor takes the window along when it leaves it.
  if (next < window.startMs || next > window.endMs) viewport.panBy(next - (window.startMs + window.endMs) / 2);
  speak(next);
}

function paintAxis(ctx: CanvasRenderingContext2D, scene: Scene, wallClock: WallClock, window: Interval, ticks: readonly TimeTick[]): void {
  const { layout, palette, fontFamily, widthOf } = scene;
  ctx.clearRect(0, 0, layout.widthPx, AXIS_PX);
  ctx.font = `${TEXT_PX}px ${fontFamily}`;
  ctx.textBaseline = 'middle';
  ctx.textAlign = 'center';
  ctx.fillStyle = palette.inkSoft;
  ctx.strokeStyle = palette.lineStrong;
  ctx.beginPath();
  for (const tick of ticks) {
    const x = Math.round(layout.plotLeftPx + timeToPx(tick.atMs, window, layout.plotWidthPx)) + 0.5;
    ctx.moveTo(x, 0);
    ctx.lineTo(x, 4);
    if (x - widthOf(tick.label) / 2 >= 2 && x + widthOf(tick.label) / 2 <= layout.widthPx - 2) ctx.fillText(tick.label, x, 14);
  }
  ctx.stroke();
  ctx.textAlign = 'left';
  const meaning = wallClock.meanings.find((text) => widthOf(text) < layout.plotLeftPx - 32) ?? '';
  ctx.fillText(meaning, 8, 14);
}

/** Moves each label to the height at which its line leaves the window; labels of one lane never overlap. */
function placeEntries(layout: TimelineLayout, elements: ReadonlyMap<string, HTMLElement>, window: Interval): void {
  for (const { lane, heightPx } of layout.lanes) {
    const wishes = lane.entries.map((entry) => {
      const i = entry.anchor === null ? -1 : upperBound(entry.anchor.tMs, window.endMs) - 1;
      const last = (entry.anchor?.tMs[i] ?? -Infinity) >= window.startMs ? entry.anchor?.value[i] : undefined;
      const at = last === undefined ? NaN : yToPx(lane.scale, last, heightPx);
      return { key: entry.entryKey, wantedPx: Math.max(0, Math.min(heightPx, at)), sizePx: ENTRY_PX };
    });
    const guide = lane.guides[0];
    if (lane.note !== null && guide !== undefined) wishes.push({ key: noteKey(lane.laneId), wantedPx: yToPx(lane.scale, guide, heightPx), sizePx: ENTRY_PX });
    spreadLabels(wishes, heightPx).forEach((middlePx, i) => {
      const element = elements.get(wishes[i]?.key ?? '');
      if (element !== undefined) element.style.transform = `translateY(${Math.round(middlePx - ENTRY_PX / 2)}px)`;
    });
  }
}

function placeCursor(line: HTMLElement | null, layout: TimelineLayout, viewport: Viewport): void {
  if (line === null) return;
  const cursorMs = viewport.getCursorMs();
  const window = viewport.get();
  const isShown = cursorMs !== null && cursorMs >= window.startMs && cursorMs <= window.endMs;
  line.style.display = isShown ? '' : 'none';
  if (isShown) line.style.transform = `translateX(${layout.plotLeftPx + timeToPx(cursorMs, window, layout.plotWidthPx)}px)`;
}

/** The measured stretch as a band between two lines; while the second instant is not held, the cursor is it. */
function placeMeasured(band: HTMLElement | null, layout: TimelineLayout, viewport: Viewport, measured: Measured | null): void {
  if (band === null) return;
  const toMs = measured === null ? null : (measured.toMs ?? viewport.getCursorMs() ?? measured.fromMs);
  const window = viewport.get();
  const ends = measured === null || toMs === null ? [] : [measured.fromMs, toMs].map((ms) => Math.max(-2, Math.min(layout.plotWidthPx + 2, timeToPx(ms, window, layout.plotWidthPx))));
  const leftPx = Math.min(...ends);
  const rightPx = Math.max(...ends);
  band.style.display = ends.length === 0 || rightPx < 0 || leftPx > layout.plotWidthPx ? 'none' : '';
  if (ends.length === 0) return;
  band.style.transform = `translateX(${layout.plotLeftPx + leftPx}px)`;
  band.style.width = `${rightPx - leftPx}px`;
}

/** Returns the drawing context of a canvas that has `ratio` pixels for each of its CSS pixels, scaled so that 1 is a CSS pixel. */
function fitCanvas(canvas: HTMLCanvasElement | null, widthPx: number, heightPx: number, ratio: number): CanvasRenderingContext2D | null {
  const ctx = canvas?.getContext('2d') ?? null;
  if (canvas === null || ctx === null) return null;
  canvas.width = Math.max(1, Math.round(widthPx * ratio));
  canvas.height = Math.max(1, Math.round(heightPx * ratio));
  ctx.setTransform(ratio, 0, 0, ratio, 0, 0);
  return ctx;
}

/** Less than this of losses and lanes is too little to read a course in. */
const LEAST_LANES_PX = 220;
/** Lanes this far above and below what is seen are drawn too, so that a short scroll shows no empty ones. */
const NEAR_SIGHT_PX = 60;

/** Returns whether a lane lies in, or near, the stretch of the stage that can be seen. */
function isNearSight(topPx: number, laneHeightPx: number, scrolledPx: number, seenPx: number): boolean {
  return topPx + laneHeightPx >= scrolledPx - NEAR_SIGHT_PX && topPx <= scrolledPx + seenPx + NEAR_SIGHT_PX;
}

/** Returns the element's inner size in whole px, and how much larger the page draws it (CSS zoom), following both; 0 × 0 until it is known. */
function useElementSize(ref: { readonly current: HTMLElement | null }): { readonly widthPx: number; readonly heightPx: number; readonly scale: number } {
  const [size, setSize] = useState({ widthPx: 0, heightPx: 0, scale: 1 });
  useLayoutEffect(() => {
    const element = ref.current;
    if (element === null) return undefined;
    const measure = (): void => {
      const widthPx = Math.floor(element.clientWidth);
      const heightPx = Math.floor(element.clientHeight);
      const scale = Math.round(100 * drawnScale(element)) / 100;
      setSize((was) => (was.widthPx === widthPx && was.heightPx === heightPx && was.scale === scale ? was : { widthPx, heightPx, scale }));
    };
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    // Where it is enlarged with the window, its own size may stay the same.
    window.addEventListener('resize', measure);
    return () => {
      window.removeEventListener('resize', measure);
      observer.disconnect();
    };
  }, [ref]);
  return size;
}
