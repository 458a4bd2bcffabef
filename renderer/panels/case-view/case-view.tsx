import { useCallback, useMemo, useState, type JSX } from 'react';
import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import { sameParameters } from '../../../core/model/same-parameters.ts';
import { shortDefinitionText } from '../../format/definition-text.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { createCaseClock, durationText, type CaseClock } from '../../format/time-text.ts';
import type { PlacedMark } from '../../state/case-marks.ts';
import type { ConfirmedSumsState } from '../../state/confirmed-sums.ts';
import type { OpenCase } from '../../state/open-case.ts';
import { findDropout, type Selection } from '../../state/selection.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { draftKey } from '../../state/verdict-drafts.ts';
import type { ThemeName } from '../../state/theme.ts';
import { Timeline } from '../../timeline/timeline.tsx';
import { Button } from '../../widgets/button.tsx';
import { EmptyState, Waiting } from '../../widgets/empty-state.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { ChoiceRow } from '../../widgets/field.tsx';
import { SplitPane } from '../../widgets/split-pane.tsx';
import { Tabs } from '../../widgets/tabs.tsx';
import { CaseSites } from '../case-sites/case-sites.tsx';
import { handBoundsOf } from '../review/hand-bounds-of.ts';
import { VerdictDock } from '../review/verdict-dock.tsx';
import '../review/review.css';
import { CollectDialog } from '../meeting/collect-dialog.tsx';
import { RetakingBar } from '../meeting/retaking-bar.tsx';
import { ClocksDialog } from '../clocks/clocks-dialog.tsx';
import { clocksText, holdingsText, spanText } from './case-facts.ts';
import { CaseSheetDialog } from './case-sheet-dialog.tsx';
import { ComparePart } from './compare-part.tsx';
import { DropoutList } from './dropout-list.tsx';
import { LowSpo2Part } from './low-spo2-part.tsx';
import { MarkList } from './mark-list.tsx';
import { BlindList, ExposureList, GapList } from './other-lists.tsx';
import { RecordDialog } from './record-dialog.tsx';
import { RestorationPart } from './restoration-part.tsx';
import { stylesOf } from './site-mark.tsx';
import { SumsNote } from './sums-note.tsx';
import { SumsTable } from './sums-table.tsx';

/** Returns the case screen in whichever state it is. */
export function CaseView({ themeName }: { readonly themeName: ThemeName }): JSX.Element {
  const session = useSession();
  const state = useStore(session.cases);
  switch (state.kind) {
    case 'none':
      return (
        <div className="page">
          <h1>Case</h1>
          <EmptyState title="No case is open" actions={<Button look="primary" onClick={() => session.place.set('library')}>Go to the library</Button>}>
            <p>Choose a case in the library: its timeline, its dropouts and what preceded them are shown here.</p>
          </EmptyState>
        </div>
      );
    case 'opening':
      return <div className="page"><h1>Case</h1><Waiting>Opening the case…</Waiting></div>;
    case 'failed':
      return (
        <div className="page">
          <h1>Case</h1>
          <Notice tone="problem" title="The case could not be opened." live>
            <p>{state.problem.message}</p>
            {state.problem.remedy === null ? null : <p>{state.problem.remedy}</p>}
            <div className="row">
              <Button onClick={() => void session.cases.open(state.caseKey)}>Try again</Button>
              <Button onClick={() => session.place.set('library')}>Go to the library</Button>
            </div>
          </Notice>
        </div>
      );
    case 'open':
      return <OpenCaseView key={state.openCase.caseKey} openCase={state.openCase} themeName={themeName} />;
  }
}

const NO_SUMS: ConfirmedSumsState = { kind: 'none' };
const NO_MARKS: readonly PlacedMark[] = [];
const ASSOCIATION = 'It does not show that a drug or a position caused a loss; low pressure predicts loss by itself. Order within about two minutes may be wrong.';
const LIST_TABS = ['dropouts', 'low', 'restored', 'exposures', 'blind', 'gaps', 'marks'] as const;
type ListTab = (typeof LIST_TABS)[number];

