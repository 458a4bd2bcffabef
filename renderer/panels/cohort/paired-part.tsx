import { useCallback, useMemo, useState, type JSX } from 'react';
import type { SitesWithinPatients, WithinPatients } from '../../../core/model/cohort-sites.ts';
import { ChartFigure } from '../../charts/chart-figure.tsx';
import { numberCell, textCell, type ChartTable, type DrawChart } from '../../charts/chart-types.ts';
import { pairedChart } from '../../charts/paired-chart.ts';
import { countText, numberText, shareText } from '../../format/number-text.ts';
import { durationText } from '../../format/time-text.ts';
import { SelectField } from '../../widgets/field.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { measureTick } from './burden-charts.ts';
import { figureText, intervalNameText, probabilityText, rateText, ratioText, sentenceStart } from './cohort-words.ts';
import { otherLook, placeLooks } from './place-look.ts';
import type { OpenPoint } from './point-cases.tsx';

export interface PairedPartProps {
  readonly sites: SitesWithinPatients;
  readonly conf: number;
  readonly unit: 'case' | 'patient';
  readonly definition: string;
  readonly onPoint: (point: OpenPoint) => void;
}

function textOf(outcome: WithinPatients['outcome']): (value: number) => string {
  return outcome === 'share lost' ? shareText : rateText;
}

/** More lines than this are a grey band, and every one of them costs time. */
const MOST_LINES = 600;

/** Returns which rows are drawn: all, or evenly taken ones where there are too many. */
export function drawnRows(count: number, most = MOST_LINES): number[] {
  const every = Math.max(1, Math.ceil(count / most));
  return Array.from({ length: count }, (_, i) => i).filter((i) => i % every === 0);
}

const keyOf = (pair: WithinPatients): string => `${pair.firstKey}\n${pair.secondKey}\n${pair.outcome}`;

/** Returns what a comparison within patients says, in a sentence or two. */
export function pairedSentence(pair: WithinPatients, unit: 'case' | 'patient', conf: number): string {
  const [first, second] = [siteText(pair.firstKey), siteText(pair.secondKey)];
  const units = countText(pair.units, unit, `${unit}s`);
  if (pair.units === 0) return `No ${unit} had ${first} and ${second} worn at once for long enough.`;
  const text = textOf(pair.outcome);
  const what = pair.outcome === 'share lost' ? 'share of the common time lost' : 'dropouts per common hour';
  const medians = `In ${units} with both at once the median ${what} was ${text(pair.firstMedian ?? NaN)} at the ${first} and ${text(pair.secondMedian ?? NaN)} at the ${second}.`;
  if (pair.difference === null) return `${medians} No difference can be given: ${pair.reason ?? 'not defined'}.`;
  const difference = figureText(pair.difference, { lower: pair.differenceLower, upper: pair.differenceUpper, reason: pair.reason }, text);
  const achieved = pair.achievedConf === null ? '' : `, ${numberText(pair.achievedConf * 100, 1)} % interval of ranks`;
  return `${medians} The difference within ${unit}s is ${difference} (Hodges–Lehmann${achieved}); p ${probabilityText(pair.p)}${pair.pHolm === null ? '' : `, after Holm ${probabilityText(pair.pHolm)}`} (signed ranks with Pratt’s zeros, ${numberText(conf * 100)} %).`;
}

