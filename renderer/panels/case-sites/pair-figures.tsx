import type { JSX } from 'react';
import type { PairDifferences, PairFigures, SitePair } from '../../../core/model/site-comparison.ts';
import { coveredRange } from '../../../core/model/site-comparison.ts';
import type { PairDetail } from '../../../core/model/site-detail.ts';
import { countText, numberText, plainNumberText, shareText } from '../../format/number-text.ts';
import { lagFigureText, pointsText, shareRangeText } from '../../format/site-text.ts';
import { durationText } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { SecondResultName, TwoResults } from '../../widgets/two-results.tsx';
import { siteText } from '../case-view/case-facts.ts';

function Twice({ pair, text }: { readonly pair: SitePair; readonly text: (figures: PairFigures) => string }): JSX.Element {
  return <TwoResults first={text(pair)} second={text(pair.doubtfulLost)} />;
}

/** Returns how long both, one or none of two sensors gave information, and what each covered of the other's loss. */
export function CoverageTable({ pair }: { readonly pair: SitePair }): JSX.Element {
  const first = siteText(pair.firstKey);
  const second = siteText(pair.secondKey);
  const share = (ms: number): string => shareText(pair.sharedMs > 0 ? ms / pair.sharedMs : null);
  const rows: readonly (readonly [string, (figures: PairFigures) => number])[] = [
    ['both', (figures) => figures.bothMs],
    [`only the ${first}`, (figures) => figures.onlyFirstMs],
    [`only the ${second}`, (figures) => figures.onlySecondMs],
    ['none', (figures) => figures.neitherMs],
  ];
  return (
    <div className="cs-tables">
      <table className="plain-table">
        <caption>Who gave information in the {durationText(pair.sharedMs)} in which both were meant to</caption>
        <thead><tr><th scope="col">Information from</th><FigureHead figure="both-one-none" className="align-right">Time</FigureHead><FigureHead figure="both-one-none" className="align-right">Share</FigureHead></tr></thead>
        <tbody>
          {rows.map(([name, ms]) => (
            <tr key={name}>
              <th scope="row">{name}<SecondResultName /></th>
              <td className="align-right"><Twice pair={pair} text={(figures) => durationText(ms(figures))} /></td>
              <td className="align-right"><Twice pair={pair} text={(figures) => share(ms(figures))} /></td>
            </tr>
          ))}
        </tbody>
      </table>
      <table className="plain-table">
        <caption>Coverage the other site would have given</caption>
        <thead><tr><th scope="col">While lost at</th><th scope="col">information at</th><FigureHead figure="time-lost" className="align-right">Lost</FigureHead><FigureHead figure="covered">Share, mid (low–high)</FigureHead></tr></thead>
        <tbody>
          <tr>
            <th scope="row">{first}<SecondResultName /></th><td>{second}</td>
            <td className="align-right"><Twice pair={pair} text={(figures) => durationText(figures.onlySecondMs + figures.neitherMs)} /></td>
            <td><Twice pair={pair} text={(figures) => shareRangeText(coveredRange(figures.firstCoveredShare, figures.firstCovered))} /></td>
          </tr>
          <tr>
            <th scope="row">{second}<SecondResultName /></th><td>{first}</td>
            <td className="align-right"><Twice pair={pair} text={(figures) => durationText(figures.onlyFirstMs + figures.neitherMs)} /></td>
            <td><Twice pair={pair} text={(figures) => shareRangeText(coveredRange(figures.secondCoveredShare, figures.secondCovered))} /></td>
          </tr>
        </tbody>
      </table>
    </div>
  );
}

const SECOND_LAG = 'all, doubtful as lost';

