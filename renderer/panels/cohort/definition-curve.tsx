import { useCallback, useMemo, useState, type JSX } from 'react';
import type { RobustFigure, RobustPoint } from '../../../core/model/cohort-robustness.ts';
import { ChartFigure } from '../../charts/chart-figure.tsx';
import { numberCell, textCell, type ChartTable, type DrawChart } from '../../charts/chart-types.ts';
import { curveChart, type DefinitionSeries } from '../../charts/curve-chart.ts';
import { countText, numberText, shareText } from '../../format/number-text.ts';
import { durationText } from '../../format/time-text.ts';
import { SelectField } from '../../widgets/field.tsx';
import { measureTick } from './burden-charts.ts';
import { cautionTexts } from './caution-words.ts';
import { figureText, placeText, rateText, ratioText, sentenceStart } from './cohort-words.ts';
import { otherLook, placeLooks } from './place-look.ts';

type RobustResult = RobustFigure['result'];

/** Returns how a result is written. */
export function resultText(result: RobustResult): (value: number) => string {
  if (result.startsWith('share') || result.startsWith('difference')) return shareText;
  if (result === 'dropouts per hour') return rateText;
  return result.startsWith('rate ratio') ? ratioText : durationText;
}

/** Returns how an axis names a value of a result. */
function resultTick(result: RobustResult): (value: number) => string {
  if (resultText(result) === shareText) return measureTick('share');
  return result === 'dropouts per hour' ? measureTick('per hour') : resultText(result);
}

const seconds = (value: number): string => durationText(value * 1000);

/** A definition shorter than this, s, is drawn here, under its own name: the axis of ratios has no 0. */
const LEAST_AT_S = 1;

/** Returns the figures of one result against the shortest loss that counts, the definition of the run among them. */
export function definitionSeries(points: readonly RobustPoint[], result: RobustResult): DefinitionSeries[] {
  const along = points.filter((point) => point.moved === null || point.moved === 'minDurationS').sort((a, b) => a.definition.minDurationS - b.definition.minDurationS);
  const names = [...new Set(along.flatMap((point) => point.figures.filter((figure) => figure.result === result).map((figure) => figure.of)))];
  const looks = placeLooks(names);
  return names.map((of, i) => ({
    key: of,
    label: placeText(of),
    look: looks.get(of) ?? otherLook(i),
    points: along.map((point) => {
      const figure = point.figures.find((one) => one.result === result && one.of === of);
      return {
        key: `${of}\n${point.definition.minDurationS}`, at: Math.max(LEAST_AT_S, point.definition.minDurationS), value: figure?.estimate ?? null, lower: figure?.lower ?? null, upper: figure?.upper ?? null,
        figure: figureText(figure?.estimate ?? null, { lower: figure?.lower ?? null, upper: figure?.upper ?? null, reason: figure?.reason ?? null }, resultText(result)),
      };
    }),
  }));
}

/** Returns what was moved of a definition, in words. */
export function movedText({ moved, definition }: Pick<RobustPoint, 'moved' | 'definition'>): string {
  switch (moved) {
    case null:
      return 'as it is';
    case 'minDurationS':
      return `shortest loss that counts ${seconds(definition.minDurationS)}`;
    case 'bridgeS':
      return definition.bridgeS === 0 ? 'no bridging' : `bridging less than ${seconds(definition.bridgeS)}`;
    case 'lookBackFactor':
      return `look-backs times ${numberText(definition.lookBackFactor, 1)}`;
    case 'doubtfulLost':
      return 'doubtful values as lost';
  }
}

/** Returns a result under other definitions of a dropout: the curve along the shortest loss, and every other change in the table. */
export function DefinitionCurve({ points, definition }: { readonly points: readonly RobustPoint[]; readonly definition: string }): JSX.Element {
  const results = useMemo(() => [...new Set(points.flatMap((point) => point.figures.map((figure) => figure.result)))], [points]);
  const [chosen, setChosen] = useState<string>('share lost');
  const result = results.find((one) => one === chosen) ?? results[0] ?? 'share lost';
  const series = useMemo(() => definitionSeries(points, result), [points, result]);
  const inForce = points.find((point) => point.moved === null)?.definition.minDurationS ?? 30;
  const text = resultText(result);
  const draw = useCallback<DrawChart>((width) => curveChart(series, { xLabel: 'Shortest loss that counts', yLabel: sentenceStart(result), xTickText: (at) => seconds(at === Math.max(LEAST_AT_S, inForce) ? inForce : at), yTickText: resultTick(result), inForce: Math.max(LEAST_AT_S, inForce) }, width), [series, result, inForce]);
  const table: ChartTable = {
    columns: [
      { header: 'Definition', name: 'definition' }, { header: 'Of', name: 'of' }, { header: result, name: 'estimate', align: 'right' }, { header: 'from', name: 'from', align: 'right' }, { header: 'to', name: 'to', align: 'right' },
      { header: 'n', name: 'n', align: 'right' }, { header: 'Why one is missing', name: 'reason' },
    ],
    rows: points.flatMap((point) =>
      point.figures
        .filter((figure) => figure.result === result)
        .map((figure) => ({ pointKey: null, cells: [textCell(movedText(point)), textCell(placeText(figure.of)), numberCell(figure.estimate, text), numberCell(figure.lower, text), numberCell(figure.upper, text), numberCell(figure.n, numberText), textCell(figure.estimate === null || (figure.lower === null && figure.upper === null) ? (figure.reason ?? '') : '')] })),
    ),
  };
  return (
    <>
      {results.length < 2 ? null : <div className="cohort-controls"><SelectField label="Figure" value={result} onChange={setChosen} choices={results.map((name) => ({ value: name, label: name }))} /></div>}
      <ChartFigure
        figure="cohort-definition"
        title={`${sentenceStart(result)} against the definition`} fileName="against-the-definition" draw={draw} table={table}
        description="The same cases under other definitions of a dropout, one thing moved at a time. The upright line is the definition in force."
        tableHolds="The table holds the intervals, and bridging, look-backs and doubtful values too."
        notes={[...(result.startsWith('rate ratio') ? cautionTexts([]) : []), `Definition in force: ${definition}.`, 'Choose the definition before results are looked at; the published rates of five definitions do not compare.']} details={[`${countText(points.length, 'definition', 'definitions')} were worked out.`]}
        nothing={series.length === 0 ? <p>No figure can be drawn against the definition.</p> : undefined}
      />
    </>
  );
}
