import { useCallback, useEffect, useState, type JSX } from 'react';
import type { ChartEdit, ChartPoint, QualityChartView } from '../../../../core/model/quality-chart.ts';
import type { QualityAnswer } from '../../../../core/protocol/host-api.ts';
import { ChartFigure } from '../../../charts/chart-figure.tsx';
import type { DrawChart } from '../../../charts/chart-types.ts';
import { qualityChart } from '../../../charts/quality-chart.ts';
import { countText, numberText } from '../../../format/number-text.ts';
import { dateText, instantText } from '../../../format/time-text.ts';
import { FigureHead } from '../../../help/figure-help.tsx';
import { notMeasuredAgain } from '../../../state/actions.ts';
import { useSession } from '../../../state/session.ts';
import { useStore } from '../../../state/store.ts';
import { Button } from '../../../widgets/button.tsx';
import { Dialog } from '../../../widgets/dialog.tsx';
import { Disclosure } from '../../../widgets/disclosure.tsx';
import { TextField } from '../../../widgets/field.tsx';
import { Notice } from '../../../widgets/notice.tsx';
import { StateWord } from '../../meeting/actions/state-word.tsx';
import { useCaseNames } from '../case-names.ts';
import { PointCases, type OpenPoint } from '../point-cases.tsx';
import { Question } from '../question.tsx';
import { PhaseForm } from './phase-form.tsx';
import { changeMarks, drawnPoints, qualityTable } from './quality-points.ts';
import { choiceText, definitionPhrases, effectTexts, KIND_NAMES, leftOutPhrases, measureName, measureTickText, measureValueText, pointFigureText, pointName, verdictText } from './quality-words.ts';

/** Returns a chart that is kept, with what was frozen, what would have changed, and what was marked. */
export function ChartScreen({ view: { answer: view, leftOut }, isBusy }: { readonly view: QualityAnswer<QualityChartView>; readonly isBusy: boolean }): JSX.Element {
  const session = useSession();
  const [point, setPoint] = useState<OpenPoint | null>(null);
  const [removing, setRemoving] = useState(false);
  const { chart } = view;
  const { measure, lossOf, longerThanS } = chart.definition;
  const phase = chart.phases.at(-1);
  const centreName = phase?.kind === 'run' || phase?.kind === 'g' ? 'median' : 'centre';
  const draw = useCallback<DrawChart>(
    (width) => qualityChart(drawnPoints(view), { yLabel: measureName(measure, lossOf, longerThanS), tickText: measureTickText(measure), valueText: measureValueText(measure), centreName, changes: changeMarks(view) }, width),
    [view, measure, lossOf, longerThanS, centreName],
  );
  const names = useCaseNames();
  const openPoint = (key: string): void => {
    const found = view.points[Number(key)];
    if (found === undefined) return;
    setPoint({ title: `${pointName(found.label)}: ${pointFigureText(found, measure)}`, cases: found.caseKeys.map((caseKey) => ({ caseKey, caseId: names(caseKey), figure: 'counts in this point' })) });
  };
  const edit = (change: ChartEdit): Promise<boolean> => session.quality.edit(change);
  const fresh = view.points.filter((one) => one.state === 'new');
  const left = [...leftOutPhrases(view.leftOut), ...(leftOut.length === 0 ? [] : [`${countText(leftOut.length, 'case', 'cases')} that could not be read`])];
  return (
    <>
      <div className="page-head">
        <h1>{chart.name}</h1>
        <Button onClick={() => setRemoving(true)} disabled={isBusy}>Remove this chart</Button>
      </div>
      <p className="answer-line" role="status">{verdictText(view)}</p>
      <ChartFigure
        figure="quality-chart"
        title={chart.name} fileName={`quality-chart-${measure.replaceAll(' ', '-')}`} draw={draw} table={qualityTable(view.points, measure)} onPoint={openPoint} pointLeadsTo="lists the cases behind the point"
        description={`${measureName(measure, lossOf, longerThanS)}. A hollow point is not over yet; a cross is left out of the limits; a diamond signals.`}
        notes={[
          `${definitionPhrases(chart.definition).join('; ')}.`,
          ...(phase === undefined ? [] : [choiceText(phase.choice), baselineText(view)]),
          ...(left.length === 0 ? [] : [`In no point: ${left.join('; ')}.`]),
          'A signal says that something other than chance is likely; it names no cause. Small numbers and selected cases: no ranking of people or units on them.',
        ]}
        nothing={view.points.length === 0 ? <p>No case gives a point: {left.length === 0 ? 'the library has none that fits' : left.join('; ')}.</p> : undefined}
      />
      {fresh.length === 0 ? null : (
        <Notice tone="note" title={`${countText(fresh.length, 'point is', 'points are')} complete and not yet kept.`}>
          <p>{fresh.map((one) => pointName(one.label)).join(', ')}. A kept point stays as it is, whatever is imported later.</p>
          <Button disabled={isBusy} onClick={() => void edit({ kind: 'keep points' })}>Keep {fresh.length === 1 ? 'it' : 'them'}</Button>
        </Notice>
      )}
      <FrozenPart view={view} isBusy={isBusy} onEdit={edit} />
      <ChangesPart view={view} isBusy={isBusy} onEdit={edit} />
      <ActionsPart chartId={chart.chartId} />
      <PhasesPart view={view} isBusy={isBusy} onEdit={edit} />
      {point === null ? null : <PointCases point={point} onClose={() => setPoint(null)} />}
      {removing ? (
        <Dialog
          title={`Remove “${chart.name}”?`} onClose={() => setRemoving(false)}
          actions={<><Button onClick={() => setRemoving(false)}>Keep it</Button><Button look="primary" onClick={() => { setRemoving(false); void session.quality.remove(chart.chartId); }}>Remove it</Button></>}
        >
          <p>Its {countText(chart.points.length, 'kept point', 'kept points')}, limits, changes and reasons are gone for good. The cases stay.</p>
        </Dialog>
      ) : null}
    </>
  );
}

