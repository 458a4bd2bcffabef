import { useEffect, useMemo, useRef, useState, useSyncExternalStore, type CSSProperties, type JSX } from 'react';
import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import { createCaseClock } from '../../format/time-text.ts';
import type { PlacedMark } from '../../state/case-marks.ts';
import { linkViewports } from '../../state/linked-viewports.ts';
import type { OpenCase } from '../../state/open-case.ts';
import { createOtherCase } from '../../state/other-case.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import type { ThemeName } from '../../state/theme.ts';
import { AROUND_MS, type Viewport } from '../../state/viewport.ts';
import { caseExtent } from '../../timeline/case-extent.ts';
import { timeToPx } from '../../timeline/episode-layer.ts';
import type { HandBounds } from '../../timeline/hand-bounds.ts';
import { gutters } from '../../timeline/lane-layout.ts';
import { PaperLegend } from '../../timeline/paper-legend.tsx';
import { Timeline } from '../../timeline/timeline.tsx';
import { Button } from '../../widgets/button.tsx';
import { Waiting } from '../../widgets/empty-state.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';
import { SelectField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { useIsPrinting } from '../../widgets/printing.ts';
import { useWidth } from '../case-sites/use-width.ts';
import { anchorBeside, caseAnchors, type Anchor } from './anchors.ts';
import { comparedFacts, type ComparedSide } from './compared-facts.ts';

export interface ComparePartProps {
  readonly openCase: OpenCase;
  readonly themeName: ThemeName;
  readonly onClose: () => void;
}

interface Side extends ComparedSide {
  readonly anchors: readonly Anchor[];
}

/** Returns two stretches of this case, or this case and another, over each other and aligned on an instant of each. */
export function ComparePart({ openCase, themeName, onClose }: ComparePartProps): JSX.Element {
  const session = useSession();
  const analysis = useStore(openCase.analysis);
  const library = useStore(session.library);
  const [other] = useState(() => createOtherCase(session.host, session.decode));
  const otherState = useStore(other);
  const [otherKey, setOtherKey] = useState('');
  const selection = useStore(openCase.selection);
  const [firstId, setFirstId] = useState(selection.kind === 'dropout' ? `dropout ${selection.dropoutId}` : '');
  const [secondId, setSecondId] = useState('');
  useEffect(() => () => other.close(), [other]);
  useEffect(() => {
    if (otherKey === '') other.close();
    else void other.open(otherKey, analysis.parameters);
  }, [other, otherKey, analysis.parameters]);

  const first = useMemo(() => sideOf(openCase.record, analysis, firstId, 0), [openCase.record, analysis, firstId]);
  const second = useMemo((): Side | null => {
    if (otherKey === '') return sideOf(openCase.record, analysis, secondId === '' ? anchorBeside(first.anchors, first.anchor.anchorId) : secondId, 1);
    return otherState.kind === 'open' ? sideOf(otherState.record, otherState.analysis, secondId, 0) : null;
  }, [openCase.record, analysis, first, otherKey, otherState, secondId]);
  const besideName = otherKey === '' || second === null ? null : second.record.caseId;
  useEffect(() => {
    session.comparedCase.set(besideName);
    return () => session.comparedCase.set(null);
  }, [session, besideName]);
  const isPrinting = useIsPrinting();
  const [upperPx, setUpperPx] = useState(0);
  const [lowerPx, setLowerPx] = useState(0);
  const viewports = useMemo(() => {
    if (second === null) return null;
    const linked = linkViewports(
      { bounds: caseExtent(first.record, first.analysis), anchorMs: first.anchor.atMs },
      { bounds: caseExtent(second.record, second.analysis), anchorMs: second.anchor.atMs },
    );
    linked.first.show({ startMs: first.anchor.atMs, endMs: first.anchor.atMs }, AROUND_MS[2]);
    // The line through all lanes of both, and the values of both there, before anything is pointed at.
    linked.first.setCursorMs(first.anchor.atMs);
    return linked;
  }, [first, second]);
  const around = (halfMs: number): void => viewports?.first.show({ startMs: first.anchor.atMs, endMs: first.anchor.atMs }, halfMs);
  const notYet = viewports === null ? 'The second case is not open' : undefined;
  const cases = (library.kind === 'ready' ? library.cases : []).filter(({ caseKey, problem }) => caseKey !== openCase.caseKey && problem === null);
  const choices = (side: Side | null): { value: string; label: string }[] => (side?.anchors ?? []).map(({ anchorId, label }) => ({ value: anchorId, label }));

  return (
    <section className="compare-part" aria-label="Compare">
      <div className="compare-choices only-screen">
        <SelectField label="Upper: this case, aligned on" value={first.anchor.anchorId} choices={choices(first)} onChange={setFirstId} />
        <SelectField
          label="Lower" value={otherKey} choices={[{ value: '', label: 'this case again' }, ...cases.map(({ caseKey, caseId }) => ({ value: caseKey, label: caseId }))]}
          onChange={(caseKey) => {
            setOtherKey(caseKey);
            setSecondId('');
          }}
        />
        <SelectField
          label="Lower: aligned on" value={second?.anchor.anchorId ?? ''} onChange={setSecondId}
          choices={second === null ? [{ value: '', label: otherState.kind === 'failed' ? 'nothing: it is not open' : 'being opened…' }] : choices(second)}
        />
        <div className="row">
          <Button disabled={viewports === null} title={notYet} onClick={() => around(AROUND_MS[0])} aria-label="1 min around the aligned instant">±1</Button>
          <Button disabled={viewports === null} title={notYet} onClick={() => around(AROUND_MS[1])} aria-label="5 min around the aligned instant">±5</Button>
          <Button disabled={viewports === null} title={notYet} onClick={() => around(AROUND_MS[2])} aria-label="15 min around the aligned instant">±15 min</Button>
          <Button disabled={viewports === null} title={notYet} onClick={() => viewports?.first.fit()}>All</Button>
          <Button onClick={onClose}>Back to the timeline</Button>
        </div>
      </div>
      {isPrinting ? null : <p className="soft">Both move together; the flag {ALIGNED}</p>}
      {otherState.kind === 'failed' && otherKey !== '' ? <Notice tone="problem" title="The second case could not be opened." live><p>{otherState.problem.message} {otherState.problem.remedy ?? ''}</p><Button onClick={() => void other.open(otherKey, analysis.parameters)}>Try again</Button></Notice> : null}
      {viewports === null || second === null ? (otherState.kind === 'opening' ? <Waiting>Opening the second case…</Waiting> : null) : (
        <>
          <Disclosure summary="Both in a table">
            <ComparedTable upper={first} lower={second} />
          </Disclosure>
          <div className="compare-pictures" style={isPrinting ? sharedFit(upperPx + lowerPx) : undefined}>
            <ComparedTimeline side={first} viewport={viewports.first} themeName={themeName} place="Upper" onSheetHeight={setUpperPx} />
            <ComparedTimeline side={second} viewport={viewports.second} themeName={themeName} place="Lower" onSheetHeight={setLowerPx} />
            {isPrinting ? (
              <div className="compare-words">
                <p className="tl-paper-legend">The flag {ALIGNED}</p>
                <PaperLegend analyses={[first.analysis, second.analysis]} isBoundShown={false} hasHandBounds={false} />
              </div>
            ) : null}
          </div>
        </>
      )}
    </section>
  );
}

const ALIGNED = 'stands at the aligned instant of each. Each keeps its own clock and scales. That two courses look alike does not show that they have one cause.';

/** Room for both pictures under the title, in CSS px of print.css: on a sheet that stands up, and on one that lies down. */
const STANDING_PX = 900;
const LYING_PX = 600;
/** Smaller, their words could not be read: each has a sheet of its own then, still both in one scale. */
const LEAST_STANDING_ZOOM = 0.8;
const LEAST_LYING_ZOOM = 0.62;

/** Returns how two pictures of a height together fit one sheet in one scale, for print.css. */
function sharedFit(bothPx: number): CSSProperties {
  const standing = Math.min(1, STANDING_PX / Math.max(1, bothPx));
  const lying = Math.min(1, LYING_PX / Math.max(1, bothPx));
  return { '--sheet-zoom-standing': (standing < LEAST_STANDING_ZOOM ? 1 : standing).toFixed(3), '--sheet-zoom': Math.max(LEAST_LYING_ZOOM, lying).toFixed(3) } as CSSProperties; // React's type knows no custom properties
}

/** Returns a case with what it is aligned on: the chosen instant, else the one in place `otherwise`, else the last. */
function sideOf(record: CaseRecord, analysis: CaseAnalysis, anchorId: string, otherwise: number): Side {
  const clock = createCaseClock(record.origin);
  const anchors = caseAnchors(record, analysis, clock);
  const anchor = anchors.find((one) => one.anchorId === anchorId) ?? anchors[otherwise] ?? anchors[anchors.length - 1];
  if (anchor === undefined) throw new Error('a case has its start to be aligned on');
  return { record, analysis, clock, anchors, anchor };
}

function ComparedTable({ upper, lower }: { readonly upper: ComparedSide; readonly lower: ComparedSide }): JSX.Element {
  return (
    <table className="plain-table compared">
      <caption className="visually-hidden">What stands at the aligned instants</caption>
      <thead>
        <tr>
          <FigureHead figure="compared-values">At the aligned instant</FigureHead>
          <FigureHead figure="compared-values">Upper: {upper.record.caseId}</FigureHead>
          <FigureHead figure="compared-values">Lower: {lower.record.caseId}</FigureHead>
          <FigureHead figure="compared-values">Lower minus upper</FigureHead>
        </tr>
      </thead>
      <tbody>
        {comparedFacts(upper, lower).map(({ name, upper: above, lower: below, apart }) => (
          <tr key={name}><th scope="row">{name}</th><td>{above}</td><td>{below}</td><td>{apart}</td></tr>
        ))}
      </tbody>
    </table>
  );
}

/* Readers' bounds belong to the case that is read. */
const NO_HAND_BOUNDS: readonly HandBounds[] = [];
/** On the screen the flag stands above the picture, in sight wherever the picture is scrolled to. */
const NO_MARKS: readonly PlacedMark[] = [];
const ignore = (): void => undefined;

interface ComparedTimelineProps {
  readonly side: Side;
  readonly viewport: Viewport;
  readonly themeName: ThemeName;
  readonly place: string;
  readonly onSheetHeight: (heightPx: number) => void;
}

function ComparedTimeline({ side: { record, analysis, anchor }, viewport, themeName, place, onSheetHeight }: ComparedTimelineProps): JSX.Element {
  const session = useSession();
  const lanes = useStore(session.lanes);
  const [dropoutId, setDropoutId] = useState<string | null>(null);
  const flag = useMemo(
    (): readonly PlacedMark[] => [{ mark: { markId: 'aligned', clock: record.origin.clock, startMs: 0, endMs: null, text: 'aligned here' }, place: { startMs: anchor.atMs, endMs: anchor.atMs }, isNumbered: false }],
    [record, anchor],
  );
  const isPrinting = useIsPrinting();
  return (
    <section className="timeline-frame compare-frame" aria-label={`${place}: ${record.caseId}`}>
      <h2>{record.caseId} <small>{anchor.label}</small><AlignedFlag atMs={anchor.atMs} viewport={viewport} /></h2>
      <div className="compare-picture">
        <Timeline
          record={record} analysis={analysis} viewport={viewport} themeName={themeName} isBare opensAtLosses onSheetHeight={onSheetHeight} selectedDropoutId={dropoutId} onSelectDropout={setDropoutId}
          lanes={lanes} onLanes={(choice) => void session.lanes.change(choice)} marks={isPrinting ? flag : NO_MARKS} chosenMarkId={null} onChooseMark={ignore} onMark={ignore} handBounds={NO_HAND_BOUNDS} onCompare={null}
        />
      </div>
    </section>
  );
}

/** The flag over the instant that both are aligned on, while it is in the window. */
function AlignedFlag({ atMs, viewport }: { readonly atMs: number; readonly viewport: Viewport }): JSX.Element {
  const ref = useRef<HTMLSpanElement>(null);
  const { widthPx } = useWidth(ref);
  const window = useSyncExternalStore(viewport.subscribe, viewport.get);
  const { leftPx, rightPx } = gutters(widthPx);
  const xPx = leftPx + timeToPx(atMs, window, Math.max(80, widthPx - leftPx - rightPx));
  const isShown = widthPx > 0 && xPx >= leftPx && xPx <= widthPx - rightPx;
  return (
    <span ref={ref} className="compare-flags only-screen" aria-hidden="true">
      {isShown ? <span style={{ left: xPx }}><svg width="11" height="16" viewBox="0 0 11 16"><path d="M0.5 16V1.5M0.5 2L9 5.5L0.5 9Z" stroke="currentColor" fill="currentColor" /></svg> aligned here</span> : null}
    </span>
  );
}
