import { useCallback, useState, type JSX } from 'react';
import type { ColumnChoice } from '../../../../core/model/quality-chart.ts';
import type { FunnelRequest, FunnelUnit, GroupingColumn, UnitFunnel } from '../../../../core/model/unit-funnel.ts';
import type { QualityAnswer } from '../../../../core/protocol/host-api.ts';
import { ChartFigure } from '../../../charts/chart-figure.tsx';
import { numberCell, textCell, type ChartTable, type DrawChart } from '../../../charts/chart-types.ts';
import { funnelChart } from '../../../charts/funnel-chart.ts';
import { countText, numberText, shareText } from '../../../format/number-text.ts';
import { durationText } from '../../../format/time-text.ts';
import { useSession } from '../../../state/session.ts';
import { Button } from '../../../widgets/button.tsx';
import { Disclosure } from '../../../widgets/disclosure.tsx';
import { CheckField, NumberField, SelectField, TextField } from '../../../widgets/field.tsx';
import { siteText } from '../../case-view/case-facts.ts';
import { measureTick } from '../burden-charts.ts';
import { probabilityText } from '../cohort-words.ts';
import { useCaseNames } from '../case-names.ts';
import { PointCases, type OpenPoint } from '../point-cases.tsx';
import { ColumnChoices } from './column-choices.tsx';
import { FigureHelp } from '../../../help/figure-help.tsx';

export interface FunnelScreenProps {
  readonly request: FunnelRequest | null;
  readonly funnel: QualityAnswer<UnitFunnel> | null;
  readonly columns: readonly GroupingColumn[];
  readonly isBusy: boolean;
}

const BY_SITE = '';
const FEWEST = 10;

/** Returns rooms, services or sites of a period against all of them together. */
export function FunnelScreen({ request, funnel, columns, isBusy }: FunnelScreenProps): JSX.Element {
  const session = useSession();
  const [by, setBy] = useState(BY_SITE);
  const [lossOf, setLossOf] = useState<FunnelRequest['lossOf']>('dropouts');
  const [longerThanS, setLongerThanS] = useState(60);
  const [doubtfulLost, setDoubtfulLost] = useState(false);
  const [dropouts, setDropouts] = useState<'computed' | 'confirmed'>('computed');
  const [firstDate, setFirstDate] = useState('');
  const [lastDate, setLastDate] = useState('');
  const [choice, setChoice] = useState<readonly ColumnChoice[]>([]);
  const usable = columns.filter((one) => one.refusedBecause === null);
  const asked: FunnelRequest = { by: by === BY_SITE ? { kind: 'site' } : { kind: 'column', column: by }, lossOf: by === BY_SITE ? 'dropouts' : lossOf, longerThanS, doubtfulLost: doubtfulLost && dropouts === 'computed', ...(dropouts === 'confirmed' ? { dropouts } : {}), firstDate: firstDate === '' ? null : firstDate, lastDate: lastDate === '' ? null : lastDate, choice };
  return (
    <>
      <h1>Units against all of them</h1>
      <p className="soft cohort-unstated">Rooms, services or sites of one period, each by its number of cases. Nobody is ranked: units stand in the order of their names, units with fewer than {FEWEST} cases bear none, and columns that name persons are not offered.</p>
      <div className="cohort-controls">
        <SelectField label="Units by" value={by} choices={[{ value: BY_SITE, label: 'site of the sensor' }, ...usable.map((one) => ({ value: one.column, label: one.column }))]} onChange={setBy} />
        {by === BY_SITE ? null : <SelectField label="A loss is" value={lossOf} choices={[{ value: 'dropouts', label: 'a dropout at a sensor' }, { value: 'blind intervals', label: 'a time in which no site informed' }]} onChange={(value) => setLossOf(value === 'blind intervals' ? 'blind intervals' : 'dropouts')} />}
        <NumberField label="A loss is long above" help={<FigureHelp figure="funnel" />} unit="s" value={longerThanS} min={1} max={7200} onChange={setLongerThanS} />
        <TextField label="From" type="date" value={firstDate} onChange={setFirstDate} />
        <TextField label="To" type="date" value={lastDate} onChange={setLastDate} />
        <SelectField label="Dropouts" value={dropouts} choices={[{ value: 'computed', label: 'as computed' }, { value: 'confirmed', label: 'confirmed by readers' }]} onChange={(value) => setDropouts(value === 'confirmed' ? 'confirmed' : 'computed')} />
        {dropouts === 'confirmed' ? null : <CheckField label="doubtful values count as lost" checked={doubtfulLost} onChange={setDoubtfulLost} />}
      </div>
      {dropouts === 'confirmed' ? <p className="soft cohort-unstated">Only cases of which every dropout was read take part; the others are counted as left out.</p> : null}
      <Disclosure summary={`Narrow the cases${choice.length === 0 ? '' : ': narrowed'}`}><ColumnChoices columns={columns} choice={choice} onChoice={setChoice} /></Disclosure>
      <div className="cohort-controls"><Button look={funnel === null ? 'primary' : 'plain'} disabled={isBusy} onClick={() => void session.quality.drawFunnel(asked)}>Set them side by side</Button></div>
      {funnel === null || request === null ? null : <Funnel funnel={funnel} request={request} />}
    </>
  );
}

function unitName(unit: FunnelUnit, request: FunnelRequest): string {
  if (unit.name === null) return `fewer than ${FEWEST} cases`;
  return request.by.kind === 'site' ? siteText(unit.name) : unit.name;
}

