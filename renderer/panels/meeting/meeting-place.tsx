import type { ComponentType, JSX } from 'react';
import { MEETING_PARTS, type MeetingPart } from '../../state/meeting-parts.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import type { ThemeName } from '../../state/theme.ts';
import { useStartAtTop } from '../../widgets/start-at-top.ts';
import { ActionCount } from './actions/action-count.tsx';
import { ActionsPanel } from './actions/actions-panel.tsx';
import { ReportsPanel } from './reports/reports-panel.tsx';
import { StoriesPanel } from './stories-panel.tsx';
import './meeting.css';

/** What stands under each tab; `MEETING_PARTS` has their order. */
const PARTS: Readonly<Record<MeetingPart, { readonly name: string; readonly Content: ComponentType<{ readonly themeName: ThemeName }>; readonly Detail?: ComponentType }>> = {
  stories: { name: 'Stories', Content: StoriesPanel },
  actions: { name: 'Actions', Content: ActionsPanel, Detail: ActionCount },
  reports: { name: 'Reports', Content: ReportsPanel },
};

/** Returns the place Meeting: what is told there and what comes of it. */
export function MeetingPlace({ themeName }: { readonly themeName: ThemeName }): JSX.Element {
  const session = useSession();
  const part = useStore(session.meetingPart);
  const { Content } = PARTS[part];
  useStartAtTop(part);
  return (
    <>
      <nav aria-label="Parts of the meeting" className="part-links">
        {MEETING_PARTS.map((name) => {
          const { name: title, Detail } = PARTS[name];
          return (
            <button key={name} type="button" className="part-link" aria-current={name === part ? 'page' : undefined} onClick={() => session.meetingPart.set(name)}>
              {title}{Detail === undefined ? null : <Detail />}
            </button>
          );
        })}
      </nav>
      <Content themeName={themeName} />
    </>
  );
}
