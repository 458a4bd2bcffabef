import { useCallback, useEffect, useId, useMemo, useRef, useState, type JSX, type RefObject } from 'react';
import type { CaseAnalysis, Dropout } from '../../../core/model/analysis.ts';
import { CERTAINTIES, type CaseReview, type StandingVerdict } from '../../../core/model/review.ts';
import { sameParameters } from '../../../core/model/same-parameters.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { clockText, instantText, type CaseClock } from '../../format/time-text.ts';
import { ownVerdict, type Saving } from '../../state/case-review.ts';
import type { OpenCase } from '../../state/open-case.ts';
import { readingOf } from '../../state/preferences.ts';
import { placeInQueue, readCount } from '../../state/review-queue.ts';
import { allDropouts } from '../../state/selection.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { draftCount, draftFault, draftOf, judgementOf, sameDraft, type DraftPlace, type VerdictDraft } from '../../state/verdict-drafts.ts';
import { Button } from '../../widgets/button.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { takesText } from '../../widgets/takes-text.ts';
import { siteText } from '../case-view/case-facts.ts';
import { BoundsFields } from './bounds-fields.tsx';
import { CaseReviewDialog } from './case-review-dialog.tsx';
import { ReaderForm } from './reader-form.tsx';
import { RevealDialog } from './reveal-dialog.tsx';
import { bareInstantsText, changeText, endedText, instantsText, judgementText, standingText } from './review-words.ts';
import { keyOf, VERDICT_LIST, verdictActFor, type VerdictAct } from './verdict-keys.ts';

export interface VerdictDockProps {
  readonly openCase: OpenCase;
  readonly analysis: CaseAnalysis;
  readonly clock: CaseClock;
  /** The chosen dropout, or null. */
  readonly dropout: Dropout | null;
  /** Whether the chosen one is a dropout only when doubtful values count as lost. */
  readonly isSecond: boolean;
}

