import type { JSX } from 'react';
import type { Interval } from '../../../core/base/interval.ts';
import type { BelowThreshold, CaseAnalysis, SiteAnalysis } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import { LOW_RUN_RULES, type BoundedShare, type FalseLowSigns, type Hypoxaemia } from '../../../core/model/hypoxaemia.ts';
import { countText, numberText, plainNumberText, saturationText, shareText } from '../../format/number-text.ts';
import { durationText, type CaseClock } from '../../format/time-text.ts';
import { FigureHead, FigureHelp, FigureTerm } from '../../help/figure-help.tsx';
import type { LineStyle } from '../../timeline/site-style.ts';
import { Button } from '../../widgets/button.tsx';
import { matchedText, pointsText, signsText } from './evidence-words.ts';
import { HowWorkedOut } from './explanations.tsx';
import { SiteName } from './site-mark.tsx';

export interface LowSpo2PartProps {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
  readonly clock: CaseClock;
  readonly styles: ReadonlyMap<string, LineStyle>;
  /** Brings a time into the timeline. */
  readonly onShow: (interval: Interval) => void;
  readonly onSelectDropout: (dropoutId: string) => void;
}

/** Returns what is known of low SpO2 at each site while there was information, with what the lost time could add. */
export function LowSpo2Part({ record, analysis, clock, styles, onShow, onSelectDropout }: LowSpo2PartProps): JSX.Element {
  const monitored = analysis.sites.filter((site) => site.monitored !== null);
  if (monitored.length === 0) return <p className="list-empty">No SpO2 was monitored in this record, so nothing can be said about low values.</p>;
  return (
    <div className="evidence-part">
      <p className="soft">While there was information. Accuracy of oximeters is stated for 70 to 100 %: lower values are low, not measured. A low value may be false.</p>
      {monitored.map((site) => (
        <section key={site.siteKey} aria-label={`Low SpO2, ${site.siteKey}`}>
          <h3><SiteName siteKey={site.siteKey} styles={styles} /></h3>
          <ThresholdTable site={site} />
          <Facts site={site} record={record} clock={clock} onShow={onShow} />
          <Runs site={site} record={record} clock={clock} onShow={onShow} />
          <Falls site={site} record={record} clock={clock} onShow={onShow} />
          <Changes site={site} clock={clock} onSelectDropout={onSelectDropout} />
        </section>
      ))}
      <HowWorkedOut names={['below', 'hypoxaemia', 'comparison', 'second', 'bound']} />
    </div>
  );
}

function areaText(areaPctS: number): string {
  return plainNumberText(areaPctS, areaPctS < 10 ? 1 : 0);
}

function ThresholdTable({ site }: { readonly site: SiteAnalysis }): JSX.Element {
  const second = (below: BelowThreshold): BelowThreshold | undefined => site.belowDoubtfulLost.find((other) => other.thresholdPct === below.thresholdPct);
  return (
    <table className="plain-table evidence-table">
      <caption className="caption-left soft">As seen, which is the least it can have been; at most: had all the lost time been below (area: at the floor of the definitions).</caption>
      <thead>
        <tr>
          <th scope="col">Below</th>
          <FigureHead figure="time-below" className="align-right">Time seen</FigureHead>
          <FigureHead figure="time-below-at-most" className="align-right">at most</FigureHead>
          <FigureHead figure="area-below" className="align-right">Area seen, %·s</FigureHead>
          <FigureHead figure="area-below-at-most" className="align-right">at most, %·s</FigureHead>
        </tr>
      </thead>
      <tbody>
        {site.below.map((below) => (
          <tr key={below.thresholdPct}>
            <th scope="row">{numberText(below.thresholdPct)}&nbsp;%<span className="soft under">doubtful as lost</span></th>
            <Two first={durationText(below.observedMs)} second={second(below)} text={(other) => durationText(other.observedMs)} />
            <Two first={durationText(below.highMs)} second={second(below)} text={(other) => durationText(other.highMs)} />
            <Two first={areaText(below.areaPctS)} second={second(below)} text={(other) => areaText(other.areaPctS)} />
            <Two first={areaText(below.areaHighPctS)} second={second(below)} text={(other) => areaText(other.areaHighPctS)} />
          </tr>
        ))}
      </tbody>
    </table>
  );
}

