import { useEffect, useMemo, useState, type JSX } from 'react';
import type { AnalysisParameters } from '../../../../core/model/parameters.ts';
import type { PreparedCase } from '../../../../core/model/prepared-case.ts';
import { BLIND_KEY } from '../../../../core/model/site.ts';
import { applyDefinition, blindCurve, durationCurve, type DefinedCase, type DefinedSite, type DropoutDefinition } from '../../../../core/robustness/apply-definition.ts';
import { countText, numberText, plainNumberText, shareText } from '../../../format/number-text.ts';
import { createCaseClock, durationText, limitsText } from '../../../format/time-text.ts';
import { FigureHead } from '../../../help/figure-help.tsx';
import type { OpenCase } from '../../../state/open-case.ts';
import { useSession } from '../../../state/session.ts';
import { useStore } from '../../../state/store.ts';
import { assignSiteStyles, type LineStyle } from '../../../timeline/site-style.ts';
import { Button } from '../../../widgets/button.tsx';
import { Disclosure } from '../../../widgets/disclosure.tsx';
import { EmptyState, Waiting } from '../../../widgets/empty-state.tsx';
import { CheckField } from '../../../widgets/field.tsx';
import { Notice } from '../../../widgets/notice.tsx';
import { StepSlider } from '../../../widgets/step-slider.tsx';
import { siteText } from '../../case-view/case-facts.ts';
import { SiteName } from '../../case-view/site-mark.tsx';
import { compareLists, type ListedDropout } from './compare-lists.ts';
import { CurveChart, type SiteCurve } from './curve-chart.tsx';
import { DURATION_STEPS_S, LOOK_BACK_FACTORS, nearestStep } from './duration-steps.ts';

/** Returns the part of the definitions where one case is worked out again while a definition is dragged. */
export function TrialTab(): JSX.Element {
  const session = useSession();
  const caseState = useStore(session.cases);
  const trial = useStore(session.trial);
  const { draft } = useStore(session.definitions);
  const openKey = caseState.kind === 'open' ? caseState.openCase.caseKey : null;
  useEffect(() => {
    if (openKey !== null) void session.trial.prepare(openKey, draft);
  }, [session, openKey, draft]);

  if (caseState.kind !== 'open') {
    return (
      <EmptyState title="No case is open" actions={<Button look="primary" onClick={() => session.place.set('library')}>Go to the library</Button>}>
        <p>Open a case: its dropouts are then listed anew while you drag the definition, with the whole curve of count and time lost.</p>
      </EmptyState>
    );
  }
  if (trial.kind === 'failed') {
    return (
      <Notice tone="problem" live>
        <p>{trial.problem.message} {trial.problem.remedy ?? ''}</p>
        <div className="row"><Button onClick={() => void session.trial.prepare(caseState.openCase.caseKey, draft)}>Try again</Button></div>
      </Notice>
    );
  }
  if (trial.kind !== 'ready' || trial.caseKey !== openKey) return <Waiting>Preparing the case…</Waiting>;
  return <Trial key={trial.caseKey} openCase={caseState.openCase} prepared={trial.prepared} parameters={trial.parameters} />;
}

interface TrialProps {
  readonly openCase: OpenCase;
  readonly prepared: PreparedCase;
  readonly parameters: AnalysisParameters;
}

function inForceOf(parameters: AnalysisParameters): DropoutDefinition {
  return { minDurationS: parameters.minDurationS, bridgeS: parameters.bridgeS, lookBackFactor: 1, doubtfulLost: false };
}

