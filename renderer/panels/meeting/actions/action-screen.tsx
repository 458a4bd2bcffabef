import { lazy, Suspense, useState, type JSX } from 'react';
import { findingWords, measuredWords, NO_CAUSE, standingWords } from '../../../../core/actions/action-words.ts';
import { ACTION_TEXT_MOST } from '../../../../core/model/action.ts';
import type { ActionEdit, ActionSettled, ActionView, Remeasurement } from '../../../../core/model/action.ts';
import { countText, numberText } from '../../../format/number-text.ts';
import { dateText, instantText } from '../../../format/time-text.ts';
import { FigureTerm } from '../../../help/figure-help.tsx';
import { useSession } from '../../../state/session.ts';
import { useStore } from '../../../state/store.ts';
import { Button } from '../../../widgets/button.tsx';
import { Disclosure } from '../../../widgets/disclosure.tsx';
import { Waiting } from '../../../widgets/empty-state.tsx';
import { TextField } from '../../../widgets/field.tsx';
import { Notice } from '../../../widgets/notice.tsx';
import { Progress } from '../../../widgets/progress.tsx';
import { PersonQuestion } from './person-question.tsx';
import { StateWord } from './state-word.tsx';
import { dueText, nextText, originText } from './action-words.ts';

/** The charts are the largest part of the page: loaded with the first result. */
const ResultFigure = lazy(async () => ({ default: (await import('./result-figure.tsx')).ResultFigure }));

/** Returns an action with what became of it, and what can be done with it. */
export function ActionScreen({ view }: { readonly view: ActionView }): JSX.Element {
  const session = useSession();
  const { actions: store } = session;
  const { work, question, measured, isCancelled } = useStore(store);
  const { action, state, chartName, isMarked, last } = view;
  const { change, measure } = action;
  const isBusy = work !== null;
  const settled = action.settled.at(-1);
  const isSettled = state === 'closed' || state === 'not carried out';
  const edit = (step: ActionEdit): Promise<boolean> => store.edit(action.actionId, step);
  const settle = (as: ActionSettled['as']) => (reason: string): Promise<boolean> => edit({ kind: 'settle', as, reason });
  return (
    <>
      <div className="page-head">
        <h1 className="actions-what">{action.what}</h1>
        {isSettled ? null : <Button disabled={isBusy} onClick={() => store.startEdit(action.actionId)}>Write it anew…</Button>}
      </div>
      <p className="answer-line" role="status"><StateWord state={state} />. {nextText(view)}</p>
      <dl className="actions-facts">
        <div><FigureTerm figure="action-state">Owner (role)</FigureTerm><dd>{action.ownerRole}{action.saidNoPerson ? ' (said to name nobody)' : ''}</dd></div>
        <div><FigureTerm figure="action-state">Due</FigureTerm><dd>{dueText(view)}</dd></div>
        <div>
          <FigureTerm figure="action-state">Measured by</FigureTerm>
          <dd>
            {measure === null ? <>not chosen yet {isSettled ? null : <Button look="link" disabled={isBusy} onClick={() => store.startEdit(action.actionId)}>Choose a chart…</Button>}</> : chartName === null ? `“${measure.chartName}”, a chart that is gone; its definition is kept here` : (
              <Button look="link" onClick={() => { session.cohortPart.set('quality charts'); session.place.set('cohort'); void session.quality.open(measure.chartId); }}>{chartName}</Button>
            )}
          </dd>
        </div>
        <div><FigureTerm figure="action-state">Written</FigureTerm><dd>{originText(action.origin)}, {instantText(action.writtenAt)}</dd></div>
        {change === null ? null : (
          <div>
            <FigureTerm figure="action-state">Changed</FigureTerm>
            <dd>
              from {dateText(change.date)} on: {change.text}. {isMarked ? 'Marked on the chart.' : measure === null ? '' : chartName === null ? 'Marked nowhere: the chart is gone.' : 'Not marked on the chart.'}
              {!isMarked && chartName !== null && !isSettled ? <> <Button look="link" className="only-screen" disabled={isBusy} onClick={() => void edit({ kind: 'mark change' })}>Mark it on the chart</Button></> : null}
            </dd>
          </div>
        )}
        {settled === undefined || !isSettled ? null : <div><FigureTerm figure="action-state">{SETTLED_WORDS[settled.as]}</FigureTerm><dd>{instantText(settled.at)}: {settled.reason}</dd></div>}
      </dl>
      {question === null ? null : <PersonQuestion question={question} isBusy={isBusy} />}
      {state === 'open' ? <ChangeForm isBusy={isBusy} isMarkedOnChart={chartName !== null} onSay={(date, text) => edit({ kind: 'say change', date, text })} /> : null}
      {change === null || measure === null || isSettled ? null : (
        <section aria-labelledby="measure-again">
          <h2 id="measure-again">Measured again</h2>
          {work === null || !work.doing.startsWith('Measuring') ? (
            <Button look={state === 'measured again' ? 'plain' : 'primary'} disabled={isBusy} onClick={() => void store.measure(action.actionId)}>{last === null ? 'Measure again' : 'Measure once more'}</Button>
          ) : (
            <div className="actions-work">
              <Progress label={work.total === 0 ? `${work.doing}…` : `${work.doing}: ${numberText(work.done)} of ${numberText(work.total)} cases read`} done={work.done} total={work.total} />
              <Button onClick={store.cancel}>Cancel</Button>
            </div>
          )}
          {isCancelled ? <p className="soft" role="status">The measuring was cancelled; nothing was changed.</p> : null}
          {measured !== null && measured.actionId === action.actionId && !measured.isNew ? <p className="soft" role="status">The cases of today give the same figures as the last time; nothing was written.</p> : null}
        </section>
      )}
      {last === null ? null : <Result action={action} last={last} />}
      {state === 'measured again' ? <ReasonForm label="Why it is closed" button="Close the action" look="primary" isBusy={isBusy} onReason={settle('closed')} isOpen /> : null}
      {state === 'open' ? <ReasonForm label="Why it is not carried out" button="Mark as not carried out" summary="Give it up" isBusy={isBusy} onReason={settle('not carried out')} /> : null}
      {change !== null && !isSettled ? <ReasonForm label="Why the change is taken back" button="Take the change back" summary="Take the change back" note="It was not made, or not so. Its mark on the chart stays until it is taken away there." isBusy={isBusy} onReason={(reason) => edit({ kind: 'take change back', reason })} /> : null}
      {isSettled ? <ReasonForm label="Why it is taken up again" button="Take it up again" isBusy={isBusy} onReason={settle('taken up again')} isOpen /> : null}
      <History view={view} />
    </>
  );
}