/** Returns two sites within the same patients, one pair and outcome at a time. */
export function PairedPart({ sites, conf, unit, definition, onPoint }: PairedPartProps): JSX.Element {
  const [chosen, setChosen] = useState<string | null>(null);
  const pairs = useMemo(() => [...sites.pairs].sort((a, b) => b.units - a.units), [sites]);
  const pair = pairs.find((one) => keyOf(one) === chosen) ?? pairs[0];
  const draw = useCallback<DrawChart>((width) => {
    if (pair === undefined) return { options: { marks: [] }, points: [] };
    const looks = placeLooks([pair.firstKey, pair.secondKey]);
    const text = textOf(pair.outcome);
    return pairedChart(
      drawnRows(pair.rows.length).flatMap((i) => {
        const row = pair.rows[i];
        return row === undefined ? [] : [{ key: String(i), label: row.caseIds.join(', '), first: row.first, second: row.second, figure: `${siteText(pair.firstKey)} ${text(row.first)}, ${siteText(pair.secondKey)} ${text(row.second)}, ${durationText(row.sharedMs)} together` }];
      }),
      {
        firstName: siteText(pair.firstKey), secondName: siteText(pair.secondKey), firstLook: looks.get(pair.firstKey) ?? otherLook(0), secondLook: looks.get(pair.secondKey) ?? otherLook(1),
        yLabel: pair.outcome === 'share lost' ? 'Share of the common time lost' : 'Dropouts per common hour', tickText: measureTick(pair.outcome === 'share lost' ? 'share' : 'per hour'),
      },
      width,
    );
  }, [pair]);
  if (pair === undefined) return <p className="soft">In no {unit} were two sites worn at once: nothing can be said of one against the other within the same {unit}s.</p>;
  const text = textOf(pair.outcome);
  const table: ChartTable = {
    columns: [
      { header: unit === 'case' ? 'Case' : 'Patient and cases', name: 'cases' }, { header: 'Worn at once', name: 'common_s', align: 'right' },
      { header: siteText(pair.firstKey), name: 'first', align: 'right' }, { header: siteText(pair.secondKey), name: 'second', align: 'right' },
    ],
    rows: pair.rows.map((row, i) => ({ pointKey: String(i), cells: [textCell(row.caseIds.join(', ')), numberCell(row.sharedMs / 1000, (value) => durationText(value * 1000)), numberCell(row.first, text), numberCell(row.second, text)] })),
  };
  const open = (key: string): void => {
    const row = pair.rows[Number(key)];
    if (row !== undefined) onPoint({ title: 'Behind this line', cases: row.caseKeys.map((caseKey, i) => ({ caseKey, caseId: row.caseIds[i] ?? '', figure: `${siteText(pair.firstKey)} ${text(row.first)}, ${siteText(pair.secondKey)} ${text(row.second)}` })) });
  };
  const three = sites.all.find((all) => all.outcome === pair.outcome && all.units > 0);
  return (
    <>
      <div className="cohort-controls">
        <SelectField label="Which two sites, and what" value={keyOf(pair)} onChange={setChosen} choices={pairs.map((one) => ({ value: keyOf(one), label: `${siteText(one.firstKey)} and ${siteText(one.secondKey)}, ${one.outcome}: ${countText(one.units, unit, `${unit}s`)}` }))} />
      </div>
      <p className="answer-line cohort-pair">{pairedSentence(pair, unit, conf)}</p>
      <ChartFigure
        figure="paired-comparison"
        title={`${sentenceStart(siteText(pair.firstKey))} and ${siteText(pair.secondKey)} within the same ${unit}s: ${pair.outcome}`} fileName="sites-within-patients" draw={draw} table={table} pointLeadsTo="lists its cases" onPoint={open}
        description={`Each line is a ${unit} with both sites worn at once for at least ${durationText(sites.leastSharedMs)}; only the common time counts.`}
        notes={[`Definition: ${definition}.`, 'Only sensors worn at once, or assigned at random, answer which site gives more. A second site is often put on because the first one failed.']}
        details={[
          ...(pair.rows.length > MOST_LINES ? [`${numberText(drawnRows(pair.rows.length).length)} of ${countText(pair.rows.length, unit, `${unit}s`)} are drawn, evenly taken in the order of their names; the table has all.`] : []),
          `Ratio of the totals ${siteText(pair.firstKey)} over ${siteText(pair.secondKey)}: ${figureText(pair.ratio, pair.ratioInterval, ratioText)}. ${intervalNameText(pair.ratioInterval, conf, unit)}`,
          `${countText(pair.zeros, unit, `${unit}s`)} without a difference. p without them ${probabilityText(pair.pWithoutZeros)}, by sign alone ${probabilityText(pair.pSign)}, by turning signs over ${probabilityText(pair.pSignFlip)}. ${countText(pair.unitsTooShort, unit, `${unit}s`)} with both but too little common time.`,
          ...(three === undefined ? [] : [`${three.siteKeys.map(siteText).join(', ')} in the same ${countText(three.units, unit, `${unit}s`)}: Friedman p ${probabilityText(three.p)}.`]),
        ]}
        nothing={pair.rows.length === 0 ? <p>{pairedSentence(pair, unit, conf)}</p> : undefined}
      />
    </>
  );
}
