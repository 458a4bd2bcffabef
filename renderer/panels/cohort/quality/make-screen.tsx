import { useCallback, useMemo, useState, type JSX } from 'react';
import { CHART_MEASURES, type ChartMeasure, type ColumnChoice, type QualityDefinition, type QualityProposal } from '../../../../core/model/quality-chart.ts';
import { SITES, type Site } from '../../../../core/model/site.ts';
import type { GroupingColumn } from '../../../../core/model/unit-funnel.ts';
import type { QualityAnswer } from '../../../../core/protocol/host-api.ts';
import { ChartFigure } from '../../../charts/chart-figure.tsx';
import type { ChartTable, DrawChart } from '../../../charts/chart-types.ts';
import { numberCell, textCell } from '../../../charts/chart-types.ts';
import { qualityChart } from '../../../charts/quality-chart.ts';
import { countText, numberText } from '../../../format/number-text.ts';
import { useSession } from '../../../state/session.ts';
import { useStore } from '../../../state/store.ts';
import { Button } from '../../../widgets/button.tsx';
import { Disclosure } from '../../../widgets/disclosure.tsx';
import { CheckField, NumberField, SelectField, TextField } from '../../../widgets/field.tsx';
import { siteText } from '../../case-view/case-facts.ts';
import { useCaseNames } from '../case-names.ts';
import { PointCases, type OpenPoint } from '../point-cases.tsx';
import { ColumnChoices } from './column-choices.tsx';
import { PhaseForm } from './phase-form.tsx';
import { proposedPoints } from './quality-points.ts';
import { choiceText, leftOutPhrases, measureName, measureTickText, measureValueText, pointFigureText, pointName } from './quality-words.ts';
import { FigureHelp } from '../../../help/figure-help.tsx';

export interface MakeScreenProps {
  readonly proposal: QualityAnswer<QualityProposal> | null;
  readonly columns: readonly GroupingColumn[];
  readonly isBusy: boolean;
}

/** Returns the making of a chart: what a point is, what it would look like, and on what its limits are fixed. */
export function MakeScreen({ proposal, columns, isBusy }: MakeScreenProps): JSX.Element {
  const session = useSession();
  const { saved } = useStore(session.definitions);
  const shown = useStore(session.quality).shown;
  const [name, setName] = useState('');
  const [measure, setMeasure] = useState<ChartMeasure>('share of time lost');
  const [lossOf, setLossOf] = useState<QualityDefinition['lossOf']>('dropouts');
  const [longerThanS, setLongerThanS] = useState(60);
  const [doubtfulLost, setDoubtfulLost] = useState(false);
  const [dropouts, setDropouts] = useState<'computed' | 'confirmed'>('computed');
  const [sites, setSites] = useState<readonly Site[] | null>(null);
  const [groupSize, setGroupSize] = useState<number | null>(null);
  const [choice, setChoice] = useState<readonly ColumnChoice[]>([]);
  if (saved === null) return <p className="soft">The definitions of the library are being read.</p>;
  const isBetween = measure.includes('between');
  const usesLong = measure.includes('long');
  const definition: QualityDefinition = {
    measure, lossOf, longerThanS, doubtfulLost: doubtfulLost && dropouts === 'computed', ...(dropouts === 'confirmed' ? { dropouts } : {}), sites: lossOf === 'blind intervals' ? null : sites, choice, grouping: groupSize === null || isBetween ? { by: 'month' } : { by: 'cases', size: groupSize }, parameters: saved,
  };
  const tried = shown.kind === 'new' ? shown.definition : null;
  const isTried = tried !== null && JSON.stringify(tried) === JSON.stringify(definition);
  return (
    <>
      <h1>A new quality chart</h1>
      <p className="soft cohort-unstated">What a point is cannot be changed once points are kept: another definition makes another chart. It is best chosen before its results are looked at.</p>
      <div className="cohort-controls">
        <SelectField
          label="What a point is" value={measure} choices={CHART_MEASURES.map((one) => ({ value: one, label: measureName(one, lossOf, longerThanS) }))}
          onChange={(value) => setMeasure(CHART_MEASURES.find((one) => one === value) ?? measure)}
        />
        <SelectField label="A loss is" value={lossOf} choices={[{ value: 'dropouts', label: 'a dropout at a sensor' }, { value: 'blind intervals', label: 'a time in which no site informed' }]} onChange={(value) => setLossOf(value === 'blind intervals' ? 'blind intervals' : 'dropouts')} />
        {usesLong ? <NumberField label="A loss is long above" help={<FigureHelp figure="chart-parameters" />} unit="s" value={longerThanS} min={1} max={7200} onChange={setLongerThanS} /> : null}
        {isBetween ? null : <SelectField label="Points" value={groupSize === null ? 'month' : 'cases'} choices={[{ value: 'month', label: 'by calendar month' }, { value: 'cases', label: 'by a number of cases' }]} onChange={(value) => setGroupSize(value === 'cases' ? 25 : null)} />}
        {groupSize === null || isBetween ? null : <NumberField label="Cases in a point" help={<FigureHelp figure="chart-parameters" />} unit="cases" value={groupSize} min={5} max={1000} wholeOnly onChange={setGroupSize} />}
        <SelectField label="Dropouts" value={dropouts} choices={[{ value: 'computed', label: 'as computed' }, { value: 'confirmed', label: 'confirmed by readers' }]} onChange={(value) => setDropouts(value === 'confirmed' ? 'confirmed' : 'computed')} />
        {dropouts === 'confirmed' ? null : <CheckField label="doubtful values count as lost" checked={doubtfulLost} onChange={setDoubtfulLost} />}
      </div>
      {dropouts === 'confirmed' ? <p className="soft cohort-unstated">Only cases of which every dropout was read take part; the others are counted as left out, and come in once they are read. Which dropouts count is a part of the chart: limits of one kind never judge points of the other.</p> : null}
      <Disclosure summary={`Narrow the cases${choice.length === 0 && sites === null ? '' : ': narrowed'}`}>
        {lossOf === 'blind intervals' ? null : (
          <fieldset className="cohort-facet">
            <legend>Sites <span className="soft">{sites === null ? 'all' : `${numberText(sites.length)} of ${numberText(SITES.length)}`}</span></legend>
            <div className="row">{SITES.map((site) => <CheckField key={site} label={siteText(site)} checked={sites === null || sites.includes(site)} onChange={() => setSites(toggledSite(sites, site))} />)}</div>
          </fieldset>
        )}
        <ColumnChoices columns={columns} choice={choice} onChoice={setChoice} />
      </Disclosure>
      <div className="cohort-controls"><Button look={isTried ? 'plain' : 'primary'} disabled={isBusy} onClick={() => void session.quality.propose(definition)}>See what it would look like</Button></div>
      {proposal === null || !isTried ? null : (
        <>
          <Proposal proposal={proposal} definition={definition} />
          <h2>Fix its first limits and keep it</h2>
          <div className="cohort-controls"><TextField label="Name of the chart" width="words" value={name} onChange={(value) => setName(value.slice(0, 120))} /></div>
          <PhaseForm
            measure={measure} pointNames={proposal.answer.points.filter((point) => !point.isOpen).map((point) => pointName(point.label))} baseline={proposal.answer.baseline} asksWhere={false} isBusy={isBusy} missing={name.trim() === '' ? 'The chart needs a name.' : null}
            action="Make the chart" onPhase={(phase) => void session.quality.make({ name: name.trim(), definition, phase })}
          />
        </>
      )}
    </>
  );
}

