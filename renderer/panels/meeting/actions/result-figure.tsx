import { useCallback, type JSX } from 'react';
import { measuredWords } from '../../../../core/actions/action-words.ts';
import type { MeasuredSide, Remeasurement } from '../../../../core/model/action.ts';
import type { QualityDefinition } from '../../../../core/model/quality-chart.ts';
import { ChartFigure } from '../../../charts/chart-figure.tsx';
import { numberCell, textCell, type ChartRow, type ChartTable, type DrawChart } from '../../../charts/chart-types.ts';
import { intervalChart } from '../../../charts/interval-chart.ts';
import { numberText, plainNumberText } from '../../../format/number-text.ts';
import { dateText, durationText, instantText } from '../../../format/time-text.ts';
import { definitionPhrases, measureName } from '../../cohort/quality/quality-words.ts';

const AXES: Readonly<Record<Remeasurement['compared'], string>> = { 'share of cases': 'Share of cases', 'per hour': 'Per monitored hour', 'share of time': 'Share of monitored time', 'median seconds': 'Median length' };

/** Returns the time before beside the time after, with their limits, as a picture with its table. */
export function ResultFigure({ last, definition }: { readonly last: Remeasurement; readonly definition: QualityDefinition | null }): JSX.Element {
  const draw = useCallback<DrawChart>((width) => {
    const words = measuredWords(last);
    const row = (key: 'before' | 'after') => {
      const { estimate, lower, upper, first } = last[key];
      return { key, label: first === null ? `${key}: no case` : `${key}, ${spanText(last[key])}`, estimate, lower, upper, figure: words[key] };
    };
    return intervalChart([row('before'), row('after')], { xLabel: AXES[last.compared], tickText: tickOf(last.compared), scale: 'from zero' }, width);
  }, [last]);
  const { effect } = measuredWords(last);
  return (
    <ChartFigure
      figure="action-measure" title="Before and after the change" fileName="action-before-and-after" draw={draw} table={tableOf(last)}
      description={`${definition === null ? AXES[last.compared] : measureName(definition.measure, definition.lossOf, definition.longerThanS)}, ${numberText(last.draws.conf * 100)} % intervals; ${effect}.`}
      notes={[
        `The change: from ${dateText(last.changeDate)} on. Before: ${last.since === null ? 'from the first case' : `from the change of ${dateText(last.since)}`}. After: ${last.until === null ? 'to the last case' : `to the change of ${dateText(last.until)}`}. Measured ${instantText(last.measuredAt)}.`,
        ...(definition === null ? [] : [`${definitionPhrases(definition).join('; ')}.`]),
      ]}
      details={[methodText(last), `Digests of what each case gave: before ${last.before.digest.slice(0, 16)}, after ${last.after.digest.slice(0, 16)}. Program ${last.productVersion}.`]}
    />
  );
}

function spanText({ first, last }: MeasuredSide): string {
  return first === last ? dateText(first) : `${dateText(first)} to ${dateText(last)}`;
}

function tickOf(compared: Remeasurement['compared']): (value: number) => string {
  if (compared === 'per hour') return (value) => `${plainNumberText(value, 2)}/h`;
  if (compared === 'median seconds') return (value) => durationText(value * 1000);
  return (value) => `${plainNumberText(value * 100, 2)} %`;
}

function methodText({ compared, before, after, draws }: Remeasurement): string {
  const base = compared === 'median seconds'
    ? `Medians of the losses; intervals from drawing whole patients or cases anew, ${numberText(draws.replicates)} times with seed ${String(draws.seed)}.`
    : 'Totals over each time; intervals over patients or cases, on the logarithm; after ÷ before with Welch’s degrees of freedom.';
  return before.method === 'exact' || after.method === 'exact' ? `${base} Where nothing was counted: exact limits, as if cases or losses were independent, which makes them too narrow rather than too wide.` : base;
}

function tableOf(last: Remeasurement): ChartTable {
  const words = measuredWords(last);
  const tick = tickOf(last.compared);
  const row = (key: 'before' | 'after'): ChartRow => {
    const side = last[key];
    return {
      pointKey: null,
      cells: [
        textCell(key), textCell(side.first === null ? 'no case' : spanText(side)), numberCell(side.cases, numberText), numberCell(side.units, numberText), numberCell(side.estimate, tick), numberCell(side.lower, tick), numberCell(side.upper, tick),
        textCell(words[key]),
      ],
    };
  };
  return {
    columns: [
      { header: 'Time', name: 'time' }, { header: 'Days', name: 'days' }, { header: 'Cases', name: 'cases', align: 'right' }, { header: 'Patients or cases', name: 'units', align: 'right' }, { header: 'Measure', name: 'estimate', align: 'right' },
      { header: 'Lower', name: 'lower', align: 'right' }, { header: 'Upper', name: 'upper', align: 'right' }, { header: 'In words', name: 'words' },
    ],
    rows: [row('before'), row('after')],
  };
}
