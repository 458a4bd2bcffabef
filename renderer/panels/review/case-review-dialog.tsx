import { useState, type JSX } from 'react';
import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import { CASE_FLAGS, type CaseFlag, type CaseReview, type StandingVerdict } from '../../../core/model/review.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { clockText, instantText, type CaseClock } from '../../format/time-text.ts';
import { ownVerdict } from '../../state/case-review.ts';
import { allDropouts } from '../../state/selection.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { CheckField, SelectField, TextAreaField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { ReaderForm } from './reader-form.tsx';
import { instantsText, spanText, standingText } from './review-words.ts';

export interface CaseReviewDialogProps {
  readonly review: CaseReview;
  readonly analysis: CaseAnalysis;
  readonly clock: CaseClock;
  readonly onReveal: () => void;
  readonly onClose: () => void;
}

/** Returns what is said of the case as a whole: its flags, who has read it, and verdicts that stand at no dropout of today. */
export function CaseReviewDialog({ review, analysis, clock, onReveal, onClose }: CaseReviewDialogProps): JSX.Element {
  const session = useSession();
  const { reader } = useStore(session.preferences);
  const saving = useStore(session.review.saving);
  const unread = reader === null ? [] : allDropouts(analysis).filter((dropout) => ownVerdict(review, dropout.dropoutId, reader) === null);
  const hasRead = reader !== null && review.readBy.includes(reader);
  const isSaving = saving.kind === 'saving';
  const ofCase = saving.kind !== 'idle' && (saving.what.dropoutId === null || saving.what.act === 'placed') ? saving : null;
  return (
    <Dialog
      title={`Review of ${review.caseId}`} onClose={onClose}
      notice={ofCase?.kind === 'failed' ? <Notice tone="problem" title="It was not saved." live><p>{ofCase.problem.message} {ofCase.problem.remedy ?? ''}</p></Notice> : null}
    >
      {reader === null ? <ReaderForm /> : (
        <>
          <h3>Read</h3>
          <p>
            {review.readBy.length === 0 ? 'Nobody has called this case read.' : `Called read by ${review.readBy.join(', ')}.`}{' '}
            {unread.length === 0 ? 'You have a verdict on every dropout.' : `${countText(unread.length, 'dropout is', 'dropouts are')} without a verdict of yours.`}
          </p>
          <div className="row">
            <Button disabled={isSaving || hasRead} onClick={() => void session.review.markRead()}>{hasRead ? 'You have called it read' : unread.length === 0 ? 'Call the case read' : `Call it read with ${numberText(unread.length)} left open`}</Button>
            {review.hidden.length === 0 ? null : <Button look="quiet" onClick={onReveal}>Show what {review.hidden.length === 1 ? 'the other reader' : 'other readers'} said…</Button>}
          </div>
          {hasRead || review.hidden.length === 0 ? null : <p className="soft">Calling it read shows you what {review.hidden.join(', ')} said. Verdicts that you give afterwards are no blinded readings.</p>}
          <Flags review={review} reader={reader} isSaving={isSaving} />
        </>
      )}
      {review.flags.filter((flagged) => flagged.by !== reader).map((flagged) => (
        <p key={flagged.by}>{flagged.by}: {flagged.flags.length === 0 ? 'no flag' : flagged.flags.join(', ')}{flagged.note === '' ? '' : ` (${flagged.note})`} <span className="soft">{instantText(flagged.at)}</span></p>
      ))}
      <Without review={review} analysis={analysis} clock={clock} isLocked={reader === null || isSaving} />
      <p role="status">{ofCase?.kind === 'saved' ? `Saved ${clockText(ofCase.at)}.` : ofCase?.kind === 'saving' ? 'Saving…' : ''}</p>
    </Dialog>
  );
}