/** Returns the sites with one taken in or out; null stands for all of them. At least one stays. */
export function toggledSite(sites: readonly Site[] | null, site: Site): readonly Site[] | null {
  const taken = sites ?? SITES;
  const next = taken.includes(site) ? taken.filter((one) => one !== site) : SITES.filter((one) => one === site || taken.includes(one));
  return next.length === SITES.length || next.length === 0 ? null : next;
}

function Proposal({ proposal: { answer, leftOut }, definition }: { readonly proposal: QualityAnswer<QualityProposal>; readonly definition: QualityDefinition }): JSX.Element {
  const [point, setPoint] = useState<OpenPoint | null>(null);
  const { measure, lossOf, longerThanS } = definition;
  const points = useMemo(() => proposedPoints(answer, measure), [answer, measure]);
  const draw = useCallback<DrawChart>((width) => qualityChart(points, { yLabel: measureName(measure, lossOf, longerThanS), tickText: measureTickText(measure), centreName: '', changes: [] }, width), [points, measure, lossOf, longerThanS]);
  const names = useCaseNames();
  const left = [...leftOutPhrases(answer.leftOut), ...(leftOut.length === 0 ? [] : [`${countText(leftOut.length, 'case', 'cases')} that could not be read`])];
  const table: ChartTable = {
    columns: [{ header: 'Point', name: 'point' }, { header: 'From', name: 'first_date' }, { header: 'To', name: 'last_date' }, { header: 'Cases', name: 'cases', align: 'right' }, { header: 'Value', name: 'value', align: 'right' }],
    rows: answer.points.map((one, i) => ({ pointKey: String(i), cells: [textCell(pointName(one.label)), textCell(one.firstDate), textCell(one.lastDate), numberCell(one.cases, numberText), numberCell(one.value, measureValueText(measure))] })),
  };
  return (
    <>
      <ChartFigure
        figure="quality-chart"
        title={measureName(measure, lossOf, longerThanS)} fileName="quality-chart-tried" draw={draw} table={table} pointLeadsTo="lists the cases behind the point"
        onPoint={(key) => {
          const one = answer.points[Number(key)];
          if (one !== undefined) setPoint({ title: `${pointName(one.label)}: ${pointFigureText(one, measure)}`, cases: one.caseKeys.map((caseKey) => ({ caseKey, caseId: names(caseKey), figure: 'counts in this point' })) });
        }}
        description="What the chart would look like. Nothing is kept yet. The baseline that is proposed is shaded; a hollow point is not over yet."
        notes={[choiceText(answer.choice), answer.baseline === null ? 'Too few complete points for limits: 12 are the least.' : answer.baseline.isProvisional ? 'The proposed baseline is provisional: fewer than 20 points count.' : 'The proposed baseline has 20 points or more.', ...(left.length === 0 ? [] : [`In no point: ${left.join('; ')}.`])]}
        nothing={answer.points.length === 0 ? <p>No case gives a point{left.length === 0 ? '' : `: ${left.join('; ')}`}.</p> : undefined}
      />
      {point === null ? null : <PointCases point={point} onClose={() => setPoint(null)} />}
    </>
  );
}