/** Returns what the cases of a unit were like, in words. */
export function mixText({ mix }: Pick<FunnelUnit, 'mix'>): string {
  return [
    mix.medianAge === null ? 'age not stated' : `median age ${numberText(mix.medianAge)} (stated in ${countText(mix.casesWithAge, 'case', 'cases')})`,
    `vasopressor in ${shareText(mix.withVasopressor)}`,
    ...mix.sites.map(({ site, share }) => `${siteText(site)} in ${shareText(share)}`),
  ].join(', ');
}

function Funnel({ funnel: { answer, leftOut }, request }: { readonly funnel: QualityAnswer<UnitFunnel>; readonly request: FunnelRequest }): JSX.Element {
  const [point, setPoint] = useState<OpenPoint | null>(null);
  const names = useCaseNames();
  const { units, target } = answer;
  const draw = useCallback<DrawChart>(
    (width) =>
      funnelChart(
        units.map((unit, i) => ({
          key: String(i), label: unitName(unit, request), size: unit.cases, value: unit.share, beyond: unit.status === 'inside' ? 'none' : unit.status.endsWith('99.8 %') ? 'outer' : 'inner',
          figure: `${shareText(unit.share)}, ${numberText(unit.withLongLoss)} of ${countText(unit.cases, 'case', 'cases')}; ${unit.status === 'inside' ? 'inside the limits' : unit.status}`,
        })),
        answer.curve.map((at) => ({ size: at.cases, innerLow: at.lower95, innerHigh: at.upper95, outerLow: at.lower998, outerHigh: at.upper998 })),
        { xLabel: 'Cases', yLabel: 'Share of cases with a long loss', xTickText: (value) => numberText(value), yTickText: measureTick('share'), centre: answer.target ?? 0, centreName: `all ${shareText(answer.target)}`, yMost: 1, innerName: '95 %', outerName: '99.8 %' },
        width,
      ),
    [units, request, answer],
  );
  const table: ChartTable = {
    columns: [
      { header: 'Unit', name: 'unit' }, { header: 'Cases', name: 'cases', align: 'right' }, { header: 'With a long loss', name: 'with_long_loss', align: 'right' }, { header: 'Share', name: 'share', align: 'right' },
      { header: '95 % from', name: 'lower_95', align: 'right' }, { header: 'to', name: 'upper_95', align: 'right' }, { header: '99.8 % from', name: 'lower_99_8', align: 'right' }, { header: 'to', name: 'upper_99_8', align: 'right' },
      { header: 'Chance of as many', name: 'p_upper', align: 'right' }, { header: 'Where', name: 'status' }, { header: 'Its cases', name: 'case_mix' },
    ],
    rows: units.map((unit, i) => ({
      pointKey: String(i),
      cells: [
        textCell(unitName(unit, request)), numberCell(unit.cases, numberText), numberCell(unit.withLongLoss, numberText), numberCell(unit.share, shareText), numberCell(unit.lower95, shareText), numberCell(unit.upper95, shareText),
        numberCell(unit.lower998, shareText), numberCell(unit.upper998, shareText), numberCell(unit.pUpper, probabilityText), textCell(unit.status), textCell(mixText(unit)),
      ],
    })),
  };
  const outside = units.filter((unit) => unit.status !== 'inside');
  const left = [
    [answer.leftOut.notUsable, 'not usable'], [answer.leftOut.notChosen, 'not chosen'], [answer.leftOut.outsidePeriod, 'outside the period'], [answer.leftOut.withoutUnit, 'of no unit'], [answer.leftOut.notReviewed ?? 0, 'of which a dropout waits to be read'], [leftOut.length, 'that could not be read'],
  ].flatMap(([count, why]) => (typeof count === 'number' && count > 0 ? [`${countText(count, 'case', 'cases')} ${String(why)}`] : []));
  return (
    <>
      <p className="answer-line" role="status">
        {target === null ? 'No case to compare.' : `Over all units ${shareText(target)} of the cases had a ${request.dropouts === 'confirmed' ? 'confirmed loss' : 'loss'} longer than ${durationText(request.longerThanS * 1000)}. ${outside.length === 0 ? 'Every unit lies within the limits of chance.' : `${countText(outside.length, 'unit lies', 'units lie')} outside the 95 % limits; with ${countText(units.length, 'unit', 'units')} one in twenty does so by chance alone.`}`}
      </p>
      <ChartFigure
        figure="funnel"
        title="Share of cases with a long loss, by unit" fileName="units-against-all" draw={draw} table={table} pointLeadsTo="lists its cases"
        onPoint={(key) => {
          const unit = units[Number(key)];
          if (unit !== undefined) setPoint({ title: `${unitName(unit, request)}: ${mixText(unit)}`, cases: unit.caseKeys.map((caseKey) => ({ caseKey, caseId: names(caseKey), figure: 'counts in this unit' })) });
        }}
        description="Each mark is a unit. The curves are the limits within which chance alone would leave it; they are wide where there are few cases. A triangle lies beyond the inner, a diamond beyond the outer limits."
        notes={[
          answer.phi === null ? 'Whether units differ more than chance cannot be said.' : `Units differ by φ ${numberText(answer.phi, 2)}${answer.isWidened ? ', more than chance: the limits are widened by its root' : ', no more than chance makes them'}.`,
          'Units differ in their cases: what those of each were like stands below and in the table.',
          'Small numbers and selected cases: no ranking of people or units on them.',
        ]}
        details={[...units.filter((unit) => unit.name !== null).map((unit) => `${unitName(unit, request)}: ${mixText(unit)}.`), ...(left.length === 0 ? [] : [`Left out: ${left.join('; ')}.`])]}
        nothing={units.length === 0 ? <p>No unit has a case{left.length === 0 ? '' : `: ${left.join('; ')}`}.</p> : undefined}
      />
      {point === null ? null : <PointCases point={point} onClose={() => setPoint(null)} />}
    </>
  );
}
