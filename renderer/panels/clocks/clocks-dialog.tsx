import { useEffect, useMemo, useRef, useState, type JSX } from 'react';
import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import type { ClockComparison } from '../../../core/model/clock-comparison.ts';
import { MAX_CLOCK_OFFSET_S } from '../../../core/model/mapping.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { clockOffsetText, durationText } from '../../format/time-text.ts';
import { FigureHead, FigureHelp } from '../../help/figure-help.tsx';
import { createCaseClocks, type CaseClocks } from '../../state/case-clocks.ts';
import type { OpenCase } from '../../state/open-case.ts';
import { useSession } from '../../state/session.ts';
import { underName } from '../../state/under-name.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';
import { NumberField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { compareAnalyses, countLinks, type EffectSide } from '../definitions/effect.ts';
import { AgreementPicture } from './agreement-picture.tsx';
import { clockKindText, evidenceRows, evidenceTitle, setOffsetText, signedSecondsText, verdictText, zoneText } from './clock-text.ts';
import './clocks.css';

export interface ClocksDialogProps {
  readonly openCase: OpenCase;
  readonly onClose: () => void;
}

/** Returns the clocks of a case's files: what the data say of them, and setting one, seen before and taken back at will. */
export function ClocksDialog({ openCase, onClose }: ClocksDialogProps): JSX.Element {
  const session = useSession();
  const { caseKey, record } = openCase;
  const clocks = useMemo(() => createCaseClocks(underName(session.host, () => session.preferences.get().reader), caseKey), [session, caseKey]);
  const looking = useStore(clocks.looking);
  const [chosen, setChosen] = useState<number | null>(null);
  // The record is another one after every change: the data are asked again.
  useEffect(() => {
    void clocks.look();
    return clocks.dispose;
  }, [clocks, record]);
  const comparisons = looking.kind === 'ready' ? looking.comparisons : [];
  const comparisonOf = (sourceIndex: number): ClockComparison | null => comparisons.find((comparison) => comparison.sourceIndex === sourceIndex) ?? null;
  const source = chosen === null ? undefined : record.sources[chosen];

  return (
    <Dialog title={`Clocks of ${record.caseId}`} onClose={onClose} width="wide">
      <p>
        Monitor, record keeper and pump each have a clock, and they differ by seconds to minutes. Where two disagree, an entry stands too early or too late beside the trends, and a link may be wrong.
        Here the clock of a whole file is set. Nothing is set by itself, and every setting can be taken back.
      </p>
      {record.parts === undefined ? (
        <Notice tone="caution" title="The clocks of this case can no longer be set.">
          <p>It was stored by an earlier version of the program, which did not keep what is needed. Import its files again; then its clocks can be set here.</p>
        </Notice>
      ) : null}
      {looking.kind === 'failed' ? <Notice tone="problem" live><p>{looking.problem.message} {looking.problem.remedy ?? ''}</p><Button onClick={() => void clocks.look()}>Try again</Button></Notice> : null}
      <table className="plain-table" aria-label="Files and their clocks">
        <thead>
          <tr><th scope="col">File</th><th scope="col">Its times</th><FigureHead figure="clock-of-a-file">Zone</FigureHead><FigureHead figure="clock-of-a-file">Clock as set</FigureHead><FigureHead figure="clock-offset">What the data say</FigureHead><th scope="col"><span className="visually-hidden">Set</span></th></tr>
        </thead>
        <tbody>
          {record.sources.map((own, index) => {
            const part = record.parts?.[index];
            const comparison = comparisonOf(index);
            const isMovable = part !== undefined && part.clock !== null;
            return (
              <tr key={`${own.name} ${index}`} className={index === chosen ? 'clock-chosen' : undefined}>
                <th scope="row">{own.name} <span className="soft">({own.kind})</span></th>
                <td>{clockKindText(part)}</td>
                <td>{zoneText(part, record.origin)}</td>
                <td>{setOffsetText(own)}</td>
                <td>{looking.kind === 'working' ? 'being compared…' : looking.kind === 'failed' ? 'not compared' : comparison === null ? (isMovable ? 'the others are held against it' : '–') : verdictText(comparison)}</td>
                <td>{isMovable ? <Button aria-pressed={index === chosen} aria-label={`${index === chosen ? 'Close' : 'Look'}: clock of ${own.name}`} onClick={() => setChosen(index === chosen ? null : index)}>{index === chosen ? 'Close' : 'Look'}</Button> : null}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
      <p className="soft" role="status">{looking.kind === 'working' ? 'The files are being compared…' : looking.kind === 'ready' && comparisons.length === 0 && record.parts !== undefined ? 'Only one file of this case has times: there is nothing to compare its clock with.' : ''}</p>
      {chosen !== null && source !== undefined ? (
        <ChosenClock key={`${chosen} ${source.clockOffsetMs} ${comparisonOf(chosen)?.offsetMs ?? 0}`} openCase={openCase} clocks={clocks} sourceIndex={chosen} comparisons={comparisons} />
      ) : null}
    </Dialog>
  );
}

interface ChosenClockProps {
  readonly openCase: OpenCase;
  readonly clocks: CaseClocks;
  readonly sourceIndex: number;
  readonly comparisons: readonly ClockComparison[];
}

function ChosenClock({ openCase, clocks, sourceIndex, comparisons }: ChosenClockProps): JSX.Element | null {
  const comparison = comparisons.find((own) => own.sourceIndex === sourceIndex) ?? null;
  const session = useSession();
  const setting = useStore(clocks.setting);
  const looking = useStore(clocks.looking);
  const { record } = openCase;
  const source = record.sources[sourceIndex];
  const presentMs = source?.clockOffsetMs ?? 0;
  const [offsetMs, setOffsetMs] = useState(comparison?.offsetMs ?? presentMs);
  const [isTypedUsable, setIsTypedUsable] = useState(true);
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    heading.current?.focus();
    return clocks.forgetTrial;
  }, [clocks]);
  if (source === undefined) return null;

  const set = async (nextMs: number, isProposal: boolean): Promise<void> => {
    if (!(await clocks.set(sourceIndex, nextMs, isProposal))) return;
    await session.reloadCase();
    session.messages.add('note', `${source.name}: ${clockOffsetText(nextMs)}. The case was analysed anew.`);
  };
  const isWorking = setting.kind === 'working';
  const proposedMs = comparison?.verdict === 'proposed' ? comparison.offsetMs : null;
  const [best, ...others] = comparison?.evidence ?? [];
  // Files written by one device have one clock: what is known of the one may be taken for the other.
  const fromOthers = record.sources.flatMap(({ name, clockOffsetMs }, index) => {
    const ms = clockOffsetMs !== 0 ? clockOffsetMs : (comparisons.find((own) => own.sourceIndex === index)?.offsetMs ?? 0);
    return index === sourceIndex || ms === 0 || ms === offsetMs || comparison?.verdict !== 'cannot be told' ? [] : [{ name, ms }];
  });
  return (
    <section className="clock-choice" aria-label={`The clock of ${source.name}`}>
      <h3 ref={heading} tabIndex={-1}>{source.name}</h3>
      <p>{looking.kind === 'working' ? 'The files are being compared…' : looking.kind === 'failed' ? 'The files could not be compared, so the data say nothing of this clock yet.' : comparison === null ? `The other files are held against ${source.name}, because it has the most SpO2 values. Its own clock may be the wrong one all the same: set it here if you know that it is.` : comparison.words}</p>
      {best === undefined ? null : <Evidence evidence={best} presentMs={presentMs} />}
      {others.length === 0 ? null : (
        <Disclosure summary="What else was compared">
          {others.map((evidence, index) => <Evidence key={index} evidence={evidence} presentMs={presentMs} />)}
        </Disclosure>
      )}
      <div className="clock-actions">
        <NumberField
          label="Seconds added to its times" help={<FigureHelp figure="clock-offset" />} unit="s" min={-MAX_CLOCK_OFFSET_S} max={MAX_CLOCK_OFFSET_S} value={offsetMs / 1000}
          hint={!isTypedUsable ? undefined : `${offsetMs === presentMs ? 'As it is set now' : 'Not set yet'}: ${clockOffsetText(offsetMs)}.`}
          onChange={(seconds) => {
            clocks.forgetTrial();
            setOffsetMs(Math.round(seconds * 1000));
          }}
          onUsable={setIsTypedUsable}
        />
        {fromOthers.map(({ name, ms }) => (
          <Button key={name} look="link" onClick={() => {
            setOffsetMs(ms);
            setIsTypedUsable(true);
          }}>Take {signedSecondsText(ms)}, as for {name}: the same device wrote both</Button>
        ))}
      </div>
      <div className="clock-actions">
        {proposedMs === null ? null : <Button look="primary" disabled={isWorking} onClick={() => void set(proposedMs, true)}>Accept the proposal, {signedSecondsText(proposedMs)}</Button>}
        <Button disabled={isWorking || !isTypedUsable || offsetMs === presentMs} onClick={() => void set(offsetMs, false)}>Set {isTypedUsable ? signedSecondsText(offsetMs) : 'what is typed'} by hand</Button>
        <Button disabled={isWorking || presentMs === 0} onClick={() => void set(0, false)}>Back to the file’s own clock</Button>
        <Button disabled={isWorking || !isTypedUsable || offsetMs === presentMs} onClick={() => void clocks.ask(sourceIndex, offsetMs)}>Show what {isTypedUsable ? signedSecondsText(offsetMs) : 'it'} would change</Button>
      </div>
      <p role="status">{isWorking ? 'Setting the clock and analysing the case…' : ''}</p>
      {setting.kind === 'failed' ? <Notice tone="problem" live><p>{setting.problem.message} {setting.problem.remedy ?? ''}</p></Notice> : null}
      <TrialEffect clocks={clocks} before={openCase.baseline.get()} record={record} />
    </section>
  );
}

function Evidence({ evidence, presentMs }: { readonly evidence: ClockComparison['evidence'][number]; readonly presentMs: number }): JSX.Element {
  return (
    <div>
      <h4>{evidenceTitle(evidence)}</h4>
      <div className="clock-evidence">
        <AgreementPicture evidence={evidence} presentMs={presentMs} />
        <table className="plain-table" aria-label={evidenceTitle(evidence)}>
          <tbody>{evidenceRows(evidence).map(([name, text]) => <tr key={name}><th scope="row">{name}</th><td>{text}</td></tr>)}</tbody>
        </table>
      </div>
    </div>
  );
}

function TrialEffect({ clocks, before, record }: { readonly clocks: CaseClocks; readonly before: CaseAnalysis; readonly record: CaseRecord }): JSX.Element | null {
  const trial = useStore(clocks.trial);
  switch (trial.kind) {
    case 'none':
      return null;
    case 'working':
      return <p role="status">Working out what {signedSecondsText(trial.offsetMs)} would change…</p>;
    case 'failed':
      return <Notice tone="problem" live><p>{trial.problem.message} {trial.problem.remedy ?? ''}</p></Notice>;
    case 'ready':
      return (
        <div role="status">
          <h4>What {signedSecondsText(trial.offsetMs)} on {record.sources[trial.sourceIndex]?.name ?? 'the file'} would change</h4>
          <table className="plain-table" aria-label="What the offset would change">
            <thead><tr><th scope="col">Counted</th><FigureHead figure="clock-effect">As it is</FigureHead><FigureHead figure="clock-effect">With the offset</FigureHead></tr></thead>
            <tbody>
              {compareAnalyses(before, trial.analysis).map((row) => (
                <tr key={row.siteKey}><th scope="row">{row.siteKey === 'case' ? 'no site (blind)' : siteText(row.siteKey)}</th><td>{sideText(row.before)}</td><td>{sideText(row.after)}</td></tr>
              ))}
              <tr><th scope="row">links to what preceded a dropout</th><td>{numberText(countLinks(before))}</td><td>{numberText(countLinks(trial.analysis))}</td></tr>
              <tr><th scope="row">exposures that a dropout followed</th><td>{numberText(followed(before))}</td><td>{numberText(followed(trial.analysis))}</td></tr>
            </tbody>
          </table>
          <p className="soft">With the library’s definitions. Nothing is set yet.</p>
        </div>
      );
  }
}

function followed(analysis: CaseAnalysis): number {
  return analysis.exposures.filter(({ dropoutsAfter }) => dropoutsAfter > 0).length;
}

function sideText(side: EffectSide | null): string {
  return side === null ? '–' : `${countText(side.count, 'dropout', 'dropouts')}, ${durationText(side.lostMs.mid)} lost`;
}
