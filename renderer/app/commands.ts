import type { Place, Session } from '../state/session.ts';
import { allDropouts } from '../state/selection.ts';
import { AROUND_MS } from '../state/viewport.ts';
import { takesText } from '../widgets/takes-text.ts';

/** A named thing a person can do from the keyboard anywhere in the window. */
export interface Command {
  readonly commandId: string;
  readonly label: string;
  /** Keys as `KeyboardEvent.key` has them. */
  readonly keys: readonly string[];
  readonly group: 'Places' | 'Case' | 'Window';
  readonly run: (session: Session, window: WindowActions) => void;
}

/** What a command can ask of the window itself. */
export interface WindowActions {
  showHelp(): void;
}

function goTo(place: Place): Command['run'] {
  return (session) => session.place.set(place);
}

const LAST_DROPOUT = 'That was the last dropout of this case.';
const FIRST_DROPOUT = 'That was the first dropout of this case.';
const NO_DROPOUT = 'This case has no dropout.';

function stepDropout(step: 1 | -1): Command['run'] {
  return (session) => {
    const state = session.cases.get();
    if (session.place.get() !== 'case' || state.kind !== 'open') return;
    if (state.openCase.step(step)) session.messages.withdraw([LAST_DROPOUT, FIRST_DROPOUT]);
    else if (allDropouts(state.openCase.analysis.get()).length === 0) session.messages.add('note', NO_DROPOUT);
    else session.messages.add('note', step === 1 ? LAST_DROPOUT : FIRST_DROPOUT);
  };
}

function showAround(halfMs: number): Command['run'] {
  return (session) => {
    const state = session.cases.get();
    if (session.place.get() === 'case' && state.kind === 'open') state.openCase.showAround(halfMs);
  };
}

/** Every command of the window, in the order in which the list of keys shows them. */
export const COMMANDS: readonly Command[] = [
  { commandId: 'library', label: 'Go to the library', keys: ['l'], group: 'Places', run: goTo('library') },
  { commandId: 'case', label: 'Go to the open case', keys: ['c'], group: 'Places', run: goTo('case') },
  { commandId: 'sites', label: 'Go to the sites of the chosen cases', keys: ['s'], group: 'Places', run: goTo('sites') },
  { commandId: 'cohort', label: 'Go to the cohort', keys: ['o'], group: 'Places', run: goTo('cohort') },
  { commandId: 'review', label: 'Go to the review', keys: ['r'], group: 'Places', run: goTo('review') },
  { commandId: 'meeting', label: 'Go to the meeting', keys: ['M'], group: 'Places', run: goTo('meeting') },
  { commandId: 'import', label: 'Go to import', keys: ['i'], group: 'Places', run: goTo('import') },
  { commandId: 'definitions', label: 'Go to the definitions', keys: ['d'], group: 'Places', run: goTo('definitions') },
  { commandId: 'keeping', label: 'Go to the keeping of the library', keys: ['x'], group: 'Places', run: goTo('keeping') },
  { commandId: 'about', label: 'Go to about and cautions', keys: ['a'], group: 'Places', run: goTo('about') },
  { commandId: 'next-dropout', label: 'Next dropout', keys: ['n', ']'], group: 'Case', run: stepDropout(1) },
  { commandId: 'previous-dropout', label: 'Previous dropout', keys: ['p', '['], group: 'Case', run: stepDropout(-1) },
  { commandId: 'next-in-queue', label: 'Next dropout of the review queue that is not read, in whichever case', keys: ['q'], group: 'Case', run: (session) => session.nextInQueue() },
  {
    commandId: 'collect', label: 'Collect the view into a story for a meeting', keys: ['C'], group: 'Case',
    run: (session) => {
      if (session.place.get() === 'case' && session.cases.get().kind === 'open') session.isCollecting.set(true);
      else session.messages.add('note', 'Open a case first: moments are collected from its view.');
    },
  },
  {
    commandId: 'case-part', label: 'Change between the timeline and the sites compared', keys: ['v'], group: 'Case',
    run: (session) => {
      if (session.place.get() === 'case') session.casePart.set(session.casePart.get() === 'sites' ? 'timeline' : 'sites');
    },
  },
  {
    commandId: 'whole-case', label: 'Show the whole case', keys: ['0'], group: 'Case',
    run: (session) => {
      const state = session.cases.get();
      if (session.place.get() === 'case' && state.kind === 'open') state.openCase.viewport.fit();
    },
  },
  { commandId: 'around-1', label: 'Show 1 min around the cursor or the chosen dropout', keys: ['1'], group: 'Case', run: showAround(AROUND_MS[0]) },
  { commandId: 'around-5', label: 'Show 5 min around it', keys: ['2'], group: 'Case', run: showAround(AROUND_MS[1]) },
  { commandId: 'around-15', label: 'Show 15 min around it', keys: ['3'], group: 'Case', run: showAround(AROUND_MS[2]) },
  {
    commandId: 'theme', label: 'Change between light and dark', keys: ['b'], group: 'Window',
    run: (session) => {
      const isDark = document.documentElement.dataset['theme'] === 'dark';
      session.preferences.change({ theme: isDark ? 'light' : 'dark' });
    },
  },
  { commandId: 'help', label: 'Show this list of keys', keys: ['?'], group: 'Window', run: (_session, window) => window.showHelp() },
];

