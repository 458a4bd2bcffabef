import { useEffect, useRef, useState, type JSX } from 'react';
import { plannedMinutes, STORY_PART_WORDS, STORY_PARTS } from '../../../../core/model/story.ts';
import type { StoryMoment } from '../../../../core/model/story.ts';
import { countText, numberText } from '../../../format/number-text.ts';
import { BEGINNING, type Presentation, type PresentingCommand } from '../../../state/presentation.ts';
import { Button } from '../../../widgets/button.tsx';
import type { HiddenKind } from '../../../../core/model/presented-case.ts';

export interface PresenterViewProps {
  readonly presentation: Presentation;
  /** What the presentation does not show of the case on the screen. */
  readonly hidden: readonly HiddenKind[];
  readonly onCommand: (command: PresentingCommand) => void;
  readonly onGoTo: (at: number) => void;
}

/** Returns what the presenter sees: notes, what comes next, the time against the plan, the place in the structure. */
export function PresenterView({ presentation, hidden, onCommand, onGoTo }: PresenterViewProps): JSX.Element {
  const { story, moments, labels, at, isBlack, hidesLater, isRevealed } = presentation;
  // Whole seconds, so that what has passed and what is left make up the plan.
  const elapsedMs = Math.floor(useElapsed(presentation.startedAtMs) / 1000) * 1000;
  const now = moments[at];
  const next = moments[at + 1];
  const isBeginning = at === BEGINNING;
  const labelOf = (moment: StoryMoment | undefined): string => labels.get(moment?.view?.caseKey ?? '') ?? '';
  const structureRef = useRef<HTMLElement>(null);
  useEffect(() => {
    structureRef.current?.querySelector('[aria-current]')?.scrollIntoView({ block: 'nearest' });
  }, [at]);
  const plannedMs = plannedMinutes(story) * 60_000;
  const states = [isBlack ? 'The screen is black' : null, hidesLater && typeof now?.view?.instantMs === 'number' ? (isRevealed ? 'What came after is shown' : 'What came after is hidden') : null].filter((state) => state !== null);
  return (
    <section className="presenter" aria-label="Presenter">
      <header className="presenter-head">
        <p className="presenter-time"><strong>{minutesText(elapsedMs)}</strong> of {numberText(plannedMinutes(story))}&nbsp;min planned{elapsedMs > plannedMs ? <>, <span className="presenter-over">{minutesText(elapsedMs - plannedMs)} over</span></> : <>, <span>{minutesText(plannedMs - elapsedMs)} left</span></>}</p>
        <meter className="presenter-meter" aria-label="Time of the plan that has passed" min={0} max={plannedMs} value={Math.min(elapsedMs, plannedMs)} />
        <p>{now === undefined ? (isBeginning ? 'Before the first moment' : 'End of the story') : `Moment ${at + 1} of ${moments.length}`}{states.length === 0 ? '' : ` · ${states.join(' · ')}`}</p>
      </header>
      <div className="row presenter-keys">
        <Button onClick={() => onCommand('previous')} disabled={isBeginning}>Previous</Button>
        <Button look="primary" onClick={() => onCommand('next')} disabled={now === undefined && !isBeginning}>Next</Button>
        <Button disabled={(now?.view ?? null) === null} onClick={() => onCommand('collected view')}>Collected view</Button>
        {hidesLater ? <Button disabled={typeof now?.view?.instantMs !== 'number'} onClick={() => onCommand('reveal')}>{isRevealed ? 'Hide what came after' : 'Show what came after'}</Button> : null}
        <Button onClick={() => onCommand('black')}>{isBlack ? 'Screen back' : 'Black screen'}</Button>
        <Button onClick={() => onCommand('end')}>End</Button>
      </div>
      <div className="presenter-columns">
        <div className="presenter-words" tabIndex={0} role="group" aria-label="Notes and what comes next">
          <h2>{now === undefined ? (isBeginning ? story.title : 'End') : now.title}</h2>
          {now === undefined ? null : <p className="soft">{STORY_PART_WORDS[now.part].name}{labelOf(now) === '' ? '' : ` · ${labelOf(now)}`}: {STORY_PART_WORDS[now.part].asks}</p>}
          {now === undefined ? null : (
            <>
              <h3>Notes</h3>
              <div className="presenter-notes">{now.notes.trim() === '' ? <p className="soft">None for this moment.</p> : now.notes.split('\n').map((line, i) => <p key={i}>{line}</p>)}</div>
            </>
          )}
          <h3>Next</h3>
          <p>{next === undefined ? (now === undefined && !isBeginning ? 'Nothing more.' : 'The end of the story.') : `${STORY_PART_WORDS[next.part].name}${labelOf(next) === '' ? '' : ` · ${labelOf(next)}`}: ${next.title}`}</p>
          {hidden.length === 0 ? null : (
            <details>
              <summary>Not shown to the meeting: {countText(hidden.length, 'kind of thing', 'kinds of things')}</summary>
              <HiddenList hidden={hidden} />
            </details>
          )}
        </div>
        <nav ref={structureRef} className="presenter-structure" aria-label="Structure" tabIndex={0}>
          {STORY_PARTS.filter((part) => moments.some((moment) => moment.part === part)).map((part) => (
            <section key={part}>
              <h3>{STORY_PART_WORDS[part].name}</h3>
              <ol>
                {moments.map((moment, i) => (moment.part === part ? <li key={moment.momentId}><button type="button" className="presenter-moment" aria-current={i === at ? 'step' : undefined} onClick={() => onGoTo(i)}>{i + 1}. {moment.title}</button></li> : null))}
              </ol>
            </section>
          ))}
        </nav>
      </div>
    </section>
  );
}

/** Returns what a presentation hides, as a list. */
export function HiddenList({ hidden }: { readonly hidden: readonly HiddenKind[] }): JSX.Element {
  return <ul className="hidden-list">{hidden.map(({ what, count }) => <li key={what}>{what}{count > 1 ? ` (${numberText(count)})` : ''}</li>)}</ul>;
}

/** Returns a time as a person reads a watch: "3 min 05 s". */
export function minutesText(ms: number): string {
  const seconds = Math.floor(Math.max(0, ms) / 1000);
  return `${Math.floor(seconds / 60)} min ${String(seconds % 60).padStart(2, '0')} s`;
}

function useElapsed(startedAtMs: number): number {
  const [nowMs, setNowMs] = useState(startedAtMs);
  useEffect(() => {
    const tick = (): void => setNowMs(Date.now());
    tick();
    const timer = setInterval(tick, 1000);
    return () => clearInterval(timer);
  }, [startedAtMs]);
  return nowMs - startedAtMs;
}
