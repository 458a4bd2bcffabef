import type { JSX } from 'react';
import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { OpenCase } from '../../state/open-case.ts';
import { useSession, type Retaking } from '../../state/session.ts';
import { Button } from '../../widgets/button.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { withMoment } from './moment-edit.ts';
import { viewOf } from './view-of.ts';

/** Returns what stands above the timeline while the view of a moment is taken anew. */
export function RetakingBar({ retaking, openCase, analysis }: { readonly retaking: Retaking; readonly openCase: OpenCase; readonly analysis: CaseAnalysis }): JSX.Element {
  const session = useSession();
  const back = (): void => {
    session.retaking.set(null);
    session.meetingPart.set('stories');
    session.stories.open(retaking.storyId);
    session.chosenMoment.set(retaking.momentId);
    session.place.set('meeting');
  };
  const take = async (): Promise<void> => {
    const view = viewOf(openCase, analysis, session.lanes.get());
    if (await session.stories.change(retaking.storyId, (story) => withMoment(story, retaking.momentId, (moment) => ({ ...moment, view })))) back();
    else session.messages.add('problem', session.stories.get().problem?.message ?? 'The view could not be kept.');
  };
  return (
    <Notice tone="note" title={`Taking the view of “${retaking.title}” anew`}>
      <p>Bring to the screen what the moment is to show, the cursor to its instant. Lanes, the chosen dropout and what cannot be excluded are taken as they are.</p>
      <div className="row"><Button look="primary" onClick={() => void take()}>Take this view</Button><Button onClick={back}>Leave it as it was</Button></div>
    </Notice>
  );
}
