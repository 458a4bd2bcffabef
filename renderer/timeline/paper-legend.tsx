import type { JSX } from 'react';
import type { CaseAnalysis } from '../../core/model/analysis.ts';

/** Returns what the signs of the picture mean, for a sheet on which nothing can be pointed at: only of signs that the cases have. */
export function PaperLegend({ analyses, isBoundShown, hasHandBounds }: { readonly analyses: readonly CaseAnalysis[]; readonly isBoundShown: boolean; readonly hasHandBounds: boolean }): JSX.Element {
  const sites = analyses.flatMap((analysis) => analysis.sites);
  const dropouts = sites.flatMap((site) => site.dropouts);
  const signs = [
    ...(dropouts.length === 0 ? [] : ['full bar in the row of a sensor, hatched over the SpO2 lane: SpO2 lost for certain, with the number of the dropout', 'thin hatching at the ends of a bar: it may have begun or ended there']),
    ...(dropouts.some(({ firstGoodMs }) => firstGoodMs === null) ? ['arrows at the end of a bar: information never came back'] : []),
    ...(sites.some((site) => site.dropoutsDoubtfulLost.length > site.dropouts.length) ? ['broken outline: lost only where doubtful values count as lost'] : []),
    ...(analyses.every(({ blind }) => blind.length === 0) ? [] : ['dark bar in the row “No site”: no sensor informed']),
    ...(analyses.every(({ recordGaps }) => recordGaps.length === 0) ? [] : ['dotted ground over all lanes: the record itself stopped']),
    ...(isBoundShown ? ['faint region beneath SpO2 in a loss: what cannot be excluded, a bound and no estimate'] : []),
    ...(hasHandBounds ? ['bracket: bounds that a reader set by hand, its legs at the first and last lost sample'] : []),
    'line breaks: no value recorded',
  ];
  return <p className="tl-paper-legend"><strong>Signs.</strong> {signs.map((sign) => `${sign.charAt(0).toUpperCase()}${sign.slice(1)}.`).join(' ')}</p>;
}
