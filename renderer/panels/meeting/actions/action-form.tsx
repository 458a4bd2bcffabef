import { useState, type JSX } from 'react';
import { ACTION_TEXT_MOST, OWNER_ROLE_MOST } from '../../../../core/model/action.ts';
import type { ActionOrigin, ActionView } from '../../../../core/model/action.ts';
import type { QualityChart } from '../../../../core/model/quality-chart.ts';
import { useSession } from '../../../state/session.ts';
import { useStore } from '../../../state/store.ts';
import { Button } from '../../../widgets/button.tsx';
import { SelectField, TextAreaField, TextField } from '../../../widgets/field.tsx';
import { PersonQuestion } from './person-question.tsx';
import { originText } from './action-words.ts';

export interface ActionFormProps {
  /** null: a new action. */
  readonly view: ActionView | null;
  readonly origin: ActionOrigin;
  readonly charts: readonly QualityChart[];
  readonly isBusy: boolean;
}

/** Returns the form of an action: what, whose role, by when, measured by which chart. */
export function ActionForm({ view, origin, charts, isBusy }: ActionFormProps): JSX.Element {
  const session = useSession();
  const { actions: store } = session;
  const { question } = useStore(store);
  const before = view?.action ?? null;
  const [what, setWhat] = useState(before?.what ?? '');
  const [ownerRole, setOwnerRole] = useState(before?.ownerRole ?? '');
  const [due, setDue] = useState(before?.due ?? '');
  const [chartId, setChartId] = useState(before?.measure?.chartId ?? '');
  const gone = before?.measure !== undefined && before.measure !== null && !charts.some((chart) => chart.chartId === before.measure?.chartId) ? before.measure : null;
  const isReady = what.trim() !== '' && ownerRole.trim() !== '' && (due === '' || /^\d{4}-\d{2}-\d{2}$/.test(due));
  const keep = (): void => {
    if (isReady && !isBusy) void store.write({ what, ownerRole, due: due === '' ? null : due, chartId: chartId === '' ? null : chartId });
  };
  return (
    <>
      <h1>{before === null ? 'Write an action' : 'Write the action anew'}</h1>
      {origin.kind === 'by hand' ? null : <p className="soft">Written {originText(origin)}.</p>}
      <form className="actions-form" onSubmit={(event) => { event.preventDefault(); keep(); }}>
        <TextAreaField label="What is to be done" value={what} onChange={(value) => setWhat(value.slice(0, ACTION_TEXT_MOST))} hint="In a sentence, such as “second sensor on the ear lobe whenever both arms are tucked”. No names." />
        <TextField label="Owner: a role" value={ownerRole} onChange={(value) => setOwnerRole(value.slice(0, OWNER_ROLE_MOST))} hint="Such as “lead for monitoring”; not the name of a person." />
        <div className="actions-row">
          <TextField label="Due" type="date" value={due} onChange={setDue} hint="By when the change is to be made; may be empty." />
          <SelectField
            label="Measured by" value={chartId} onChange={setChartId}
            choices={[{ value: '', label: 'not chosen yet' }, ...(gone === null ? [] : [{ value: gone.chartId, label: `${gone.chartName} (the chart is gone; its definition is kept)` }]), ...charts.map((chart) => ({ value: chart.chartId, label: chart.name }))]}
            hint={charts.length === 0 ? 'The library has no quality chart yet: make one in Cohort, Quality charts.' : 'A quality chart of the library: its definition is measured again after the change.'}
          />
        </div>
        {charts.length === 0 ? <p><Button look="link" className="only-screen" onClick={() => { session.cohortPart.set('quality charts'); session.place.set('cohort'); }}>Go to the quality charts</Button></p> : null}
        {question === null ? (
          <div className="row">
            <Button look="primary" type="submit" disabled={isBusy || !isReady}>Keep the action</Button>
            <Button onClick={() => (before === null ? store.showList() : store.open(before.actionId))}>Leave it</Button>
          </div>
        ) : <PersonQuestion question={question} isBusy={isBusy} />}
      </form>
    </>
  );
}