function ChangeForm({ isBusy, isMarkedOnChart, onSay }: { readonly isBusy: boolean; readonly isMarkedOnChart: boolean; readonly onSay: (date: string, text: string) => Promise<boolean> }): JSX.Element {
  const [date, setDate] = useState('');
  const [text, setText] = useState('');
  const isReady = /^\d{4}-\d{2}-\d{2}$/.test(date) && text.trim() !== '';
  return (
    <section aria-labelledby="say-change">
      <h2 id="say-change">The change that was made</h2>
      <form className="actions-row" onSubmit={(event) => { event.preventDefault(); if (isReady && !isBusy) void onSay(date, text); }}>
        <TextField label="First day of the new way" type="date" value={date} onChange={setDate} />
        <TextField label="What was changed" value={text} onChange={(value) => setText(value.slice(0, ACTION_TEXT_MOST))} width="wide" />
        <Button type="submit" look="primary" disabled={isBusy || !isReady}>Say the change</Button>
      </form>
      <p className="soft">{isMarkedOnChart ? 'It is marked on the quality chart too. ' : ''}Cases that began on that day or later belong to the time after it.</p>
    </section>
  );
}

interface ReasonFormProps {
  readonly label: string;
  readonly button: string;
  /** 'primary' where it is the next step. */
  readonly look?: 'primary' | 'plain' | undefined;
  /** What opens the form; without it the form stands open. */
  readonly summary?: string | undefined;
  readonly note?: string | undefined;
  readonly isBusy: boolean;
  readonly isOpen?: boolean | undefined;
  readonly onReason: (reason: string) => Promise<boolean>;
}

