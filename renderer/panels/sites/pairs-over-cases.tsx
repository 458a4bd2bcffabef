import { useState, type JSX } from 'react';
import type { CohortFigures, CohortPair, CohortPairCase, SiteCohort } from '../../../core/model/site-cohort.ts';
import { countText, numberText, plainNumberText, shareText } from '../../format/number-text.ts';
import { lagFigureText, lagLimitsText, lagText, pairCautionText, pointsText, shareRangeText } from '../../format/site-text.ts';
import { durationText } from '../../format/time-text.ts';
import { FigureHead, FigureHelp } from '../../help/figure-help.tsx';
import { useSession } from '../../state/session.ts';
import { MoreRows } from '../../widgets/more-rows.tsx';
import { DataGrid, type GridColumn, type GridSort } from '../../widgets/data-grid.tsx';
import { SelectField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { SecondResultName, TwoResults } from '../../widgets/two-results.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { sentenceStart } from '../cohort/cohort-words.ts';
import { cohortShareTexts, FEW_CASES, spreadText } from './cohort-text.ts';
import { ROW_SORTS, sortRows } from './sort-rows.ts';

const ROWS_SHOWN = 200;

/** Returns the pairs of sites, one of them at a time, with the cases behind it. */
export function PairsOverCases({ cohort }: { readonly cohort: SiteCohort }): JSX.Element {
  const [chosenKey, setChosenKey] = useState<string | null>(null);
  const keyOf = (pair: CohortPair): string => `${pair.firstKey}\n${pair.secondKey}`;
  const byCases = [...cohort.pairs].sort((a, b) => b.cases - a.cases);
  const pair = byCases.find((one) => keyOf(one) === chosenKey) ?? byCases[0];
  if (pair === undefined) {
    return <Notice tone="note" title="No chosen case has two monitored sites."><p>Choose cases in which two sensors were worn at the same time. The strength of the signal of each site stands beneath all the same.</p></Notice>;
  }
  return (
    <section aria-label="Two sites against each other">
      {byCases.length > 1 ? (
        <SelectField
          label="Which two sites" value={keyOf(pair)} onChange={setChosenKey}
          choices={byCases.map((one) => ({ value: keyOf(one), label: `${siteText(one.firstKey)} and ${siteText(one.secondKey)}: ${countText(one.cases, 'case', 'cases')}` }))}
        />
      ) : null}
      <PairResult key={keyOf(pair)} pair={pair} cohort={cohort} />
    </section>
  );
}

function PairResult({ pair, cohort }: { readonly pair: CohortPair; readonly cohort: SiteCohort }): JSX.Element {
  const [first, second] = [siteText(pair.firstKey), siteText(pair.secondKey)];
  const share = (ms: number): string => shareText(pair.sharedMs > 0 ? ms / pair.sharedMs : null);
  const { draws } = cohort;
  const interval = `${numberText(draws.conf * 100)} % interval over cases`;
  const { doubtfulLost } = pair;
  const times: readonly (readonly [string, number, number])[] = [
    ['both', pair.bothMs, doubtfulLost.bothMs], [`only the ${first}`, pair.onlyFirstMs, doubtfulLost.onlyFirstMs], [`only the ${second}`, pair.onlySecondMs, doubtfulLost.onlySecondMs], ['none', pair.neitherMs, doubtfulLost.neitherMs],
  ];
  const covered = [[first, second, cohortShareTexts(pair.firstCovered), cohortShareTexts(doubtfulLost.firstCovered)], [second, first, cohortShareTexts(pair.secondCovered), cohortShareTexts(doubtfulLost.secondCovered)]] as const;
  return (
    <>
      <h2>{sentenceStart(first)} and {second}</h2>
      <p>
        {pair.cases === 0 ? 'In no case were both worn at once' : `Both were worn at once in ${countText(pair.cases, 'case', 'cases')}, for ${durationText(pair.sharedMs)} together`}
        {pair.casesOneAfterTheOther === 0 ? '.' : `; one after the other in ${numberText(pair.casesOneAfterTheOther)}, which are not used.`}
        {pair.cases > 0 && pair.cases < FEW_CASES ? ` Fewer than ${FEW_CASES} cases: an interval from drawing cases anew is not to be leaned on.` : ''}
      </p>
      {pair.cautions.filter(({ caution }) => caution !== 'worn one after the other').map(({ caution, cases }) => <Notice key={caution} tone="caution"><p>In {countText(cases, 'case', 'cases')}: {pairCautionText(caution)}</p></Notice>)}
      {pair.cases === 0 ? null : (
        <div className="sites-tables">
          <table className="plain-table">
            <caption>Who gave information, all cases together</caption>
            <thead><tr><th scope="col">Information from</th><FigureHead figure="both-one-none" className="align-right">Time</FigureHead><FigureHead figure="both-one-none" className="align-right">Share</FigureHead></tr></thead>
            <tbody>
              {times.map(([name, ms, asLostMs]) => (
                <tr key={name}>
                  <th scope="row">{name}<SecondResultName /></th>
                  <td className="align-right"><TwoResults first={durationText(ms)} second={durationText(asLostMs)} /></td>
                  <td className="align-right"><TwoResults first={share(ms)} second={share(asLostMs)} /></td>
                </tr>
              ))}
            </tbody>
          </table>
          <table className="plain-table">
            <caption>Coverage the other site would have given</caption>
            <thead><tr><th scope="col">While lost at</th><th scope="col">information at</th><FigureHead figure="covered">Share, mid (low–high by sampling)</FigureHead><FigureHead figure="interval-over-cases">{interval}</FigureHead><FigureHead figure="cases-drawn-anew">The same, cases drawn anew</FigureHead><FigureHead figure="sites-over-cases">Single cases, median (range)</FigureHead></tr></thead>
            <tbody>
              {covered.map(([lost, other, texts, asLost]) => (
                <tr key={lost}>
                  <th scope="row">{lost}<SecondResultName /></th><td>{other}</td><td><TwoResults first={texts.share} second={asLost.share} /></td><td><TwoResults first={texts.interval} second={asLost.interval} /></td>
                  <td className="soft"><TwoResults first={texts.drawn} second={asLost.drawn} /></td><td className="sites-spread">{texts.spread}<span className="soft under">{asLost.spread}</span></td>
                </tr>
              ))}
            </tbody>
          </table>
          <table className="plain-table">
            <caption>Differences {first} − {second}, points of SpO2, stable pairs with the case as the unit</caption>
            <thead><tr><th scope="col">Result</th><FigureHead figure="sites-over-cases" className="align-right">Cases</FigureHead><FigureHead figure="site-differences" className="align-right">Pairs</FigureHead><FigureHead figure="site-differences" className="align-right">Bias</FigureHead><FigureHead figure="site-limits" className="align-right">SD, new patient</FigureHead><FigureHead figure="site-limits">Lower limit ({numberText(draws.conf * 100)}&nbsp;% interval)</FigureHead><FigureHead figure="site-limits">Upper limit ({numberText(draws.conf * 100)}&nbsp;% interval)</FigureHead><FigureHead figure="site-differences" className="align-right">Root-mean-square difference</FigureHead></tr></thead>
            <tbody>
              {[pair, doubtfulLost].map((figures, i) => (
                <tr key={i} className={i === 0 ? undefined : 'soft'}>
                  <th scope="row">{i === 0 ? 'doubtful as information' : 'doubtful as lost'}</th>
                  <td className="align-right figure">{numberText(figures.differenceCases)}</td><td className="align-right figure">{numberText(figures.differencePairs)}</td><td className="align-right figure">{pointsText(figures.bias)}</td><td className="align-right figure">{numberText(figures.sdTotal, 1)}</td>
                  <td className="figure">{limitText(figures.lower, figures.lowerInterval)}</td><td className="figure">{limitText(figures.upper, figures.upperInterval)}</td><td className="align-right figure">{numberText(figures.rms, 1)}</td>
                </tr>
              ))}
            </tbody>
          </table>
          <table className="plain-table">
            <caption>Lag and perfusion index</caption>
            <thead><tr><th scope="col">Figure</th><FigureHead figure="sites-over-cases">Median over cases (range)</FigureHead><FigureHead figure="interval-over-cases">{interval}</FigureHead></tr></thead>
            <tbody>
              <tr>
                <th scope="row">which of the two comes first<SecondResultName /></th>
                <td className="sites-spread">{lagSpreadText(pair, first, second)}<span className="soft under">{lagSpreadText(doubtfulLost, first, second)}</span></td>
                <td><TwoResults first={lagIntervalText(pair, first, second)} second={lagIntervalText(doubtfulLost, first, second)} /></td>
              </tr>
              <tr><th scope="row">perfusion index, {first} over {second}</th><td className="sites-spread">{spreadText(pair.perfusionRatio, (value) => plainNumberText(value, 2))}</td><td className="soft">not given</td></tr>
            </tbody>
          </table>
        </div>
      )}
      <p className="soft sites-prose">
        Differences, not errors: neither sensor is a reference. Limits need at least two cases. The interval of a share over cases comes from the differences between cases (Student, on the logit scale); that of the lag, and the second one of a share, from drawing whole cases anew ({numberText(draws.replicates)} draws, seed {draws.seed}); those of the limits from recovered variances.
      </p>
      <h3>The cases behind these figures</h3>
      <CaseRows pair={pair} />
    </>
  );
}

function lagIntervalText({ lagMs, lagInterval }: CohortFigures, first: string, second: string): string {
  if (lagInterval === null) return '–';
  return `${lagLimitsText(lagInterval.lower, lagInterval.upper, first, second)}${(lagMs?.cases ?? 0) < FEW_CASES ? ', few cases' : ''}`;
}

function lagSpreadText({ lagMs }: CohortFigures, first: string, second: string): string {
  if (lagMs === null) return 'no case has a lag';
  const { cases, median, least, most } = lagMs;
  return cases === 1 ? `${lagText(median, first, second)} (1 case)` : lagFigureText({ lagMs: median, lowMs: least, highMs: most }, first, second, ` in ${countText(cases, 'case', 'cases')}`);
}

function limitText(limit: number | null, interval: readonly [number, number] | null): string {
  if (limit === null) return '–';
  return interval === null ? pointsText(limit) : `${pointsText(limit)} (${pointsText(interval[0])} to ${pointsText(interval[1])})`;
}

function CaseRows({ pair }: { readonly pair: CohortPair }): JSX.Element {
  const session = useSession();
  const [sort, setSort] = useState<GridSort>({ columnId: 'shared', direction: 'descending' });
  const [rowsShown, setRowsShown] = useState(ROWS_SHOWN);
  const [first, second] = [siteText(pair.firstKey), siteText(pair.secondKey)];
  const rows = sortRows(pair.rows, ROW_SORTS.find((name) => name === sort.columnId) ?? 'shared', sort.direction);
  const open = (row: CohortPairCase): void => session.openCase(row.caseKey, 'sites');
  const columns: GridColumn<CohortPairCase>[] = [
    { id: 'name', header: 'Case', isSortable: true, cell: (row) => <button type="button" className="case-link" tabIndex={-1} onClick={() => open(row)}>{row.caseId}</button> },
    { id: 'shared', header: 'Worn at once', help: <FigureHelp figure="worn-at-once" />, isSortable: true, align: 'right', cell: (row) => (row.sharedMs > 0 ? durationText(row.sharedMs) : 'one after the other') },
    { id: 'both', header: 'Both', help: <FigureHelp figure="both-one-none" />, align: 'right', cell: (row) => durationText(row.bothMs) },
    { id: 'none', header: 'None', help: <FigureHelp figure="both-one-none" />, align: 'right', cell: (row) => durationText(row.neitherMs) },
    { id: 'first', header: `${first} lost, covered by ${second}`, help: <FigureHelp figure="covered" />, isSortable: true, align: 'right', cell: (row) => shareRangeText(row.firstCovered) },
    { id: 'second', header: `${second} lost, covered by ${first}`, help: <FigureHelp figure="covered" />, isSortable: true, align: 'right', cell: (row) => shareRangeText(row.secondCovered) },
    { id: 'bias', header: 'Bias', help: <FigureHelp figure="site-differences" />, isSortable: true, align: 'right', cell: (row) => `${pointsText(row.bias)}${row.pairs === 0 ? '' : ` (${numberText(row.pairs)})`}`, headerTitle: 'Points of SpO2, with the number of stable pairs' },
    { id: 'lag', header: 'Which first', help: <FigureHelp figure="site-lag" />, isSortable: true, cell: (row) => (row.lag === null ? '–' : lagFigureText(row.lag, first, second)) },
    { id: 'pi', header: 'PI ratio', help: <FigureHelp figure="perfusion-ratio" />, isSortable: true, align: 'right', cell: (row) => plainNumberText(row.perfusionRatio, 2) },
  ];
  return (
    <>
      <div className="grid-scroll">
        <DataGrid label={`Cases with ${first} and ${second}`} columns={columns} rows={rows.slice(0, rowsShown)} rowKey={(row) => row.caseKey} sort={sort} onSort={setSort} onActivate={open} />
      </div>
      <MoreRows missing={rows.length - rowsShown} onMore={() => setRowsShown(rowsShown + ROWS_SHOWN)}>Show more ({numberText(rows.length - rowsShown)} further cases)</MoreRows>
    </>
  );
}