/** Returns the tab on which a selected thing is listed. */
function tabOf(selection: Selection): ListTab {
  switch (selection.kind) {
    case 'blind':
      return 'blind';
    case 'record gap':
      return 'gaps';
    case 'exposure':
      return 'exposures';
    case 'none':
    case 'dropout':
      return 'dropouts';
  }
}

function OpenCaseView({ openCase, themeName }: { readonly openCase: OpenCase; readonly themeName: ThemeName }): JSX.Element {
  const session = useSession();
  const analysis = useStore(openCase.analysis);
  const selection = useStore(openCase.selection);
  const preferences = useStore(session.preferences);
  const part = useStore(session.casePart);
  const lanes = useStore(session.lanes);
  const { marks, chosenId: chosenMarkId } = useStore(openCase.marks);
  const clock = useMemo(() => createCaseClock(openCase.record.origin), [openCase.record]);
  const styles = useMemo(() => stylesOf(analysis.sites), [analysis.sites]);
  const [chosenTab, setChosenTab] = useState<{ readonly tab: ListTab; readonly at: Selection }>({ tab: 'dropouts', at: selection });
  /* Choosing something brings its list to the front; choosing a tab afterwards wins until the next choice. */
  const tab = selection === chosenTab.at || selection.kind === 'none' ? chosenTab.tab : tabOf(selection);
  const reviewState = useStore(session.review);
  const review = reviewState.kind === 'ready' && reviewState.caseKey === openCase.caseKey ? reviewState.review : null;
  const sumsState = useStore(session.confirmedSums);
  // Figures of another definition than that of the table do not stand beside it, not even until the answer is there.
  const sums = sumsState.kind !== 'none' && sumsState.caseKey === openCase.caseKey && sameParameters(sumsState.parameters, analysis.parameters) ? sumsState : NO_SUMS;
  const chosenDropout = useMemo(() => (selection.kind === 'dropout' ? (findDropout(analysis, selection.dropoutId) ?? null) : null), [analysis, selection]);
  const isSecondOnly = chosenDropout !== null && !analysis.sites.some((site) => site.dropouts.includes(chosenDropout));
  const drafts = useStore(session.drafts);
  const handBounds = useMemo(() => {
    const { reader } = preferences;
    const dropoutId = chosenDropout?.dropoutId ?? null;
    const draft = reader === null || dropoutId === null ? undefined : drafts.get(draftKey({ reader, caseKey: openCase.caseKey, dropoutId }));
    return handBoundsOf(review, analysis, reader === null || dropoutId === null || draft === undefined ? null : { reader, dropoutId, draft });
  }, [review, analysis, drafts, preferences, chosenDropout, openCase.caseKey]);
  const listProps = { analysis, clock, selection, onSelect: openCase.select };
  const selectDropout = (dropoutId: string): void => openCase.select({ kind: 'dropout', dropoutId });
  const chooseMark = useCallback((markId: string): void => {
    openCase.marks.choose(markId);
    setChosenTab({ tab: 'marks', at: openCase.selection.get() });
  }, [openCase]);
  const mark = (startMs: number, endMs: number | null): void => {
    setChosenTab({ tab: 'marks', at: selection });
    void openCase.marks.add(startMs, endMs);
  };
  const dropouts = analysis.sites.reduce((count, site) => count + site.dropouts.length, 0);

  if (part === 'sites') {
    return (
      <div className="case-view case-view-sites">
        <CaseHeader openCase={openCase} analysis={analysis} clock={clock} />
        <CaseSites openCase={openCase} themeName={themeName} />
      </div>
    );
  }
  if (part === 'compare') {
    return (
      <div className="case-view case-view-compare">
        <CaseHeader openCase={openCase} analysis={analysis} clock={clock} />
        <ComparePart openCase={openCase} themeName={themeName} onClose={() => session.casePart.set('timeline')} />
      </div>
    );
  }
  return (
    <div className="case-view">
      <CaseHeader openCase={openCase} analysis={analysis} clock={clock} />
      {/* Where it does not fit it scrolls, so the keyboard must reach it. */}
      <div className="sums-frame" tabIndex={0} role="group" aria-label="Sums by site">
        <SumsTable analysis={analysis} styles={styles} confirmed={sums.kind === 'ready' ? sums.figures : null} />
      </div>
      <SumsNote record={openCase.record} analysis={analysis} sums={sums} isHidden={(review?.hidden.length ?? 0) > 0} onRetry={() => void session.confirmedSums.reload()} />
      <SplitPane
        label="Border between timeline and list" share={preferences.caseSplit} min={0.3} max={0.85}
        onShare={(caseSplit) => session.preferences.change({ caseSplit })}
        first={
          <section className="timeline-frame" aria-label="Timeline">
            <Timeline
              record={openCase.record} analysis={analysis} viewport={openCase.viewport} themeName={themeName} boundShown={openCase.boundShown}
              selectedDropoutId={selection.kind === 'dropout' ? selection.dropoutId : null}
              onSelectDropout={selectDropout} lanes={lanes} onLanes={(choice) => void session.lanes.change(choice)}
              marks={marks ?? NO_MARKS} chosenMarkId={chosenMarkId} onChooseMark={chooseMark} onMark={mark} handBounds={handBounds} onCompare={() => session.casePart.set('compare')}
            />
          </section>
        }
        second={
          <section className="list-frame" aria-label="Lists of this case">
            <Tabs
              label="Lists of this case" chosen={tab}
              onChoose={(id) => {
                const next = LIST_TABS.find((name) => name === id);
                if (next !== undefined) setChosenTab({ tab: next, at: selection });
              }}
              tabs={[
                { id: 'dropouts', label: `Dropouts ${numberText(dropouts)}`, content: () => <DropoutList {...listProps} record={openCase.record} styles={styles} review={review} /> },
                {
                  id: 'low', label: 'Low SpO2',
                  content: () => <LowSpo2Part record={openCase.record} analysis={analysis} clock={clock} styles={styles} onShow={openCase.show} onSelectDropout={selectDropout} />,
                },
                { id: 'restored', label: 'Restored', content: () => <RestorationPart analysis={analysis} clock={clock} styles={styles} onSelectDropout={selectDropout} /> },
                { id: 'exposures', label: `Exposures ${numberText(analysis.exposures.length)}`, content: () => <ExposureList {...listProps} /> },
                { id: 'blind', label: `Blind ${numberText(analysis.blind.length)}`, content: () => <BlindList {...listProps} onShow={openCase.show} /> },
                { id: 'gaps', label: <><span className="spoken-where-narrow">Record </span><span className="tab-rest">gaps</span> {numberText(analysis.recordGaps.length)}</>, content: () => <GapList {...listProps} /> },
                { id: 'marks', label: `Marks ${numberText(marks?.length ?? 0)}`, content: () => <MarkList marks={openCase.marks} clock={clock} viewport={openCase.viewport} onShow={openCase.show} onLeave={() => document.querySelector<HTMLElement>('.tl-stage, .tl-tables')?.focus()} /> },
              ]}
            />
            <VerdictDock openCase={openCase} analysis={analysis} clock={clock} dropout={chosenDropout} isSecond={isSecondOnly} />
            <p className="association" title={ASSOCIATION}>
              A link in time is association. <span className="association-more">{ASSOCIATION}</span>
            </p>
          </section>
        }
      />
    </div>
  );
}

