import { useCallback, useMemo, useState, type JSX } from 'react';
import { WHOLE_CASE, type BurdenRow, type CohortBurdenResult } from '../../../core/model/cohort-burden.ts';
import type { CohortOptions } from '../../../core/model/cohort-options.ts';
import { ChartFigure } from '../../charts/chart-figure.tsx';
import type { DrawChart } from '../../charts/chart-types.ts';
import { intervalChart } from '../../charts/interval-chart.ts';
import { qualityChart } from '../../charts/quality-chart.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { ChoiceRow, SelectField } from '../../widgets/field.tsx';
import { BURDEN_MEASURES, burdenKey, burdenTable, casesBehind, intervalRows, measureTick, MEASURE_NAMES, monthPoints, rowLabel, type BurdenMeasure } from './burden-charts.ts';
import { facetText, intervalNameText, placeText } from './cohort-words.ts';
import type { OpenPoint } from './point-cases.tsx';
import { placeLooks } from './place-look.ts';

export interface BurdenPartProps {
  readonly burden: CohortBurdenResult;
  readonly options: CohortOptions;
  readonly unit: 'case' | 'patient';
  /** The definition in one phrase. */
  readonly definition: string;
  /** Whether there is a second result, with doubtful values counted as lost: there is none of dropouts that readers confirmed. */
  readonly hasSecond: boolean;
  readonly onPoint: (point: OpenPoint) => void;
}

/** Rows of a picture; a column of free text has thousands. */
const MOST_ROWS = 60;
const DOUBTFUL_NOTE = 'The table holds the second result too, with doubtful values counted as lost.';
const RANKING_NOTE = 'Small numbers and selected cases: no ranking of people or units on them. The choice of a site is not random: a site is often chosen because another one failed.';

/** Returns where a press on a row leads. */
function openRow(burden: CohortBurdenResult, title: (row: BurdenRow) => string, onPoint: (point: OpenPoint) => void): (key: string) => void {
  return (key) => {
    const row = burden.rows.find((one) => burdenKey(one) === key);
    if (row !== undefined) onPoint({ title: title(row), cases: casesBehind(row, burden.cases) });
  };
}

/** Returns a row with choices of what is drawn. */
function MeasureChoice({ measure, onMeasure }: { readonly measure: BurdenMeasure; readonly onMeasure: (measure: BurdenMeasure) => void }): JSX.Element {
  return (
    <ChoiceRow
      legend="Figure" value={measure} choices={BURDEN_MEASURES.map((name) => ({ value: name, label: MEASURE_NAMES[name] }))}
      onChange={(value) => {
        const chosen = BURDEN_MEASURES.find((name) => name === value);
        if (chosen !== undefined) onMeasure(chosen);
      }}
    />
  );
}

/** Returns the burden of every sensor's place, of all together, and of the time in which no site informed. */
export function BurdenByPlace({ burden, options, unit, definition, hasSecond, onPoint }: BurdenPartProps): JSX.Element {
  const [measure, setMeasure] = useState<BurdenMeasure>('share');
  const rows = useMemo(() => burden.rows.filter((row) => row.scope === 'all'), [burden]);
  const draw = useCallback<DrawChart>((width) => {
    const looks = placeLooks(rows.map((row) => row.place));
    return intervalChart(intervalRows(rows, measure, (row) => placeText(row.place), looks), { xLabel: MEASURE_NAMES[measure], tickText: measureTick(measure), scale: 'from zero' }, width);
  }, [rows, measure]);
  return (
    <>
      <div className="cohort-controls"><MeasureChoice measure={measure} onMeasure={setMeasure} /></div>
      <ChartFigure
        figure="burden"
        title={`${MEASURE_NAMES[measure]}, by place`} fileName={`burden-by-place-${measure.replaceAll(' ', '-')}`} draw={draw} table={burdenTable(rows, 'Place of the sensor', (row) => placeText(row.place), hasSecond)}
        description="One row for each place of a sensor; beneath them all sensors together, and the time in which no site gave information."
        notes={[`Definition: ${definition}.`, RANKING_NOTE]} details={[...intervalNames(rows, measure, options.conf, unit), ...warningsFor(burden.warnings, 'place'), ...(hasSecond ? [DOUBTFUL_NOTE] : [])]}
        pointLeadsTo="lists its cases" onPoint={openRow(burden, (row) => `Cases of: ${placeText(row.place)}`, onPoint)}
        nothing={rows.length === 0 ? <p>No case with a monitored sensor is looked at.</p> : undefined}
      />
    </>
  );
}

/** Returns what the intervals of the rows are: the one that rests on most units, and that there are rows without any. */
export function intervalNames(rows: readonly BurdenRow[], measure: BurdenMeasure, conf: number, unit: 'case' | 'patient'): string[] {
  const intervals = rows.map((row) => intervalOf(row, measure)).sort((a, b) => b.n - a.n);
  const best = intervals.find((interval) => interval.method !== null) ?? intervals[0];
  const without = intervals.filter((interval) => interval.method === null).length;
  if (best === undefined) return [];
  return [`${intervalNameText(best, conf, unit)}${without > 0 && best.method !== null ? ` ${countText(without, 'row has', 'rows have')} none, with the reason beside it.` : ''} The interval of every row, and what it rests on, stands in the table.`];
}

/** Returns the warnings of the core that belong to a picture: between sites, between groups, or between months. */
export function warningsFor(warnings: readonly string[], picture: 'place' | 'group' | 'month'): string[] {
  const isOf = (warning: string): 'place' | 'group' | 'month' => (warning.includes(' between months:') ? 'month' : warning.includes(' between the groups of ') ? 'group' : 'place');
  return warnings.filter((warning) => isOf(warning) === picture);
}

