import { useCallback, useMemo, useState, type JSX } from 'react';
import { RATE_KINDS, type BeforeLoss, type ExposureRate, type RateKind, type RatioFigure } from '../../../core/model/cohort-before-loss.ts';
import { ChartFigure } from '../../charts/chart-figure.tsx';
import { numberCell, textCell, type ChartTable, type DrawChart } from '../../charts/chart-types.ts';
import { intervalChart, type IntervalRow } from '../../charts/interval-chart.ts';
import { countText, numberText, shareText } from '../../format/number-text.ts';
import { durationText } from '../../format/time-text.ts';
import { ChoiceRow } from '../../widgets/field.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { cautionTexts } from './caution-words.ts';
import { probabilityText, rateText, ratioText, sentenceStart } from './cohort-words.ts';
import { useCaseNames } from './case-names.ts';
import { placeLooks } from './place-look.ts';
import type { OpenPoint } from './point-cases.tsx';

/** Returns a ratio with its limits: "2.10 (1.40 to 3.20)", or why there is none. */
export function ratioFigureText(figure: RatioFigure): string {
  if (figure.isUnbounded) return `larger than any number (from ${ratioText(figure.lower)}): no onset in control time`;
  if (figure.ratio === null) return `not defined: ${figure.reason ?? 'no reason given'}`;
  return figure.lower === null || figure.upper === null ? `${ratioText(figure.ratio)} (no interval${figure.reason === null ? '' : `: ${figure.reason}`})` : `${ratioText(figure.ratio)} (${ratioText(figure.lower)} to ${ratioText(figure.upper)})`;
}

/** Returns what an exposure is called, with its sensor where it is one. */
export function rateName(rate: Pick<ExposureRate, 'kind' | 'label' | 'siteKey'>): string {
  const what = rate.label ?? (rate.kind === 'position' ? 'any change of position' : 'any vasopressor bolus');
  return rate.siteKey === null ? what : `${what}, ${siteText(rate.siteKey)}`;
}

const keyOf = (rate: Pick<ExposureRate, 'kind' | 'label' | 'siteKey'>): string => `${rate.kind}\n${rate.label ?? ''}\n${rate.siteKey ?? ''}`;

/** Returns a rate in a sentence: counts, ratio, its name, and the caution. */
export function rateSentence(rate: ExposureRate, conf: number): string {
  if (rate.casesUsed === 0) return `${sentenceStart(rateName(rate))}: no case has both time after it and control time.`;
  return (
    `${sentenceStart(rateName(rate))}: ${countText(rate.riskOnsets, 'onset', 'onsets')} in ${durationText(rate.riskMs)} after it (${rateText(rate.riskPerH)}), ${numberText(rate.controlOnsets)} in ${durationText(rate.controlMs)} of control time of the same cases (${rateText(rate.controlPerH)}).`
    + ` Rate ratio within cases ${ratioFigureText(rate.figure)}, ${numberText(conf * 100)} % interval, ${rate.figure.method}, ${countText(rate.casesUsed, 'case', 'cases')}, ${numberText(rate.casesInformative)} with an onset.`
  );
}

/** Returns the rates as a picture has them. */
export function rateRows(rates: readonly ExposureRate[]): IntervalRow[] {
  const looks = placeLooks(rates.flatMap((rate) => (rate.siteKey === null ? [] : [rate.siteKey])));
  return rates.map((rate) => ({
    key: keyOf(rate), label: rateName(rate), estimate: rate.figure.isUnbounded ? null : rate.figure.ratio !== null && rate.figure.ratio > 0 ? rate.figure.ratio : null, lower: rate.figure.lower, upper: rate.figure.isUnbounded ? Infinity : rate.figure.upper,
    figure: `${ratioFigureText(rate.figure)}, ${countText(rate.casesUsed, 'case', 'cases')}`, look: rate.siteKey === null ? undefined : looks.get(rate.siteKey),
  }));
}

