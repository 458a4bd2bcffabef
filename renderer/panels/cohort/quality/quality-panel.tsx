import { useEffect, type JSX } from 'react';
import type { QualityChart } from '../../../../core/model/quality-chart.ts';
import { numberText } from '../../../format/number-text.ts';
import { instantText } from '../../../format/time-text.ts';
import { FigureHead } from '../../../help/figure-help.tsx';
import { useSession } from '../../../state/session.ts';
import { useStore } from '../../../state/store.ts';
import { Button } from '../../../widgets/button.tsx';
import { EmptyState, Waiting } from '../../../widgets/empty-state.tsx';
import { Notice } from '../../../widgets/notice.tsx';
import { Progress } from '../../../widgets/progress.tsx';
import { useStartAtTop } from '../../../widgets/start-at-top.ts';
import { ChartScreen } from './chart-screen.tsx';
import { FunnelScreen } from './funnel-screen.tsx';
import { MakeScreen } from './make-screen.tsx';
import { KIND_NAMES, measureName, pointName } from './quality-words.ts';

/** Returns the quality charts: all of the library, one that is opened, one that is being made, or units against each other. */
export function QualityPanel(): JSX.Element {
  const session = useSession();
  const { quality } = session;
  const state = useStore(quality);
  useEffect(() => {
    // A chart that another place opened stays open: only the list is read here.
    const { charts: read, shown: now } = quality.get();
    if (read === null && now.kind === 'list') void quality.showList();
  }, [quality]);
  const { shown, work, problem, charts } = state;
  useStartAtTop(shown.kind === 'chart' ? shown.chartId : shown.kind);
  return (
    <div className="page cohort">
      {shown.kind === 'list' ? null : <p className="cohort-back"><Button look="link" onClick={() => void quality.showList()}>All quality charts</Button></p>}
      {shown.kind === 'list' ? (
        <>
          <h1>Quality charts</h1>
          <p className="soft cohort-unstated">
            A chart keeps its definition, its points and its limits: what was drawn last month is drawn the same next month, and what today&apos;s cases would give instead is told beside it. Limits are fixed on a baseline, and changed by a person with a reason only.
          </p>
          {charts === null ? (problem === null ? <Waiting>Reading the charts…</Waiting> : null) : <ChartList charts={charts} />}
        </>
      ) : null}
      {problem === null ? null : (
        <Notice tone="problem" title={charts === null && shown.kind === 'list' ? 'The charts could not be read.' : 'That did not work.'} live>
          <p>{problem.message} {problem.remedy ?? ''}</p>
          {charts === null && shown.kind === 'list' ? <Button onClick={() => void quality.showList()}>Try again</Button> : null}
        </Notice>
      )}
      {work === null || (work.total === 0 && shown.kind === 'list') ? null : (
        <div className="cohort-work">
          <Progress label={work.total === 0 ? `${work.doing}…` : `${work.doing}: ${numberText(work.done)} of ${numberText(work.total)} cases read`} done={work.done} total={work.total} />
          <Button onClick={quality.cancel}>Cancel</Button>
        </div>
      )}
      {shown.kind === 'chart' && shown.view !== null ? <ChartScreen key={shown.chartId} view={shown.view} isBusy={work !== null} /> : null}
      {shown.kind === 'chart' && shown.view === null && work === null && problem !== null ? <Button onClick={() => void quality.open(shown.chartId)}>Try again</Button> : null}
      {shown.kind === 'new' ? <MakeScreen proposal={shown.proposal} isBusy={work !== null} columns={state.columns ?? []} /> : null}
      {shown.kind === 'funnel' ? <FunnelScreen funnel={shown.funnel} request={shown.request} isBusy={work !== null} columns={state.columns ?? []} /> : null}
    </div>
  );
}

function ChartList({ charts }: { readonly charts: readonly QualityChart[] }): JSX.Element {
  const { quality } = useSession();
  const actions = (
    <>
      <Button look="primary" onClick={() => void quality.startNew()}>Make a chart</Button>
      <Button onClick={() => void quality.startFunnel()}>Units against all of them</Button>
    </>
  );
  if (charts.length === 0) {
    return (
      <EmptyState title="No chart is kept yet" actions={actions}>
        <p>Choose what a point is, by month or by a number of cases, and see at once what it would look like. Fewer than 10 points are only drawn; from 10 on runs are judged, from 12 on limits can be fixed, from 20 on they are more than provisional.</p>
      </EmptyState>
    );
  }
  return (
    <>
      <div className="row cohort-controls">{actions}</div>
      <div className="grid-scroll cohort-list">
        <table className="plain-table">
          <caption className="visually-hidden">Quality charts of the library</caption>
          <thead><tr><th scope="col">Chart</th><FigureHead figure="quality-chart">What a point is</FigureHead><FigureHead figure="quality-chart">Kind</FigureHead><FigureHead figure="quality-limits" className="align-right">Points kept</FigureHead><FigureHead figure="quality-limits">Last kept</FigureHead><FigureHead figure="quality-change" className="align-right">Changes marked</FigureHead><th scope="col">Made</th></tr></thead>
          <tbody>
            {charts.map((chart) => (
              <tr key={chart.chartId}>
                <th scope="row"><button type="button" className="case-link" onClick={() => void quality.open(chart.chartId)}>{chart.name}</button></th>
                <td>{measureName(chart.definition.measure, chart.definition.lossOf, chart.definition.longerThanS)}</td>
                <td>{KIND_NAMES[chart.phases.at(-1)?.kind ?? 'line']}</td>
                <td className="align-right figure">{numberText(chart.points.length)}</td>
                <td>{pointName(chart.points.at(-1)?.label ?? '–')}</td>
                <td className="align-right figure">{numberText(chart.changes.length)}</td>
                <td>{instantText(chart.madeAt)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </>
  );
}
