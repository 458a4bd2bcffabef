import { useCallback, useMemo, type JSX } from 'react';
import type { CohortFlow, FlowStep } from '../../../core/model/cohort-flow.ts';
import { ChartFigure } from '../../charts/chart-figure.tsx';
import { numberCell, textCell, type ChartTable, type DrawChart } from '../../charts/chart-types.ts';
import { flowChart, type FlowStage } from '../../charts/flow-chart.ts';
import { countText, numberText } from '../../format/number-text.ts';
import type { OpenPoint } from './point-cases.tsx';

const STEP_NAMES: Readonly<Record<FlowStep['step'], string>> = { imported: 'Asked for', readable: 'Readable', usable: 'Usable', analysed: 'Looked at' };

/** Returns the flow as the picture has it: what was left out stands beside the way to the step that lacks it. */
export function flowStages({ steps }: Pick<CohortFlow, 'steps'>): FlowStage[] {
  return steps.map((step, i) => ({
    key: step.step,
    label: STEP_NAMES[step.step],
    cases: step.cases,
    leftOut: (steps[i + 1]?.leftOut ?? []).map((left) => ({ key: `${steps[i + 1]?.step ?? ''}\n${left.reason}`, reason: left.reason, cases: left.cases.length })),
  }));
}

const caseCount = (cases: number): string => countText(cases, 'case', 'cases');

/** Returns how many cases came how far, with the reasons of those that did not; a press on a reason lists them. */
export function FlowPart({ flow, onPoint }: { readonly flow: CohortFlow; readonly onPoint: (point: OpenPoint) => void }): JSX.Element {
  const stages = useMemo(() => flowStages(flow), [flow]);
  const draw = useCallback<DrawChart>((width) => flowChart(stages, caseCount, width), [stages]);
  const table: ChartTable = {
    columns: [{ header: 'Step', name: 'step' }, { header: 'Left out because', name: 'left_out_because' }, { header: 'Cases', name: 'cases', align: 'right' }],
    rows: stages.flatMap((stage) => [
      { pointKey: null, cells: [textCell(stage.label), textCell(''), numberCell(stage.cases, numberText)] },
      ...stage.leftOut.map((left) => ({ pointKey: left.key, cells: [textCell('left out'), textCell(left.reason), numberCell(left.cases, numberText)] })),
    ]),
  };
  const open = (key: string): void => {
    const left = flow.steps.flatMap((step) => step.leftOut.map((one) => ({ ...one, key: `${step.step}\n${one.reason}` }))).find((one) => one.key === key);
    if (left !== undefined) onPoint({ title: `Left out: ${left.reason}`, cases: left.cases.map((one) => ({ ...one, caseId: one.caseId === '' ? 'a case without a name' : one.caseId, figure: left.reason })) });
  };
  return (
    <ChartFigure
      figure="flow-of-cases"
      title="Flow of cases" fileName="flow-of-cases" draw={draw} table={table} onPoint={open} pointLeadsTo={flow.steps.some(({ leftOut }) => leftOut.length > 0) ? 'on a reason lists its cases' : undefined}
      description="How many cases came how far, and why the others did not. Every case is in exactly one place."
      notes={[
        ...(flow.unit === 'patient' ? [`${countText(flow.units, 'patient', 'patients')} are behind the cases looked at: the patient is the unit of every interval.`] : ['The case is the unit of every interval.']),
        ...(flow.undated === 0 ? [] : [`${countText(flow.undated, 'case looked at has', 'cases looked at have')} no date and ${flow.undated === 1 ? 'counts' : 'count'} in no month.`]),
      ]}
    />
  );
}
