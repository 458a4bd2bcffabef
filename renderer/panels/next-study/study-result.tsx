import { useCallback, useMemo, type JSX } from 'react';
import type { NextStudy, PlannedStudy, Simulated, StudySize } from '../../../core/model/next-study.ts';
import { ChartFigure } from '../../charts/chart-figure.tsx';
import { ONLY_SERIES, INK } from '../../charts/chart-marks.ts';
import type { ChartTable } from '../../charts/chart-types.ts';
import { powerChart, type PowerSeries } from '../../charts/power-chart.ts';
import { saveFile } from '../../charts/save-file.ts';
import { shortDefinitionText } from '../../format/definition-text.ts';
import { countText, numberText, plainNumberText } from '../../format/number-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { describeProblem, problemText } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { Button } from '../../widgets/button.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { ProtocolStatement } from './protocol-statement.tsx';
import { answerTexts, cautionText, effectText, halfWidthText, reasonText, simulatedText, siteTexts } from './study-text.ts';

const Z95 = 1.959963984540054;

/** Returns a planned study: the answer, what it rests on, and every size. */
export function StudyResult({ planned }: { readonly planned: PlannedStudy }): JSX.Element {
  const session = useSession();
  const { study, parameters, cases, notReviewed, leftOut } = planned;
  const save = async (): Promise<void> => {
    try {
      const { text } = await session.host.nextStudyText({ study });
      saveFile('next-study.csv', new Blob([text], { type: 'text/csv' }));
    } catch (error) {
      session.messages.add('problem', problemText(describeProblem(error, 'Saving the table')));
    }
  };
  return (
    <>
      {leftOut.length === 0 ? null : (
        <Notice tone="caution" title={`${countText(leftOut.length, 'case was', 'cases were')} left out.`}>
          <Disclosure summary="Which, and why"><ul>{leftOut.map((left) => <li key={left.caseKey}>{left.caseId === '' ? 'a case without a name' : left.caseId}: {left.reason}</li>)}</ul></Disclosure>
        </Notice>
      )}
      {study.options.dropouts !== 'confirmed' ? null : (
        <Notice tone={notReviewed === 0 ? 'note' : 'caution'} title="Only dropouts that readers confirmed count.">
          <p>{notReviewed === 0 ? 'Every dropout of these cases was read.' : `${countText(notReviewed, 'dropout of these cases waits', 'dropouts of these cases wait')} to be read and ${notReviewed === 1 ? 'counts' : 'count'} as none: the losses are too low by an unknown part.`}</p>
        </Notice>
      )}
      {study.reason === null ? null : <Notice tone="problem" title="This study cannot be planned from these cases." live><p>{reasonText(study.reason)}</p></Notice>}
      <div role="status">{answerTexts(study).map((text) => <p key={text} className="study-answer">{text}</p>)}</div>
      {study.cautions.length === 0 ? null : <Notice tone="caution" title="Before you use these sizes"><ul>{study.cautions.map((caution) => <li key={caution}>{cautionText(caution)}</li>)}</ul></Notice>}
      <Library study={study} cases={cases} />
      {study.sizes.length === 0 ? null : <Sizes study={study} />}
      {study.sizes.length === 0 ? null : <Button onClick={() => void save()}>Save every figure as CSV</Button>}
      <p className="soft">Definition: {shortDefinitionText(parameters)}.</p>
      <ProtocolStatement used={{ parameters, design: study.options.design, outcome: study.options.outcome, effect: study.options.effect, sites: [study.options.firstKey, study.options.secondKey], conf: study.options.conf }} />
    </>
  );
}

function Library({ study, cases }: { readonly study: NextStudy; readonly cases: number }): JSX.Element | null {
  const { options, first, second, correlation, observed } = study;
  const sites = [[options.firstKey, first] as const, [options.secondKey, second] as const].flatMap(([key, site]) => (site === null ? [] : [[key, site] as const]));
  if (sites.length === 0) return null;
  return (
    <section aria-label="What the plan rests on">
      <h2>What the plan rests on</h2>
      <div className="grid-scroll">
        <table className="plain-table">
          <caption>{countText(cases, 'case', 'cases')} of this library{options.design === 'paired' ? ', the time in which both sites were monitored' : ''}</caption>
          <thead>
            <tr>
              <th scope="col">Site</th><FigureHead figure="study-site" className="align-right">Patients</FigureHead><FigureHead figure="study-site" className="align-right">without loss</FigureHead><FigureHead figure="monitored-time" className="align-right">Hours monitored</FigureHead><FigureHead figure="study-site" className="align-right">Mean</FigureHead>
              <FigureHead figure="study-clustering" className="align-right">SD between patients</FigureHead><FigureHead figure="study-site" className="align-right">Total over total</FigureHead><FigureHead figure="study-clustering" className="align-right" title="How many times the variance of the dropouts per patient is that of independent ones">Dispersion of dropouts</FigureHead>
            </tr>
          </thead>
          <tbody>{sites.map(([key, site]) => <tr key={key}><th scope="row">{siteText(key)}</th>{siteTexts(site, options).map((text, i) => <td key={i} className="align-right">{text}</td>)}</tr>)}</tbody>
        </table>
      </div>
      <p>
        {observed === null ? '' : `In the library the ${options.secondKey} has ${effectText(observed, options)}${options.effect === 'ratio' ? ' the loss of' : ' lost than'} the ${options.firstKey}; the plan does not use that effect, only the spread. `}
        {correlation === null ? '' : `Correlation of the two sites within patients: ${plainNumberText(correlation, 2)}. `}
        {first?.dispersion === null || first?.dispersion === undefined || first.dispersion < 1.5 ? '' : 'Dropouts come in clusters: counting them as independent would make the study far too small.'}
      </p>
    </section>
  );
}

