import type { JSX } from 'react';
import { DEFAULT_LANES } from '../../../core/model/lane-choice.ts';
import { presentedCase } from '../../../core/model/presented-case.ts';
import type { StoryMoment } from '../../../core/model/story.ts';
import { listKnownTerms } from '../../../core/terms/known-terms.ts';
import { MomentScreen } from '../../../renderer/panels/meeting/moment-screen.tsx';
import { StoryFrame } from '../../../renderer/panels/meeting/presenting/story-frame.tsx';
import type { ViewState } from '../../../renderer/panels/meeting/shown-view.ts';
import { createStore } from '../../../renderer/state/store.ts';
import { createViewport } from '../../../renderer/state/viewport.ts';
import { caseExtent } from '../../../renderer/timeline/case-extent.ts';
import { dropoutsInOrder } from '../../../renderer/timeline/dropout-walk.ts';
import '../../../renderer/panels/meeting/meeting.css';
import type { DrawPicture, PictureCase } from './picture.ts';

const MIN = 60_000;

const MOMENT: StoryMoment = {
  momentId: '0'.repeat(32), part: 'known when', factor: null, title: 'finger: SpO2 lost at +0:20:00',
  text: 'No SpO2 at the finger for a minute and a half; the ear lobe went on.\nThe cuff had just been started on the arm of the sensor.', notes: '', view: null,
};

/** A view as a presentation shows it, of the case as a meeting may see it: around the first dropout, which is chosen. */
function viewOf(own: PictureCase): ViewState {
  const { record, analysis } = presentedCase(own.record, own.analysis, 'Case A', listKnownTerms());
  const first = dropoutsInOrder(analysis)[0];
  if (first === undefined) throw new Error('the case has no dropout');
  const viewport = createViewport(caseExtent(record, analysis));
  viewport.set({ startMs: first.firstLostMs - 2 * MIN, endMs: first.firstLostMs + 4 * MIN });
  return {
    kind: 'shown',
    shown: {
      record, analysis, hidden: [], viewport, window: viewport.get(), instantMs: first.firstLostMs, boundShown: createStore(true), isBoundShown: true, lanes: DEFAULT_LANES, dropoutId: first.dropoutId, marks: [], remarks: [],
    },
  };
}

function Screen({ moment, view, themeName }: { readonly moment: StoryMoment; readonly view: ViewState | null; readonly themeName: 'light' | 'dark' }): JSX.Element {
  return (
    <div className="presenting">
      <div className="presenting-screen"><MomentScreen moment={moment} label={view === null ? '' : 'Case A'} view={view} themeName={themeName} isLaterHidden={false} takesFocus={false} /></div>
      <footer className="presenting-foot"><span>Peer review</span><span>1 / 3</span><span>Keys: ?</span></footer>
    </div>
  );
}

/** Screens of a presentation; the key of each is its name. */
export const MEETING_PICTURES: Readonly<Record<string, DrawPicture>> = {
  'presented-view': (cases) => ({ element: <Screen moment={MOMENT} view={viewOf(cases.sample('K06-finger-and-ear'))} themeName="light" />, widthPx: 1280, heightPx: 800 }),
  'presented-beginning': (cases) => ({
    element: (
      <div className="presenting">
        <StoryFrame
          story={{ storyId: 's', revision: 1, title: 'Blind under the drapes', question: 'Would a second sensor have covered the loss?', minutesPerCase: 12, hidesLater: true, moments: [MOMENT] }}
          labels={new Map([['a', 'Case A'], ['b', 'Case B']])} which="beginning" parameters={cases.sample('K06-finger-and-ear').analysis.parameters} confidentialityText="Confidential – quality improvement – see local policy"
        />
        <footer className="presenting-foot"><span>Peer review</span><span /><span>Keys: ?</span></footer>
      </div>
    ),
    widthPx: 1280, heightPx: 800,
  }),
  'presented-words-dark': () => ({
    element: <Screen moment={{ ...MOMENT, part: 'recommendations', title: 'A second sensor before both arms are tucked', text: 'Who: the lead for monitoring.\nMeasured by: cases with a dropout longer than a minute, by month.' }} view={null} themeName="dark" />,
    widthPx: 1280, heightPx: 800, theme: 'dark',
  }),
};
