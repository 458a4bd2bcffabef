import { useMemo, useState, type JSX } from 'react';
import { caseLabels, casesOfStory, inStoryOrder } from '../../../core/model/story.ts';
import type { Story } from '../../../core/model/story.ts';
import { presentedCase } from '../../../core/model/presented-case.ts';
import { storyConcerns } from '../../../core/model/story-concerns.ts';
import { countText } from '../../format/number-text.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { Waiting } from '../../widgets/empty-state.tsx';
import { CheckField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { HiddenList } from './presenting/presenter-view.tsx';
import { openPresenterWindow } from './presenting/presenter-window.tsx';
import { checkView } from './shown-view.ts';

/** Returns the dialog before a presentation: what the meeting will not see, what to look at again, and how it is shown. */
export function PresentDialog({ story, onClose }: { readonly story: Story; readonly onClose: () => void }): JSX.Element {
  const session = useSession();
  const { cases, terms } = useStore(session.storyCases);
  const presenterWindow = useStore(session.presentation.presenterWindow);
  const [hidesLater, setHidesLater] = useState(story.hidesLater);
  const [fillsScreen, setFillsScreen] = useState(true);
  const [isRefused, setIsRefused] = useState(false);
  const labels = useMemo(() => caseLabels(story), [story]);
  const moments = useMemo(() => inStoryOrder(story.moments), [story]);
  const states = useMemo(() => moments.map(({ view }) => (view === null ? null : checkView(view, cases.get(view.caseKey)))), [moments, cases]);
  const isReading = states.some((state) => state?.kind === 'reading');
  const hiddenByCase = useMemo(() => casesOfStory(story).flatMap((caseKey) => {
    const read = cases.get(caseKey);
    return read?.kind !== 'open' || terms === null ? [] : [{ caseKey, hidden: presentedCase(read.record, read.analysis, labels.get(caseKey) ?? '', terms).hidden }];
  }), [story, cases, terms, labels]);
  const names = casesOfStory(story).flatMap((caseKey) => {
    const read = cases.get(caseKey);
    return read?.kind === 'open' ? [read.record.caseId] : [];
  });
  const concerns = storyConcerns({ title: story.title, question: story.question, moments }, names);
  const notShown = states.flatMap((state, i) => (state?.kind === 'not shown' ? [{ at: i + 1, why: state.why }] : []));
  const changed = states.flatMap((state, i) => (state?.kind === 'ready' && state.remarks.length > 0 ? [{ at: i + 1, why: state.remarks.join(' ') }] : []));
  const withMarks = moments.filter(({ view, showsMarks }) => view !== null && showsMarks === true).length;
  const withoutInstant = hidesLater ? moments.filter(({ view }) => view !== null && view.instantMs === null).length : 0;
  const present = (): void => {
    // Asked for at once: the browser grants it only for what a person has just pressed.
    if (fillsScreen) document.documentElement.requestFullscreen().catch(() => session.messages.add('note', 'The window could not fill the screen; press F, or the key of the browser (often F11).'));
    session.presentation.start(story, hidesLater);
    onClose();
  };
  const cancel = (): void => {
    // Nothing would ever be drawn in it.
    presenterWindow?.close();
    session.presentation.presenterWindow.set(null);
    onClose();
  };
  return (
    <Dialog
      title={`Present “${story.title}”`} width="wide" onClose={cancel}
      actions={
        <>
          <Button look="primary" disabled={moments.length === 0} onClick={present}>Present</Button>
          <Button onClick={() => {
            const opened = openPresenterWindow(presenterWindow);
            setIsRefused(opened === null);
            session.presentation.presenterWindow.set(opened);
          }}>
            {presenterWindow === null ? 'Open the presenter’s window' : 'Presenter’s window is open'}
          </Button>
          <Button onClick={cancel}>Cancel</Button>
        </>
      }
    >
      {isReading ? <Waiting>Reading the cases of the story…</Waiting> : null}
      {isRefused ? <Notice tone="problem" title="The browser did not allow a second window." live><p>Allow windows for this page, or present with one screen: O shows notes and time on it.</p></Notice> : null}
      <h3>What the meeting does not see</h3>
      {hiddenByCase.length === 0 ? <p className="soft">The story shows no case.</p> : <div className="hidden-of-cases">{hiddenByCase.map(({ caseKey, hidden }) => <section key={caseKey}><h4>{labels.get(caseKey)}</h4><HiddenList hidden={hidden} /></section>)}</div>}
      <p className="soft">The meeting sees what is measured, times from the first row, and drugs, positions and events by the words of the dictionary. Titles and texts of moments are shown as you typed them.{withMarks === 0 ? '' : ` ${countText(withMarks, 'moment shows the notes pinned to its case', 'moments show the notes pinned to their cases')}, without what may tell who, when or where.`}</p>
      {concerns.length === 0 ? null : (
        <Notice tone="caution" title="Look at these words again: they may tell who, when or where">
          <ul>{concerns.slice(0, 30).map(({ what, words, where }, i) => <li key={i}>“{words}” in {where}: {what}</li>)}</ul>
          {concerns.length > 30 ? <p>And {concerns.length - 30} more.</p> : null}
        </Notice>
      )}
      {notShown.length + changed.length === 0 ? null : (
        <Notice tone="caution" title="Not as it was when it was collected">
          <ul>{[...notShown, ...changed].map(({ at, why }) => <li key={`${at} ${why}`}>Moment {at}: {why}</li>)}</ul>
        </Notice>
      )}
      <h3>How it is shown</h3>
      <CheckField label="Hide what came after the instant of each moment until I press R" checked={hidesLater} onChange={setHidesLater} />
      {withoutInstant > 0 ? <p className="soft">{countText(withoutInstant, 'moment has', 'moments have')} no instant and show all of their record: take the view anew with the cursor in it.</p> : null}
      <CheckField label="Fill the screen" checked={fillsScreen} onChange={setFillsScreen} />
      <p className="soft">With two screens: open the presenter’s window first, put it on your screen and this window on the other. All keys work in both; ? lists them.</p>
    </Dialog>
  );
}