function Sizes({ study }: { readonly study: NextStudy }): JSX.Element {
  const { options, sizes } = study;
  const perGroup = options.design === 'parallel' ? ' per group' : '';
  const series = useMemo(() => {
    const pointsOf = (name: string, pick: (size: StudySize) => Simulated) =>
      sizes.map((size) => {
        const { value, error } = pick(size);
        return { key: `${name} ${size.n}`, n: size.n, value, lower: Math.max(0, value - Z95 * error), upper: Math.min(1, value + Z95 * error), figure: simulatedText({ value, error }) };
      });
    return [
      { key: 'interval', label: 'by the interval', look: ONLY_SERIES, points: pointsOf('interval', (size) => size.power) },
      { key: 'ranks', label: 'by ranks', look: { color: INK.text, dashPx: [5, 3], shape: 'square' }, points: pointsOf('ranks', (size) => size.rankPower) },
    ] satisfies PowerSeries[];
  }, [sizes]);
  const draw = useCallback(
    (widthPx: number) => powerChart(series, { xLabel: `Patients${perGroup}`, yLabel: 'Power', tickText: (value) => `${numberText(value * 100)} %`, sizeText: (n) => numberText(n), wanted: options.wantedPower }, widthPx),
    [series, perGroup, options.wantedPower],
  );
  const table = useMemo(() => tableOf(study), [study]);
  return (
    <section aria-label="Sizes">
      <h2>Power and precision by size</h2>
      <ChartFigure
        figure="power"
        title={`Power to find ${effectText(options.effectSize, options)} (${siteText(options.secondKey)} against ${siteText(options.firstKey)})`}
        description={`For each size ${numberText(options.draws)} studies were drawn from the patients of the library, whole, with the second site set to the effect. The 95 % band is what the number of drawings leaves open, not what the library leaves open.`}
        notes={[`Seed ${options.seed}, MT19937; ${plainNumberText(options.conf * 100, 1)} % intervals; ranks: ${options.design === 'paired' ? 'signed ranks after Pratt' : 'rank sums'}, normal law.`, 'The spread of these patients is taken for that of future ones. Association is not cause.']}
        fileName="next-study-power"
        draw={draw}
        table={table}
      />
    </section>
  );
}

function tableOf({ options, sizes, forPower, forHalfWidth }: NextStudy): ChartTable {
  const pct = (value: number | null) => ({ value, text: value === null ? '–' : `${numberText(value * 100, 1)} %` });
  return {
    columns: [
      { header: options.design === 'parallel' ? 'Patients per group' : 'Patients', name: 'n', align: 'right' },
      { header: 'Power', name: 'power', align: 'right' }, { header: 'its error', name: 'power_error', align: 'right' }, { header: 'Power by ranks', name: 'rank_power', align: 'right' },
      { header: 'Expected half width', name: 'half_width', align: 'right' }, { header: 'Intervals that held the truth', name: 'coverage', align: 'right' }, { header: 'Studies without interval', name: 'without_interval', align: 'right' },
      { header: 'Asked', name: 'asked' },
    ],
    rows: sizes.map((size) => {
      const asked = size.n === forPower?.n ? 'least for the power' : size.n === forHalfWidth?.n ? 'least for the precision' : 'shown';
      return {
        pointKey: null,
        cells: [
          { value: size.n, text: numberText(size.n) }, pct(size.power.value), pct(size.power.error), pct(size.rankPower.value),
          { value: size.halfWidth?.value ?? null, text: halfWidthText(size.halfWidth?.value ?? null, options) }, pct(size.coverage?.value ?? null), { value: size.without, text: numberText(size.without) }, { value: asked, text: asked },
        ],
      };
    }),
  };
}