interface TwoProps {
  readonly first: string;
  readonly second: BelowThreshold | undefined;
  readonly text: (below: BelowThreshold) => string;
}

/** A figure of the first result over that of the second. */
function Two({ first, second, text }: TwoProps): JSX.Element {
  return <td className="align-right"><span className="figure">{first}</span><span className="soft under figure">{second === undefined ? '–' : text(second)}</span></td>;
}

interface PartProps {
  readonly site: SiteAnalysis;
  readonly record: CaseRecord;
  readonly clock: CaseClock;
  readonly onShow: (interval: Interval) => void;
}

function Facts({ site, record, clock, onShow }: PartProps): JSX.Element {
  const { hypoxaemia, hypoxaemiaDoubtfulLost: second } = site;
  return (
    <dl className="details">
      <div>
        <FigureTerm figure="lowest-spo2">Lowest</FigureTerm>
        <dd>
          <Lowest of={hypoxaemia} record={record} clock={clock} onShow={onShow} />
          <span className="soft under">doubtful as lost: {second.lowest === null ? 'none' : `${saturationText(second.lowest.pct)} at ${clock.clock(second.lowest.atMs)}`}. A loss may hide a lower one.</span>
        </dd>
      </div>
      <div>
        <FigureTerm figure="mean-spo2">Mean</FigureTerm>
        <dd>{hypoxaemia.meanPct === null ? '–' : `${numberText(hypoxaemia.meanPct, 1)} %`} over {durationText(hypoxaemia.observedMs)} of information <span className="soft">(doubtful as lost: {second.meanPct === null ? '–' : `${numberText(second.meanPct, 1)} %`})</span></dd>
      </div>
      <div>
        <FigureTerm figure="t90">T90, share below 90 %</FigureTerm>
        <dd>{sharesText(hypoxaemia.t90)}<span className="soft under">doubtful as lost: {sharesText(second.t90)}</span></dd>
      </div>
    </dl>
  );
}

function sharesText({ observed, low, high }: BoundedShare): string {
  if (observed === null) return 'nothing was seen';
  return `${shareText(observed)} of what was seen; ${shareText(low)} to ${shareText(high)} of the monitored time, had all the rest been above, or below`;
}

function Lowest({ of, record, clock, onShow }: { readonly of: Hypoxaemia } & Omit<PartProps, 'site'>): JSX.Element {
  const { lowest } = of;
  if (lowest === null) return <>no value</>;
  return <><span className="figure">{saturationText(lowest.pct)}</span> at <ShowTime startMs={lowest.atMs} endMs={lowest.atMs} clock={clock} onShow={onShow} /><Signs signs={lowest} record={record} clock={clock} /></>;
}

function Signs({ signs, record, clock }: { readonly signs: FalseLowSigns; readonly record: CaseRecord; readonly clock: CaseClock }): JSX.Element | null {
  const text = signsText(signs, record, clock);
  return text === null ? null : <span className="false-low under">{text}</span>;
}

function ShowTime({ startMs, endMs, clock, onShow }: { readonly startMs: number; readonly endMs: number; readonly clock: CaseClock; readonly onShow: PartProps['onShow'] }): JSX.Element {
  return <Button look="link" title="Show in the timeline" onClick={() => onShow({ startMs, endMs })}>{clock.clock(startMs)}</Button>;
}

