import { useCallback, useEffect, useMemo, useRef, useState, type JSX } from 'react';
import type { CaseAnalysis } from '../../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../../core/model/case.ts';
import { recordUntil } from '../../../../core/model/record-until.ts';
import { casesOfStory, placeView, plannedMinutes, STORY_PART_WORDS } from '../../../../core/model/story.ts';
import { BEGINNING, type Presentation, type PresentingCommand } from '../../../state/presentation.ts';
import { describeProblem, type Problem } from '../../../state/problem.ts';
import { useSession } from '../../../state/session.ts';
import { useStore } from '../../../state/store.ts';
import type { ThemeName } from '../../../state/theme.ts';
import { commandOf } from '../../../timeline/keys.ts';
import { Dialog } from '../../../widgets/dialog.tsx';
import { takesText } from '../../../widgets/takes-text.ts';
import { MomentScreen } from '../moment-screen.tsx';
import { showMoment, type ViewState } from '../shown-view.ts';
import '../meeting.css';
import { PresenterView } from './presenter-view.tsx';
import { StoryFrame } from './story-frame.tsx';
import { openPresenterWindow, PresenterWindow } from './presenter-window.tsx';
import { PRESENTING_KEYS, presentingCommandOf } from './presenting-keys.ts';

const HOUR_MS = 3_600_000;

/** The case as it had been recorded by a moment's instant. */
type Then = { readonly momentId: string } & ({ readonly kind: 'ready'; readonly record: CaseRecord; readonly analysis: CaseAnalysis } | { readonly kind: 'failed'; readonly problem: Problem });