function ReasonForm({ label, button, look = 'plain', summary, note, isBusy, isOpen = false, onReason }: ReasonFormProps): JSX.Element {
  const [reason, setReason] = useState('');
  const form = (
    <form className="actions-row" onSubmit={(event) => {
      event.preventDefault();
      if (reason.trim() !== '' && !isBusy) void onReason(reason).then((isDone) => { if (isDone) setReason(''); });
    }}>
      <TextField label={label} value={reason} onChange={(value) => setReason(value.slice(0, ACTION_TEXT_MOST))} width="wide" />
      <Button type="submit" look={look} disabled={isBusy || reason.trim() === ''}>{button}</Button>
    </form>
  );
  const body = <>{note === undefined ? null : <p className="soft">{note}</p>}{form}</>;
  return isOpen || summary === undefined ? <section>{body}</section> : <Disclosure summary={summary}>{body}</Disclosure>;
}

function Result({ action, last }: { readonly action: ActionView['action']; readonly last: Remeasurement }): JSX.Element {
  const { measured } = useStore(useSession().actions);
  const left = leftPhrases(last);
  const unread = measured !== null && measured.actionId === action.actionId ? measured.leftOut : [];
  return (
    <section aria-label="What was measured">
      <Notice tone={last.standing === 'measured' ? 'note' : 'caution'} title={standingWords(last)}>
        {findingWords(last) === null ? null : <p>{findingWords(last)}</p>}
        <p>{NO_CAUSE}</p>
      </Notice>
      <Suspense fallback={<Waiting>Opening the picture…</Waiting>}><ResultFigure last={last} definition={action.measure?.definition ?? null} /></Suspense>
      {left.length === 0 ? null : <p className="soft">In neither time: {left.join('; ')}.</p>}
      {unread.length === 0 ? null : <Disclosure summary={`${countText(unread.length, 'case', 'cases')} that could not be read`}><ul>{unread.slice(0, 50).map(({ caseKey, caseId, reason }) => <li key={caseKey}>{caseId}: {reason}</li>)}</ul></Disclosure>}
    </section>
  );
}

function leftPhrases({ leftOut, unread }: Remeasurement): string[] {
  return ([
    [leftOut.undated, 'without a date'], [leftOut.notUsable, 'without SpO2 or a monitored sensor of the definition'], [leftOut.notChosen, 'not of the chosen values'], [leftOut.notReviewed ?? 0, 'with a dropout that waits to be read'], [unread, 'that could not be read'],
  ] as const).flatMap(([count, why]) => (count > 0 ? [`${countText(count, 'case', 'cases')} ${why}`] : []));
}

/** What was measured, said and taken back before. */
function History({ view: { action, last } }: { readonly view: ActionView }): JSX.Element | null {
  const earlier = action.remeasurements.filter((one) => one !== last && one.measuredAt !== last?.measuredAt);
  const lines = [
    ...earlier.map((one) => ({ at: one.measuredAt, text: `Measured for the change of ${dateText(one.changeDate)}: before ${measuredWords(one).before}; after ${measuredWords(one).after}; ${measuredWords(one).effect}. ${standingWords(one)}` })),
    ...action.takenBack.map((one) => ({ at: one.takenBackAt, text: `Taken back: the change of ${dateText(one.date)}, ${one.text}. Reason: ${one.reason}` })),
    ...action.settled.map((one) => ({ at: one.at, text: `${SETTLED_WORDS[one.as]}: ${one.reason}` })),
  ].sort((a, b) => (a.at < b.at ? -1 : 1));
  if (lines.length === 0) return null;
  return (
    <Disclosure summary={`What was said and measured before (${numberText(lines.length)})`}>
      <ul className="actions-history">{lines.map(({ at, text }) => <li key={`${at} ${text}`}><span className="soft">{instantText(at)}</span> {text}</li>)}</ul>
    </Disclosure>
  );
}

const SETTLED_WORDS: Readonly<Record<ActionSettled['as'], string>> = { 'closed': 'Closed', 'not carried out': 'Not carried out', 'taken up again': 'Taken up again' };