function intervalOf(row: BurdenRow, measure: BurdenMeasure): BurdenRow['primary']['shareInterval'] {
  if (measure === 'share') return row.primary.shareInterval;
  return measure === 'per hour' ? row.primary.perHourInterval : row.primary.withDropoutInterval;
}

function PlaceChoice({ places, place, onPlace }: { readonly places: readonly string[]; readonly place: string; readonly onPlace: (place: string) => void }): JSX.Element {
  return <SelectField label="Where" value={place} choices={places.map((name) => ({ value: name, label: placeText(name) }))} onChange={onPlace} />;
}

/** Returns the burden of the groups of a property. */
export function BurdenByGroup({ burden, options, unit, definition, hasSecond, onPoint }: BurdenPartProps): JSX.Element | null {
  const [measure, setMeasure] = useState<BurdenMeasure>('share');
  const [chosenPlace, setPlace] = useState<string>(WHOLE_CASE);
  const { groupBy } = options;
  const places = useMemo(() => [...new Set(burden.rows.filter((row) => row.scope === 'group').map((row) => row.place))], [burden]);
  const place = places.includes(chosenPlace) ? chosenPlace : (places[0] ?? WHOLE_CASE);
  const rows = useMemo(() => burden.rows.filter((row) => row.scope === 'group' && row.place === place), [burden, place]);
  const draw = useCallback<DrawChart>(
    (width) => intervalChart(intervalRows(rows.slice(0, MOST_ROWS), measure, (row) => rowLabel(row, groupBy), new Map()), { xLabel: MEASURE_NAMES[measure], tickText: measureTick(measure), scale: 'from zero' }, width),
    [rows, measure, groupBy],
  );
  if (groupBy === null) return null;
  const name = facetText(groupBy);
  const label = (row: BurdenRow): string => rowLabel(row, groupBy);
  return (
    <>
      <div className="cohort-controls">
        <MeasureChoice measure={measure} onMeasure={setMeasure} />
        <PlaceChoice places={places} place={place} onPlace={setPlace} />
      </div>
      <ChartFigure
        figure="burden"
        title={`${MEASURE_NAMES[measure]} by ${name}: ${placeText(place)}`} fileName={`burden-by-group-${measure.replaceAll(' ', '-')}`} draw={draw} table={burdenTable(rows, `By ${name}`, label, hasSecond)}
        description="One row for each value, in their order, not in that of the figures. A case with several values counts under each."
        notes={[`Definition: ${definition}.`, RANKING_NOTE]} details={[...(rows.length > MOST_ROWS ? [`The first ${numberText(MOST_ROWS)} of ${countText(rows.length, 'value', 'values')} are drawn; the table has all.`] : []), ...intervalNames(rows, measure, options.conf, unit), ...warningsFor(burden.warnings, 'group'), ...(hasSecond ? [DOUBTFUL_NOTE] : [])]}
        pointLeadsTo="lists its cases" onPoint={openRow(burden, (row) => `Cases of ${name} “${label(row)}”`, onPoint)}
        nothing={rows.length === 0 ? <p>No case with a monitored sensor is looked at.</p> : undefined}
      />
    </>
  );
}

/** Returns the burden from month to month, without limits: those belong to a chart whose definition is kept. */
export function BurdenByMonth({ burden, options, unit, definition, hasSecond, onPoint }: BurdenPartProps): JSX.Element {
  const [measure, setMeasure] = useState<BurdenMeasure>('share');
  const [chosenPlace, setPlace] = useState<string>(WHOLE_CASE);
  const places = useMemo(() => [...new Set(burden.rows.filter((row) => row.scope === 'month').map((row) => row.place))], [burden]);
  const place = places.includes(chosenPlace) ? chosenPlace : (places[0] ?? WHOLE_CASE);
  const rows = useMemo(() => burden.rows.filter((row) => row.scope === 'month' && row.place === place), [burden, place]);
  const points = useMemo(() => monthPoints(rows, measure), [rows, measure]);
  const { change } = options;
  const draw = useCallback<DrawChart>((width) => {
    const at = change === null ? -1 : points.findIndex((point) => point.key.split('\n')[1] !== undefined && (point.key.split('\n')[1] ?? '') >= change.date.slice(0, 7));
    return qualityChart(points, { yLabel: MEASURE_NAMES[measure], tickText: measureTick(measure), centreName: '', changes: change === null || points.length === 0 ? [] : [{ beforeIndex: at < 0 ? points.length : at, label: change.text === '' ? 'change' : change.text }] }, width);
  }, [points, measure, change]);
  return (
    <>
      <div className="cohort-controls">
        <MeasureChoice measure={measure} onMeasure={setMeasure} />
        <PlaceChoice places={places} place={place} onPlace={setPlace} />
      </div>
      <ChartFigure
        figure="burden"
        title={`${MEASURE_NAMES[measure]} by month: ${placeText(place)}`} fileName={`burden-by-month-${measure.replaceAll(' ', '-')}`} draw={draw} table={burdenTable(rows, 'Month', (row) => rowLabel(row, null), hasSecond)}
        description="One point for each calendar month in the time of the case. A month without cases breaks the line. No limits and no signals: they need a chart whose definition and baseline are kept."
        notes={[`Definition: ${definition}.`]} details={[...intervalNames(rows, measure, options.conf, unit), ...warningsFor(burden.warnings, 'month'), ...(hasSecond ? [DOUBTFUL_NOTE] : [])]}
        pointLeadsTo="lists its cases" onPoint={openRow(burden, (row) => `Cases of ${rowLabel(row, null)}`, onPoint)}
        nothing={points.length === 0 ? <p>No case looked at has a date: there is no order in time.</p> : undefined}
      />
    </>
  );
}