/** Returns the screen that a meeting sees, and the presenter's window beside it. Nothing else of the program is on the page meanwhile. */
export function Presenting({ presentation, themeName }: { readonly presentation: Presentation; readonly themeName: ThemeName }): JSX.Element {
  const session = useSession();
  const { cases, terms } = useStore(session.storyCases);
  const presenterWindow = useStore(session.presentation.presenterWindow);
  const header = useHeader();
  const rootRef = useRef<HTMLElement>(null);
  const [then, setThen] = useState<Then | null>(null);
  const [remark, setRemark] = useState('');
  const { story, moments, labels, at, hidesLater, isRevealed, isBlack } = presentation;
  const moment = moments[at];
  const view = moment?.view ?? null;
  const label = view === null ? '' : (labels.get(view.caseKey) ?? '');
  const storyCase = view === null ? undefined : cases.get(view.caseKey);

  useEffect(() => {
    session.storyCases.want(casesOfStory(story));
  }, [session, story]);
  useEffect(() => {
    // A meeting talks over one screen for longer than a library stays open by itself: as long as the plan, twice over, and an hour at least.
    const untilMs = presentation.startedAtMs + Math.max(HOUR_MS, 2 * plannedMinutes(story) * 60_000);
    const timer = setInterval(() => {
      if (Date.now() < untilMs) window.dispatchEvent(new Event('pointermove'));
    }, 30_000);
    return () => clearInterval(timer);
  }, [presentation.startedAtMs, story]);
  useEffect(() => {
    rootRef.current?.focus({ preventScroll: true });
  }, []);

  // What was recorded by the instant is analysed by itself: nothing that came later has a part in it.
  const isLaterHidden = hidesLater && !isRevealed && view !== null && view.instantMs !== null;
  useEffect(() => {
    if (!isLaterHidden || view === null || moment === undefined || storyCase?.kind !== 'open' || then?.momentId === moment.momentId) return undefined;
    const place = placeView(view, storyCase.record, storyCase.analysis);
    if (place.kind !== 'placed' || place.instantMs === null) return undefined;
    const untilMs = place.instantMs;
    let isCurrent = true;
    const { momentId } = moment;
    session.host.analyze({ caseKey: view.caseKey, parameters: storyCase.analysis.parameters, untilMs }).then(
      (analysis) => {
        if (isCurrent) setThen({ momentId, kind: 'ready', record: recordUntil(storyCase.record, untilMs), analysis });
      },
      (error: unknown) => {
        if (isCurrent) setThen({ momentId, kind: 'failed', problem: describeProblem(error, 'Working out what was known then') });
      },
    );
    return () => {
      isCurrent = false;
    };
  }, [session, isLaterHidden, view, moment, storyCase, then]);

  const state = useMemo((): ViewState | null => {
    if (view === null || moment === undefined) return null;
    if (!isLaterHidden) return showMoment(moment, storyCase, terms, label);
    const mine = then?.momentId === moment.momentId ? then : null;
    if (mine?.kind === 'failed') return { kind: 'not shown', why: 'What was known then could not be worked out, so nothing is shown. R shows the whole record.', problem: mine.problem };
    if (mine === null) {
      // Where the view cannot be shown at all, the reason stands here; else it is waited for.
      const whole = showMoment(moment, storyCase, terms, label);
      return whole?.kind === 'shown' ? { kind: 'reading' } : whole;
    }
    return showMoment(moment, storyCase, terms, label, mine);
  }, [view, moment, isLaterHidden, storyCase, terms, label, then]);
  const shown = state?.kind === 'shown' ? state.shown : null;

  const { collectedViews } = presentation;
  useEffect(() => {
    if (collectedViews === 0 || shown === null) return;
    shown.viewport.set(shown.window);
    shown.viewport.setCursorMs(shown.instantMs);
    shown.boundShown.set(shown.isBoundShown);
    // Asked for once; a moment that comes later is at its collected view already.
  }, [collectedViews]); // eslint-disable-line react-hooks/exhaustive-deps

  const end = useCallback((): void => {
    session.presentation.presenterWindow.get()?.close();
    session.presentation.presenterWindow.set(null);
    if (document.fullscreenElement !== null) void document.exitFullscreen();
    session.presentation.end();
  }, [session]);
  const run = useCallback((command: PresentingCommand): void => {
    setRemark('');
    if (command === 'end') end();
    else if (command === 'full screen') toggleFullScreen(setRemark);
    else if (command === 'second window') {
      const opened = openPresenterWindow(session.presentation.presenterWindow.get());
      if (opened === null) setRemark('The browser did not allow a second window. Allow windows for this page, or press O for notes on this screen.');
      session.presentation.presenterWindow.set(opened);
    } else session.presentation.run(command);
  }, [session, end]);
  const onKey = useCallback((event: KeyboardEvent): void => {
    if (takesText(event.target)) return;
    const isPressed = event.key === ' ' && isButton(event.target);
    const command = isPressed ? null : presentingCommandOf(event);
    const isHere = rootRef.current?.ownerDocument === (event.view ?? window).document;
    if (command !== null) {
      event.preventDefault();
      event.stopPropagation();
      run(command);
      return;
    }
    // Keys of the timeline work wherever the focus is, also in the presenter's window.
    const timeline = rootRef.current?.querySelector('.tl-root') ?? null;
    if (timeline === null || commandOf(event) === null || (isHere && event.target instanceof Node && timeline.contains(event.target))) return;
    event.preventDefault();
    const { key, altKey, shiftKey } = event;
    timeline.dispatchEvent(new KeyboardEvent('keydown', { key, altKey, shiftKey, bubbles: true }));
  }, [run]);
  useEffect(() => {
    const onOwnKey = (event: KeyboardEvent): void => {
      // Those that this screen made for the timeline itself.
      if (event.isTrusted || !(event.target instanceof HTMLElement && event.target.classList.contains('tl-root'))) onKey(event);
    };
    window.addEventListener('keydown', onOwnKey, true);
    return () => window.removeEventListener('keydown', onOwnKey, true);
  }, [onKey]);
  const onGone = useCallback(() => session.presentation.presenterWindow.set(null), [session]);

  const where = at === BEGINNING ? 'beginning' : 'end';
  const definition = [...cases.values()].find((one) => one.kind === 'open')?.analysis.parameters ?? null;
  const presenter = <PresenterView presentation={presentation} hidden={shown?.hidden ?? []} onCommand={run} onGoTo={session.presentation.goTo} />;
  return (
    <main ref={rootRef} className="presenting" aria-label="Presentation" tabIndex={-1} data-moment={at} data-state={moment === undefined ? where : (state?.kind ?? 'words')}>
      {isBlack ? <p className="presenting-black"><span className="visually-hidden">The screen is black. B brings it back.</span></p> : moment === undefined ? (
        <StoryFrame story={story} labels={labels} which={where} parameters={definition} confidentialityText={header} />
      ) : (
        <div className="presenting-screen" data-notes={presentation.areNotesShown}>
          <MomentScreen key={moment.momentId} moment={moment} label={label} view={state} themeName={themeName} isLaterHidden={isLaterHidden} takesFocus />
          {presentation.areNotesShown ? <aside className="presenting-notes">{presenter}</aside> : null}
        </div>
      )}
      {isBlack ? null : (
        <footer className="presenting-foot">
          <span>{moment === undefined ? '' : header}</span>
          <span>{moment === undefined ? '' : `${at + 1} / ${moments.length}`}</span>
          <span className="only-screen">{remark === '' ? 'Keys: ?' : remark}</span>
        </footer>
      )}
      <p className="visually-hidden" aria-live="polite">{isBlack ? '' : moment === undefined ? (where === 'end' ? 'End of the story.' : `Beginning of the story: ${story.title}`) : `Moment ${at + 1} of ${moments.length}, ${STORY_PART_WORDS[moment.part].name}: ${moment.title}`}</p>
      {presentation.areKeysShown ? <KeysDialog onClose={() => run('keys')} /> : null}
      {presenterWindow === null ? null : <PresenterWindow opened={presenterWindow} themeName={themeName} onKey={onKey} onGone={onGone}>{presenter}</PresenterWindow>}
    </main>
  );
}

/** Returns the confidentiality text of the library; until it is read, and where it cannot be, the program's own. */
function useHeader(): string {
  const session = useSession();
  return useStore(session.reportSetting).confidentialityText;
}

function toggleFullScreen(onRefused: (why: string) => void): void {
  const isFull = document.fullscreenElement !== null;
  (isFull ? document.exitFullscreen() : document.documentElement.requestFullscreen()).catch(() => onRefused('The window could not fill the screen. The browser’s own key for it (often F11) does the same.'));
}

function isButton(target: EventTarget | null): boolean {
  // A target of another window is no instance of this window's classes: what it is shows by what it can do.
  return target !== null && 'closest' in target && (target as Element).closest('button, summary, a') !== null;
}

function KeysDialog({ onClose }: { readonly onClose: () => void }): JSX.Element {
  return (
    <Dialog title="Keys of the presentation" onClose={onClose} width="wide">
      <dl className="key-list key-list-wide">
        {PRESENTING_KEYS.map(({ command, shown, meaning }) => <div key={command}><dt><kbd>{shown}</kbd></dt><dd>{meaning}</dd></div>)}
      </dl>
      <p>The timeline has its own: arrows, + and −, N and P for dropouts, 0 to 3, E for what cannot be excluded, M to measure, T for its table, point and comma for the cursor.</p>
    </Dialog>
  );
}
