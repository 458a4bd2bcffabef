import { useEffect, useRef, useState, type JSX } from 'react';
import type { ActionView } from '../../../../core/model/action.ts';
import { countText, numberText } from '../../../format/number-text.ts';
import { dateText } from '../../../format/time-text.ts';
import { FigureHead } from '../../../help/figure-help.tsx';
import { useSession } from '../../../state/session.ts';
import { useStore } from '../../../state/store.ts';
import { saveFile } from '../../../charts/save-file.ts';
import { Button } from '../../../widgets/button.tsx';
import { Disclosure } from '../../../widgets/disclosure.tsx';
import { EmptyState, Waiting } from '../../../widgets/empty-state.tsx';
import { SelectField, TextField } from '../../../widgets/field.tsx';
import { Notice } from '../../../widgets/notice.tsx';
import { useStartAtTop } from '../../../widgets/start-at-top.ts';
import { ActionForm } from './action-form.tsx';
import { ActionScreen } from './action-screen.tsx';
import { StateWord } from './state-word.tsx';
import { dueText, standingText } from './action-words.ts';
import './actions.css';

/** Returns the actions of the library: all of them, one that is opened, or one that is being written. */
export function ActionsPanel(): JSX.Element {
  const { actions: store } = useSession();
  const { actions, shown, work, problem, charts } = useStore(store);
  useStartAtTop(shown.kind === 'list' ? 'list' : `${shown.kind} ${shown.actionId ?? ''}`);
  useEffect(() => {
    if (store.get().actions === null) void store.load();
  }, [store]);
  const problemRef = useRef<HTMLDivElement>(null);
  // The form that failed may stand far below what says why.
  useEffect(() => {
    problemRef.current?.scrollIntoView({ block: 'nearest' });
  }, [problem]);
  const view = shown.kind === 'list' || shown.actionId === null ? undefined : actions?.find(({ action }) => action.actionId === shown.actionId);
  return (
    <div className="page actions-page">
      {actions === null ? <h1>Actions</h1> : null}
      {shown.kind === 'list' ? null : <p className="actions-back"><Button look="link" onClick={store.showList}>All actions</Button></p>}
      {problem === null ? null : (
        <div ref={problemRef}>
          <Notice tone="problem" title={actions === null ? 'The actions could not be read.' : 'That did not work.'} live>
            <p>{problem.message} {problem.remedy ?? ''}</p>
            {actions === null ? <div className="row"><Button onClick={() => void store.load()}>Read the actions again</Button></div> : null}
          </Notice>
        </div>
      )}
      {actions === null ? (problem === null ? <Waiting>Reading the actions…</Waiting> : null) : shown.kind === 'list' ? <ActionList actions={actions} /> : shown.kind === 'form' ? (
        shown.actionId !== null && view === undefined ? <Gone /> : charts === null && problem === null ? <Waiting>Reading the quality charts…</Waiting> : <ActionForm key={shown.actionId ?? 'new'} view={view ?? null} origin={shown.origin} charts={charts ?? []} isBusy={work !== null} />
      ) : view === undefined ? <Gone /> : <ActionScreen key={view.action.actionId} view={view} />}
    </div>
  );
}

function Gone(): JSX.Element {
  return <EmptyState title="This action is not in the library"><p>Go back to all actions.</p></EmptyState>;
}

function ActionList({ actions }: { readonly actions: readonly ActionView[] }): JSX.Element {
  const { actions: store, messages } = useSession();
  const start = <Button look="primary" onClick={() => store.startNew({ kind: 'by hand' })}>Write an action…</Button>;
  if (actions.length === 0) {
    return (
      <>
        <h1>Actions</h1>
        <EmptyState title="No action yet" actions={start}>
          <p>An action is what a meeting or a report asks for: what, whose role sees to it, by when, and the quality chart that it is measured by. Once the change is made, it is marked on the chart, and the same definition is measured again after it. An action nobody measured again stays open here.</p>
        </EmptyState>
      </>
    );
  }
  const settled = actions.filter(({ state }) => state === 'closed' || state === 'not carried out');
  const inView = actions.filter((view) => !settled.includes(view));
  const save = async (form: 'csv' | 'json'): Promise<void> => {
    const text = await store.text(form);
    if (text === null) return;
    saveFile(`actions.${form}`, new Blob([text], { type: form === 'csv' ? 'text/csv' : 'application/json' }));
    messages.add('note', 'The actions were handed to the downloads. Their texts are as they were typed: look at them before they are passed on.');
  };
  return (
    <>
      <header className="meeting-head">
        <h1>Actions</h1>
        <div className="row">
          <Button look="quiet" onClick={() => void save('csv')}>Save as CSV</Button>
          <Button look="quiet" onClick={() => void save('json')}>Save as JSON</Button>
          {start}
        </div>
      </header>
      <p className="answer-line" role="status">{standingText(actions)}</p>
      {inView.length <= FEW ? <ActionsInView actions={inView} /> : <FoundActions actions={inView} />}
      {settled.length === 0 ? null : (
        <Disclosure summary={`Closed and given up (${numberText(settled.length)})`} isOpen={inView.length === 0}>
          <ActionTable actions={settled} label="Actions that are closed or were given up" />
        </Disclosure>
      )}
    </>
  );
}

