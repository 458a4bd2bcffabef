import { useEffect, useRef, useState, type JSX } from 'react';
import { casesOfStory, plannedMinutes, STORY_LIMITS } from '../../../core/model/story.ts';
import type { Story } from '../../../core/model/story.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import type { ThemeName } from '../../state/theme.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { EmptyState, Waiting } from '../../widgets/empty-state.tsx';
import { TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { useStartAtTop } from '../../widgets/start-at-top.ts';
import { StoryEditor } from './story-editor.tsx';

type Asked = { readonly kind: 'new' } | { readonly kind: 'rename'; readonly story: Story } | { readonly kind: 'remove'; readonly story: Story };

/** Returns the stories of the library in a list: new ones, renaming, removing. */
export function StoriesPanel({ themeName }: { readonly themeName: ThemeName }): JSX.Element {
  const session = useSession();
  const { stories, problem, openId } = useStore(session.stories);
  const open = stories?.find(({ storyId }) => storyId === openId);
  const [asked, setAsked] = useState<Asked | null>(null);
  useStartAtTop(openId ?? 'list');
  useEffect(() => {
    if (session.stories.get().stories === null) void session.stories.load();
    // Without them no view is drawn, and the host starts a worker for them: the first story that is opened need not wait for that.
    void session.storyCases.loadTerms();
  }, [session]);
  // What a dialog said of a failure is said with it.
  const close = (): void => {
    session.stories.forgetProblem();
    setAsked(null);
  };
  if (open !== undefined) return <StoryEditor key={open.storyId} story={open} themeName={themeName} />;
  return (
    <div className="page meeting-page">
      <header className="meeting-head">
        <h1>Stories</h1>
        {stories?.length === 0 ? null : <Button look="primary" disabled={stories === null} onClick={() => setAsked({ kind: 'new' })}>New story…</Button>}
      </header>
      <p className="prose soft">A story is what is told at a meeting: views of cases with words, in the order of a structured presentation. Cases are “Case A”, “Case B” in it; times count from the start of the record.</p>
      {problem === null || asked !== null ? null : (
        <Notice tone="problem" title={stories === null ? 'The stories could not be read.' : 'That did not succeed.'} live>
          <p>{problem.message} {problem.remedy ?? ''}</p>
          {stories === null ? <Button onClick={() => void session.stories.load()}>Read the stories again</Button> : <Button onClick={session.stories.forgetProblem}>Dismiss</Button>}
        </Notice>
      )}
      {stories === null ? (problem === null ? <Waiting>Reading the stories…</Waiting> : null) : stories.length === 0 ? (
        <EmptyState title="No story yet" actions={<Button look="primary" onClick={() => setAsked({ kind: 'new' })}>New story…</Button>}>
          <p>Make one, then collect moments in the place Case.</p>
        </EmptyState>
      ) : (
        <div className="grid-scroll" tabIndex={0} role="group" aria-label="Stories">
          <table className="plain-table stories">
            <thead>
              <tr><th scope="col">Title</th><th scope="col" className="align-right">Cases</th><th scope="col" className="align-right">Moments</th><th scope="col" className="align-right">Planned</th><th scope="col"><span className="visually-hidden">What can be done</span></th></tr>
            </thead>
            <tbody>
              {stories.map((story) => (
                <tr key={story.storyId}>
                  <th scope="row"><Button look="link" onClick={() => session.stories.open(story.storyId)}>{story.title}</Button></th>
                  <td className="align-right">{numberText(casesOfStory(story).length)}</td>
                  <td className="align-right">{numberText(story.moments.length)}</td>
                  <td className="align-right">{numberText(plannedMinutes(story))}&nbsp;min</td>
                  <td>
                    <div className="row">
                      <Button aria-label={`Rename “${story.title}”`} onClick={() => setAsked({ kind: 'rename', story })}>Rename…</Button>
                      <Button aria-label={`Remove “${story.title}”`} onClick={() => setAsked({ kind: 'remove', story })}>Remove…</Button>
                    </div>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      {asked === null ? null : asked.kind === 'remove' ? <RemoveDialog story={asked.story} onClose={close} /> : (
        <TitleDialog story={asked.kind === 'rename' ? asked.story : null} onClose={close} />
      )}
    </div>
  );
}

function TitleDialog({ story, onClose }: { readonly story: Story | null; readonly onClose: () => void }): JSX.Element {
  const session = useSession();
  const [title, setTitle] = useState(story?.title ?? '');
  const fault = title.trim().length > STORY_LIMITS.titleCharacters ? `at most ${STORY_LIMITS.titleCharacters} characters.` : null;
  const isUsable = title.trim() !== '' && fault === null;
  const [hasFailed, setHasFailed] = useState(false);
  const { problem } = useStore(session.stories);
  const formRef = useRef<HTMLFormElement>(null);
  // After the dialog's own effect, which takes the focus to its buttons.
  useEffect(() => {
    formRef.current?.querySelector<HTMLElement>('input')?.focus();
  }, []);
  // What was typed stays where it could not be kept.
  const save = async (): Promise<void> => {
    if (!isUsable) return;
    const isKept = story === null ? (await session.stories.add(title.trim())) !== null : await session.stories.change(story.storyId, (now) => ({ ...now, title: title.trim() }));
    setHasFailed(!isKept);
    if (isKept) onClose();
  };
  return (
    <Dialog
      title={story === null ? 'New story' : 'Rename the story'} onClose={onClose}
      notice={hasFailed && problem !== null ? <Notice tone="problem" title="It is not kept." live><p>{problem.message} {problem.remedy ?? ''}</p></Notice> : null}
      actions={<><Button onClick={onClose}>Cancel</Button><Button look="primary" disabled={!isUsable} onClick={() => void save()}>{story === null ? 'Make the story' : 'Rename'}</Button></>}
    >
      <form ref={formRef} className="moment-form" onSubmit={(event) => { event.preventDefault(); void save(); }}>
        <TextField label="Title" hint="Of the matter, not of a person: no name, room or date. It is shown at the meeting." value={title} onChange={setTitle} error={fault} />
      </form>
    </Dialog>
  );
}

function RemoveDialog({ story, onClose }: { readonly story: Story; readonly onClose: () => void }): JSX.Element {
  const session = useSession();
  const [hasFailed, setHasFailed] = useState(false);
  const { problem } = useStore(session.stories);
  const remove = async (): Promise<void> => {
    const isRemoved = await session.stories.remove(story.storyId);
    setHasFailed(!isRemoved);
    if (isRemoved) onClose();
  };
  return (
    <Dialog
      title={`Remove “${story.title}”?`} onClose={onClose}
      notice={hasFailed && problem !== null ? <Notice tone="problem" title="It is not removed." live><p>{problem.message} {problem.remedy ?? ''}</p></Notice> : null}
      actions={<><Button onClick={onClose}>Keep it</Button><Button look="primary" onClick={() => void remove()}>Remove the story</Button></>}
    >
      <p>{story.moments.length === 0 ? 'It holds no moment. It cannot be brought back.' : story.moments.length === 1 ? '1 moment with its words goes with it and cannot be brought back.' : `${countText(story.moments.length, 'moment', 'moments')} with their words go with it and cannot be brought back.`} The cases stay as they are.</p>
    </Dialog>
  );
}
