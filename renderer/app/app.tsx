import { lazy, Suspense, useEffect, useLayoutEffect, useRef, useState, type JSX, type MouseEvent } from 'react';
import { AboutPanel } from '../panels/about/about-panel.tsx';
import { CaseLibrary } from '../panels/case-library/case-library.tsx';
import { CaseView } from '../panels/case-view/case-view.tsx';
import { DefinitionsPanel } from '../panels/definitions/definitions-panel.tsx';
import { MeetingPlace } from '../panels/meeting/meeting-place.tsx';
import { Presenting } from '../panels/meeting/presenting/presenting.tsx';
import { ReviewPlace } from '../panels/review/review-place.tsx';
import { KeepingPanel } from '../panels/keeping/keeping-panel.tsx';
import { SitesPanel } from '../panels/sites/sites-panel.tsx';
import { numberText } from '../format/number-text.ts';
import { ImportPlace } from '../panels/ledger-panel/import-place.tsx';
import { PLACES, useSession, type Place } from '../state/session.ts';
import { useStore } from '../state/store.ts';
import type { ThemeName } from '../state/theme.ts';
import { Button } from '../widgets/button.tsx';
import { Waiting } from '../widgets/empty-state.tsx';
import { ChoiceRow } from '../widgets/field.tsx';
import { ToastShelf } from '../widgets/toast-shelf.tsx';
import { commandFor } from './commands.ts';
import { figureAt } from '../help/figure-at.ts';
import { useHelp, type HelpStore } from '../help/help-store.ts';
import { ErrorBoundary } from './error-boundary.tsx';
import { HelpDialog } from './help-dialog.tsx';
import { PrintFrame, SheetTexts } from './print-frame.tsx';
import { useTheme } from './use-theme.ts';

/** Its charts are the largest part of the page: loaded when the place is first opened. */
const CohortPlace = lazy(async () => ({ default: (await import('../panels/cohort/cohort-place.tsx')).CohortPlace }));

/** Its pages and itself are no part of the start. */
const HelpPanel = lazy(async () => ({ default: (await import('../help/help-panel.tsx')).HelpPanel }));

/** The steps of learning by doing: loaded when they are begun. */
const TourBar = lazy(async () => ({ default: (await import('../panels/tour/tour-bar.tsx')).TourBar }));

const PLACE_NAMES: Readonly<Record<Place, string>> = {
  library: 'Library',
  case: 'Case',
  sites: 'Sites',
  cohort: 'Cohort',
  review: 'Review',
  meeting: 'Meeting',
  import: 'Import',
  definitions: 'Definitions',
  about: 'About',
  keeping: 'How the library is kept',
};

/** Opens the help for what has the focus, or for what is pointed at where that belongs to no figure; its contents where neither does. Closes it where it is being read. */
function followHelpKey(help: HelpStore): () => void {
  const onKey = (event: KeyboardEvent): void => {
    if (event.key !== 'F1' || event.ctrlKey || event.metaKey || event.altKey || event.shiftKey) return;
    event.preventDefault();
    const focused = document.activeElement instanceof HTMLElement ? document.activeElement : null;
    if (focused !== null && focused.closest('.help-panel') !== null) {
      help.close();
      return;
    }
    const pointedAt = [...document.querySelectorAll(':hover')].at(-1);
    const found = (focused === null ? null : figureAt(focused)) ?? (pointedAt === undefined ? null : figureAt(pointedAt));
    if (found === null) help.openPage(null, null, focused);
    else help.openFigure(found.figure, found.among, focused);
  };
  // Before any dialog, which keeps its keys to itself.
  window.addEventListener('keydown', onKey, true);
  return () => window.removeEventListener('keydown', onKey, true);
}

/** Longer than any system's double click. */
const DOUBLE_CLICK_MS = 900;

