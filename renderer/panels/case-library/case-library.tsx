import { useDeferredValue, useMemo, useState, type JSX } from 'react';
import type { ReviewState } from '../../../core/model/review.ts';
import type { CaseSummary } from '../../../core/protocol/host-api.ts';
import { countText, numberText, shareText } from '../../format/number-text.ts';
import { dateText, durationText, intervalText, limitsText, rangeText } from '../../format/time-text.ts';
import { FigureHelp } from '../../help/figure-help.tsx';
import { chosenAmong } from '../../state/chosen-cases.ts';
import { describeProblem, problemText, type Problem } from '../../state/problem.ts';
import { readingOf } from '../../state/preferences.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { DataGrid, type GridColumn, type GridSort } from '../../widgets/data-grid.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { EmptyState, Waiting } from '../../widgets/empty-state.tsx';
import { SelectField, TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { Progress } from '../../widgets/progress.tsx';
import { RangeBar } from '../../widgets/range-bar.tsx';
import { UsedDefinition } from '../definitions/used-definition.tsx';
import { KeepingNotices } from '../keeping/keeping-notices.tsx';
import { InterruptedImports } from '../import-panel/interrupted-imports.tsx';
import { reviewStateDetail, reviewStateText } from '../review/review-words.ts';
import { TourButtons, TourOffer } from '../tour/tour-offer.tsx';
import { filterCases, LIBRARY_SORTS, NO_FILTER, REVIEW_FILTERS, sitesOf, sortCases, sumCases, type LibraryFilter, type LibrarySort } from './library-view.ts';
import { MoreRows } from '../../widgets/more-rows.tsx';

/** Rows shown at first, and added by each "show more". */
const ROWS_SHOWN = 200;

/** Returns the library: every case of this folder with what it lost. */
export function CaseLibrary(): JSX.Element {
  const session = useSession();
  const state = useStore(session.library);
  switch (state.kind) {
    case 'loading':
      return <div className="page library"><h1>Library</h1><Waiting>Reading the library…</Waiting></div>;
    case 'failed':
      return (
        <div className="page library">
          <h1>Library</h1>
          <Notice tone="problem" title="The library could not be read." live>
            <p>{state.problem.message}</p>
            {state.problem.remedy === null ? null : <p>{state.problem.remedy}</p>}
            <Button onClick={() => void session.library.reload()}>Try again</Button>
          </Notice>
        </div>
      );
    case 'ready':
      return state.cases.length === 0 ? <EmptyLibrary /> : <FilledLibrary cases={state.cases} />;
  }
}

function EmptyLibrary(): JSX.Element {
  const session = useSession();
  const addSamples = async (): Promise<void> => {
    try {
      await session.host.importSamples();
    } catch (error) {
      session.messages.add('problem', problemText(describeProblem(error, 'Adding the sample cases')));
    }
  };
  const elsewhere = useStore(session.imports.elsewhere);
  if (elsewhere !== null) {
    return (
      <div className="page">
        <h1>Library</h1>
        <Waiting>Cases are being read into this library; they appear here as soon as they are stored.</Waiting>
        <Progress label={`Now: ${elsewhere.file}`} done={elsewhere.bytesDone} total={elsewhere.bytesTotal} />
      </div>
    );
  }
  return (
    <div className="page">
      <h1>Library</h1>
      <KeepingNotices />
      <InterruptedImports />
      <EmptyState title="No case is here yet" actions={<><Button look="primary" onClick={() => session.place.set('import')}>Import records…</Button><Button onClick={() => void addSamples()}>Add the sample cases</Button><TourButtons /></>}>
        <p>
          Begin with the exports of one or more anaesthetics: delimited text, workbooks, HL7 FHIR, HL7 v2 or EDF with the trend of SpO2 and whatever else was recorded, the drugs given, and the events.
          One folder per case, or one file for many cases with a case column.
        </p>
        <ol>
          <li>Choose the files or the folder, or drop them on the import page.</li>
          <li>Read the import report: what was taken as what, what was rejected and why. Overrule what was guessed wrongly.</li>
          <li>Open a case and walk from dropout to dropout.</li>
        </ol>
        <p>To look around first, add the sample cases: invented records of a hospital that does not exist. “Learn by doing” goes through them with you, step by step.</p>
        <p className="soft">The exports themselves are never changed. Their contents stay on this computer.</p>
      </EmptyState>
    </div>
  );
}

function FilledLibrary({ cases }: { readonly cases: readonly CaseSummary[] }): JSX.Element {
  const session = useSession();
  const definitions = useStore(session.definitions);
  const chosen = useStore(session.chosen);
  const [filter, setFilter] = useState<LibraryFilter>(NO_FILTER);
  const [minLostText, setMinLostText] = useState('');
  const [minLongestText, setMinLongestText] = useState('');
  const [sort, setSort] = useState<GridSort>({ columnId: 'lost', direction: 'descending' });
  const [rowsShown, setRowsShown] = useState(ROWS_SHOWN);
  const [toRemove, setToRemove] = useState<CaseSummary | null>(null);
  const reviewStates = useStore(session.reviewStates);
  const reviews = reviewStates.kind === 'ready' ? reviewStates.byCase : NO_REVIEWS;
  const deferredFilter = useDeferredValue(filter);
  const shown = useMemo(() => {
    const by: LibrarySort = LIBRARY_SORTS.find((name) => name === sort.columnId) ?? 'lost';
    return sortCases(filterCases(cases, deferredFilter, reviews), by, sort.direction, reviews);
  }, [cases, deferredFilter, sort, reviews]);
  const sums = useMemo(() => sumCases(shown), [shown]);
  const maxHighMs = useMemo(() => cases.reduce((max, summary) => Math.max(max, summary.lostHighMs), 0), [cases]);
  const choosable = useMemo(() => shown.filter((summary) => summary.problem === null).map((summary) => summary.caseKey), [shown]);
  const chosenHere = useMemo(() => chosenAmong(cases, chosen).length, [cases, chosen]);
  const chosenShown = choosable.filter((caseKey) => chosen.has(caseKey)).length;
  const isFiltered = JSON.stringify(filter) !== JSON.stringify(NO_FILTER);
  const change = (part: Partial<LibraryFilter>): void => setFilter((current) => ({ ...current, ...part }));
  const minLost = parseMinutes(minLostText);
  const minLongest = parseMinutes(minLongestText);

  return (
    <div className="page library">
      <div className="page-head">
        <h1>Library</h1>
        <Button onClick={() => session.place.set('import')}>Import records…</Button>
      </div>
      <div className="notices">
        <KeepingNotices />
        <TourOffer cases={cases} />
        <InterruptedImports />
      </div>
      <form className="filters" data-set={isFiltered ? '' : undefined} role="search" aria-label="Filter the cases" onSubmit={(event) => event.preventDefault()}>
        <TextField label="Name or file holds" type="search" value={filter.text} onChange={(text) => change({ text })} />
        <SelectField
          label="Site" value={filter.site} onChange={(site) => change({ site })}
          choices={[{ value: '', label: 'every site' }, ...sitesOf(cases).map((site) => ({ value: site, label: site }))]}
        />
        <TextField
          label="Lost at least, min" value={minLostText} width="short" error={minLost === null ? 'a number of minutes is needed.' : null}
          onChange={(text) => {
            setMinLostText(text);
            change({ minLostMs: parseMinutes(text) ?? 0 });
          }}
        />
        <TextField
          label="Longest at least, min" value={minLongestText} width="short" error={minLongest === null ? 'a number of minutes is needed.' : null}
          onChange={(text) => {
            setMinLongestText(text);
            change({ minLongestMs: parseMinutes(text) ?? 0 });
          }}
        />
        <TextField label="From" type="date" value={filter.fromDate} onChange={(fromDate) => change({ fromDate })} />
        <TextField label="To" type="date" value={filter.toDate} onChange={(toDate) => change({ toDate })} />
        <SelectField
          label="Review" value={filter.review} onChange={(review) => change({ review: REVIEW_FILTERS.find((name) => name === review) ?? '' })}
          choices={[{ value: '', label: 'every state' }, ...REVIEW_FILTERS.map((name) => ({ value: name, label: name }))]}
        />
        {isFiltered || minLostText !== '' || minLongestText !== '' ? (
          <Button
            look="quiet"
            onClick={() => {
              setFilter(NO_FILTER);
              setMinLostText('');
              setMinLongestText('');
            }}
          >
            Show all
          </Button>
        ) : null}
      </form>
      <p className="counts" role="status">
        {shown.length === cases.length ? countText(cases.length, 'case', 'cases') : `${numberText(shown.length)} of ${countText(cases.length, 'case', 'cases')}`}
        {sums.damaged > 0 ? ` (${countText(sums.damaged, 'cannot', 'cannot')} be opened)` : ''}
        {': '}
        {countText(sums.withDropout, 'case', 'cases')} with a dropout, {countText(sums.dropouts, 'dropout', 'dropouts')}, {rangeText(sums.lostMs)} lost
        {' '}of {durationText(sums.monitoredMs)} monitored; with doubtful values as lost {countText(sums.doubtfulLost.dropouts, 'dropout', 'dropouts')}, mid {durationText(sums.doubtfulLost.lostMidMs)}.
        {definitions.saved === null ? null : <>{' '}<UsedDefinition parameters={definitions.saved} /></>}{' '}<FigureHelp figure="time-lost" />
      </p>
      {sums.intervalsMs.length > 1 ? (
        <p className="remark">
          These cases were recorded at {sums.intervalsMs.length} different intervals ({sums.intervalsMs.map((ms) => durationText(ms)).join(', ')}). A longer interval hides
          short losses, so numbers of dropouts do not compare between them.
        </p>
      ) : null}
      <div className="row library-choice">
        <span role="status">{chosenHere === 0 ? 'No case is chosen.' : `${countText(chosenHere, 'case is', 'cases are')} chosen${chosenShown === chosenHere ? '' : `, ${numberText(chosenShown)} of them shown`}.`}</span>
        <Button disabled={chosenShown === choosable.length} onClick={() => session.chosen.add(choosable)}>Choose all {numberText(choosable.length)} shown</Button>
        {chosenShown === 0 || chosenShown === chosenHere ? null : <Button look="quiet" onClick={() => session.chosen.remove(choosable)}>Take those shown out</Button>}
        {chosenHere === 0 ? null : <Button look="quiet" onClick={session.chosen.clear}>Choose none</Button>}
        <Button look={chosenHere === 0 ? 'plain' : 'primary'} disabled={chosenHere === 0} onClick={() => session.place.set('sites')}>Compare the sites of the chosen</Button>
      </div>
      {reviewStates.kind === 'failed' ? (
        <Notice tone="problem" title="The state of review is not shown." live>
          <p>{reviewStates.problem.message} {reviewStates.problem.remedy ?? ''}</p>
          <Button onClick={() => void session.reviewStates.reload()}>Try again</Button>
        </Notice>
      ) : null}
      {shown.length === 0 ? (
        <EmptyState title="No case passes this filter"><p>Take a condition away, or choose “Show all”.</p></EmptyState>
      ) : (
        <div className="grid-scroll">
          <DataGrid
            label="Cases"
            columns={libraryColumns(reviewStates.kind === 'failed' ? null : reviews, maxHighMs, setToRemove, session.openCase, chosen, session.chosen.toggle)}
            rows={shown.slice(0, rowsShown)}
            rowKey={(summary) => summary.caseKey}
            sort={sort}
            onSort={setSort}
            onToggle={(summary) => {
              if (summary.problem === null) session.chosen.toggle(summary.caseKey);
            }}
            onActivate={(summary) => {
              if (summary.problem === null) session.openCase(summary.caseKey);
            }}
            below={(summary) => (summary.problem === null ? null : <span className="problem-line">Cannot be opened: {summary.problem}</span>)}
          />
        </div>
      )}
      <MoreRows missing={shown.length - rowsShown} onMore={() => setRowsShown(rowsShown + ROWS_SHOWN)}>Show more ({numberText(shown.length - rowsShown)} further cases)</MoreRows>
      {toRemove === null ? null : <RemoveDialog summary={toRemove} onClose={() => setToRemove(null)} />}
    </div>
  );
}

/** Returns a typed number of minutes in ms; 0 for an empty field; null for what is no number. */
function parseMinutes(text: string): number | null {
  const trimmed = text.trim().replace(',', '.');
  if (trimmed === '') return 0;
  return /^\d+(\.\d*)?$/.test(trimmed) ? Number(trimmed) * 60_000 : null;
}

const NO_REVIEWS: ReadonlyMap<string, ReviewState> = new Map();

/** How far a case is reviewed, as the present reader may see it. */
function ReviewCell({ state }: { readonly state: ReviewState | null }): JSX.Element {
  const session = useSession();
  const preferences = useStore(session.preferences);
  if (state === null) return <span className="soft">–</span>;
  if (state.readers > 0 && preferences.reader === null && readingOf(preferences).isBlinded) {
    return <span className="soft" title="Reading is blinded and nobody has said who reads: what readers said of the case is kept back. Say who reads, in Review.">kept back</span>;
  }
  return (
    <span title={reviewStateDetail(state)} className={state.notReviewed === state.dropouts ? 'soft' : undefined}>
      {reviewStateText(state)}
      {state.flags.length === 0 ? null : <span className="under">⚑ {state.flags.join(', ')}</span>}
    </span>
  );
}

/** A figure with that of the second result beneath it, where doubtful values as lost change it. */
function Second({ first, second }: { readonly first: string; readonly second: string }): JSX.Element {
  return <>{first}{second === first ? null : <span className="soft under" title="With doubtful values counted as lost"><span className="visually-hidden"> with doubtful values counted as lost </span>{second}</span>}</>;
}

function libraryColumns(
  reviews: ReadonlyMap<string, ReviewState> | null, maxHighMs: number, askRemove: (summary: CaseSummary) => void, open: (caseKey: string) => void, chosen: ReadonlySet<string>, toggle: (caseKey: string) => void,
): GridColumn<CaseSummary>[] {
  const sound = (render: (summary: CaseSummary) => JSX.Element | string) => (summary: CaseSummary) => (summary.problem === null ? render(summary) : '–');
  return [
    {
      id: 'choose', header: <span className="visually-hidden">Chosen</span>,
      cell: (summary) =>
        summary.problem === null ? (
          <input type="checkbox" tabIndex={-1} aria-label={`Choose ${summary.caseId}`} checked={chosen.has(summary.caseKey)} onChange={() => toggle(summary.caseKey)} />
        ) : null,
    },
    {
      id: 'name', header: 'Case', isSortable: true,
      cell: (summary) =>
        summary.problem === null ? (
          <button type="button" className="case-link" tabIndex={-1} onClick={() => open(summary.caseKey)}>{summary.caseId}</button>
        ) : (
          <span>{summary.caseId === '' ? 'unnamed' : summary.caseId}</span>
        ),
    },
    { id: 'date', header: 'Date', isSortable: true, cell: sound((summary) => (summary.date === null ? <span className="soft">no date</span> : dateText(summary.date))) },
    { id: 'site', header: 'Sites', isSortable: true, cell: sound((summary) => (summary.sites.length === 0 ? <span className="soft">no SpO2</span> : summary.sites.join(', '))) },
    { id: 'interval', header: 'Recorded', help: <FigureHelp figure="recording-interval" />, headerTitle: 'How often the SpO2 was recorded', isSortable: true, cell: sound((summary) => intervalText(summary.intervalMs)) },
    { id: 'dropouts', header: 'Dropouts', help: <FigureHelp figure="dropouts" />, isSortable: true, align: 'right', cell: sound((summary) => <Second first={numberText(summary.dropouts)} second={numberText(summary.doubtfulLost.dropouts)} />) },
    {
      id: 'lost', header: 'Time lost', help: <FigureHelp figure="time-lost" />, headerTitle: 'Mid estimate, with the low and high limit', isSortable: true,
      cell: sound((summary) => (
        <span className="lost-cell">
          <RangeBar low={summary.lostLowMs} mid={summary.lostMidMs} high={summary.lostHighMs} max={maxHighMs} />
          <span className="figure">{durationText(summary.lostMidMs)}</span>
          {summary.lostHighMs === 0 ? null : <span className="soft"> {limitsText({ low: summary.lostLowMs, high: summary.lostHighMs })}</span>}
          {durationText(summary.doubtfulLost.lostMidMs) === durationText(summary.lostMidMs) ? null : <span className="soft under">doubtful as lost {durationText(summary.doubtfulLost.lostMidMs)}</span>}
        </span>
      )),
    },
    { id: 'longest', header: 'Longest', help: <FigureHelp figure="longest-dropout" />, isSortable: true, align: 'right', cell: sound((summary) => (summary.dropouts === 0 ? '–' : durationText(summary.longestMidMs))) },
    { id: 'share', header: 'Share', help: <FigureHelp figure="share-lost" />, headerTitle: 'Time lost as a share of monitored time', isSortable: true, align: 'right', cell: sound((summary) => <Second first={shareText(summary.shareMid)} second={shareText(summary.doubtfulLost.shareMid)} />) },
    { id: 'blind', header: 'Blind', help: <FigureHelp figure="blind-time" />, headerTitle: 'Time in which no site gave information', isSortable: true, align: 'right', cell: sound((summary) => durationText(summary.blindMidMs)) },
    { id: 'review', header: 'Review', help: <FigureHelp figure="review-state" />, headerTitle: 'How many dropouts are read, as far as you may see it; sorted by how many are not', isSortable: true, cell: sound((summary) => <ReviewCell state={reviews?.get(summary.caseKey) ?? null} />) },
    {
      id: 'remove', header: <span className="visually-hidden">Remove</span>, align: 'right',
      cell: (summary) => <Button look="quiet" aria-label={`Remove ${summary.caseId} from the library`} onClick={() => askRemove(summary)}>Remove</Button>,
    },
  ];
}

function RemoveDialog({ summary, onClose }: { readonly summary: CaseSummary; readonly onClose: () => void }): JSX.Element {
  const session = useSession();
  const [isWorking, setIsWorking] = useState(false);
  const [problem, setProblem] = useState<Problem | null>(null);
  const remove = async (): Promise<void> => {
    setIsWorking(true);
    setProblem(null);
    try {
      const open = session.cases.get();
      if (open.kind === 'open' && open.openCase.caseKey === summary.caseKey) session.cases.close();
      await session.library.remove(summary.caseKey);
      session.messages.add('note', `${summary.caseId} was removed from the library.`);
    } catch (error) {
      setProblem(describeProblem(error, 'Removing the case'));
      setIsWorking(false);
      return;
    }
    onClose();
  };
  return (
    <Dialog
      title={`Remove ${summary.caseId} from the library?`}
      onClose={onClose}
      actions={
        <>
          <Button onClick={onClose}>Keep it</Button>
          <Button look="primary" disabled={isWorking} onClick={() => void remove()}>Remove it</Button>
        </>
      }
    >
      <p>The stored copy of the record and its analysis go. The export files it came from are not touched, so it can be imported again.</p>
      {problem === null ? null : <Notice tone="problem" title="The case could not be removed." live><p>{problem.message} {problem.remedy ?? ''}</p></Notice>}
    </Dialog>
  );
}