/** Returns what stands beneath the lists of a case: one line on the review, and under it the form for a verdict on the chosen dropout. */
export function VerdictDock({ openCase, analysis, clock, dropout, isSecond }: VerdictDockProps): JSX.Element {
  const session = useSession();
  const state = useStore(session.review);
  const preferences = useStore(session.preferences);
  const definitions = useStore(session.definitions);
  const queue = useStore(session.reviewQueue);
  const drafts = useStore(session.drafts);
  const saving = useStore(session.review.saving);
  const [isCaseOpen, setIsCaseOpen] = useState(false);
  const [isRevealOpen, setIsRevealOpen] = useState(false);
  const noteRef = useRef<HTMLTextAreaElement>(null);
  const formRef = useRef<HTMLDivElement>(null);
  /** Whether the fields of the bounds were asked for: they take the focus when they come. */
  const wantsBoundsRef = useRef(false);
  const { reader, isVerdictFormOpen: isOpen } = preferences;
  const isTrial = definitions.saved !== null && !sameParameters(definitions.saved, analysis.parameters);
  const review = state.kind === 'ready' && state.caseKey === openCase.caseKey ? state.review : null;
  const isJudged = dropout !== null && !isSecond && !isTrial && reader !== null && review !== null;
  const dropoutId = isJudged ? dropout.dropoutId : null;
  const place = useMemo((): DraftPlace | null => (reader === null || dropoutId === null ? null : { reader, caseKey: openCase.caseKey, dropoutId }), [reader, openCase.caseKey, dropoutId]);
  const own = isJudged ? ownVerdict(review, dropout.dropoutId, reader) : null;
  const saved = draftOf(own?.judgement ?? null);
  const draft = (place === null ? null : session.drafts.find(place)) ?? saved;
  const count = analysis.sites.reduce((sum, site) => sum + site.dropouts.length, 0);
  const read = review === null ? 0 : allDropouts(analysis).filter((one) => ownVerdict(review, one.dropoutId, reader) !== null).length;
  const unsaved = reader === null ? 0 : draftCount(drafts, reader, openCase.caseKey);
  const at = queue.kind === 'ready' && dropout !== null ? placeInQueue(queue.queue, openCase.caseKey, dropout.dropoutId) : -1;

  const run = useCallback(
    (act: VerdictAct): void => {
      if (act.kind === 'show form') {
        session.preferences.change({ isVerdictFormOpen: !isOpen });
        return;
      }
      if (!isOpen || place === null || dropout === null) return;
      const keep = (part: Partial<VerdictDraft>): void => {
        const next = { ...draft, ...part };
        if (sameDraft(next, saved)) session.drafts.drop(place);
        else session.drafts.keep(place, next);
      };
      switch (act.kind) {
        case 'verdict':
          keep({ verdict: act.verdict, certainty: act.verdict === 'cannot tell' ? null : draft.certainty });
          break;
        case 'certainty':
          if (draft.verdict !== 'cannot tell') keep({ certainty: act.certainty });
          break;
        case 'note':
          noteRef.current?.focus();
          break;
        case 'bounds':
          wantsBoundsRef.current = draft.correctedBounds === null;
          keep({ correctedBounds: draft.correctedBounds === null ? instantsOf(dropout) : null });
          break;
        case 'save':
          void save(session, place, draft);
          break;
        case 'take back':
          if (own !== null) void session.review.takeBack(dropout.dropoutId).then((isDone) => isDone && session.drafts.drop(place));
          break;
      }
    },
    [session, isOpen, place, dropout, draft, saved, own],
  );

  useVerdictKeys(run, preferences.singleKeys);

  const hasBounds = draft.correctedBounds !== null;
  useEffect(() => {
    if (hasBounds && wantsBoundsRef.current) formRef.current?.querySelector<HTMLElement>('.input-clock')?.focus();
    wantsBoundsRef.current = false;
  }, [hasBounds]);

  return (
    <section className={`verdict-dock${isOpen ? ' verdict-dock-open' : ''}`} aria-label="Review">
      <div className="verdict-bar">
        <Button look="quiet" aria-expanded={isOpen} aria-keyshortcuts="j" onClick={() => run({ kind: 'show form' })}><kbd>j</kbd>{isOpen ? 'Close' : 'Verdict…'}</Button>
        <span className="verdict-count">{barText(state.kind, count, read, reader)}</span>
        {unsaved === 0 ? null : <span className="soft">{numberText(unsaved)} not saved</span>}
        {review === null ? null : <Button look="link" className="only-screen" onClick={() => setIsCaseOpen(true)}>Whole case…{review.without.length === 0 ? '' : ` (${numberText(review.without.length)} without a dropout)`}</Button>}
        {queue.kind !== 'ready' ? null : (
          <span className="verdict-queue">
            <span className="soft" title={at === -1 ? 'The chosen dropout is not in the queue.' : `The chosen dropout is no. ${numberText(at + 1)} of the queue.`}>Queue: {numberText(readCount(queue.queue))} of {numberText(queue.queue.length)} read</span>
            <Button look="quiet" aria-keyshortcuts="q" onClick={session.nextInQueue}><kbd>q</kbd>Next</Button>
          </span>
        )}
      </div>
      {!isOpen ? null : (
        <div className="verdict-form" ref={formRef} tabIndex={-1}>
          {state.kind === 'failed' ? (
            <Notice tone="problem" title="What was said of this case could not be read." live>
              <p>{state.problem.message} {state.problem.remedy ?? ''}</p>
              <Button onClick={() => void session.review.reload()}>Try again</Button>
            </Notice>
          ) : reader === null ? <ReaderForm /> : state.kind === 'loading' ? <p className="soft" role="status">Reading what was said of this case…</p>
            : isTrial ? <TrialNote />
              : dropout === null ? <p className="soft">{count === 0 ? 'There is no dropout to judge. The whole case can be flagged and called read.' : <>Choose a dropout: <kbd>n</kbd> goes to the next.</>}</p>
                : isSecond ? <p className="soft">This is a dropout only when doubtful values count as lost. Verdicts are given on dropouts of the first result.</p>
                  : review === null || place === null ? null : (
                    <Judging
                      key={place.dropoutId} openCase={openCase} analysis={analysis} dropout={dropout} clock={clock} review={review} draft={draft} saved={saved} own={own} saving={saving} reader={reader} run={run}
                      noteRef={noteRef} onLeave={() => formRef.current?.focus()} onReveal={() => setIsRevealOpen(true)}
                      onDraft={(next) => (sameDraft(next, saved) ? session.drafts.drop(place) : session.drafts.keep(place, next))}
                    />
                  )}
        </div>
      )}
      {isCaseOpen && review !== null ? <CaseReviewDialog review={review} analysis={analysis} clock={clock} onReveal={() => setIsRevealOpen(true)} onClose={() => setIsCaseOpen(false)} /> : null}
      {isRevealOpen && review !== null ? <RevealDialog review={review} onClose={() => setIsRevealOpen(false)} /> : null}
    </section>
  );
}

