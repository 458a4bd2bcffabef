import type { ChartMeasure, ChartPoint, QualityChartView, QualityProposal } from '../../../../core/model/quality-chart.ts';
import { numberCell, textCell, type ChartTable } from '../../../charts/chart-types.ts';
import type { ChangeMark, QualityPoint } from '../../../charts/quality-chart.ts';
import { numberText } from '../../../format/number-text.ts';
import { measureValueText, pointFigureText, pointName, signalText } from './quality-words.ts';

/** Returns the points of a chart as they are drawn. */
export function drawnPoints(view: QualityChartView): QualityPoint[] {
  const { measure } = view.chart.definition;
  return view.points.map((point, i) => {
    const phase = view.chart.phases[point.phase];
    // Points without a rule have no limits that would rest on a baseline.
    const baseline = phase === undefined || phase.kind === 'line' ? null : phase.baseline;
    const isIn = baseline !== null && i >= baseline.firstPoint && i <= baseline.lastPoint;
    return {
      key: String(i),
      label: pointName(point.label),
      value: point.value,
      centre: point.centre,
      lower: point.lower,
      upper: point.upper,
      signal: signalText(point.signals),
      kind: point.state === 'open' ? 'open' : isIn && baseline.excluded.includes(i) ? 'excluded' : 'counted',
      isBaseline: isIn,
      figure: `${pointFigureText(point, measure)}${point.state === 'open' ? ', not over yet' : point.state === 'new' ? ', complete and not yet kept' : ''}${point.now === null ? '' : `; the cases of today would give ${pointFigureText(point.now, measure)}`}`,
    };
  });
}

/** Returns where the changes stand among the points: before the first point that begins on their day or later, or in which it lies. */
export function changeMarks({ points, chart }: Pick<QualityChartView, 'points' | 'chart'>): ChangeMark[] {
  return chart.changes.flatMap((change) => {
    const at = points.findIndex((point) => point.lastDate >= change.date);
    return [{ beforeIndex: at < 0 ? points.length : at, label: change.text }];
  });
}

/** Returns all numbers of a chart. */
export function qualityTable(points: readonly ChartPoint[], measure: ChartMeasure): ChartTable {
  const text = measureValueText(measure);
  const count = (value: number): string => numberText(value);
  return {
    columns: [
      { header: 'Point', name: 'point' }, { header: 'From', name: 'first_date' }, { header: 'To', name: 'last_date' }, { header: 'Cases', name: 'cases', align: 'right' },
      { header: 'Value', name: 'value', align: 'right' }, { header: 'Centre', name: 'centre', align: 'right' }, { header: 'Lower', name: 'lower', align: 'right' }, { header: 'Upper', name: 'upper', align: 'right' },
      { header: 'Phase', name: 'phase', align: 'right' }, { header: 'Signal', name: 'signal' }, { header: 'State', name: 'state' }, { header: 'Cases of today', name: 'value_today', align: 'right' },
    ],
    rows: points.map((point, i) => ({
      pointKey: String(i),
      cells: [
        textCell(pointName(point.label)), textCell(point.firstDate), textCell(point.lastDate), numberCell(point.cases, count), numberCell(point.value, text), numberCell(point.centre, text), numberCell(point.lower, text), numberCell(point.upper, text),
        numberCell(point.phase < 0 ? null : point.phase + 1, count), textCell(signalText(point.signals) ?? ''), textCell(point.state), point.now === null ? textCell('the same') : numberCell(point.now.value, text),
      ],
    })),
  };
}

/** Returns the points of a proposal as they are drawn: no limits, the proposed baseline shaded. */
export function proposedPoints({ points, baseline }: Pick<QualityProposal, 'points' | 'baseline'>, measure: ChartMeasure): QualityPoint[] {
  return points.map((point, i) => ({
    key: String(i), label: pointName(point.label), value: point.value, centre: null, lower: null, upper: null, signal: null, kind: point.isOpen ? 'open' : 'counted',
    isBaseline: baseline !== null && i >= baseline.firstPoint && i <= baseline.lastPoint, figure: `${pointFigureText(point, measure)}${point.isOpen ? ', not over yet' : ''}`,
  }));
}