function ActionsInView({ actions }: { readonly actions: readonly ActionView[] }): JSX.Element | null {
  return actions.length === 0 ? null : <ActionTable actions={actions} label="Actions in view" />;
}

/** The same with a search: many actions are not looked through by eye. */
function FoundActions({ actions }: { readonly actions: readonly ActionView[] }): JSX.Element {
  const [words, setWords] = useState('');
  const [which, setWhich] = useState<Which>('all');
  const found = actions.filter((view) => WHICH[which].holds(view) && holdsWords(view, words));
  return (
    <>
      <div className="filters">
        <TextField label="Action, owner or chart holds" type="search" value={words} onChange={setWords} />
        <SelectField label="Show" value={which} choices={WHICH_NAMES.map((value) => ({ value, label: WHICH[value].label }))} onChange={(value) => setWhich(WHICH_NAMES.find((name) => name === value) ?? 'all')} />
        <p className="soft" role="status">{numberText(found.length)} of {countText(actions.length, 'action', 'actions')} in view</p>
      </div>
      {found.length === 0 ? <p>None of them fits. {[...(words === '' ? [] : ['Look for fewer words.']), ...(which === 'all' ? [] : ['Show every action in view.'])].join(' ')}</p> : <ActionTable actions={found} label="Actions in view" />}
    </>
  );
}

/** Up to so many actions are looked through by eye. */
const FEW = 12;

const WHICH = {
  all: { label: 'every action in view', holds: () => true },
  overdue: { label: 'overdue', holds: ({ overdueDays }: ActionView) => overdueDays !== null && overdueDays > 0 },
  open: { label: 'open', holds: ({ state }: ActionView) => state === 'open' },
  changed: { label: 'changed, not measured again', holds: ({ state }: ActionView) => state === 'change made' },
  measured: { label: 'measured again', holds: ({ state }: ActionView) => state === 'measured again' },
} as const;
type Which = keyof typeof WHICH;
const WHICH_NAMES = ['all', 'overdue', 'open', 'changed', 'measured'] as const satisfies readonly Which[];

function holdsWords({ action, chartName }: ActionView, words: string): boolean {
  const text = `${action.what} ${action.ownerRole} ${chartName ?? action.measure?.chartName ?? ''}`.toLowerCase();
  return words.toLowerCase().split(/\s+/).every((word) => text.includes(word));
}

function ActionTable({ actions, label }: { readonly actions: readonly ActionView[]; readonly label: string }): JSX.Element {
  const { actions: store } = useSession();
  return (
    <div className="grid-scroll actions-list" tabIndex={0} role="group" aria-label={label}>
      <table className="plain-table">
        <caption className="visually-hidden">{label}</caption>
        <thead><tr><FigureHead figure="action-state">State</FigureHead><th scope="col">What is to be done</th><th scope="col">Owner (role)</th><FigureHead figure="action-state">Due</FigureHead><th scope="col">Changed from</th><th scope="col">Measured by</th></tr></thead>
        <tbody>
          {actions.map((view) => {
            const { action, state, overdueDays, chartName } = view;
            return (
              <tr key={action.actionId}>
                <td className="actions-state"><StateWord state={state} /></td>
                <th scope="row"><button type="button" className="case-link" onClick={() => store.open(action.actionId)}>{action.what}</button></th>
                <td>{action.ownerRole}</td>
                <td className={overdueDays !== null && overdueDays > 0 ? 'actions-late' : undefined}>{dueText(view)}</td>
                <td>{action.change === null ? '–' : dateText(action.change.date)}</td>
                <td>{action.measure === null ? 'not chosen yet' : (chartName ?? `${action.measure.chartName} (the chart is gone)`)}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </div>
  );
}