/** Saves a complete draft, then goes on where the reader wants that. A failed saving leaves the draft as it is. */
async function save(session: ReturnType<typeof useSession>, place: DraftPlace, draft: VerdictDraft): Promise<void> {
  const judgement = judgementOf(draft);
  if (judgement === null) {
    session.messages.add('note', `Not saved yet. ${draftFault(draft) ?? ''}`);
    return;
  }
  const isSaved = await session.review.give(place.dropoutId, judgement);
  if (!isSaved) return;
  // What was changed while it was being written is a draft of its own.
  const now = session.drafts.find(place);
  if (now !== null && sameDraft(now, draft)) session.drafts.drop(place);
  if (!readingOf(session.preferences.get()).goesOn) return;
  const queue = session.reviewQueue.get();
  if (queue.kind === 'ready' && placeInQueue(queue.queue, place.caseKey, place.dropoutId) !== -1) {
    session.nextInQueue();
    return;
  }
  const opened = session.cases.get();
  if (opened.kind === 'open' && opened.openCase.caseKey === place.caseKey && !opened.openCase.step(1)) session.messages.add('note', 'That was the last dropout of this case.');
}

/** Hears the keys of the review wherever no text is typed. */
function useVerdictKeys(run: (act: VerdictAct) => void, isOn: boolean): void {
  useEffect(() => {
    if (!isOn) return undefined;
    const onKey = (event: KeyboardEvent): void => {
      if (event.defaultPrevented || event.repeat || takesText(event.target)) return;
      const act = verdictActFor(event);
      if (act === null) return;
      event.preventDefault();
      run(act);
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  }, [run, isOn]);
}

function barText(kind: 'none' | 'no reader' | 'loading' | 'ready' | 'failed', count: number, read: number, reader: string | null): string {
  switch (kind) {
    case 'none':
    case 'loading':
      return 'Reading the review…';
    case 'no reader':
      return 'Say who reads, and verdicts show here.';
    case 'failed':
      return 'The review could not be read.';
    case 'ready':
      return count === 0 ? 'No dropout to read' : reader === null ? '' : `${numberText(read)} of ${numberText(count)} read`;
  }
}

function instantsOf({ lastGoodMs, firstLostMs, lastLostMs, firstGoodMs }: Dropout): NonNullable<VerdictDraft['correctedBounds']> {
  return { lastGoodMs, firstLostMs, lastLostMs, firstGoodMs };
}

function TrialNote(): JSX.Element {
  const session = useSession();
  return (
    <p>
      Definitions are on trial, so these are not the dropouts that the library counts. Verdicts are given on those of the library.{' '}
      <Button look="link" className="only-screen" onClick={() => session.definitions.revert()}>Go back to the library’s definition</Button>
    </p>
  );
}

interface JudgingProps {
  readonly openCase: OpenCase;
  readonly analysis: CaseAnalysis;
  readonly dropout: Dropout;
  readonly clock: CaseClock;
  readonly review: CaseReview;
  readonly draft: VerdictDraft;
  readonly saved: VerdictDraft;
  readonly own: StandingVerdict | null;
  readonly saving: Saving;
  readonly reader: string;
  readonly run: (act: VerdictAct) => void;
  readonly onDraft: (draft: VerdictDraft) => void;
  readonly noteRef: RefObject<HTMLTextAreaElement | null>;
  readonly onLeave: () => void;
  readonly onReveal: () => void;
}

function Judging(props: JudgingProps): JSX.Element {
  const { openCase, analysis, dropout, clock, review, draft, saved, own, saving, reader, run, onDraft, noteRef, onLeave, onReveal } = props;
  const noteId = useId();
  const isChanged = !sameDraft(draft, saved);
  const fault = draftFault(draft);
  const isSaving = saving.kind === 'saving';
  const isCertaintyOff = draft.verdict === 'cannot tell';
  const siteAnalysis = analysis.sites.find((site) => site.siteKey === dropout.siteKey);
  const sampleMs = openCase.record.channels.find((channel) => channel.channelId === siteAnalysis?.channelId)?.tMs ?? new Float64Array();
  return (
    <>
      <p className="verdict-of">
        <strong>{reader}</strong> on <strong>no. {dropout.number}, {siteText(dropout.siteKey)}, {clock.clock(dropout.firstLostMs)}</strong>
        {' '}<SavedText own={own} isChanged={isChanged} saving={saving} dropoutId={dropout.dropoutId} />
        {isChanged && fault !== null ? <span className="soft">. {fault}</span> : isCertaintyOff ? <span className="soft">. A full answer, without a degree.</span> : null}
      </p>
      <SavingFailed saving={saving} dropoutId={dropout.dropoutId} onAgain={() => run({ kind: saving.kind === 'failed' && saving.what.act === 'taken back' ? 'take back' : 'save' })} />
      <div className="verdict-buttons">
      <div className="verdict-group" role="group" aria-label="Verdict">
        {VERDICT_LIST.map((verdict) => (
          <button
            key={verdict} type="button" className="verdict-button" aria-pressed={draft.verdict === verdict} aria-keyshortcuts={keyOf(verdict)}
            onClick={() => run({ kind: 'verdict', verdict })}
          >
            <kbd>{keyOf(verdict)}</kbd>{verdict}
          </button>
        ))}
      </div>
      <div className="verdict-group verdict-certainty" role="group" aria-label="How sure">
        <span className="soft" aria-hidden="true">How sure:</span>
        {CERTAINTIES.map((certainty) => (
          <button
            key={certainty} type="button" className="verdict-button" aria-pressed={draft.certainty === certainty} aria-keyshortcuts={keyOf(certainty)} disabled={isCertaintyOff}
            onClick={() => run({ kind: 'certainty', certainty })}
          >
            <kbd>{keyOf(certainty)}</kbd>{certainty}
          </button>
        ))}
      </div>
      </div>
      <div className="verdict-note">
        <label htmlFor={noteId} className="field-label"><kbd>/</kbd>Note</label>
        <textarea
          id={noteId} ref={noteRef} className="input verdict-note-text" rows={1} placeholder="no names of patients or staff" value={draft.note} onChange={(event) => onDraft({ ...draft, note: event.target.value })}
          onKeyDown={(event) => {
            if (event.key !== 'Escape') return;
            event.preventDefault();
            onLeave();
          }}
        />
      </div>
      {draft.correctedBounds === null ? null : (
        <div
          onKeyDown={(event) => {
            if (event.key === 'Escape') onLeave();
          }}
        >
          <BoundsFields
            bounds={draft.correctedBounds} computed={dropout} clock={clock} sampleMs={sampleMs} cursorMs={openCase.viewport.getCursorMs} onPoint={openCase.viewport.setCursorMs}
            onChange={(correctedBounds) => onDraft({ ...draft, correctedBounds })}
          />
          <p className="soft" title="They stay beside yours, which the timeline draws as a bracket.">Computed, in the same order: {bareInstantsText(dropout, clock)}.</p>
        </div>
      )}
      <Others review={review} dropout={dropout} own={own} clock={clock} onReveal={onReveal} />
      <Earlier review={review} dropoutId={dropout.dropoutId} clock={clock} />
      <div className="verdict-actions">
        <Button look="primary" aria-keyshortcuts="w" disabled={isSaving || !isChanged || fault !== null} onClick={() => run({ kind: 'save' })}><kbd>w</kbd>Save</Button>
        <Button aria-keyshortcuts="Shift+B" title={draft.correctedBounds === null ? 'Correct the bounds by hand; the computed ones stay beside them' : 'Take the correction back: the computed bounds stand'} onClick={() => run({ kind: 'bounds' })}><kbd>B</kbd>{draft.correctedBounds === null ? 'Bounds…' : 'Computed bounds'}</Button>
        <Button
          aria-keyshortcuts="x" disabled={own === null || isSaving} onClick={() => run({ kind: 'take back' })}
          title="The verdict that you gave before it is in force again, or none. Both stay in the trail: nothing is erased."
        >
          <kbd>x</kbd>Take back
        </Button>
        {isChanged ? <Button look="quiet" onClick={() => onDraft(saved)}>Discard</Button> : null}
      </div>
    </>
  );
}

/** What is known of the saving of this verdict. "Saved" stands here only when the host has said so. */
function SavedText({ own, isChanged, saving, dropoutId }: { readonly own: StandingVerdict | null; readonly isChanged: boolean; readonly saving: Saving; readonly dropoutId: string }): JSX.Element {
  const isHere = saving.kind !== 'idle' && saving.what.dropoutId === dropoutId;
  const text = (): string => {
    if (isHere && saving.kind === 'saving') return 'saving…';
    if (isHere && saving.kind === 'failed') return 'NOT saved';
    if (isChanged) return own === null ? 'not saved yet' : `changed, not saved yet; in force: ${judgementText(own.judgement)}`;
    if (own !== null) return `${judgementText(own.judgement)}: saved ${clockText(own.at)}`;
    if (isHere && saving.kind === 'saved' && saving.what.act === 'taken back') return `taken back ${clockText(saving.at)}; no verdict of yours is in force`;
    return 'no verdict of yours yet';
  };
  return <span className={isHere && saving.kind === 'failed' ? 'problem-line' : 'soft'} role="status" title={own === null ? undefined : instantText(own.at)}>{text()}</span>;
}

function SavingFailed({ saving, dropoutId, onAgain }: { readonly saving: Saving; readonly dropoutId: string; readonly onAgain: () => void }): JSX.Element | null {
  const ref = useRef<HTMLDivElement>(null);
  const isHere = saving.kind === 'failed' && saving.what.dropoutId === dropoutId;
  // The form scrolls: what went wrong and what to do must be in sight, wherever the reader was in it.
  useEffect(() => {
    if (isHere) ref.current?.scrollIntoView({ block: 'nearest' });
  }, [isHere, saving]);
  if (saving.kind !== 'failed' || !isHere) return null;
  return (
    <div ref={ref} className="saving-failed">
    <Notice tone="problem" title={saving.what.act === 'taken back' ? 'The verdict was not taken back.' : 'The verdict is not saved.'} live>
      <p>{saving.problem.message} {saving.problem.remedy ?? ''}</p>
      <p>{saving.what.act === 'taken back' ? 'It is in force as before.' : 'Your draft stays here, also when you go to another case.'}</p>
      <Button onClick={onAgain}>Try again</Button>
    </Notice>
    </div>
  );
}

interface OthersProps {
  readonly review: CaseReview;
  readonly dropout: Dropout;
  readonly own: StandingVerdict | null;
  readonly clock: CaseClock;
  readonly onReveal: () => void;
}

/** What others said of this dropout as far as it may be seen, and what became of verdicts since they were given. */
function Others({ review, dropout, own, clock, onReveal }: OthersProps): JSX.Element | null {
  const all = review.dropouts.find((candidate) => candidate.dropoutId === dropout.dropoutId)?.verdicts ?? [];
  const shown = all.filter((verdict) => verdict !== own || changeText(verdict.state, verdict.anchor, clock) !== null || verdict.judgement.correctedBounds !== null);
  if (shown.length === 0 && review.hidden.length === 0) return null;
  return (
    <div className="verdict-others">
      {shown.length === 0 ? null : (
        <ul className="bare-list" aria-label="Verdicts in force on this dropout">
          {shown.map((verdict) => {
            const change = changeText(verdict.state, verdict.anchor, clock);
            return (
              <li key={verdict.entryId}>
                <strong>{standingText(verdict)}</strong> <span className="soft">{instantText(verdict.at)}</span>
                {verdict.judgement.note === '' ? null : <span className="under">{verdict.judgement.note}</span>}
                {verdict.judgement.correctedBounds === null ? null : <span className="under">Bounds by hand: {instantsText(verdict.judgement.correctedBounds, clock)}</span>}
                {change === null ? null : <span className="under concern-text">{change}</span>}
                {verdict.sawAnother ? <span className="soft under">Given on another analysis: {verdict.seen.parametersName}, version {verdict.seen.productVersion}.</span> : null}
              </li>
            );
          })}
        </ul>
      )}
      {review.hidden.length === 0 ? null : (
        <p className="soft">
          {review.hidden.length === 1 ? 'One other reader has' : `${numberText(review.hidden.length)} other readers have`} said something of this case; it is kept from you until you call the case read.{' '}
          <Button look="link" className="only-screen" onClick={onReveal}>Reveal it now…</Button>
        </p>
      )}
    </div>
  );
}

/** What was said of this dropout before, as far as it may be seen: superseded and taken back, the latest first. */
function Earlier({ review, dropoutId, clock }: { readonly review: CaseReview; readonly dropoutId: string; readonly clock: CaseClock }): JSX.Element | null {
  const before = review.earlier.filter((verdict) => verdict.dropoutId === dropoutId).toReversed();
  if (before.length === 0) return null;
  return (
    <div className="verdict-earlier">
      <Disclosure summary={countText(before.length, 'earlier verdict', 'earlier verdicts')}>
        <ul className="bare-list">
          {before.map((verdict) => (
            <li key={verdict.entryId}>
              {standingText(verdict)} <span className="soft">{instantText(verdict.at)}, {endedText(verdict)}</span>
              {verdict.judgement.note === '' ? null : <span className="under">{verdict.judgement.note}</span>}
              {verdict.judgement.correctedBounds === null ? null : <span className="under">Bounds by hand: {instantsText(verdict.judgement.correctedBounds, clock)}</span>}
            </li>
          ))}
        </ul>
      </Disclosure>
    </div>
  );
}