function Flags({ review, reader, isSaving }: { readonly review: CaseReview; readonly reader: string; readonly isSaving: boolean }): JSX.Element {
  const session = useSession();
  const inForce = review.flags.find((flagged) => flagged.by === reader);
  const [flags, setFlags] = useState<readonly CaseFlag[]>(inForce?.flags ?? []);
  const [note, setNote] = useState(inForce?.note ?? '');
  const isChanged = note.trim() !== (inForce?.note ?? '') || flags.length !== (inForce?.flags.length ?? 0) || flags.some((flag) => inForce?.flags.includes(flag) !== true);
  return (
    <>
      <h3>Flags of the whole case</h3>
      {CASE_FLAGS.map((flag) => (
        <CheckField key={flag} label={flag} checked={flags.includes(flag)} onChange={(checked) => setFlags(CASE_FLAGS.filter((name) => (name === flag ? checked : flags.includes(name))))} />
      ))}
      <TextAreaField label="Note on the case (no names of patients or staff)" value={note} onChange={setNote} />
      <div className="row">
        <Button disabled={!isChanged || isSaving} onClick={() => void session.review.flag(flags, note.trim())}>Save the flags</Button>
        {inForce === undefined ? null : <span className="soft">Yours in force since {instantText(inForce.at)}. Earlier ones stay in the trail.</span>}
      </div>
    </>
  );
}

interface WithoutProps {
  readonly review: CaseReview;
  readonly analysis: CaseAnalysis;
  readonly clock: CaseClock;
  readonly isLocked: boolean;
}

/** Verdicts that lost their dropout, each with the dropouts that it can be put to by hand. */
function Without({ review, analysis, clock, isLocked }: WithoutProps): JSX.Element {
  return (
    <>
      <h3>Verdicts without a dropout</h3>
      {review.without.length === 0 ? <p>None: every verdict in force stands at a dropout of today.</p> : (
        <>
          <p>Under today’s definition nothing overlaps them. They are kept and stand in no figure; their readers can put them to another dropout of the same sensor.</p>
          <ul className="bare-list">
            {review.without.map((verdict) => <Placing key={verdict.entryId} verdict={verdict} analysis={analysis} clock={clock} isLocked={isLocked} />)}
          </ul>
        </>
      )}
    </>
  );
}

function Placing({ verdict, analysis, clock, isLocked }: { readonly verdict: StandingVerdict; readonly analysis: CaseAnalysis; readonly clock: CaseClock; readonly isLocked: boolean }): JSX.Element {
  const session = useSession();
  const { reader } = useStore(session.preferences);
  const [dropoutId, setDropoutId] = useState('');
  const candidates = analysis.sites.filter((site) => site.siteKey === verdict.anchor.siteKey).flatMap((site) => site.dropouts);
  return (
    <li className="placing">
      <strong>{standingText(verdict)}</strong> <span className="soft">{instantText(verdict.at)}, {siteText(verdict.anchor.siteKey)}, {spanText(verdict.anchor, clock)}; {instantsText(verdict.anchor, clock)}</span>
      {verdict.judgement.note === '' ? null : <span className="under">{verdict.judgement.note}</span>}
      {reader !== verdict.by || verdict.role !== 'reading' ? <p className="soft">{verdict.role === 'reading' ? 'Only its reader can put it to another dropout.' : 'What was agreed is recorded anew under Disagreements.'}</p> : candidates.length === 0 ? <p className="soft">This sensor has no dropout today.</p> : (
        <div className="row">
          <SelectField
            label="Put it to" value={dropoutId} onChange={setDropoutId}
            choices={[{ value: '', label: 'choose a dropout' }, ...candidates.map((dropout) => ({ value: dropout.dropoutId, label: `no. ${dropout.number}, ${spanText(dropout, clock)}` }))]}
          />
          <Button disabled={isLocked || dropoutId === ''} onClick={() => void session.review.place(verdict.entryId, dropoutId)}>Put it there</Button>
        </div>
      )}
    </li>
  );
}