/** Returns how often a loss begins after boluses and positions, against control time of the same cases. */
export function BeforePart({ before, definition, onPoint }: { readonly before: BeforeLoss; readonly definition: string; readonly onPoint: (point: OpenPoint) => void }): JSX.Element {
  const names = useCaseNames();
  const [kind, setKind] = useState<RateKind>('vasopressor bolus');
  const [bySite, setBySite] = useState(false);
  const rates = useMemo(() => before.rates.filter((rate) => rate.kind === kind && (bySite ? rate.siteKey !== null && rate.label === null : rate.siteKey === null)), [before, kind, bySite]);
  const rows = useMemo(() => rateRows(rates), [rates]);
  const draw = useCallback<DrawChart>((width) => intervalChart(rows, { xLabel: 'Rate after it ÷ rate in control time of the same cases', tickText: (value) => ratioText(value).replace(/\.?0+$/, ''), scale: 'ratio' }, width), [rows]);
  const all = before.rates.find((rate) => rate.kind === kind && rate.label === null && rate.siteKey === null);
  const window = kind === 'position' ? before.windows.positionS : before.windows.bolusS;
  return (
    <>
      <div className="cohort-controls">
        <ChoiceRow legend="After" value={kind} choices={RATE_KINDS.map((name) => ({ value: name, label: name === 'position' ? 'a change of position' : 'a vasopressor bolus' }))} onChange={(value) => setKind(RATE_KINDS.find((name) => name === value) ?? kind)} />
        <ChoiceRow legend="One row for" value={bySite ? 'site' : 'label'} choices={[{ value: 'label', label: kind === 'position' ? 'each position' : 'each drug' }, { value: 'site', label: 'each site' }]} onChange={(value) => setBySite(value === 'site')} />
      </div>
      <ChartFigure
        figure="rate-after-exposure"
        title={kind === 'position' ? 'Rate of loss after a change of position' : 'Rate of loss after a vasopressor bolus'} fileName={kind === 'position' ? 'rate-after-position' : 'rate-after-bolus'} draw={draw} table={rateTable(rates)}
        pointLeadsTo="lists the cases with an onset"
        onPoint={(key) => {
          const rate = rates.find((one) => keyOf(one) === key);
          if (rate !== undefined) onPoint({ title: `Cases with an onset: ${rateName(rate)}`, cases: rate.onsetCases.map((one) => ({ caseKey: one.caseKey, caseId: names(one.caseKey), figure: `${countText(one.riskOnsets, 'onset', 'onsets')} after it, ${numberText(one.controlOnsets)} in control time` })) });
        }}
        description={`Onsets within ${durationText(window[0] * 1000)} to ${durationText(window[1] * 1000)} after it, against the rest of the same case; ${durationText(before.windows.preS * 1000)} before it belong to neither. Equal steps are equal ratios; 1 is no difference.`}
        notes={[...cautionTexts([...before.cautions, ...rates.flatMap((rate) => rate.cautions)]), `Definition: ${definition}.`]}
        details={[
          `${numberText(before.conf * 100)} % intervals: Mantel–Haenszel with cases as strata; the conditional estimate with exact limits where either side has fewer than 5 onsets.`,
          ...(all === undefined ? [] : [`${countText(all.casesWithoutExposure, 'case', 'cases')} without such an exposure and ${numberText(all.casesWithoutControl)} without control time are left out; ${countText(all.exposuresByHand, 'exposure was', 'exposures were')} typed by hand.`]),
          ...(all?.shift === null || all === undefined ? [] : [`Turning exposures against onsets in time: ${numberText(all.shift.observed)} onsets after an exposure, ${numberText(all.shift.expected, 1)} to expect, p ${probabilityText(all.shift.p)}.`]),
          ...(all === undefined || (all.pressureBeforeRisk === null && all.pressureBeforeControl === null) ? [] : [`Mean arterial pressure before the onset, median: ${all.pressureBeforeRisk === null ? 'not recorded' : `${numberText(all.pressureBeforeRisk)} mmHg`} after an exposure, ${all.pressureBeforeControl === null ? 'not recorded' : `${numberText(all.pressureBeforeControl)} mmHg`} in control time.`]),
          ...(all?.attributable.fraction === null || all === undefined ? [] : [`If the association were causal, ${shareText(all.attributable.fraction)} of the onsets after it would be due to it.`]),
        ]}
        nothing={rates.length === 0 ? <p>{kind === 'position' ? 'No change of position is on record in the cases looked at.' : 'No vasopressor bolus is on record in the cases looked at.'}</p> : undefined}
      />
    </>
  );
}

function rateTable(rates: readonly ExposureRate[]): ChartTable {
  const hours = (ms: number): number => ms / 3_600_000;
  const time = (value: number): string => durationText(value * 3_600_000);
  const rows = rates.flatMap((rate) => [
    { name: rateName(rate), way: rate.figure.method, counts: rate, figure: rate.figure, key: keyOf(rate) },
    ...rate.variants.map((variant) => ({ name: rateName(rate), way: variant.variant, counts: variant, figure: variant.figure, key: null })),
    ...(rate.dose?.bands ?? []).map((band) => ({ name: rateName(rate), way: `dose ${numberText(band.from, 1)} to ${numberText(band.to, 1)} ${rate.dose?.unit ?? ''}`, counts: band, figure: band.figure, key: null })),
  ]);
  return {
    columns: [
      { header: 'After', name: 'exposure' }, { header: 'Way', name: 'way' }, { header: 'Ratio', name: 'ratio', align: 'right' }, { header: 'from', name: 'ratio_from', align: 'right' }, { header: 'to', name: 'ratio_to', align: 'right' }, { header: 'p', name: 'p', align: 'right' },
      { header: 'Onsets after', name: 'risk_onsets', align: 'right' }, { header: 'Time after', name: 'risk_h', align: 'right' }, { header: 'Onsets, control', name: 'control_onsets', align: 'right' }, { header: 'Time, control', name: 'control_h', align: 'right' },
      { header: 'Cases', name: 'cases', align: 'right' }, { header: 'with an onset', name: 'cases_informative', align: 'right' }, { header: 'Why one is missing', name: 'reason' },
    ],
    rows: rows.map(({ name, way, counts, figure, key }) => ({
      pointKey: key,
      cells: [
        textCell(name), textCell(way), figure.isUnbounded ? textCell('no limit') : numberCell(figure.ratio, ratioText), numberCell(figure.lower, ratioText), figure.isUnbounded ? textCell('no limit') : numberCell(figure.upper, ratioText), numberCell(figure.p, probabilityText),
        numberCell(counts.riskOnsets, numberText), numberCell(hours(counts.riskMs), time), numberCell(counts.controlOnsets, numberText), numberCell(hours(counts.controlMs), time), numberCell(counts.casesUsed, numberText), numberCell(counts.casesInformative, numberText), textCell(figure.reason ?? ''),
      ],
    })),
  };
}