/** Returns which of two sensors comes first and by how long, over all swings, at falls and at rises. */
export function LagTable({ pair }: { readonly pair: SitePair }): JSX.Element {
  const [first, second] = [siteText(pair.firstKey), siteText(pair.secondKey)];
  const rows = [['all falls and rises', pair.lag], ['falls', pair.lagAtFalls], ['rises', pair.lagAtRises]] as const;
  return (
    <table className="plain-table">
      <caption>Which of the two comes first, and by how long</caption>
      <thead><tr><th scope="col">At</th><FigureHead figure="site-lag">Lag (uncertainty)</FigureHead><FigureHead figure="lag-evidence" className="align-right">Correlation</FigureHead><FigureHead figure="lag-evidence" className="align-right">Rests on</FigureHead></tr></thead>
      <tbody>
        {[...rows, [SECOND_LAG, pair.doubtfulLost.lag] as const].map(([name, figure]) => (
          <tr key={name} className={name === SECOND_LAG ? 'soft' : undefined}>
            <th scope="row">{name}</th>
            <td className="figure">{figure === null ? 'none fits' : lagFigureText(figure, first, second)}</td>
            <td className="align-right figure">{figure === null ? '–' : numberText(figure.peak, 2)}</td>
            <td className="align-right figure">{figure === null ? '–' : numberText(figure.swings)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** Returns bias, limits and root-mean-square difference, of stable pairs and of all instants. */
export function DifferenceTable({ pair, detail }: { readonly pair: SitePair; readonly detail: PairDetail }): JSX.Element {
  const cells = (differences: PairDifferences | null, limits: PairDetail['limits']): JSX.Element => (
    <>
      <td className="align-right figure">{numberText(differences?.n ?? 0)}</td>
      <td className="align-right figure">{pointsText(differences?.bias ?? null)}</td>
      <td className="align-right figure">{numberText(differences?.sd ?? null, 1)}</td>
      <td className="figure">{limits === null ? '–' : `${pointsText(limits.lower)} to ${pointsText(limits.upper)}`}</td>
      <td className="align-right figure">{numberText(differences?.rms ?? null, 1)}</td>
      <td className="align-right figure">{plainNumberText(differences?.maxAbs ?? null, 1)}</td>
    </>
  );
  return (
    <table className="plain-table">
      <caption>Differences {siteText(pair.firstKey)} − {siteText(pair.secondKey)}, points of SpO2</caption>
      <thead>
        <tr>
          <FigureHead figure="site-differences">Pairs</FigureHead><FigureHead figure="site-differences" className="align-right">Number</FigureHead><FigureHead figure="site-differences" className="align-right">Bias</FigureHead><FigureHead figure="site-differences" className="align-right">SD</FigureHead>
          <FigureHead figure="site-limits">Limits of this case</FigureHead><FigureHead figure="site-differences" className="align-right">Root-mean-square difference</FigureHead><FigureHead figure="site-differences" className="align-right">Largest</FigureHead>
        </tr>
      </thead>
      <tbody>
        <tr><th scope="row">stable, one a minute at most, lag taken out</th>{cells(pair.stablePairs, detail.limits)}</tr>
        <tr className="soft"><th scope="row">the same, doubtful as lost</th>{cells(pair.doubtfulLost.stablePairs, null)}</tr>
        <tr><th scope="row">every instant, as recorded</th>{cells(pair.allPairs, null)}</tr>
        <tr className="soft"><th scope="row">the same, doubtful as lost</th>{cells(pair.doubtfulLost.allPairs, null)}</tr>
      </tbody>
    </table>
  );
}

/** Returns the ratio of the perfusion indices in words. */
export function perfusionRatioText(pair: SitePair): string {
  const [first, second] = [siteText(pair.firstKey), siteText(pair.secondKey)];
  if (pair.perfusionRatio === null) return 'No minute has a perfusion index of both sensors, so there is no ratio.';
  return `Perfusion index of the ${first} over that of the ${second}: ${plainNumberText(pair.perfusionRatio, 2)} (median of ${countText(pair.perfusionMinutes, 'minute', 'minutes')}).`;
}
