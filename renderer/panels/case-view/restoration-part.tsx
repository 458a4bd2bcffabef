import type { JSX } from 'react';
import type { CaseAnalysis, SiteAnalysis } from '../../../core/model/analysis.ts';
import type { Restoration } from '../../../core/model/restoration.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { durationText, type CaseClock } from '../../format/time-text.ts';
import { FigureHead, FigureTerm } from '../../help/figure-help.tsx';
import { allDropouts } from '../../state/selection.ts';
import type { LineStyle } from '../../timeline/site-style.ts';
import { Button } from '../../widgets/button.tsx';
import { exposuresById } from './case-facts.ts';
import { responsesText, restoredText } from './evidence-words.ts';
import { HowWorkedOut } from './explanations.tsx';
import { SiteName } from './site-mark.tsx';

export interface RestorationPartProps {
  readonly analysis: CaseAnalysis;
  readonly clock: CaseClock;
  readonly styles: ReadonlyMap<string, LineStyle>;
  readonly onSelectDropout: (dropoutId: string) => void;
}

/** Returns how the dropouts of each site ended, how long it took, and what is on record as done during them. */
export function RestorationPart({ analysis, clock, styles, onSelectDropout }: RestorationPartProps): JSX.Element {
  const dropouts = allDropouts(analysis);
  const sites = analysis.sites.filter((site) => site.monitored !== null);
  if (sites.every((site) => site.dropouts.length + site.dropoutsDoubtfulLost.length === 0)) return <p className="list-empty">There was no dropout, so there is nothing that ended.</p>;
  const exposures = exposuresById(analysis);
  return (
    <div className="evidence-part">
      <table className="plain-table evidence-table">
        <thead>
          <tr>
            <th scope="col">Site</th>
            <FigureHead figure="ending" title="Ended at the same site, at another one, or not at all">Ended here, elsewhere, never</FigureHead>
            <FigureHead figure="median-to-information" title="Median time until the same sensor informed again; those that did not are taken as followed so long">Median, here</FigureHead>
            <FigureHead figure="median-to-information" title="Median time until another site informed, over those that ended there">Median, elsewhere</FigureHead>
            <FigureHead figure="done-during" title="Dropouts during which something is on record as done, and the median time to the first of it">Answered</FigureHead>
          </tr>
        </thead>
        <tbody>{sites.map((site) => <SiteSummary key={site.siteKey} site={site} styles={styles} />)}</tbody>
      </table>
      {sites.map((site) => <Counts key={site.siteKey} site={site} styles={styles} />)}
      {dropouts.length === 0 ? null : (
        <>
          <h4>Dropout by dropout</h4>
          <table className="plain-table evidence-table">
            <thead><tr><FigureHead figure="dropout-number">No.</FigureHead><FigureHead figure="onset">Site, onset</FigureHead><FigureHead figure="information-back">Information back</FigureHead><FigureHead figure="done-during">Done during it</FigureHead></tr></thead>
            <tbody>
              {dropouts.map((dropout) => (
                <tr key={dropout.dropoutId}>
                  <th scope="row"><Button look="link" aria-label={`Dropout ${dropout.number}, ${dropout.siteKey}`} onClick={() => onSelectDropout(dropout.dropoutId)}>{dropout.number}</Button></th>
                  <td><SiteName siteKey={dropout.siteKey} styles={styles} /><span className="figure under">{clock.clock(dropout.firstLostMs)}</span></td>
                  <td>{restoredText(dropout)}</td>
                  <td>{responsesText(dropout, exposures)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </>
      )}
      <p className="soft">Only what was written down counts as done. A response and a return of information that follow each other are association, not cause.</p>
      <HowWorkedOut names={['restoration', 'links', 'patterns', 'second']} />
    </div>
  );
}

function SiteSummary({ site, styles }: { readonly site: SiteAnalysis; readonly styles: RestorationPartProps['styles'] }): JSX.Element {
  const { restoration: first, restorationDoubtfulLost: second } = site;
  const both = (text: (of: Restoration) => string): JSX.Element => <><span className="figure">{text(first)}</span><span className="soft under figure">{text(second)}</span></>;
  return (
    <tr>
      <th scope="row"><SiteName siteKey={site.siteKey} styles={styles} /><span className="soft under">doubtful as lost</span></th>
      <td>{both((of) => `${of.sameSite}, ${of.otherSite}, ${of.notRestored}`)}</td>
      <td>{both((of) => medianText(of.medianMs, of.sameSite))}</td>
      <td>{both((of) => medianText(of.medianElsewhereMs, of.otherSite))}</td>
      <td>{both((of) => `${of.dropoutsAnswered}${of.medianToResponseMs === null ? '' : `, after ${durationText(of.medianToResponseMs)}`}`)}</td>
    </tr>
  );
}

function medianText(ms: number | null, ended: number): string {
  if (ms !== null) return durationText(ms);
  return ended === 0 ? '–' : 'not reached';
}

function Counts({ site, styles }: { readonly site: SiteAnalysis; readonly styles: RestorationPartProps['styles'] }): JSX.Element | null {
  const { responses, patterns } = site.restoration;
  if (site.dropouts.length === 0) return null;
  return (
    <dl className="details">
      <div><dt><SiteName siteKey={site.siteKey} styles={styles} /></dt><dd>of {countText(site.dropouts.length, 'dropout', 'dropouts')}</dd></div>
      <div><FigureTerm figure="done-during">Done during them</FigureTerm><dd>{responses.length === 0 ? 'nothing on record' : responses.map(({ kind, dropouts }) => `${kind} ${numberText(dropouts)}`).join(', ')}</dd></div>
      <div><FigureTerm figure="onset-patterns">Onset patterns</FigureTerm><dd>{patterns.length === 0 ? 'none holds' : patterns.map(({ pattern, dropouts }) => `${pattern} ${numberText(dropouts)}`).join(', ')}<span className="soft under">A dropout may count under several.</span></dd></div>
    </dl>
  );
}