function baselineText({ chart, points }: QualityChartView): string {
  const phase = chart.phases.at(-1);
  if (phase === undefined || phase.kind === 'line') return 'No limits: the points stand for themselves.';
  const { baseline } = phase;
  const [first, last] = [points[baseline.firstPoint], points[baseline.lastPoint]];
  const span = first === undefined || last === undefined ? '' : ` ${pointName(first.label)} to ${pointName(last.label)}`;
  return `Fixed on ${instantText(phase.madeAt)} from the baseline${span}${baseline.excluded.length === 0 ? '' : `, ${countText(baseline.excluded.length, 'point', 'points')} left out`}${baseline.isProvisional ? '; provisional, since fewer than 20 points count' : ''}. Reason: ${phase.reason}`;
}

interface PartProps {
  readonly view: QualityChartView;
  readonly isBusy: boolean;
  readonly onEdit: (edit: ChartEdit) => Promise<boolean>;
}

/** What was kept, and what the cases of today would give instead. */
function FrozenPart({ view, isBusy, onEdit }: PartProps): JSX.Element {
  const moved = view.points.flatMap((point, i) => (point.now === null ? [] : [{ point, i }]));
  const { measure } = view.chart.definition;
  return (
    <Question
      figure="quality-limits"
      heading="What has been frozen, and what would have changed?"
      answer={
        moved.length === 0
          ? view.chart.points.length === 0 ? 'No point is kept yet: none was complete when the chart was made.' : `${countText(view.chart.points.length, 'point is', 'points are')} kept. The cases of today give the same.`
          : `${countText(view.chart.points.length, 'point is', 'points are')} kept; for ${numberText(moved.length)} of them the cases of today would give something else, because cases came later, were removed or were read anew. What was kept is drawn.`
      }
    >
      {moved.length === 0 ? null : (
        <div className="grid-scroll cohort-list">
          <table className="plain-table">
            <caption className="visually-hidden">Kept points that the cases of today do not give</caption>
            <thead><tr><th scope="col">Point</th><FigureHead figure="quality-limits">Kept</FigureHead><FigureHead figure="quality-chart">Cases of today</FigureHead><th scope="col">Take today&apos;s, because</th></tr></thead>
            <tbody>{moved.map(({ point, i }) => <MovedRow key={point.label} point={point} index={i} measure={measure} isBusy={isBusy} onEdit={onEdit} />)}</tbody>
          </table>
        </div>
      )}
      {view.chart.restated.length === 0 ? null : (
        <Disclosure summary={`${countText(view.chart.restated.length, 'point was', 'points were')} worked out anew`}>
          <ul>{view.chart.restated.map((one) => <li key={`${one.point} ${one.madeAt}`}>{pointName(one.before.label)}, before {pointFigureText(one.before, measure)}: {one.reason} ({instantText(one.madeAt)})</li>)}</ul>
        </Disclosure>
      )}
    </Question>
  );
}