/** Returns the whole window. */
export function App(): JSX.Element {
  const session = useSession();
  const place = useStore(session.place);
  const preferences = useStore(session.preferences);
  const messages = useStore(session.messages);
  const caseState = useStore(session.cases);
  const themeName = useTheme(preferences.theme);
  const [areKeysOpen, setAreKeysOpen] = useState(false);
  const help = useHelp();

  useEffect(() => (help === null ? undefined : followHelpKey(help)), [help]);

  const presentation = useStore(session.presentation);
  const { confidentialityText } = useStore(session.reportSetting);
  const isPresenting = presentation !== null;
  useEffect(() => {
    // A presentation has keys of its own.
    if (isPresenting) return undefined;
    const onKey = (event: KeyboardEvent): void => {
      const command = commandFor(event);
      if (command === null || (!preferences.singleKeys && command.commandId !== 'help')) return;
      event.preventDefault();
      command.run(session, { showHelp: () => setAreKeysOpen(true) });
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  }, [session, preferences.singleKeys, isPresenting]);

  // A presentation takes the whole page: what had the focus before it is gone, and so it goes to where it was begun.
  const wasPresenting = useRef(false);
  useEffect(() => {
    if (wasPresenting.current && !isPresenting) (document.getElementById('present') ?? document.getElementById('place'))?.focus();
    wasPresenting.current = isPresenting;
  }, [isPresenting]);

  // A note on what was done in one place, or in one case, does not lie over the next.
  const cases = useStore(session.cases);
  const shownCase = cases.kind === 'open' ? cases.openCase.caseKey : null;
  const part = useStore(session.casePart);
  const lastShownRef = useRef(0);
  useEffect(() => session.messages.leaveBehind(lastShownRef.current), [session, place, shownCase, part]);
  useEffect(() => {
    lastShownRef.current = messages.at(-1)?.messageId ?? lastShownRef.current;
  }, [messages]);

  // The second press of a double click lands on the place that the first one opened and would select its text.
  const openedAt = useRef(0);
  useEffect(() => {
    openedAt.current = performance.now();
  }, [place]);
  // A place that is come back to stands where it was left; one that is new begins at its top.
  const placeRef = useRef<HTMLElement>(null);
  const scrolledPx = useRef(new Map<Place, number>());
  useLayoutEffect(() => {
    if (placeRef.current !== null) placeRef.current.scrollTop = scrolledPx.current.get(place) ?? 0;
  }, [place]);
  const onMouseDown = (event: MouseEvent): void => {
    if (event.detail > 1 && performance.now() - openedAt.current < DOUBLE_CLICK_MS) event.preventDefault();
  };

  if (presentation !== null) {
    return <ErrorBoundary part="The presentation"><SheetTexts place="" policy={confidentialityText} /><Presenting presentation={presentation} themeName={themeName} /></ErrorBoundary>;
  }
  return (
    <div className="window" onMouseDown={onMouseDown}>
      <a className="skip-link" href="#place">Skip to the content</a>
      <TitleBar onKeys={() => setAreKeysOpen(true)} onHelp={help === null ? null : (opener) => help.openPage(null, null, opener)} />
      <PrintFrame placeName={PLACE_NAMES[place]} followsTrial={place === 'case' || place === 'definitions'} caseName={place === 'case' && caseState.kind === 'open' ? caseState.openCase.record.caseId : null} />
      {preferences.tour.state === 'running' ? <Suspense fallback={null}><TourBar /></Suspense> : null}
      {/* A place without anything to focus must be focusable itself, or the keyboard could not scroll it. */}
      <main id="place" ref={placeRef} onScroll={(event) => scrolledPx.current.set(place, event.currentTarget.scrollTop)} tabIndex={place === 'about' ? 0 : -1} className={`place place-${place}`}>
        <ErrorBoundary key={place} part={`The place “${PLACE_NAMES[place]}”`}>
          <PlaceContent place={place} themeName={themeName} />
        </ErrorBoundary>
      </main>
      <footer className="foot">
        <span>Lacuna looks back at finished anaesthetics. It is not for decisions about a patient now, and it is no alarm. A missing value does not prove that a display was blank.</span>
        {place === 'about' ? null : <Button look="link" onClick={() => session.place.set('about')}>All cautions</Button>}
      </footer>
      <ToastShelf toasts={messages.map(({ messageId, tone, text }) => ({ id: messageId, tone, text }))} onDismiss={session.messages.dismiss} />
      {areKeysOpen ? <HelpDialog onClose={() => setAreKeysOpen(false)} /> : null}
      {help === null ? null : <OpenHelp help={help} />}
    </div>
  );
}

function OpenHelp({ help }: { readonly help: HelpStore }): JSX.Element | null {
  const { isOpen } = useStore(help);
  if (!isOpen) return null;
  return <ErrorBoundary part="The help"><Suspense fallback={null}><HelpPanel help={help} /></Suspense></ErrorBoundary>;
}

function PlaceContent({ place, themeName }: { readonly place: Place; readonly themeName: ThemeName }): JSX.Element {
  switch (place) {
    case 'library':
      return <CaseLibrary />;
    case 'case':
      return <CaseView themeName={themeName} />;
    case 'sites':
      return <SitesPanel />;
    case 'cohort':
      return <Suspense fallback={<div className="page"><Waiting>Opening the cohort…</Waiting></div>}><CohortPlace /></Suspense>;
    case 'review':
      return <ReviewPlace />;
    case 'meeting':
      return <MeetingPlace themeName={themeName} />;
    case 'import':
      return <ImportPlace />;
    case 'definitions':
      return <DefinitionsPanel />;
    case 'about':
      return <AboutPanel />;
    case 'keeping':
      return <KeepingPanel />;
  }
}

interface TitleBarProps {
  readonly onKeys: () => void;
  /** null: there is none. */
  readonly onHelp: ((opener: HTMLElement) => void) | null;
}

function TitleBar({ onKeys, onHelp }: TitleBarProps): JSX.Element {
  const session = useSession();
  const place = useStore(session.place);
  const preferences = useStore(session.preferences);
  const description = useStore(session.description);
  const caseState = useStore(session.cases);
  const importState = useStore(session.imports);
  const chosen = useStore(session.chosen);
  return (
    <header className="title-bar">
      <div className="product">
        <span className="product-name">Lacuna</span>
        {description === null ? null : (
          <button type="button" className="library-name" aria-current={place === 'keeping' ? 'page' : undefined} title={`How “${description.libraryName}” is kept: passphrase, backups, other libraries`} onClick={() => session.place.set('keeping')}>
            <span className="library-words">in the </span>{description.lock === null ? 'folder ' : <>encrypted <span className="library-words">library </span></>}“{description.libraryName}”
          </button>
        )}
      </div>
      <nav aria-label="Places" className="places">
        {PLACES.map((name) => (
          <button key={name} type="button" className="place-link" aria-current={name === place ? 'page' : undefined} onClick={() => session.place.set(name)}>
            {PLACE_NAMES[name]}
            {name === 'case' && caseState.kind === 'open' ? <span className="place-detail place-name-of-case" title={caseState.openCase.record.caseId}>{caseState.openCase.record.caseId}</span> : null}
            {name === 'sites' && chosen.size > 0 ? <span className="place-detail"> {numberText(chosen.size)} chosen</span> : null}
            {name === 'import' && importState.kind === 'working' ? <span className="place-detail"> reading…</span> : null}
          </button>
        ))}
      </nav>
      <ChoiceRow
        legend="Theme" legendHidden value={preferences.theme}
        choices={[{ value: 'light', label: 'Light' }, { value: 'dark', label: 'Dark' }, { value: 'system', label: 'System' }]}
        onChange={(value) => {
          if (value === 'light' || value === 'dark' || value === 'system') session.preferences.change({ theme: value });
        }}
      />
      <Button look="quiet" onClick={onKeys}>Keys</Button>
      {onHelp === null ? null : <Button look="quiet" aria-keyshortcuts="F1" title="How figures are worked out, and how the program is used (F1)" onClick={(event) => onHelp(event.currentTarget)}>Help</Button>}
      {description === null || description.lock === null ? null : <Button look="quiet" onClick={session.lock}>Lock</Button>}
    </header>
  );
}
