import { useMemo, useState, type JSX } from 'react';
import type { QueuedDropout, QueueOrder } from '../../../core/model/review.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { durationText, rangeText } from '../../format/time-text.ts';
import { FigureHelp } from '../../help/figure-help.tsx';
import { chosenAmong } from '../../state/chosen-cases.ts';
import { nextUnread, readCount, type LeftOutCase, type QueueRequest } from '../../state/review-queue.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { DataGrid, type GridColumn } from '../../widgets/data-grid.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';
import { EmptyState, Waiting } from '../../widgets/empty-state.tsx';
import { CheckField, ChoiceRow, NumberField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { ReaderForm, ReadingChoices } from './reader-form.tsx';
import { MoreRows } from '../../widgets/more-rows.tsx';

/** Rows shown at first, and added by each "show more". */
const ROWS_SHOWN = 200;
/** The generator takes whole numbers of 32 bits. */
const LARGEST_SEED = 4_294_967_295;
const LARGEST_SAMPLE = 100_000;

const ORDERS = [
  { value: 'worst first', label: 'Worst first', hint: 'The longest time lost comes first, over all cases.' },
  { value: 'case by case', label: 'Case by case', hint: 'In the order of the library, each case in the order of time.' },
  { value: 'random sample', label: 'Random sample', hint: 'Dropouts drawn by chance from a seed: the same seed over the same library gives the same sample.' },
] as const;
type OrderKind = (typeof ORDERS)[number]['value'];

/** Returns the queue: which dropouts are to be read, in which order, and how far that is. */
export function QueuePanel(): JSX.Element {
  const session = useSession();
  const library = useStore(session.library);
  const { reader } = useStore(session.preferences);
  if (library.kind === 'loading') return <div className="page"><h1>Review</h1><Waiting>Reading the library…</Waiting></div>;
  if (library.kind === 'failed') {
    return (
      <div className="page">
        <h1>Review</h1>
        <Notice tone="problem" title="The library could not be read." live>
          <p>{library.problem.message} {library.problem.remedy ?? ''}</p>
          <Button onClick={() => void session.library.reload()}>Try again</Button>
        </Notice>
      </div>
    );
  }
  if (library.cases.length === 0) {
    return (
      <div className="page">
        <h1>Review</h1>
        <EmptyState title="No case is here yet" actions={<Button look="primary" onClick={() => session.place.set('import')}>Import records…</Button>}>
          <p>Dropouts of the cases in this library are read here one after another, and each gets a verdict.</p>
        </EmptyState>
      </div>
    );
  }
  return (
    <div className="page review">
      <h1>Review</h1>
      <p className="prose">
        A verdict says what a reader takes a dropout for, from the record alone. It is a judgement: the record shows less than the room did. “Cannot tell” is a full answer, and no verdict is ever a grade of anyone’s work.
      </p>
      <ReaderForm />
      <ReadingChoices />
      {reader === null ? null : <DrawForm reader={reader} />}
      {reader === null ? null : <Drawn reader={reader} />}
    </div>
  );
}

function DrawForm({ reader }: { readonly reader: string }): JSX.Element {
  const session = useSession();
  const library = useStore(session.library);
  const chosen = useStore(session.chosen);
  const [kind, setKind] = useState<OrderKind>('worst first');
  const [seed, setSeed] = useState(1);
  const [size, setSize] = useState(20);
  const [isOfChosen, setIsOfChosen] = useState(false);
  const chosenKeys = useMemo(() => (library.kind === 'ready' ? chosenAmong(library.cases, chosen).map((summary) => summary.caseKey) : []), [library, chosen]);
  const ofChosen = isOfChosen && chosenKeys.length > 0;
  const order: QueueOrder = kind === 'random sample' ? { kind, seed, size } : { kind };
  return (
    <form
      className="draw-form" aria-label="Draw a queue"
      onSubmit={(event) => {
        event.preventDefault();
        void session.reviewQueue.draw({ order, caseKeys: ofChosen ? chosenKeys : null, reader });
      }}
    >
      <ChoiceRow
        legend="Which cases" value={ofChosen ? 'chosen' : 'all'} onChange={(value) => setIsOfChosen(value === 'chosen')}
        choices={[{ value: 'all', label: 'Whole library' }, ...(chosenKeys.length === 0 ? [] : [{ value: 'chosen', label: chosenKeys.length === 1 ? 'The chosen case' : `The ${numberText(chosenKeys.length)} chosen` }])]}
      />
      <ChoiceRow legend="In which order" value={kind} onChange={(value) => setKind(ORDERS.find((one) => one.value === value)?.value ?? 'worst first')} choices={ORDERS} />
      {kind !== 'random sample' ? null : (
        <>
          <NumberField label="Dropouts in the sample" help={<FigureHelp figure="queue-place" />} unit="" min={1} max={LARGEST_SAMPLE} wholeOnly value={size} onChange={setSize} />
          <NumberField label="Seed" help={<FigureHelp figure="queue-place" />} unit="" min={0} max={LARGEST_SEED} wholeOnly value={seed} onChange={setSeed} />
        </>
      )}
      <Button type="submit" look="primary">Draw the queue</Button>
      <p className="soft draw-note">{kind === 'random sample' ? 'Two readers who draw with the same seed, size and cases get the same sample.' : ORDERS.find((one) => one.value === kind)?.hint}{chosenKeys.length === 0 ? <span className="only-screen"> To read some cases only, choose them in the library.</span> : null}</p>
    </form>
  );
}

/** Returns what was asked for in words: "random sample of 20 with seed 1, over 3 chosen cases". */
export function requestText({ order, caseKeys }: QueueRequest): string {
  const how = order.kind === 'random sample' ? `random sample of ${numberText(order.size)} with seed ${order.seed}` : order.kind;
  return `${how}, over ${caseKeys === null ? 'the whole library' : countText(caseKeys.length, 'chosen case', 'chosen cases')}`;
}

function Drawn({ reader }: { readonly reader: string }): JSX.Element | null {
  const session = useSession();
  const state = useStore(session.reviewQueue);
  switch (state.kind) {
    case 'none':
      return null;
    case 'working':
      return (
        <div>
          <Waiting>Going through the dropouts: {requestText(state.request)}…</Waiting>
          <Button onClick={session.reviewQueue.cancel}>Stop</Button>
        </div>
      );
    case 'cancelled':
      return <p>The queue was not drawn: it was stopped.</p>;
    case 'failed':
      return (
        <Notice tone="problem" title="The queue could not be drawn." live>
          <p>{state.problem.message} {state.problem.remedy ?? ''}</p>
          <Button onClick={() => void session.reviewQueue.draw(state.request)}>Try again</Button>
        </Notice>
      );
    case 'ready':
      return state.request.reader === reader
        ? <Queue queue={state.queue} leftOut={state.leftOut} request={state.request} />
        : <p>This queue was drawn for {state.request.reader}. Draw one for {reader}.</p>;
  }
}

function Queue({ queue, leftOut, request }: { readonly queue: readonly QueuedDropout[]; readonly leftOut: readonly LeftOutCase[]; readonly request: QueueRequest }): JSX.Element {
  const session = useSession();
  const [rowsShown, setRowsShown] = useState(ROWS_SHOWN);
  const [onlyOpen, setOnlyOpen] = useState(false);
  const read = readCount(queue);
  const cases = useMemo(() => new Set(queue.map((queued) => queued.caseKey)).size, [queue]);
  const rows = useMemo(() => queue.map((queued, index) => ({ queued, place: index + 1 })).filter(({ queued }) => !onlyOpen || !queued.isRead), [queue, onlyOpen]);
  const next = nextUnread(queue, -1);
  return (
    <section aria-label="Queue">
      <p className="counts" role="status">
        {queue.length === 0 ? 'No dropout is in this queue' : <><strong>{numberText(read)} of {numberText(queue.length)} read</strong>, in {countText(cases, 'case', 'cases')}</>}: {requestText(request)}.
        {request.order.kind === 'random sample' && queue.length < request.order.size && queue.length > 0 ? ` There are only ${numberText(queue.length)} dropouts to draw from.` : ''}
      </p>
      {leftOut.length === 0 ? null : (
        <Disclosure summary={`${countText(leftOut.length, 'case', 'cases')} could not be read and ${leftOut.length === 1 ? 'is' : 'are'} not in it`}>
          <ul>{leftOut.map((one) => <li key={one.caseKey}>{one.caseId}: {one.reason}</li>)}</ul>
        </Disclosure>
      )}
      {queue.length === 0 ? <p>{leftOut.length === 0 ? 'These cases have no dropout under the library’s definition.' : ''}</p> : (
        <>
          <div className="row queue-actions">
            <Button look="primary" disabled={next === null} aria-keyshortcuts="q" onClick={() => next !== null && session.openDropout(next.caseKey, next.dropoutId)}>
              <kbd>q</kbd>{next === null ? 'All are read' : read === 0 ? 'Begin' : 'Go on'}
            </Button>
            <CheckField label="only those not read" checked={onlyOpen} onChange={setOnlyOpen} />
          </div>
          {rows.length === 0 ? <p>Every dropout of this queue is read.</p> : (
            <div className="grid-scroll">
              <DataGrid
                label="Queue of dropouts" columns={COLUMNS} rows={rows.slice(0, rowsShown)} rowKey={({ queued }) => `${queued.caseKey} ${queued.dropoutId}`}
                rowLabel={({ queued, place }) => `Place ${place}, ${queued.caseId}, ${siteText(queued.siteKey)}, lost ${rangeText(queued.lostMs)}, ${queued.isRead ? 'read' : 'not read'}`}
                onActivate={({ queued }) => session.openDropout(queued.caseKey, queued.dropoutId)}
              />
            </div>
          )}
          <MoreRows missing={rows.length - rowsShown} onMore={() => setRowsShown(rowsShown + ROWS_SHOWN)}>Show more ({numberText(rows.length - rowsShown)} further)</MoreRows>
        </>
      )}
    </section>
  );
}

interface QueueRow {
  readonly queued: QueuedDropout;
  readonly place: number;
}

const COLUMNS: readonly GridColumn<QueueRow>[] = [
  { id: 'place', header: 'Place', help: <FigureHelp figure="queue-place" />, align: 'right', cell: ({ place }) => numberText(place) },
  { id: 'case', header: 'Case', cell: ({ queued }) => <OpenLink queued={queued} /> },
  { id: 'site', header: 'Site', cell: ({ queued }) => siteText(queued.siteKey) },
  { id: 'at', header: 'Onset', help: <FigureHelp figure="onset" />, headerTitle: 'Time from the case’s origin to the first lost sample', cell: ({ queued }) => `${durationText(queued.firstLostMs)} into the record` },
  { id: 'lost', header: 'Time lost', help: <FigureHelp figure="time-lost" />, cell: ({ queued }) => rangeText(queued.lostMs) },
  { id: 'read', header: 'Your verdict', help: <FigureHelp figure="verdict" />, cell: ({ queued }) => (queued.isRead ? '● read' : <span className="soft">○ not read</span>) },
];

function OpenLink({ queued }: { readonly queued: QueuedDropout }): JSX.Element {
  const session = useSession();
  return <button type="button" className="case-link" tabIndex={-1} onClick={() => session.openDropout(queued.caseKey, queued.dropoutId)}>{queued.caseId}</button>;
}
