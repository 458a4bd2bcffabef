import type { JSX } from 'react';
import type { CoverageFigure } from '../../../core/model/cohort-sites.ts';
import { countText, numberText, shareText } from '../../format/number-text.ts';
import { durationText } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { figureText, intervalNameText, limitsOfText, placeText } from './cohort-words.ts';

/** Returns what one site gave while another was lost, in a sentence. */
export function coverageSentence({ lostKey, otherKey, lostMs, coveredMs, share, interval, cases }: CoverageFigure): string {
  return `While the ${placeText(lostKey)} had no information, the ${placeText(otherKey)} had it for ${durationText(coveredMs)} of ${durationText(lostMs)}: ${figureText(share, interval, shareText)}, ${countText(cases, 'case', 'cases')}.`;
}

/** The share with its limits where it has any: why it has none stands in the next column. */
function shareWithLimits({ share, interval }: CoverageFigure): string {
  if (share === null) return 'not defined';
  const limits = limitsOfText(interval, shareText);
  return limits === null ? shareText(share) : `${shareText(share)} (${limits})`;
}

/** Returns what every site gave while another, worn at once, was lost. */
export function CoverageTable({ coverage, conf, unit }: { readonly coverage: readonly CoverageFigure[]; readonly conf: number; readonly unit: 'case' | 'patient' }): JSX.Element {
  return (
    <div className="grid-scroll" tabIndex={0} role="group" aria-label="Coverage by another site">
      <table className="plain-table">
        <caption className="caption-left soft">Coverage that the other site would have given: of the common time, every loss, however short</caption>
        <thead>
          <tr><th scope="col">While lost at</th><th scope="col">information at</th><FigureHead figure="sites-over-cases" className="align-right">Cases</FigureHead><FigureHead figure="worn-at-once" className="align-right">Worn at once</FigureHead><FigureHead figure="time-lost" className="align-right">Lost</FigureHead><FigureHead figure="covered" className="align-right">Covered</FigureHead><FigureHead figure="sites-over-cases" className="align-right">Share</FigureHead><FigureHead figure="interval-over-cases">What the interval is</FigureHead></tr>
        </thead>
        <tbody>
          {coverage.map((one) => (
            <tr key={`${one.lostKey} ${one.otherKey}`}>
              <th scope="row">{placeText(one.lostKey)}</th>
              <td>{placeText(one.otherKey)}</td>
              <td className="align-right">{numberText(one.cases)}</td>
              <td className="align-right">{durationText(one.sharedMs)}</td>
              <td className="align-right">{durationText(one.lostMs)}</td>
              <td className="align-right">{durationText(one.coveredMs)}</td>
              <td className="align-right">{shareWithLimits(one)}</td>
              <td>{intervalNameText(one.interval, conf, unit)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
