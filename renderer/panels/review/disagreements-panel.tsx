import { useEffect, useState, type JSX } from 'react';
import type { Disagreement, DisagreementState } from '../../../core/model/disagreement.ts';
import type { Certainty, Judgement, StandingVerdict, Verdict } from '../../../core/model/review.ts';
import { CERTAINTIES, VERDICTS } from '../../../core/model/review.ts';
import { VERDICT_NAMES } from '../../../core/model/review-schema.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { durationText, rangeText } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { readingOf } from '../../state/preferences.ts';
import { describeProblem, type Problem } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { EmptyState, Waiting } from '../../widgets/empty-state.tsx';
import { ChoiceRow, SelectField, TextAreaField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { hiddenText } from './agreement-words.ts';
import { ReaderForm } from './reader-form.tsx';
import { judgementText } from './review-words.ts';
import './two-readers.css';

const STATE_WORDS: Readonly<Record<DisagreementState, string>> = {
  'disputed': '≠ disputed',
  'kinds differ': '≠ loss, kinds differ',
  'bounds differ': '≠ bounds differ',
  'two agreements': '≠ two libraries agreed differently',
  'settled': '= settled',
};

/** Returns the dropouts on which readers differ, and where what they agreed on is recorded. */
export function DisagreementsPanel(): JSX.Element {
  const session = useSession();
  const preferences = useStore(session.preferences);
  const { isBlinded } = readingOf(preferences);
  const { reader } = preferences;
  const state = useStore(session.disagreements);
  const [shown, setShown] = useState<'open' | 'all'>('open');
  const [settling, setSettling] = useState<Disagreement | null>(null);
  useEffect(() => {
    if (reader !== null) void session.disagreements.ask({ by: reader, blinded: isBlinded });
  }, [session, reader, isBlinded]);
  const answer = reader === null ? null : state.kind === 'ready' ? state.answer : state.kind === 'working' ? state.before : null;
  const rows = answer?.disagreements.filter((one) => shown === 'all' || one.state !== 'settled') ?? [];
  const settledCount = answer?.disagreements.filter((one) => one.state === 'settled').length ?? 0;
  return (
    <div className="page review">
      <h1>Disagreements</h1>
      <p className="prose">Dropouts about which readers say different things. Look at them together, in the record, and record what you agree on: it stands beside their own verdicts, which stay as they were given, and figures on confirmed dropouts use it.</p>
      <ReaderForm />
      {reader === null ? <p>Say who reads first: a reader who reads blinded is not shown what others said.</p> : null}
      {state.kind === 'working' ? <Waiting>Going through what was said{state.total === 0 ? '' : `: ${numberText(state.done)} of ${countText(state.total, 'case', 'cases')}`}…</Waiting> : null}
      {state.kind === 'failed' ? <Notice tone="problem" title="The disagreements could not be listed." live><p>{state.problem.message} {state.problem.remedy ?? ''}</p><Button onClick={() => void session.disagreements.again()}>Try again</Button></Notice> : null}
      {answer === null ? null : (
        <>
          {answer.hidden === 0 ? null : <Notice tone="note"><p>{hiddenText(answer.hidden, reader)}</p></Notice>}
          {answer.leftOut.length === 0 ? null : <Notice tone="caution" title={`${countText(answer.leftOut.length, 'case', 'cases')} could not be read`}><ul>{answer.leftOut.map(({ caseKey, caseId, reason }) => <li key={caseKey}>{caseId}: {reason}</li>)}</ul></Notice>}
          <div className="disagreement-choice"><ChoiceRow legend="Shown" legendHidden value={shown} onChange={(value) => setShown(value === 'all' ? 'all' : 'open')} choices={[{ value: 'open', label: `Open: ${numberText(answer.disagreements.length - settledCount)}` }, { value: 'all', label: `All, with ${numberText(settledCount)} settled` }]} /></div>
          {rows.length === 0 ? (
            <EmptyState title={answer.disagreements.length > 0 ? 'Every disagreement is settled' : answer.hidden > 0 ? 'Nothing that may be shown' : 'Readers differ on no dropout'}><p>{answer.disagreements.length === 0 ? answer.hidden > 0 ? 'On the other cases readers differ on no dropout.' : 'Either readers say the same wherever two have a verdict, or no dropout has two readers yet.' : 'Those settled are shown under All.'}</p></EmptyState>
          ) : (
            <div className="grid-scroll" tabIndex={0} role="group" aria-label="Disagreements">
              <table className="plain-table disagreements">
                <thead><tr><th scope="col">Case</th><FigureHead figure="dropout-number">Dropout</FigureHead><FigureHead figure="disagreement">State</FigureHead><FigureHead figure="verdict">What readers say</FigureHead><FigureHead figure="agreed-verdict">Agreed</FigureHead><th scope="col"><span className="visually-hidden">To do</span></th></tr></thead>
                <tbody>
                  {rows.map((one) => (
                    <tr key={`${one.caseKey} ${one.dropoutId}`}>
                      <th scope="row">{one.caseId}</th>
                      <td>{siteText(one.siteKey)}, {durationText(one.bounds.firstLostMs)} into the record<span className="soft under">lost {rangeText(one.lostMs)}</span></td>
                      <td><span className="state-word">{STATE_WORDS[one.state]}</span></td>
                      <td><ul className="said">{one.readings.map((verdict) => <li key={verdict.entryId}><Said verdict={verdict} /></li>)}</ul></td>
                      <td>{one.agreed.length === 0 ? <span className="soft">–</span> : <ul className="said">{one.agreed.map((verdict) => <li key={verdict.entryId}><Said verdict={verdict} /></li>)}</ul>}</td>
                      <td>
                        <Button onClick={() => session.openDropout(one.caseKey, one.dropoutId)}>Open in the record</Button>{' '}
                        <Button onClick={() => setSettling(one)}>{one.agreed.length === 0 ? 'Record what was agreed…' : 'Record anew…'}</Button>
                      </td>
                    </tr>
                  ))}
                </tbody>
              </table>
            </div>
          )}
        </>
      )}
      {settling === null || reader === null ? null : <ConsensusDialog one={settling} by={reader} onClose={() => setSettling(null)} />}
    </div>
  );
}

function Said({ verdict }: { readonly verdict: StandingVerdict }): JSX.Element {
  const { judgement } = verdict;
  return (
    <>
      <strong>{verdict.by}</strong>: {judgementText(judgement)}
      {verdict.role === 'reading' && !verdict.isBlinded ? <span className="soft"> (not blinded)</span> : null}
      {judgement.correctedBounds === null ? null : <span className="soft">, bounds corrected</span>}
      {judgement.note === '' ? null : <q className="said-note">{judgement.note}</q>}
    </>
  );
}

/** Which bounds may stand once readers agree. */
function boundChoices({ readings, agreed }: Disagreement): readonly { readonly value: string; readonly label: string; readonly bounds: Judgement['correctedBounds'] }[] {
  const corrected = [...readings, ...agreed].filter(({ judgement }) => judgement.correctedBounds !== null);
  return [{ value: 'computed', label: 'as computed', bounds: null }, ...corrected.map(({ entryId, by, judgement }) => ({ value: entryId, label: `as ${by} corrected them`, bounds: judgement.correctedBounds }))];
}

function ConsensusDialog({ one, by, onClose }: { readonly one: Disagreement; readonly by: string; readonly onClose: () => void }): JSX.Element {
  const session = useSession();
  // Nothing is chosen beforehand: neither reader's verdict is to be the easier one.
  const [verdict, setVerdict] = useState<Verdict | null>(null);
  const [certainty, setCertainty] = useState<Certainty | null>(null);
  const [note, setNote] = useState('');
  const [bounds, setBounds] = useState('computed');
  const [problem, setProblem] = useState<Problem | null>(null);
  const [isSaving, setIsSaving] = useState(false);
  const choices = boundChoices(one);
  const isLoss = verdict !== null && VERDICTS[verdict].loss === true;
  const isComplete = verdict === 'cannot tell' || (verdict !== null && certainty !== null);
  const save = async (): Promise<void> => {
    if (verdict === null) return;
    setIsSaving(true);
    const judgement: Judgement = {
      verdict,
      certainty: verdict === 'cannot tell' ? null : certainty,
      note: note.trim(),
      correctedBounds: isLoss ? (choices.find(({ value }) => value === bounds)?.bounds ?? null) : null,
    };
    try {
      await session.host.giveConsensus({ caseKey: one.caseKey, dropoutId: one.dropoutId, by, judgement });
      onClose();
      session.reviewsChanged();
      await session.disagreements.again();
    } catch (error) {
      setProblem(describeProblem(error, 'Recording what was agreed'));
      setIsSaving(false);
    }
  };
  return (
    <Dialog
      title={`What was agreed on the dropout at ${siteText(one.siteKey)} of ${one.caseId}, ${durationText(one.bounds.firstLostMs)} into the record`} onClose={onClose}
      notice={problem === null ? null : <Notice tone="problem" title="It was not recorded." live><p>{problem.message} {problem.remedy ?? ''}</p></Notice>}
      actions={<><Button onClick={onClose}>Cancel</Button><Button look="primary" disabled={isSaving || !isComplete} onClick={() => void save()}>{isSaving ? 'Recording…' : 'Record'}</Button></>}
    >
      <ul className="said">{[...one.readings, ...one.agreed].map((own) => <li key={own.entryId}><Said verdict={own} /></li>)}</ul>
      <div className="consensus-fields">
      <SelectField label="Verdict" value={verdict ?? ''} choices={[...(verdict === null ? [{ value: '', label: 'choose…' }] : []), ...VERDICT_NAMES.map((word) => ({ value: word, label: word }))]} onChange={(value) => setVerdict(VERDICT_NAMES.find((word) => word === value) ?? verdict)} />
      {verdict === 'cannot tell' ? null : <ChoiceRow legend="Certainty" value={certainty ?? ''} choices={CERTAINTIES.map((word) => ({ value: word, label: word }))} onChange={(value) => setCertainty(CERTAINTIES.find((word) => word === value) ?? certainty)} />}
      {isLoss && choices.length > 1 ? <ChoiceRow legend="Bounds" value={bounds} choices={choices} onChange={setBounds} /> : null}
      <TextAreaField label="Note" value={note} onChange={setNote} hint="How you came to agree; nothing that names a patient." />
      </div>
      <p className="soft">{isComplete ? '' : 'Choose a verdict and, unless it is “cannot tell”, a certainty. '}It will be recorded under the name {by}, as an entry of its own in the trail.</p>
    </Dialog>
  );
}
