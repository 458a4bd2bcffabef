import { useState, type JSX } from 'react';
import type { PairDetail, SiteDetail, StateSpan } from '../../../core/model/site-detail.ts';
import { numberText } from '../../format/number-text.ts';
import { durationText, type CaseClock } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { MoreRows } from '../../widgets/more-rows.tsx';
import { siteText } from '../case-view/case-facts.ts';

const ROWS_SHOWN = 200;

/** Returns every stretch of the coverage picture as a table: from, to, how long, who gave what. */
export function StretchesTable({ detail, pair, clock }: { readonly detail: SiteDetail; readonly pair: PairDetail | null; readonly clock: CaseClock }): JSX.Element {
  const [rowsShown, setRowsShown] = useState(ROWS_SHOWN);
  const rows = [
    ...detail.sensors
      .filter(({ siteKey }) => pair === null || siteKey === pair.firstKey || siteKey === pair.secondKey)
      .flatMap(({ siteKey, spans }) => spans.map((span) => ({ who: siteText(siteKey), span }))),
    ...(pair === null ? [] : pair.spans.map((span) => ({ who: 'both, one, none', span: { ...span, state: pairStateText(span, pair) } }))),
  ].sort((a, b) => a.span.startMs - b.span.startMs);
  return (
    <>
      <table className="plain-table">
        <caption className="visually-hidden">Stretches of time</caption>
        <thead><tr><th scope="col">From</th><th scope="col">To</th><FigureHead figure="site-stretches" className="align-right">Lasted</FigureHead><th scope="col">Row</th><FigureHead figure="site-stretches">State</FigureHead></tr></thead>
        <tbody>
          {rows.slice(0, rowsShown).map(({ who, span }) => (
            <tr key={`${who} ${span.startMs}`}>
              <td className="figure">{clock.clock(span.startMs)}</td><td className="figure">{clock.clock(span.endMs)}</td><td className="align-right figure">{durationText(span.endMs - span.startMs)}</td><td>{who}</td><td>{span.state}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <MoreRows missing={rows.length - rowsShown} onMore={() => setRowsShown(rowsShown + ROWS_SHOWN)}>Show more ({numberText(rows.length - rowsShown)} further stretches)</MoreRows>
    </>
  );
}

function pairStateText(span: StateSpan<PairDetail['spans'][number]['state']>, pair: PairDetail): string {
  switch (span.state) {
    case 'only first':
      return `only the ${siteText(pair.firstKey)}`;
    case 'only second':
      return `only the ${siteText(pair.secondKey)}`;
    case 'neither':
      return 'none';
    case 'both':
    case 'not compared':
      return span.state;
  }
}
