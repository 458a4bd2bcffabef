import { useCallback, useEffect, useMemo, useState, useSyncExternalStore, type JSX } from 'react';
import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { PairDetail, PairSwing, SiteDetail } from '../../../core/model/site-detail.ts';
import type { SitePair } from '../../../core/model/site-comparison.ts';
import { numberText, saturationText } from '../../format/number-text.ts';
import { apartText, lagFigureText, lagSentence, pairCautionText, pointsText } from '../../format/site-text.ts';
import { createCaseClock, durationText, type CaseClock } from '../../format/time-text.ts';
import { FigureHead, FigureHelp } from '../../help/figure-help.tsx';
import type { OpenCase } from '../../state/open-case.ts';
import { useStore } from '../../state/store.ts';
import type { ThemeName } from '../../state/theme.ts';
import type { LineStyle } from '../../timeline/site-style.ts';
import { createWallClock } from '../../timeline/ticks.ts';
import { Button } from '../../widgets/button.tsx';
import { DataGrid, type GridColumn } from '../../widgets/data-grid.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';
import { EmptyState, Waiting } from '../../widgets/empty-state.tsx';
import { CheckField, NumberField, SelectField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { HowWorkedOut, SITE_EXPLANATIONS } from '../case-view/explanations.tsx';
import { stylesOf } from '../case-view/site-mark.tsx';
import { CoverageMatrix } from './coverage-matrix.tsx';
import { DifferencePlot } from './difference-plot.tsx';
import { OverlayPlot, ZOOM_STEP } from './overlay-plot.tsx';
import { CoverageTable, DifferenceTable, LagTable, perfusionRatioText } from './pair-figures.tsx';
import { CourseTable, SignalTable } from './signal-table.tsx';
import { StretchesTable } from './stretches-table.tsx';
import { ValuesTable } from './values-table.tsx';
import './case-sites.css';

/** Time shown on either side of a chosen fall or rise. */
const AROUND_SWING_MS = 90_000;

/** Returns the part of the case screen that sets its sensors against each other. */
export function CaseSites({ openCase, themeName }: { readonly openCase: OpenCase; readonly themeName: ThemeName }): JSX.Element {
  const analysis = useStore(openCase.analysis);
  const state = useStore(openCase.siteDetail);
  const { siteDetail } = openCase;
  const { parameters } = analysis;
  useEffect(() => {
    void siteDetail.load(parameters);
  }, [siteDetail, parameters]);
  switch (state.kind) {
    case 'none':
    case 'loading':
      return <div className="case-sites"><Waiting>Comparing the sites of this case…</Waiting></div>;
    case 'failed':
      return (
        <div className="case-sites">
          <Notice tone="problem" title="The sites of this case could not be compared." live>
            <p>{state.problem.message} {state.problem.remedy ?? ''}</p>
            <Button onClick={() => void siteDetail.load(parameters)}>Try again</Button>
          </Notice>
        </div>
      );
    case 'ready':
      return <Compared openCase={openCase} analysis={analysis} detail={state.detail} themeName={themeName} />;
  }
}

interface ComparedProps {
  readonly openCase: OpenCase;
  readonly analysis: CaseAnalysis;
  readonly detail: SiteDetail;
  readonly themeName: ThemeName;
}

function Compared({ openCase, analysis, detail, themeName }: ComparedProps): JSX.Element {
  const { record, viewport } = openCase;
  const clock = useMemo(() => createCaseClock(record.origin), [record]);
  const wall = useMemo(() => createWallClock(record.origin), [record]);
  const styles = useMemo(() => stylesOf(analysis.sites), [analysis.sites]);
  const window = useSyncExternalStore(viewport.subscribe, viewport.get);
  const [chosenKey, setChosenKey] = useState<string | null>(null);
  const keyOf = (pair: { readonly firstKey: string; readonly secondKey: string }): string => `${pair.firstKey}\n${pair.secondKey}`;
  const pair = analysis.pairs.find((one) => keyOf(one) === chosenKey) ?? analysis.pairs.find((one) => one.sharedMs > 0) ?? analysis.pairs[0] ?? null;
  const pairDetail = pair === null ? null : (detail.pairs.find((one) => keyOf(one) === keyOf(pair)) ?? null);

  return (
    <div className="case-sites">
      {analysis.pairs.length > 1 && pair !== null ? (
        <SelectField
          label="Which two sites" value={keyOf(pair)} onChange={setChosenKey}
          choices={analysis.pairs.map((one) => ({ value: keyOf(one), label: `${siteText(one.firstKey)} and ${siteText(one.secondKey)}${one.sharedMs > 0 ? '' : ' (one after the other)'}` }))}
        />
      ) : null}
      {pair === null ? <OneSite analysis={analysis} /> : <Cautions pair={pair} analysis={analysis} />}
      {detail.sensors.length === 0 ? null : (
        <section aria-label="Coverage over time">
          <h2>Coverage over time</h2>
          <CoverageMatrix detail={detail} pair={pairDetail} window={window} styles={styles} wall={wall} />
          {pair === null || pair.sharedMs === 0 ? null : <CoverageTable pair={pair} />}
          <Disclosure summary="Stretches of time as a table"><StretchesTable detail={detail} pair={pairDetail} clock={clock} /></Disclosure>
        </section>
      )}
      {pair === null || pairDetail === null || pair.sharedMs === 0 ? null : (
        <>
          <Overlaid key={keyOf(pair)} openCase={openCase} analysis={analysis} pair={pair} detail={pairDetail} styles={styles} clock={clock} themeName={themeName} />
          <section aria-label="Differences of paired values">
            <h2>Differences of paired values</h2>
            <DifferenceTable pair={pair} detail={pairDetail} />
            <p className="soft cs-prose">
              Neither sensor is a reference: these are differences, not errors, and say nothing of accuracy. The limits (bias ± 1.96 SD) hold for the pairs of this case;
              limits for other patients need several cases, with the case as the unit: choose cases in the library and go to Sites.
            </p>
            {pairDetail.differences.length === 0 ? <p>There is no stable stretch that both sensors share, so there is no difference plot.</p> : (
              <>
                <DifferencePlot pair={pairDetail} bias={pair.stablePairs?.bias ?? null} />
                <Disclosure summary={`The ${numberText(pairDetail.differences.length)} stable pairs as a table`}>
                  <table className="plain-table">
                    <caption className="visually-hidden">Stable pairs</caption>
                    <thead><tr><th scope="col">At</th><FigureHead figure="site-differences" className="align-right">Mean, %</FigureHead><FigureHead figure="site-differences" className="align-right">Difference, points</FigureHead></tr></thead>
                    <tbody>
                      {pairDetail.differences.map((point) => (
                        <tr key={point.atMs}><th scope="row" className="figure">{clock.clock(point.atMs)}</th><td className="align-right figure">{numberText(point.mean, 1)}</td><td className="align-right figure">{pointsText(point.difference)}</td></tr>
                      ))}
                    </tbody>
                  </table>
                </Disclosure>
              </>
            )}
          </section>
        </>
      )}
      {analysis.sites.some((site) => site.monitored !== null) ? (
        <section aria-label="Strength and steadiness of the signal">
          <h2>Strength and steadiness of the signal</h2>
          <SignalTable sites={analysis.sites} parameters={analysis.parameters} styles={styles} />
          {pair === null ? null : <p>{perfusionRatioText(pair)} <FigureHelp figure="perfusion-ratio" /></p>}
          <p className="soft cs-prose">
            The perfusion index is not comparable between makes of oximeter, and hardly between devices: compare sites within this case, and only where one make served both.
            Short losses and doubtful runs are what movement and interference cost as far as the record shows it; a long recording interval hides most of it.
          </p>
          <Disclosure summary="Course of the perfusion index as a table"><div className="cs-tables"><CourseTable sites={analysis.sites} styles={styles} clockOf={clock.shortClock} /></div></Disclosure>
        </section>
      ) : null}
      <HowWorkedOut names={SITE_EXPLANATIONS} />
    </div>
  );
}

function OneSite({ analysis }: { readonly analysis: CaseAnalysis }): JSX.Element {
  const monitored = analysis.sites.filter((site) => site.monitored !== null);
  const only = monitored[0];
  return (
    <EmptyState title={only === undefined ? 'No sensor of this case was monitored' : `Only one sensor was monitored in this case: ${siteText(only.siteKey)}`}>
      <p>
        A comparison needs two sensors worn at the same time on one patient, each with its own SpO2 in the export: a column for each, or one column with the site beside each value.
        If the second sensor is in another file, import both files into one case; if its column was not recognised, say so in the import report.
      </p>
      {analysis.sites.filter((site) => site.monitored === null).map((site) => <p key={site.siteKey}>{siteText(site.siteKey)}: not monitored, {site.notMonitoredReason ?? 'no good value'}.</p>)}
    </EmptyState>
  );
}

function Cautions({ pair, analysis }: { readonly pair: SitePair; readonly analysis: CaseAnalysis }): JSX.Element {
  return (
    <div className="cs-cautions">
      <p className="cs-prose">
        Only sensors worn at the same time, or assigned at random, answer which site gives more.
        {pair.bypassMs > 0 ? ` The ${durationText(pair.bypassMs)} on bypass ${analysis.parameters.keepBypass ? 'are kept in, as the definitions say' : 'are left out: every site fails then'}.` : ' Time on bypass would be left out.'}
      </p>
      {pair.cautions.map((caution) => <Notice key={caution} tone="caution"><p>{pairCautionText(caution)}</p></Notice>)}
    </div>
  );
}

interface OverlaidProps {
  readonly openCase: OpenCase;
  readonly analysis: CaseAnalysis;
  readonly pair: SitePair;
  readonly detail: PairDetail;
  readonly styles: ReadonlyMap<string, LineStyle>;
  readonly clock: CaseClock;
  readonly themeName: ThemeName;
}

function Overlaid({ openCase, analysis, pair, detail, styles, clock, themeName }: OverlaidProps): JSX.Element {
  const { record, viewport } = openCase;
  const wall = useMemo(() => createWallClock(record.origin), [record]);
  /** What makes the curves coincide: a sensor that comes later is moved earlier. */
  const coincideS = pair.lag === null ? 0 : -Math.round(pair.lag.lagMs / 100) / 10;
  const [isShifted, setIsShifted] = useState(false);
  const [movedS, setMovedS] = useState(coincideS);
  const [chosenSwing, setChosenSwing] = useState<number | null>(null);
  const [first, second] = [siteText(pair.firstKey), siteText(pair.secondKey)];
  const mostS = analysis.parameters.lagMaxS;
  const siteKeys = useMemo(() => [pair.firstKey, pair.secondKey], [pair.firstKey, pair.secondKey]);
  const choose = useCallback((index: number): void => {
    setChosenSwing(index);
    const swing = detail.swings[index];
    if (swing === undefined) return;
    const lagMs = swing.lag?.lagMs ?? 0;
    viewport.show({ startMs: Math.min(swing.fromMs, swing.fromMs + lagMs), endMs: Math.max(swing.toMs, swing.toMs + lagMs) }, AROUND_SWING_MS);
  }, [detail, viewport]);
  const chooseInSight = useCallback((index: number): void => setChosenSwing(index), []);
  const middle = (): number => {
    const { startMs, endMs } = viewport.get();
    return (startMs + endMs) / 2;
  };
  return (
    <section aria-label="SpO2 at both sites">
      <h2>SpO2 at both sites</h2>
      <p className="cs-prose">{pair.lag === null ? `No lag can be given: ${pair.noLagReason ?? 'none fits'}` : `Over ${pair.lag.swings === 1 ? 'one fall or rise' : `${numberText(pair.lag.swings)} falls and rises`}, ${lagSentence(pair.lag, first, second)}.`}</p>
      <div className="cs-controls">
        <div className="row">
          <Button onClick={() => viewport.zoomAt(middle(), ZOOM_STEP)}>Less time</Button>
          <Button onClick={() => viewport.zoomAt(middle(), 1 / ZOOM_STEP)}>More time</Button>
          <Button onClick={() => viewport.fit()}>Whole case</Button>
        </div>
        <div className="cs-shift">
          <CheckField label={`Show the ${second} shifted, to see the curves coincide`} checked={isShifted} onChange={setIsShifted} />
          {isShifted ? (
            <>
              <NumberField label="Moved by (minus: earlier)" help={<FigureHelp figure="site-lag" />} value={movedS} unit="s" min={-mostS} max={mostS} onChange={setMovedS} />
              {pair.lag === null || movedS === coincideS ? null : <Button onClick={() => setMovedS(coincideS)}>Move by the lag again</Button>}
              <Notice tone="note"><p>The {second} is not where it was recorded: it is drawn {apartText(movedS * 1000)} {movedS < 0 ? 'earlier' : 'later'}.</p></Notice>
            </>
          ) : null}
        </div>
      </div>
      <OverlayPlot
        record={record} analysis={analysis} pair={detail} viewport={viewport} styles={styles} themeName={themeName} wall={wall}
        shiftMs={isShifted ? -movedS * 1000 : 0} chosenSwing={chosenSwing} onChooseSwing={chooseInSight}
      />
      <p className="soft">
        ▽ marks a fall and △ a rise of at least {numberText(analysis.parameters.lagSwingPoints)} points, half way, at the {first} and, moved by its own lag, at the {second}; the number is the time between.
        <span className="only-screen">Drag to move, hold Ctrl and turn the wheel to zoom.</span>
      </p>
      <Disclosure summary="Values as a table"><ValuesTable record={record} analysis={analysis} siteKeys={siteKeys} viewport={viewport} clock={clock} /></Disclosure>
      <div className="cs-beside">
        {pair.lag === null ? null : <div className="cs-lags"><LagTable pair={pair} /></div>}
        <div className="cs-swings">
          {detail.swings.length === 0 ? <p>SpO2 at the {first} never fell or rose by {numberText(analysis.parameters.lagSwingPoints)} points.</p> : (
            <DataGrid
              label="Falls and rises" columns={swingColumns(clock, first, second)} rows={detail.swings.map((swing, index) => ({ swing, index }))} rowKey={({ index }) => String(index)}
              selectedKey={chosenSwing === null ? null : String(chosenSwing)} onSelect={({ index }) => choose(index)}
            />
          )}
        </div>
      </div>
    </section>
  );
}

function swingColumns(clock: CaseClock, first: string, second: string): GridColumn<{ readonly swing: PairSwing; readonly index: number }>[] {
  return [
    { id: 'what', header: 'What', help: <FigureHelp figure="lag-of-a-swing" />, cell: ({ swing }) => (swing.direction === 'fall' ? '▽ fall' : '△ rise') },
    { id: 'from', header: `At the ${first}, from`, help: <FigureHelp figure="lag-of-a-swing" />, cell: ({ swing }) => <span className="figure">{clock.clock(swing.fromMs)}</span> },
    { id: 'to', header: 'to', help: <FigureHelp figure="lag-of-a-swing" />, cell: ({ swing }) => <span className="figure">{clock.clock(swing.toMs)}</span> },
    { id: 'values', header: 'SpO2', help: <FigureHelp figure="lag-of-a-swing" />, cell: ({ swing }) => <span className="figure">{saturationText(swing.fromPct)} → {saturationText(swing.toPct)}</span> },
    { id: 'lag', header: 'Which first (uncertainty)', help: <FigureHelp figure="lag-of-a-swing" />, cell: ({ swing }) => (swing.lag === null ? <span className="soft">by itself it tells none</span> : lagFigureText(swing.lag, first, second)) },
  ];
}