function Trial({ openCase, prepared, parameters }: TrialProps): JSX.Element {
  const session = useSession();
  const [tried, setTried] = useState<DropoutDefinition>(() => inForceOf(parameters));
  const change = (part: Partial<DropoutDefinition>): void => setTried({ ...tried, ...part });
  const inForce = useMemo(() => linesOf(applyDefinition(prepared, inForceOf(parameters))), [prepared, parameters]);
  const lines = useMemo(() => linesOf(applyDefinition(prepared, tried)), [prepared, tried]);
  const curves = useMemo(
    () => {
      const definition = { ...tried, minDurationS: 0 };
      const ofSites = prepared.sites.map((site): SiteCurve => ({ siteKey: site.siteKey, points: durationCurve(prepared, site, definition, DURATION_STEPS_S) }));
      return ofSites.length > 1 ? [...ofSites, { siteKey: BLIND_KEY, points: blindCurve(prepared, definition, DURATION_STEPS_S) }] : ofSites;
    },
    // The curve has its own minimum durations, so dragging that one alone leaves it as it is.
    // eslint-disable-next-line react-hooks/exhaustive-deps
    [prepared, tried.bridgeS, tried.lookBackFactor, tried.doubtfulLost],
  );
  const styles = useMemo(() => new Map([...assignSiteStyles(prepared.sites), [BLIND_KEY, BLIND_STYLE]]), [prepared]);
  const listed = useMemo(() => compareLists(lines, inForce), [lines, inForce]);
  const isAsInForce = tried.minDurationS === parameters.minDurationS && tried.bridgeS === parameters.bridgeS && tried.lookBackFactor === 1 && !tried.doubtfulLost;

  const takeOver = (): void => {
    session.definitions.change(takenOver(tried, parameters));
    change({ lookBackFactor: 1 });
  };
  if (prepared.sites.length === 0) return <p>No SpO2 was recorded in this case, so there is nothing to define.</p>;
  return (
    <div className="definition-trial">
      <div className="trial-controls">
        <StepSlider
          label="Shortest loss that counts" steps={DURATION_STEPS_S} index={nearestStep(tried.minDurationS)} textOf={() => durationText(tried.minDurationS * 1000)}
          onIndex={(index) => change({ minDurationS: DURATION_STEPS_S[index] ?? tried.minDurationS })}
        />
        <StepSlider
          label="Losses parted by information shorter than this are one" steps={BRIDGES_S} index={Math.max(0, BRIDGES_S.findLastIndex((step) => step <= tried.bridgeS))}
          textOf={() => (tried.bridgeS === 0 ? 'not joined' : durationText(tried.bridgeS * 1000))} onIndex={(index) => change({ bridgeS: BRIDGES_S[index] ?? tried.bridgeS })}
        />
        <StepSlider
          label="Every look-back, multiplied by" steps={LOOK_BACK_FACTORS} index={Math.max(0, LOOK_BACK_FACTORS.findIndex((step) => step === tried.lookBackFactor))}
          textOf={(index) => `× ${plainNumberText(LOOK_BACK_FACTORS[index] ?? 1, 2)}`} onIndex={(index) => change({ lookBackFactor: LOOK_BACK_FACTORS[index] ?? 1 })}
        />
        <CheckField label="Doubtful values (weak, disputed) count as lost" checked={tried.doubtfulLost} onChange={(doubtfulLost) => change({ doubtfulLost })} />
        <div className="row">
          <Button disabled={isAsInForce} onClick={() => setTried(inForceOf(parameters))}>Back to the definition in force</Button>
          <Button disabled={tried.minDurationS === parameters.minDurationS && tried.bridgeS === parameters.bridgeS && tried.lookBackFactor === 1} onClick={takeOver}>
            Take over as definitions on trial
          </Button>
        </div>
        <p className="soft">
          What counts as a value, record gaps, bounds of the case and device hold stay as defined. Doubtful as lost is always shown as a second result and cannot be taken over. A finding that holds at one setting only is shown to do so:
          choose the definition before looking, and use this to say how much hangs on it.
        </p>
      </div>
      <div className="trial-result">
        <SitesTable lines={lines} inForce={inForce} styles={styles} />
        <CurveChart curves={curves} styles={styles} triedS={tried.minDurationS} inForceS={parameters.minDurationS} />
        <Disclosure summary="The curve as a table"><CurveTable curves={curves} /></Disclosure>
      </div>
      <DropoutTable listed={listed} openCase={openCase} styles={styles} />
    </div>
  );
}

/** Blind intervals are drawn like no site. */
const BLIND_STYLE: LineStyle = { color: 'ink', dashPx: [1, 3], marker: 'none', widthPx: 1.6 };

/** The sensors and, where there is more than one, the times without any: of a single sensor they are its dropouts. */
function linesOf({ sites, blind }: DefinedCase): readonly DefinedSite[] {
  return sites.length > 1 ? [...sites, blind] : sites;
}

const BRIDGES_S = [0, 2, 5, 10, 15, 20, 30, 45, 60, 90, 120] as const;

/** Returns the part of the parameters that makes the tried definition the one on trial everywhere. */
function takenOver(tried: DropoutDefinition, parameters: AnalysisParameters): Partial<AnalysisParameters> {
  const longer = (seconds: number): number => Math.round(seconds * tried.lookBackFactor);
  const all = (lookBacks: Readonly<Record<string, number>>): Record<string, number> => Object.fromEntries(Object.entries(lookBacks).map(([name, seconds]) => [name, longer(seconds)]));
  return {
    minDurationS: tried.minDurationS,
    bridgeS: tried.bridgeS,
    lookBackBolusS: all(parameters.lookBackBolusS),
    lookBackInfusionS: longer(parameters.lookBackInfusionS),
    lookBackPositionS: all(parameters.lookBackPositionS),
  };
}

type Styles = ReadonlyMap<string, LineStyle>;