function MovedRow({ point, index, measure, isBusy, onEdit }: { readonly point: ChartPoint; readonly index: number; readonly measure: QualityChartView['chart']['definition']['measure'] } & Pick<PartProps, 'isBusy' | 'onEdit'>): JSX.Element {
  const [reason, setReason] = useState('');
  return (
    <tr>
      <th scope="row">{pointName(point.label)}</th>
      <td>{pointFigureText(point, measure)}</td>
      <td>{point.now === null ? 'the same' : pointFigureText(point.now, measure)}</td>
      <td>
        <span className="row cohort-inline">
          <TextField label={`Reason to take today’s figures for ${pointName(point.label)}`} labelHidden placeholder="reason" value={reason} onChange={setReason} />
          <Button disabled={isBusy || reason.trim() === ''} onClick={() => void onEdit({ kind: 'restate point', point: index, reason })}>Take</Button>
        </span>
      </td>
    </tr>
  );
}

/** Changes of the department, each with the measure before and after. */
function ChangesPart({ view, isBusy, onEdit }: PartProps): JSX.Element {
  const [date, setDate] = useState('');
  const [text, setText] = useState('');
  const { changes } = view.chart;
  const isReady = /^\d{4}-\d{2}-\d{2}$/.test(date) && text.trim() !== '';
  return (
    <Question
      figure="quality-change"
      heading="Is it getting better since the change?"
      answer={changes.length === 0 ? 'No change is marked. Mark the day from which something was done otherwise; before and after are then set side by side.' : 'Before and after each marked change, up to the next one. Other things change with time too: the difference is no proof that the change made it.'}
    >
      {changes.length === 0 ? null : (
        <div className="grid-scroll cohort-list">
          <table className="plain-table">
            <caption className="visually-hidden">Changes with the measure before and after</caption>
            <thead><tr><th scope="col">From</th><th scope="col">Change</th><FigureHead figure="quality-change">Before</FigureHead><FigureHead figure="quality-change">After</FigureHead><FigureHead figure="quality-change">Effect</FigureHead><th scope="col"><span className="visually-hidden">Remove</span></th></tr></thead>
            <tbody>
              {changes.map((change) => {
                const effect = view.effects.find((one) => one.changeId === change.changeId);
                const words = effect === undefined ? null : effectTexts(effect, view.draws.conf);
                return (
                  <tr key={change.changeId}>
                    <td className="figure">{dateText(change.date)}</td><th scope="row">{change.text}</th>
                    <td>{words?.before ?? '–'}</td><td>{words?.after ?? '–'}</td><td>{words?.effect ?? '–'}</td>
                    <td><Button look="quiet" disabled={isBusy} aria-label={`Take the mark “${change.text}” away`} onClick={() => void onEdit({ kind: 'remove change', changeId: change.changeId })}>Take away</Button></td>
                  </tr>
                );
              })}
            </tbody>
          </table>
        </div>
      )}
      <div className="cohort-controls">
        <TextField label="First day of the new way" type="date" value={date} onChange={setDate} />
        <TextField label="What was changed" width="words" value={text} onChange={(value) => setText(value.slice(0, 200))} />
        <Button
          disabled={isBusy || !isReady}
          onClick={() => void onEdit({ kind: 'mark change', date, text }).then((isDone) => {
            if (!isDone) return;
            setDate('');
            setText('');
          })}
        >
          Mark the change
        </Button>
      </div>
    </Question>
  );
}

