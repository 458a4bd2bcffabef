import { useMemo, useState, type JSX } from 'react';
import { STORY_FACTORS, STORY_LIMITS, STORY_PART_WORDS, STORY_PARTS } from '../../../core/model/story.ts';
import type { Story, StoryMoment } from '../../../core/model/story.ts';
import { createCaseClock } from '../../format/time-text.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import type { ThemeName } from '../../state/theme.ts';
import { Button } from '../../widgets/button.tsx';
import { CheckField, SelectField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { goToView } from './go-to-view.ts';
import { KeptText } from './kept-text.tsx';
import { MomentScreen } from './moment-screen.tsx';
import { withMoment } from './moment-edit.ts';
import { HiddenList } from './presenting/presenter-view.tsx';
import { showMoment } from './shown-view.ts';

export interface MomentPartProps {
  readonly story: Story;
  readonly moment: StoryMoment;
  /** What its case is called; '' for words alone. */
  readonly label: string;
  readonly themeName: ThemeName;
  readonly onChange: (edit: (now: Story) => Story) => Promise<boolean>;
  readonly onMove: (by: 1 | -1) => void;
  readonly onRemove: () => void;
}

/** Returns the chosen moment: its words to edit, its view, and how it will look. */
export function MomentPart({ story, moment, label, themeName, onChange, onMove, onRemove }: MomentPartProps): JSX.Element {
  const session = useSession();
  const { cases, terms } = useStore(session.storyCases);
  const [isHiddenListed, setIsHiddenListed] = useState(false);
  const { view, momentId, part, showsMarks = false } = moment;
  const storyCase = view === null ? undefined : cases.get(view.caseKey);
  const state = useMemo(() => showMoment({ view, showsMarks }, storyCase, terms, label), [view, showsMarks, storyCase, terms, label]);
  const edit = (change: Partial<StoryMoment>): void => void onChange((now) => withMoment(now, momentId, (one) => ({ ...one, ...change })));
  const shown = state?.kind === 'shown' ? state.shown : null;
  return (
    <section className="moment-part" aria-label={`Moment: ${moment.title}`}>
      <div className="moment-row moment-acts">
        <SelectField label="Part" value={part} choices={STORY_PARTS.map((name) => ({ value: name, label: STORY_PART_WORDS[name].name }))} onChange={(value) => edit({ part: STORY_PARTS.find((name) => name === value) ?? part })} />
        {part === 'factors' ? <SelectField label="Where it lies" value={moment.factor ?? ''} choices={[{ value: '', label: 'not said' }, ...STORY_FACTORS.map((name) => ({ value: name, label: name }))]} onChange={(value) => edit({ factor: STORY_FACTORS.find((name) => name === value) ?? null })} /> : null}
        <div className="row">
          <Button onClick={() => onMove(-1)}>Earlier</Button>
          <Button onClick={() => onMove(1)}>Later</Button>
          {view === null ? null : <Button onClick={() => goToView(session, view, null)}>Look at the case</Button>}
          {view === null ? null : <Button onClick={() => goToView(session, view, { storyId: story.storyId, momentId, title: moment.title })}>Take the view anew…</Button>}
          <Button onClick={() => session.writeAction({ kind: 'story', storyId: story.storyId, title: story.title, momentId })}>Write an action…</Button>
          <Button onClick={onRemove}>Remove…</Button>
        </div>
      </div>
      {state?.kind === 'not shown' ? (
        <Notice tone="problem" title={state.why}>
          {state.problem === null ? null : <p>{state.problem.message} {state.problem.remedy ?? ''}</p>}
          {storyCase?.kind === 'failed' && view !== null ? <Button onClick={() => session.storyCases.retry(view.caseKey)}>Try again</Button> : null}
        </Notice>
      ) : null}
      {shown === null || shown.remarks.length === 0 ? null : <Notice tone="caution" title="Not as it was when the view was taken">{shown.remarks.map((remark) => <p key={remark}>{remark}</p>)}</Notice>}
      <div className="moment-form">
        <KeptText label="Title" value={moment.title} most={STORY_LIMITS.titleCharacters} mayBeEmpty={false} onKeep={(title) => edit({ title })} />
        <div className="moment-texts">
          <KeptText label="Text" hint="Shown as it stands: no name, room or date." hasLines value={moment.text} most={STORY_LIMITS.textCharacters} mayBeEmpty onKeep={(text) => edit({ text })} />
          <KeptText label="Notes for the presenter" hint="Shown to the presenter alone." hasLines value={moment.notes} most={STORY_LIMITS.notesCharacters} mayBeEmpty onKeep={(notes) => edit({ notes })} />
        </div>
      </div>
      <h2>How it will look</h2>
      {story.hidesLater && view !== null ? (
        <p className="soft">
          {shown === null || shown.instantMs === null ? 'This view has no instant: all of it is shown from the start. Take it anew with the cursor in it to hide what came after.' : `What came after ${createCaseClock(shown.record.origin).clock(shown.instantMs)} will be hidden until you press R; here it is shown.`}
        </p>
      ) : null}
      {view === null ? null : (
        <div className="moment-marks">
          <CheckField label="Show the marks and notes that are pinned to the case" checked={showsMarks} onChange={(shows) => edit({ showsMarks: shows })} />
          {showsMarks ? <p className="soft">{storyCase?.kind === 'open' && storyCase.marks?.length === 0 ? 'Nothing is pinned to this case yet: in the place Case K pins a note to the cursor’s instant.' : `What may tell who, when or where, and every word that the program does not know, is left out of them.${story.hidesLater ? ' They come with R, like everything written by somebody who knew the end.' : ''}`}</p> : null}
        </div>
      )}
      <div className="moment-preview">
        <MomentScreen moment={moment} label={label} view={state} themeName={themeName} isLaterHidden={false} takesFocus={false} />
      </div>
      {shown === null ? null : (
        <div>
          <Button look="link" aria-expanded={isHiddenListed} onClick={() => setIsHiddenListed(!isHiddenListed)}>What the meeting does not see of this case</Button>
          {isHiddenListed ? <HiddenList hidden={shown.hidden} /> : null}
        </div>
      )}
    </section>
  );
}