function SitesTable({ lines, inForce, styles }: { readonly lines: readonly DefinedSite[]; readonly inForce: readonly DefinedSite[]; readonly styles: Styles }): JSX.Element {
  return (
    <table className="plain-table trial-sites">
      <caption className="visually-hidden">Figures of the tried definition beside those in force</caption>
      <thead>
        <tr><th scope="col">Site</th><FigureHead figure="dropouts" className="align-right">Dropouts</FigureHead><FigureHead figure="time-lost" className="align-right">Lost, mid</FigureHead><FigureHead figure="time-lost-limits">low to high</FigureHead><FigureHead figure="share-lost" className="align-right">Share</FigureHead><FigureHead figure="preceded-by" className="align-right">Preceded by an exposure</FigureHead></tr>
      </thead>
      <tbody aria-live="off">
        {lines.map((site) => {
          const other = inForce.find((one) => one.siteKey === site.siteKey);
          return (
            <tr key={site.siteKey}>
              <th scope="row"><SiteName siteKey={site.siteKey} styles={styles} /></th>
              <td className="align-right figure">{numberText(site.count)}<span className="under soft">in force {numberText(other?.count ?? null)}</span></td>
              <td className="align-right figure">{durationText(site.lostMs.mid)}<span className="under soft">in force {durationText(other?.lostMs.mid ?? null)}</span></td>
              <td className="figure">{limitsText(site.lostMs)}</td>
              <td className="align-right figure">{shareText(site.shareMid)}<span className="under soft">in force {shareText(other?.shareMid ?? null)}</span></td>
              <td className="align-right figure">{site.linked === null ? '–' : <>{numberText(site.linked.any)}<span className="under soft">certain {numberText(site.linked.certain)}; in force {numberText(other?.linked?.any ?? null)}</span></>}</td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}

function CurveTable({ curves }: { readonly curves: readonly SiteCurve[] }): JSX.Element {
  return (
    <table className="plain-table">
      <thead>
        <tr><th scope="col">Site</th><FigureHead figure="definition-curve" className="align-right">Shortest loss</FigureHead><FigureHead figure="dropouts" className="align-right">Dropouts</FigureHead><FigureHead figure="time-lost" className="align-right">Lost, mid</FigureHead><FigureHead figure="time-lost-limits">low to high</FigureHead><FigureHead figure="share-lost" className="align-right">Share</FigureHead><FigureHead figure="preceded-by" className="align-right">Preceded by an exposure</FigureHead></tr>
      </thead>
      <tbody>
        {curves.flatMap(({ siteKey, points }) => points.map((point) => (
          <tr key={`${siteKey} ${point.minDurationS}`}>
            <th scope="row">{siteText(siteKey)}</th>
            <td className="align-right figure">{durationText(point.minDurationS * 1000)}</td>
            <td className="align-right figure">{numberText(point.count)}</td>
            <td className="align-right figure">{durationText(point.lostMs.mid)}</td>
            <td className="figure">{limitsText(point.lostMs)}</td>
            <td className="align-right figure">{shareText(point.shareMid)}</td>
            <td className="align-right figure">{numberText(point.linked?.any ?? null)}</td>
          </tr>
        )))}
      </tbody>
    </table>
  );
}

/** More rows than this cost a hand its smoothness; the rest is one press away. */
const ROWS_SHOWN = 150;
const CHANGE_TEXT: Readonly<Record<ListedDropout['change'], string>> = { same: 'the same', changed: 'other limits', new: 'new', gone: 'gone' };

function DropoutTable({ listed, openCase, styles }: { readonly listed: readonly ListedDropout[]; readonly openCase: OpenCase; readonly styles: Styles }): JSX.Element {
  const clock = useMemo(() => createCaseClock(openCase.record.origin), [openCase.record]);
  const [showsAll, setShowsAll] = useState(false);
  const there = listed.filter(({ change }) => change !== 'gone');
  const blind = there.filter(({ siteKey }) => siteKey === BLIND_KEY).length;
  const rows = showsAll ? listed : listed.slice(0, ROWS_SHOWN);
  return (
    <section className="trial-list" aria-label="Dropouts of the tried definition">
      <h2>
        {countText(there.length - blind, 'dropout', 'dropouts')}{blind === 0 ? '' : ` and ${countText(blind, 'blind interval', 'blind intervals')}`}
        {listed.length === there.length ? null : <span className="soft">, and {numberText(listed.length - there.length)} more that only the definition in force has</span>}
      </h2>
      <table className="plain-table">
        <thead><tr><th scope="col">Site</th><FigureHead figure="onset">Onset</FigureHead><FigureHead figure="time-lost" className="align-right">Lost, mid</FigureHead><FigureHead figure="time-lost-limits">low to high</FigureHead><FigureHead figure="preceded-by" className="align-right">Exposures before</FigureHead><FigureHead figure="definition-effect">Against the definition in force</FigureHead></tr></thead>
        <tbody>
          {rows.map(({ siteKey, dropout, change }) => (
            <tr key={`${siteKey} ${dropout.firstLostMs} ${change}`} className={`trial-${change}`}>
              <th scope="row"><SiteName siteKey={siteKey} styles={styles} /></th>
              <td className="figure">{clock.clock(dropout.firstLostMs)}</td>
              <td className="align-right figure">{durationText(dropout.lostMs.mid)}{dropout.isOpen ? ', not restored' : ''}</td>
              <td className="figure">{limitsText(dropout.lostMs)}</td>
              <td className="align-right figure">{dropout.links === null ? '–' : numberText(dropout.links.certain + dropout.links.possible)}</td>
              <td>{CHANGE_TEXT[change]}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {listed.length > rows.length ? <Button look="quiet" onClick={() => setShowsAll(true)}>Show the other {numberText(listed.length - rows.length)}</Button> : null}
      <p className="association">A link in time is association. It does not show that a drug or a position caused a loss.</p>
    </section>
  );
}
