import { useEffect, useMemo, useRef, useState, type JSX, type KeyboardEvent } from 'react';
import { followUpText, quarterBefore } from '../../../core/actions/follow-up.ts';
import { caseLabels, casesOfStory, inStoryOrder, plannedMinutes, STORY_LIMITS, STORY_PART_WORDS, STORY_PARTS, USUAL_MINUTES_PER_CASE } from '../../../core/model/story.ts';
import type { Story, StoryMoment, StoryPart } from '../../../core/model/story.ts';
import { countText, plainNumberText } from '../../format/number-text.ts';
import { durationText } from '../../format/time-text.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import type { ThemeName } from '../../state/theme.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { CheckField, NumberField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { StoryExportDialog } from '../release/story-export-dialog.tsx';
import { KeptText } from './kept-text.tsx';
import { MomentPart } from './moment-part.tsx';
import { newMomentId, withMomentMoved, withoutMoment } from './moment-edit.ts';
import { PresentDialog } from './present-dialog.tsx';
import { checkView } from './shown-view.ts';

/** Why a story without moments can neither leave nor be shown. */
const NOTHING_YET = 'The story has no moment yet: collect one in the place Case, or add words to a part.';

/** Returns a story being made: its moments by part on the left, the chosen one on the right. */
export function StoryEditor({ story, themeName }: { readonly story: Story; readonly themeName: ThemeName }): JSX.Element {
  const session = useSession();
  const { problem } = useStore(session.stories);
  const { cases, termsProblem } = useStore(session.storyCases);
  const chosenId = useStore(session.chosenMoment);
  const { actions } = useStore(session.actions);
  const followUp = useMemo(() => followUpText(actions ?? [], quarterBefore(session.today()), STORY_LIMITS.textCharacters), [actions, session]);
  const [isExporting, setIsExporting] = useState(false);
  const [isPresenting, setIsPresenting] = useState(false);
  const [toRemove, setToRemove] = useState<StoryMoment | null>(null);
  const [spoken, setSpoken] = useState('');
  const listRef = useRef<HTMLDivElement>(null);
  const focusRef = useRef<string | null>(null);
  const moments = useMemo(() => inStoryOrder(story.moments), [story]);
  const labels = useMemo(() => caseLabels(story), [story]);
  const caseKeys = casesOfStory(story).join(' ');
  useEffect(() => {
    session.storyCases.want(caseKeys === '' ? [] : caseKeys.split(' '));
  }, [session, caseKeys]);
  const chosen = moments.find(({ momentId }) => momentId === chosenId) ?? moments[0] ?? null;
  const change = (edit: (now: Story) => Story): Promise<boolean> => session.stories.change(story.storyId, edit);

  // A moment that was moved or made keeps the focus where it comes to stand.
  useEffect(() => {
    if (focusRef.current === null) return;
    const element = listRef.current?.querySelector<HTMLElement>(`[data-moment="${focusRef.current}"]`);
    if (element === null || element === undefined) return;
    focusRef.current = null;
    element.focus();
  });
  const choose = (moment: StoryMoment | undefined): void => {
    if (moment === undefined) return;
    session.chosenMoment.set(moment.momentId);
    focusRef.current = moment.momentId;
  };
  const move = async (moment: StoryMoment, by: 1 | -1): Promise<void> => {
    const next = withMomentMoved(story, moment.momentId, by);
    const place = inStoryOrder(next.moments).findIndex(({ momentId }) => momentId === moment.momentId);
    const { part } = next.moments.find(({ momentId }) => momentId === moment.momentId) ?? moment;
    session.chosenMoment.set(moment.momentId);
    focusRef.current = moment.momentId;
    if (await change((now) => withMomentMoved(now, moment.momentId, by))) setSpoken(next === story ? 'It stands at the end already.' : `${moment.title} is now moment ${place + 1} of ${moments.length}, in ${STORY_PART_WORDS[part].name}.`);
  };
  const addWords = async (part: StoryPart, text = ''): Promise<void> => {
    const moment: StoryMoment = { momentId: newMomentId(), part, factor: null, title: STORY_PART_WORDS[part].name, text, notes: '', view: null };
    if (await change((now) => ({ ...now, moments: [...now.moments, moment] }))) choose(moment);
  };
  const remove = async (moment: StoryMoment): Promise<void> => {
    const at = moments.indexOf(moment);
    setToRemove(null);
    if (await change((now) => withoutMoment(now, moment.momentId))) choose(moments[at + 1] ?? moments[at - 1]);
  };
  const onMomentKey = (event: KeyboardEvent, moment: StoryMoment): void => {
    const by = event.key === 'ArrowDown' ? 1 : event.key === 'ArrowUp' ? -1 : null;
    const at = moments.indexOf(moment);
    if (by !== null && event.altKey) void move(moment, by);
    else if (by !== null) choose(moments[at + by]);
    else if (event.key === 'Home') choose(moments[0]);
    else if (event.key === 'End') choose(moments[moments.length - 1]);
    else if (event.key === 'Delete') setToRemove(moment);
    else return;
    event.preventDefault();
  };
  const stateOf = (moment: StoryMoment): 'words' | 'reading' | 'as it was' | 'changed' | 'not shown' => {
    if (moment.view === null) return 'words';
    const state = states.get(moment.momentId);
    return state ?? 'reading';
  };
  const states = useMemo(() => new Map(moments.flatMap((moment): [string, 'reading' | 'as it was' | 'changed' | 'not shown'][] => {
    if (moment.view === null) return [];
    const state = checkView(moment.view, cases.get(moment.view.caseKey));
    return [[moment.momentId, state.kind === 'ready' ? (state.remarks.length > 0 ? 'changed' : 'as it was') : state.kind]];
  })), [moments, cases]);

  const planned = plannedMinutes(story);
  const nCases = casesOfStory(story).length;
  const isUnusual = story.minutesPerCase < USUAL_MINUTES_PER_CASE.least || story.minutesPerCase > USUAL_MINUTES_PER_CASE.most;
  return (
    <div className="page story-page">
      <header className="meeting-head">
        <div className="row">
          <Button onClick={() => session.stories.open(null)}>‹ All stories</Button>
          <h1>{story.title}</h1>
        </div>
        <div className="row">
          <Button disabled={moments.length === 0} title={moments.length === 0 ? NOTHING_YET : undefined} onClick={() => setIsExporting(true)}>Slides and pictures…</Button>
          <Button look="primary" id="present" disabled={moments.length === 0} title={moments.length === 0 ? NOTHING_YET : undefined} onClick={() => setIsPresenting(true)}>Present…</Button>
        </div>
      </header>
      {problem === null ? null : <Notice tone="problem" title="The last change is not kept." live><p>{problem.message} {problem.remedy ?? ''}</p></Notice>}
      {termsProblem === null ? null : <Notice tone="problem" title="Views cannot be shown: without the dictionary nobody can say what may be." live><p>{termsProblem.message} {termsProblem.remedy ?? ''}</p></Notice>}
      <div className="story-facts">
        <KeptText key={`question ${story.storyId}`} label="Question to the meeting" value={story.question} most={STORY_LIMITS.questionCharacters} mayBeEmpty onKeep={(question) => void change((now) => ({ ...now, question }))} />
        <NumberField label="Minutes for each case" unit="min" min={STORY_LIMITS.minutesLeast} max={STORY_LIMITS.minutesMost} value={story.minutesPerCase} onChange={(minutesPerCase) => void change((now) => ({ ...now, minutesPerCase }))} />
        <p className="soft story-plan">
          {nCases === 0 ? 'No case yet' : countText(nCases, 'case', 'cases')}: {plainNumberText(planned, 1)}&nbsp;min planned{moments.length === 0 ? '' : `, about ${durationText(Math.round((planned * 60) / moments.length) * 1000)} for each of ${countText(moments.length, 'moment', 'moments')}`}.
          {isUnusual ? ` Usual are ${USUAL_MINUTES_PER_CASE.least} to ${USUAL_MINUTES_PER_CASE.most} min a case (common practice, no source).` : ''}
        </p>
        <CheckField label="Hide what came after each instant until it is revealed" checked={story.hidesLater} onChange={(hidesLater) => void change((now) => ({ ...now, hidesLater }))} />
      </div>
      <div className="story-columns">
        <div className="story-outline" ref={listRef}>
          {STORY_PARTS.map((part) => (
            <section key={part} aria-label={STORY_PART_WORDS[part].name}>
              <div className="story-part-head">
                <h2 title={STORY_PART_WORDS[part].asks}>{STORY_PART_WORDS[part].name}</h2>
                {part === 'follow-up' && followUp !== '' ? <Button look="link" title="The actions that are open, and those settled in the last quarter" onClick={() => void addWords(part, followUp)}>+ actions</Button> : null}
                <Button look="link" aria-label={`Add words to ${STORY_PART_WORDS[part].name}`} onClick={() => void addWords(part)}>+ words</Button>
              </div>
              <ol>
                {moments.map((moment, i) => (moment.part === part ? (
                  <li key={moment.momentId}>
                    <button
                      type="button" className="story-moment" data-moment={moment.momentId} aria-current={moment === chosen ? 'true' : undefined} tabIndex={moment === chosen ? 0 : -1}
                      onClick={() => choose(moment)} onKeyDown={(event) => onMomentKey(event, moment)}
                    >
                      <span className="story-moment-title" title={moment.title}>{i + 1}. {moment.title}</span>
                      <span className="story-moment-state">{stateText(stateOf(moment), moment.view === null ? '' : (labels.get(moment.view.caseKey) ?? ''))}</span>
                    </button>
                  </li>
                ) : null))}
              </ol>
            </section>
          ))}
        </div>
        <div className="story-chosen">
          {chosen === null ? (
            <div className="prose">
              <p>No moment yet. Open a case, bring to the screen what you want to show and press <kbd>Shift C</kbd> there, or add words to a part on the left.</p>
              <Button onClick={() => session.place.set('library')}>Go to the library</Button>
            </div>
          ) : (
            <MomentPart key={chosen.momentId} story={story} moment={chosen} label={chosen.view === null ? '' : (labels.get(chosen.view.caseKey) ?? '')} themeName={themeName} onChange={change} onMove={(by) => void move(chosen, by)} onRemove={() => setToRemove(chosen)} />
          )}
        </div>
      </div>
      {moments.length === 0 ? null : <p className="soft story-keys">In the list: ↑ ↓ choose, Alt ↑ ↓ move the moment, also into the next part, Delete removes it.</p>}
      <div className="visually-hidden" aria-live="polite">{spoken}</div>
      {isExporting ? <StoryExportDialog storyId={story.storyId} onClose={() => setIsExporting(false)} /> : null}
      {isPresenting ? <PresentDialog story={story} onClose={() => setIsPresenting(false)} /> : null}
      {toRemove === null ? null : (
        <Dialog title={`Remove “${toRemove.title}”?`} onClose={() => setToRemove(null)} actions={<><Button onClick={() => setToRemove(null)}>Keep it</Button><Button look="primary" onClick={() => void remove(toRemove)}>Remove the moment</Button></>}>
          <p>Its words and notes go with it and cannot be brought back.{toRemove.view === null ? '' : ' The case stays as it is.'}</p>
        </Dialog>
      )}
    </div>
  );
}

function stateText(state: 'words' | 'reading' | 'as it was' | 'changed' | 'not shown', label: string): string {
  switch (state) {
    case 'words':
      return 'words';
    case 'reading':
      return `${label}, reading…`;
    case 'as it was':
      return label;
    case 'changed':
      return `${label}, ! changed since`;
    case 'not shown':
      return `${label}, × cannot be shown`;
  }
}