interface CaseHeaderProps {
  readonly openCase: OpenCase;
  readonly analysis: CaseAnalysis;
  readonly clock: CaseClock;
}

function CaseHeader({ openCase, analysis, clock }: CaseHeaderProps): JSX.Element {
  const session = useSession();
  const recomputing = useStore(openCase.recomputing);
  const definitions = useStore(session.definitions);
  const part = useStore(session.casePart);
  const [isRecordOpen, setIsRecordOpen] = useState(false);
  const [areClocksOpen, setAreClocksOpen] = useState(false);
  const [isSheetOpen, setIsSheetOpen] = useState(false);
  const isCollecting = useStore(session.isCollecting);
  const retaking = useStore(session.retaking);
  const { record } = openCase;
  const { bounds } = analysis;
  const findings = record.findings.length + analysis.findings.length;
  const areClocksAsFiled = record.sources.every(({ clockOffsetMs }) => clockOffsetMs === 0);
  const isTrial = definitions.saved !== null && !sameParameters(definitions.saved, analysis.parameters);
  return (
    <header className="case-header">
      <div className="case-title">
        <h1 title={record.caseId}>{record.caseId}</h1>
        <p title={`${clock.clock(bounds.startMs)} to ${clock.clock(bounds.endMs)}`}>
          {clock.date(bounds.startMs) ?? 'no date'} · {spanText(bounds, clock)}, {durationText(bounds.endMs - bounds.startMs)}
        </p>
        <div className="case-actions">
          <ChoiceRow
            legend="Part of the case" legendHidden value={part} onChange={(value) => session.casePart.set(value === 'sites' ? 'sites' : 'timeline')}
            choices={[{ value: 'timeline', label: 'Timeline' }, { value: 'sites', label: 'Sites compared' }]}
          />
          <Button look="link" onClick={() => setIsRecordOpen(true)}>
            Record: {countText(record.channels.length, 'channel', 'channels')}, {countText(findings, 'finding', 'findings')}
          </Button>
          <Button look="link" onClick={() => setAreClocksOpen(true)}>
            {areClocksAsFiled ? <>Clocks<span className="spoken-where-narrow">: {clocksText(record)}</span></> : `Clocks: ${clocksText(record)}`}
          </Button>
          <Button look="link" onClick={() => setIsSheetOpen(true)}>Case sheet</Button>
          <Button look="link" title="Put this view with words into a story for a meeting (Shift C)" onClick={() => session.isCollecting.set(true)}>Collect…</Button>
          <Button look="quiet" aria-label="Close the case" onClick={() => {
            session.cases.close();
            session.place.set('library');
          }}>
            Close
          </Button>
        </div>
      </div>
      <p className="definition-line">
        <span className="soft" title={holdingsText(record)}>Definition:</span> {shortDefinitionText(analysis.parameters)}
        {isTrial ? <strong className="trial"> on trial, the library uses another</strong> : null}
        <span className="only-paper">.</span>{' '}<Button look="link" onClick={() => session.place.set('definitions')}>Change…</Button>
        <span className="soft"> Bounds: {bounds.startFrom} to {bounds.endFrom}. Times: {clock.meaning}.</span>
        <span role="status">{recomputing.kind === 'working' ? ' Working it out again…' : ''}</span>
        {analysis.recordGapsCanBeTold ? null : <span className="soft"> Record gaps cannot be told from losses in this export.</span>}
      </p>
      {recomputing.kind === 'failed' ? (
        <Notice tone="problem" title="The figures below are from before the last change." live>
          <p>{recomputing.problem.message} {recomputing.problem.remedy ?? ''}</p>
        </Notice>
      ) : null}
      {retaking === null ? null : <RetakingBar retaking={retaking} openCase={openCase} analysis={analysis} />}
      {isSheetOpen ? <CaseSheetDialog caseKey={openCase.caseKey} parameters={analysis.parameters} onClose={() => setIsSheetOpen(false)} /> : null}
      {isCollecting ? <CollectDialog openCase={openCase} analysis={analysis} onClose={() => session.isCollecting.set(false)} /> : null}
      {isRecordOpen ? <RecordDialog record={record} analysis={analysis} clock={clock} onClose={() => setIsRecordOpen(false)} /> : null}
      {areClocksOpen ? <ClocksDialog openCase={openCase} onClose={() => setAreClocksOpen(false)} /> : null}
    </header>
  );
}
