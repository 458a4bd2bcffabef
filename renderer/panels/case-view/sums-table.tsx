import type { JSX } from 'react';
import type { BelowThreshold, CaseAnalysis, DropoutTotals, SiteAnalysis } from '../../../core/model/analysis.ts';
import type { ConfirmedFigures } from '../../../core/model/confirmed.ts';
import { numberText, shareText } from '../../format/number-text.ts';
import { durationText, limitsText } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import type { LineStyle } from '../../timeline/site-style.ts';
import { belowText } from './case-facts.ts';
import { SiteName } from './site-mark.tsx';

export interface SumsTableProps {
  readonly analysis: CaseAnalysis;
  readonly styles: ReadonlyMap<string, LineStyle>;
  /** What reviewers made of the dropouts of this analysis; null where they said nothing of any. */
  readonly confirmed: ConfirmedFigures | null;
}

/** Returns what was lost, by site: every primary number with the result that counts doubtful samples as lost beneath it, and what reviewers confirmed. */
export function SumsTable({ analysis, styles, confirmed }: SumsTableProps): JSX.Element {
  const thresholds = [...new Set(analysis.sites.flatMap((site) => site.below.map((below) => below.thresholdPct)))].sort((a, b) => b - a);
  return (
    <table className="sums">
      <caption className="visually-hidden">What was lost, by site</caption>
      <thead>
        <tr>
          <th scope="col">Site</th>
          <FigureHead figure="monitored-time">Monitored</FigureHead>
          <FigureHead figure="dropouts" className="align-right">Dropouts</FigureHead>
          <FigureHead figure="time-lost">Time lost, mid (low–high)</FigureHead>
          <FigureHead figure="share-lost" className="align-right">Share</FigureHead>
          <FigureHead figure="longest-dropout" className="align-right">Longest</FigureHead>
          {thresholds.map((threshold) => (
            <FigureHead figure="time-below" key={threshold} title="Time below this value as observed while there was information, and what it could be at most, had all the lost time been below. At least it is what was observed.">
              &lt; {numberText(threshold)}&nbsp;% (at most)
            </FigureHead>
          ))}
        </tr>
      </thead>
      <tbody>
        {analysis.sites.map((site) => <SiteRows key={site.siteKey} site={site} styles={styles} thresholds={thresholds} confirmed={confirmed} />)}
        {analysis.sites.length > 1 ? (
          <>
            <tr className="sums-first">
              <FigureHead figure="blind-time" scope="row">no site at all (blind)</FigureHead>
              <td />
              <TotalsCells totals={analysis.blindTotals} />
              {thresholds.map((threshold) => <td key={threshold} />)}
            </tr>
            <tr className="sums-second">
              <FigureHead figure="doubtful-as-lost" scope="row">doubtful as lost</FigureHead>
              <td />
              <TotalsCells totals={analysis.blindTotalsDoubtfulLost} />
              {thresholds.map((threshold) => <td key={threshold} />)}
            </tr>
            {confirmed === null || analysis.blindTotals.count + confirmed.notRefuted.blindTotals.count === 0 ? null : (
              <ReviewedRows confirmed={confirmed.confirmed.blindTotals} notRefuted={confirmed.notRefuted.blindTotals} thresholds={thresholds} />
            )}
          </>
        ) : null}
      </tbody>
    </table>
  );
}

function SiteRows({ site, styles, thresholds, confirmed }: Omit<SumsTableProps, 'analysis'> & { readonly site: SiteAnalysis; readonly thresholds: readonly number[] }): JSX.Element {
  if (site.monitored === null) {
    return (
      <tr className="sums-first">
        <th scope="row"><SiteName siteKey={site.siteKey} styles={styles} /></th>
        <td colSpan={5 + thresholds.length}>not monitored: {site.notMonitoredReason ?? 'no good value'}</td>
      </tr>
    );
  }
  const least = site.dropouts.length === 0 ? undefined : confirmed?.confirmed.sites.find(({ siteKey }) => siteKey === site.siteKey);
  const most = confirmed?.notRefuted.sites.find(({ siteKey }) => siteKey === site.siteKey);
  return (
    <>
      <tr className="sums-first">
        <th scope="row"><SiteName siteKey={site.siteKey} styles={styles} /></th>
        <td>{durationText(site.monitoredMs)}</td>
        <TotalsCells totals={site.totals} />
        {thresholds.map((threshold) => <BelowCell key={threshold} below={site.below.find((below) => below.thresholdPct === threshold)} isSecond={false} />)}
      </tr>
      <tr className="sums-second">
        <FigureHead figure="doubtful-as-lost" scope="row">doubtful as lost</FigureHead>
        <td />
        {site.statusCounts.good === 0 ? <td colSpan={4 + thresholds.length}>no good value at all: nothing to count from</td> : (
          <>
            <TotalsCells totals={site.totalsDoubtfulLost} />
            {thresholds.map((threshold) => <BelowCell key={threshold} below={site.belowDoubtfulLost.find((below) => below.thresholdPct === threshold)} isSecond />)}
          </>
        )}
      </tr>
      {least === undefined || most === undefined ? null : <ReviewedRows confirmed={least.totals} notRefuted={most.totals} thresholds={thresholds} />}
    </>
  );
}

/** The least that reviewers stand for and the most that they leave; how low saturation was cannot be told from dropouts. */
function ReviewedRows({ confirmed, notRefuted, thresholds }: { readonly confirmed: DropoutTotals; readonly notRefuted: DropoutTotals; readonly thresholds: readonly number[] }): JSX.Element {
  return (
    <>
      <tr className="sums-second">
        <FigureHead figure="confirmed" scope="row">confirmed (at least)</FigureHead>
        <td />
        <TotalsCells totals={confirmed} />
        <BelowNone count={thresholds.length} />
      </tr>
      <tr className="sums-second">
        <FigureHead figure="confirmed" scope="row">not refuted (at most)</FigureHead>
        <td />
        <TotalsCells totals={notRefuted} />
        <BelowNone count={thresholds.length} />
      </tr>
    </>
  );
}

/** Said once for all thresholds. */
function BelowNone({ count }: { readonly count: number }): JSX.Element | null {
  return count === 0 ? null : <td colSpan={count}>of values, not of dropouts: only as computed</td>;
}

function TotalsCells({ totals }: { readonly totals: DropoutTotals }): JSX.Element {
  return (
    <>
      <td className="align-right figure">{numberText(totals.count)}</td>
      <td>
        <span className="figure">{durationText(totals.lostMs.mid)}</span>
        {totals.lostMs.high === 0 ? null : <span className="soft"> ({limitsText(totals.lostMs)})</span>}
      </td>
      <td className="align-right figure">{shareText(totals.shareMid)}</td>
      <td className="align-right figure">{totals.count === 0 ? '–' : durationText(totals.longestMidMs)}</td>
    </>
  );
}

function BelowCell({ below, isSecond }: { readonly below: BelowThreshold | undefined; readonly isSecond: boolean }): JSX.Element {
  if (below === undefined) return <td>–</td>;
  const { observed, atMost } = belowText(below);
  return (
    <td className="sums-below">
      <span className={isSecond ? undefined : 'figure'}>{observed}</span>
      {' '}<span className="soft sums-limits" title="What it could be at most, had all the lost time been below">({atMost})</span>
    </td>
  );
}