function Runs({ site, record, clock, onShow }: PartProps): JSX.Element {
  const { lowRuns } = site.hypoxaemia;
  return (
    <>
      <h4 data-figures>Low for 2 min or more<FigureHelp figure="low-run" /></h4>
      {LOW_RUN_RULES.map((rule) => {
        const runs = lowRuns.filter((run) => run.rule === rule.name);
        const second = site.hypoxaemiaDoubtfulLost.lowRuns.filter((run) => run.rule === rule.name).length;
        return (
          <div key={rule.name} className="evidence-runs">
            <p title={rule.source}>
              {rule.atLimit ? `${rule.limitPct} % or below` : `Below ${rule.limitPct} %`}: {countText(runs.length, 'run', 'runs')} <span className="soft">(doubtful as lost: {numberText(second)})</span>
            </p>
            {runs.length === 0 ? null : (
              <ul>
                {runs.map((run) => (
                  <li key={run.startMs}>
                    <ShowTime startMs={run.startMs} endMs={run.endMs} clock={clock} onShow={onShow} />, {durationText(run.lastedMs)}, lowest {saturationText(run.lowestPct)}
                    <Signs signs={run} record={record} clock={clock} />
                  </li>
                ))}
              </ul>
            )}
          </div>
        );
      })}
    </>
  );
}

function Falls({ site, record, clock, onShow }: PartProps): JSX.Element {
  const { desaturations } = site.hypoxaemia;
  const second = site.hypoxaemiaDoubtfulLost.desaturations.length;
  return (
    <>
      <h4 data-figures>Desaturations: {numberText(desaturations.length)} <span className="soft">(doubtful as lost: {numberText(second)})</span><FigureHelp figure="desaturation" /></h4>
      {desaturations.length === 0 ? null : (
        <table className="plain-table evidence-table">
          <thead><tr><th scope="col">From</th><FigureHead figure="desaturation">Lasted</FigureHead><FigureHead figure="desaturation">Baseline → lowest</FigureHead><FigureHead figure="desaturation">Ended by</FigureHead></tr></thead>
          <tbody>
            {desaturations.map((fall) => (
              <tr key={fall.startMs}>
                <th scope="row"><ShowTime startMs={fall.startMs} endMs={fall.endMs} clock={clock} onShow={onShow} /></th>
                <td className="figure">{durationText(fall.endMs - fall.startMs)}</td>
                <td><span className="figure">{saturationText(fall.baselinePct)} → {saturationText(fall.lowestPct)}</span><Signs signs={fall} record={record} clock={clock} /></td>
                <td>{fall.endedBy}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </>
  );
}

function Changes({ site, clock, onSelectDropout }: { readonly site: SiteAnalysis; readonly clock: CaseClock; readonly onSelectDropout: (dropoutId: string) => void }): JSX.Element | null {
  if (site.dropouts.length === 0) return null;
  return (
    <>
      <h4>Change over each dropout, against matched intervals of this case</h4>
      <table className="plain-table evidence-table">
        <thead><tr><FigureHead figure="dropout-number">No.</FigureHead><FigureHead figure="onset">Onset</FigureHead><FigureHead figure="change-over-gap" className="align-right">Points</FigureHead><FigureHead figure="matched-intervals">Where nothing was lost</FigureHead></tr></thead>
        <tbody>
          {site.dropouts.map((dropout) => (
            <tr key={dropout.dropoutId}>
              <th scope="row"><Button look="link" aria-label={`Dropout ${dropout.number}, ${site.siteKey}`} onClick={() => onSelectDropout(dropout.dropoutId)}>{dropout.number}</Button></th>
              <td className="figure">{clock.clock(dropout.firstLostMs)}</td>
              <td className="align-right figure">{dropout.spo2After === null ? '–' : pointsText(dropout.spo2After - dropout.spo2Before)}</td>
              <td>{dropout.returnComparison === null ? (dropout.spo2After === null ? 'nothing came back' : 'no interval as long to compare with') : matchedText(dropout.returnComparison)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </>
  );
}