/** Keys that parts of the window understand while they have the focus. */
export const LOCAL_KEYS: readonly { readonly where: string; readonly keys: string; readonly does: string }[] = [
  { where: 'Lists', keys: '↑, ↓, Home, End', does: 'move from row to row' },
  { where: 'Anywhere', keys: 'Ctrl +, Ctrl −, Ctrl 0', does: 'make everything larger, smaller, as it was: the zoom of the window itself (Cmd on a Mac)' },
  { where: 'Anywhere', keys: 'Ctrl P', does: 'print the place, the open dialog, or the help while it is read (Cmd on a Mac)' },
  { where: 'Anywhere', keys: 'F1', does: 'how is this figure worked out: the page for what has the focus or is pointed at; the contents elsewhere' },
  { where: 'A row of headings with ?', keys: '←, →, Home, End', does: 'walk from mark to mark' },
  { where: 'The help', keys: 'Alt ←, Alt →, Esc', does: 'back, forward, close and return to the figure' },
  { where: 'Lists', keys: 'Enter', does: 'open or choose the row' },
  { where: 'Library', keys: 'Space', does: 'choose the case for work on many cases, or take it out' },
  { where: 'Tabs', keys: '←, →', does: 'change the tab' },
  { where: 'Charts', keys: '←, ↑, ↓, →, Home, End', does: 'walk the points' },
  { where: 'Charts', keys: 'Enter', does: 'list the cases of the point' },
  { where: 'Moments of a story', keys: '↑, ↓, Home, End', does: 'choose the moment' },
  { where: 'Moments of a story', keys: 'Alt ↑, Alt ↓', does: 'move the moment, also into the next part' },
  { where: 'Moments of a story', keys: 'Delete', does: 'remove the moment, after asking' },
  { where: 'Border between timeline and list', keys: '←, →', does: 'move the border' },
  { where: 'Headings of a file that is being settled', keys: '←, →, Home, End', does: 'choose the column' },
  { where: 'A file that is being settled', keys: 'Ctrl Z, Ctrl Shift Z', does: 'take a change back, do it again' },
  { where: 'Dialogs', keys: 'Esc', does: 'close without doing anything' },
];

/** Returns the command for a key event, or null: modifiers, text fields and open dialogs take no commands. */
export function commandFor(event: Pick<KeyboardEvent, 'key' | 'ctrlKey' | 'metaKey' | 'altKey' | 'defaultPrevented' | 'target'>): Command | null {
  if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return null;
  if (takesText(event.target)) return null;
  return COMMANDS.find((command) => command.keys.includes(event.key)) ?? null;
}
