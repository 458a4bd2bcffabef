import { useEffect, useMemo, useRef, useState, type JSX } from 'react';
import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import { caseLabels, STORY_FACTORS, STORY_LIMITS, STORY_PART_WORDS, STORY_PARTS } from '../../../core/model/story.ts';
import type { StoryFactor, StoryMoment, StoryPart } from '../../../core/model/story.ts';
import { presentedCase } from '../../../core/model/presented-case.ts';
import { createCaseClock, durationText } from '../../format/time-text.ts';
import type { OpenCase } from '../../state/open-case.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { Waiting } from '../../widgets/empty-state.tsx';
import { CheckField, SelectField, TextAreaField, TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { newMomentId } from './moment-edit.ts';
import { proposeMoment, type MomentProposal } from './moment-proposal.ts';
import { viewOf } from './view-of.ts';
import './meeting.css';

const NEW_STORY = '';

export interface CollectDialogProps {
  readonly openCase: OpenCase;
  readonly analysis: CaseAnalysis;
  readonly onClose: () => void;
}

/** Returns the dialog that puts the view as it is now, with words, into a story. */
export function CollectDialog({ openCase, analysis, onClose }: CollectDialogProps): JSX.Element {
  const session = useSession();
  const { stories, problem } = useStore(session.stories);
  const { terms, termsProblem } = useStore(session.storyCases);
  const lanes = useStore(session.lanes);
  useEffect(() => {
    if (session.stories.get().stories === null) void session.stories.load();
    void session.storyCases.loadTerms();
  }, [session]);
  // The view as it was when the dialog was opened: what is behind it does not move meanwhile.
  const [view] = useState(() => viewOf(openCase, analysis, lanes));
  const proposal = useMemo((): MomentProposal | null => {
    if (terms === null) return null;
    const shown = presentedCase(openCase.record, analysis, 'Case A', terms);
    const selection = openCase.selection.get();
    const dropoutId = selection.kind === 'dropout' ? shown.dropoutIds.get(selection.dropoutId) : undefined;
    const dropout = shown.analysis.sites.flatMap(({ dropouts }) => dropouts).find((one) => one.dropoutId === dropoutId) ?? null;
    return proposeMoment(shown.record, shown.analysis, openCase.viewport.get(), dropout);
  }, [openCase, analysis, terms]);
  const proposedStory = stories?.find(({ storyId }) => storyId === session.preferences.get().lastStory) ?? stories?.[stories.length - 1];

  if (termsProblem !== null) {
    return <Dialog title="Collect a moment" onClose={onClose}><Notice tone="problem" title={termsProblem.message} live>{termsProblem.remedy === null ? null : <p>{termsProblem.remedy}</p>}</Notice></Dialog>;
  }
  if (proposal === null || stories === null) {
    return <Dialog title="Collect a moment" onClose={onClose}>{stories === null && problem !== null ? <Notice tone="problem" title={problem.message} live>{problem.remedy === null ? null : <p>{problem.remedy}</p>}</Notice> : <Waiting>Reading the stories…</Waiting>}</Dialog>;
  }
  return <CollectForm openCase={openCase} analysis={analysis} view={view} proposal={proposal} proposedStoryId={proposedStory?.storyId ?? NEW_STORY} onClose={onClose} />;
}

interface CollectFormProps extends CollectDialogProps {
  readonly view: ReturnType<typeof viewOf>;
  readonly proposal: MomentProposal;
  readonly proposedStoryId: string;
}

function CollectForm({ openCase, analysis, view, proposal, proposedStoryId, onClose }: CollectFormProps): JSX.Element {
  const session = useSession();
  const { stories, problem } = useStore(session.stories);
  const [storyId, setStoryId] = useState(proposedStoryId);
  const [storyTitle, setStoryTitle] = useState('');
  const [part, setPart] = useState<StoryPart>(proposal.part);
  const [factor, setFactor] = useState<StoryFactor | null>(null);
  const [withView, setWithView] = useState(true);
  const [title, setTitle] = useState(proposal.title);
  const [text, setText] = useState(proposal.text);
  const [notes, setNotes] = useState('');
  const [isKeeping, setIsKeeping] = useState(false);
  const [hasFailed, setHasFailed] = useState(false);
  const clock = createCaseClock({ ...openCase.record.origin, epochMs: null, clock: 'elapsed', originOffsetMs: 0 });
  const window = openCase.viewport.get();
  const story = stories?.find((one) => one.storyId === storyId) ?? null;
  const label = story === null ? 'Case A' : (caseLabels({ moments: [...story.moments, { momentId: '', part, factor, title, text, notes, view }] }).get(openCase.caseKey) ?? '');
  const faults = [title.length > STORY_LIMITS.titleCharacters, text.length > STORY_LIMITS.textCharacters, notes.length > STORY_LIMITS.notesCharacters];
  const isUsable = title.trim() !== '' && !faults.includes(true) && (storyId !== NEW_STORY || storyTitle.trim() !== '') && !isKeeping;

  const formRef = useRef<HTMLFormElement>(null);
  // What has to be filled in comes first: the title of a new story, else that of the moment.
  useEffect(() => {
    formRef.current?.querySelector<HTMLElement>('input')?.focus();
  }, []);
  const collect = async (): Promise<void> => {
    if (!isUsable) return;
    setIsKeeping(true);
    const moment: StoryMoment = { momentId: newMomentId(), part, factor: part === 'factors' ? factor : null, title: title.trim(), text: text.trim(), notes: notes.trim(), view: withView ? view : null };
    const into = storyId === NEW_STORY ? await session.stories.add(storyTitle.trim()) : story;
    const isKept = into !== null && (await session.stories.change(into.storyId, (now) => ({ ...now, moments: [...now.moments, moment] })));
    setIsKeeping(false);
    setHasFailed(!isKept);
    if (into !== null) setStoryId(into.storyId);
    if (!isKept || into === null) return;
    session.preferences.change({ lastStory: into.storyId });
    // The one before is answered by this one.
    for (const { messageId, text: said } of session.messages.get()) if (said.startsWith('Collected into ')) session.messages.dismiss(messageId);
    session.messages.add('note', `Collected into “${into.title}”, ${STORY_PART_WORDS[part].name}.`);
    onClose();
  };
  return (
    <Dialog
      title="Collect a moment" width="wide" onClose={onClose}
      notice={hasFailed && problem !== null ? <Notice tone="problem" title="It is not collected." live><p>{problem.message} {problem.remedy ?? ''}</p></Notice> : null}
      actions={<><Button onClick={onClose}>Cancel</Button><Button look="primary" disabled={!isUsable} onClick={() => void collect()}>Collect</Button></>}
    >
      <form ref={formRef} className="moment-form" onSubmit={(event) => { event.preventDefault(); void collect(); }}>
        <div className="moment-row">
          <SelectField label="Into the story" value={storyId} choices={[...(stories ?? []).map((one) => ({ value: one.storyId, label: one.title })), { value: NEW_STORY, label: 'A new story…' }]} onChange={setStoryId} />
          <SelectField label="Part of the presentation" value={part} choices={STORY_PARTS.map((name) => ({ value: name, label: STORY_PART_WORDS[name].name }))} onChange={(value) => setPart(STORY_PARTS.find((name) => name === value) ?? part)} />
          {part === 'factors' ? <SelectField label="Where it lies" value={factor ?? ''} choices={[{ value: '', label: 'not said' }, ...STORY_FACTORS.map((name) => ({ value: name, label: name }))]} onChange={(value) => setFactor(STORY_FACTORS.find((name) => name === value) ?? null)} /> : null}
        </div>
        {storyId === NEW_STORY ? <TextField label="Title of the new story" hint="Of the matter, not of a person: no name, room or date." value={storyTitle} onChange={setStoryTitle} /> : null}
        <p className="soft">{STORY_PART_WORDS[part].asks}</p>
        <TextField label="Title" value={title} onChange={setTitle} error={faults[0] === true ? `at most ${STORY_LIMITS.titleCharacters} characters.` : null} />
        <TextAreaField label="Text" hint="Proposed from what is on record: write over it. It is shown as it stands here, so no name, room or date." value={text} onChange={setText} error={faults[1] === true ? `at most ${STORY_LIMITS.textCharacters} characters.` : null} />
        <TextAreaField label="Notes for the presenter" hint="Shown to the presenter alone." value={notes} onChange={setNotes} error={faults[2] === true ? `at most ${STORY_LIMITS.notesCharacters} characters.` : null} />
        <CheckField label="With the view as it is now" checked={withView} onChange={setWithView} />
        {withView ? (
          <p className="soft">
            {label}, {clock.clock(window.startMs)} to {clock.clock(window.endMs)} of the record ({durationText(window.endMs - window.startMs)})
            {view.dropout === null ? '' : `, at the dropout of the ${analysis.sites.find(({ siteKey }) => siteKey === view.dropout?.siteKey)?.site ?? 'sensor'}`}
            {view.instantMs === null ? '' : ', with the instant of the cursor'}; the lanes as they are; what cannot be excluded {view.isBoundShown ? 'is shown' : 'is not shown'}.
          </p>
        ) : null}
      </form>
    </Dialog>
  );
}