/** What meetings asked for that this chart measures. */
function ActionsPart({ chartId }: { readonly chartId: string }): JSX.Element {
  const session = useSession();
  const { actions, problem } = useStore(session.actions);
  useEffect(() => {
    if (session.actions.get().actions === null) void session.actions.load();
  }, [session]);
  const own = (actions ?? []).filter(({ action }) => action.measure?.chartId === chartId);
  const waiting = notMeasuredAgain(own);
  const answer = actions === null
    ? (problem === null ? 'The actions are being read…' : `The actions could not be read: ${problem.message}`)
    : own.length === 0 ? 'No action of a meeting is measured by this chart.' : `${countText(own.length, 'action is', 'actions are')} measured by it; ${waiting === 0 ? 'each was measured again, closed or given up' : `${countText(waiting, 'is', 'are')} not yet measured again`}.`;
  return (
    <Question figure="action-state" heading="Which actions does this chart measure?" answer={answer}>
      {own.length === 0 ? null : (
        <ul className="bare-list chart-actions">
          {own.map(({ action, state }) => (
            <li key={action.actionId}><StateWord state={state} /><span><button type="button" className="case-link" onClick={() => session.openAction(action.actionId)}>{action.what}</button>{action.change === null ? '' : `, changed from ${dateText(action.change.date)} on`}</span></li>
          ))}
        </ul>
      )}
    </Question>
  );
}

/** The stretches of the chart with their own limits. */
function PhasesPart({ view, isBusy, onEdit }: PartProps): JSX.Element {
  const { phases } = view.chart;
  return (
    <Question figure="quality-limits" heading="Which limits hold, and since when?" answer={`${countText(phases.length, 'set of limits', 'sets of limits')}. The one that was made last holds from its first point on.`}>
      <div className="grid-scroll cohort-list">
        <table className="plain-table">
          <caption className="visually-hidden">Limits of the chart</caption>
          <thead><tr><th scope="col">From point</th><FigureHead figure="quality-limits">Kind</FigureHead><FigureHead figure="quality-limits">Baseline</FigureHead><th scope="col">Reason</th><FigureHead figure="quality-limits">Fixed</FigureHead></tr></thead>
          <tbody>
            {phases.map((phase) => (
              <tr key={phase.madeAt}>
                <th scope="row">{pointName(view.points[phase.fromPoint]?.label ?? String(phase.fromPoint + 1))}</th>
                <td>{KIND_NAMES[phase.kind]}</td>
                <td>{phase.kind === 'line' ? 'none' : `${pointName(view.points[phase.baseline.firstPoint]?.label ?? '')} to ${pointName(view.points[phase.baseline.lastPoint]?.label ?? '')}${phase.baseline.isProvisional ? ', provisional' : ''}`}</td>
                <td>{phase.reason}</td><td>{instantText(phase.madeAt)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <Disclosure summary="Fix new limits from a point on">
        <PhaseForm
          key={phases.length} measure={view.chart.definition.measure} pointNames={view.points.filter((one) => one.state === 'kept').map((one) => pointName(one.label))} baseline={phases.at(-1)?.baseline ?? null} asksWhere isBusy={isBusy}
          action="Fix these limits" onPhase={(phase) => void onEdit({ kind: 'new phase', phase })}
        />
      </Disclosure>
    </Question>
  );
}
