import { useEffect, useState, type JSX } from 'react';
import { STORY_PART_WORDS } from '../../../core/model/story.ts';
import type { StoryMoment } from '../../../core/model/story.ts';
import { createCaseClock } from '../../format/time-text.ts';
import type { ThemeName } from '../../state/theme.ts';
import type { HandBounds } from '../../timeline/hand-bounds.ts';
import { Timeline } from '../../timeline/timeline.tsx';
import { Waiting } from '../../widgets/empty-state.tsx';
import type { ShownView, ViewState } from './shown-view.ts';

export interface MomentScreenProps {
  readonly moment: StoryMoment;
  /** What the moment's case is called; '' for words alone. */
  readonly label: string;
  /** null: words alone. */
  readonly view: ViewState | null;
  readonly themeName: ThemeName;
  /** `true`: what came after the instant is not in `view`. */
  readonly isLaterHidden: boolean;
  /** Whether the timeline takes the focus when it appears. */
  readonly takesFocus: boolean;
}

/** Returns one screen of a story as a meeting sees it. */
export function MomentScreen({ moment, label, view, themeName, isLaterHidden, takesFocus }: MomentScreenProps): JSX.Element {
  const { part, factor, title, text } = moment;
  return (
    <article className={`moment-screen${view === null ? ' moment-screen-words' : ''}`}>
      <header className="moment-screen-head">
        <p className="moment-screen-part">{STORY_PART_WORDS[part].name}{factor === null ? '' : `: ${factor}`}{label === '' ? '' : ` · ${label}`}</p>
        <h2>{title}</h2>
      </header>
      <div className="moment-screen-body">
        {view === null ? null : <div className="moment-screen-picture">{view.kind === 'shown' ? <ShownTimeline key={isLaterHidden ? 'then' : 'all'} shown={view.shown} themeName={themeName} isLaterHidden={isLaterHidden} takesFocus={takesFocus} /> : view.kind === 'reading' ? <Waiting>Reading the case…</Waiting> : <p className="moment-screen-gone">{view.why}</p>}</div>}
        {/* Words about a view are written by somebody who knows how it ended. */}
        {text.trim() === '' || (isLaterHidden && view !== null && view.kind !== 'not shown') ? null : <div className="moment-screen-text" tabIndex={0} role="group" aria-label="Text of the moment">{text.split('\n').filter((line) => line.trim() !== '').map((line, i) => <p key={i}>{line}</p>)}</div>}
      </div>
    </article>
  );
}

const NO_HAND_BOUNDS: readonly HandBounds[] = [];
const ignore = (): void => undefined;

function ShownTimeline({ shown, themeName, isLaterHidden, takesFocus }: { readonly shown: ShownView; readonly themeName: ThemeName; readonly isLaterHidden: boolean; readonly takesFocus: boolean }): JSX.Element {
  const { record, analysis, viewport, window, instantMs, boundShown, marks } = shown;
  const [dropoutId, setDropoutId] = useState(shown.dropoutId);
  const [markId, setMarkId] = useState<string | null>(null);
  const [lanes, setLanes] = useState(shown.lanes);
  const [element, setElement] = useState<HTMLElement | null>(null);
  useEffect(() => {
    // A timeline that is given a dropout goes to it; the view is what was collected.
    viewport.set(window);
    viewport.setCursorMs(instantMs);
    if (takesFocus) element?.querySelector<HTMLElement>('.tl-stage')?.focus({ preventScroll: true });
  }, [viewport, window, instantMs, element, takesFocus]);
  return (
    <>
      {isLaterHidden && instantMs !== null ? <p className="moment-screen-then" role="status">As recorded until {createCaseClock(record.origin).clock(instantMs)}. What came after is not shown.</p> : null}
      <div className="moment-screen-timeline" ref={setElement}>
        <Timeline
          record={record} analysis={analysis} viewport={viewport} themeName={themeName} isBare boundShown={boundShown} selectedDropoutId={dropoutId} onSelectDropout={setDropoutId}
          lanes={lanes} onLanes={setLanes} marks={marks} chosenMarkId={markId} onChooseMark={setMarkId} onMark={ignore} handBounds={NO_HAND_BOUNDS} onCompare={null}
        />
      </div>
    </>
  );
}
