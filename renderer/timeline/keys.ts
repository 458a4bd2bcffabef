/** What a key does in the timeline. */
export type TimelineCommand =
  | 'next dropout'
  | 'previous dropout'
  | 'pan later'
  | 'pan earlier'
  | 'page later'
  | 'page earlier'
  | 'zoom in'
  | 'zoom out'
  | 'fit'
  | '1 min around'
  | '5 min around'
  | '15 min around'
  | 'to start'
  | 'to end'
  | 'cursor later'
  | 'cursor earlier'
  | 'clear cursor'
  | 'measure'
  | 'mark'
  | 'toggle table'
  | 'toggle bound';

export interface KeyBinding {
  readonly command: TimelineCommand;
  /** Each as KeyboardEvent.key gives it, after its modifiers: 'Alt+ArrowLeft', 'n', '+'. */
  readonly keys: readonly string[];
  /** As a help panel shows them. */
  readonly shown: string;
  readonly meaning: string;
}

/** Every key of the timeline, in the order a help panel lists them. */
export const TIMELINE_KEYS: readonly KeyBinding[] = [
  { command: 'next dropout', keys: ['n', ']'], shown: 'N or ]', meaning: 'Next dropout' },
  { command: 'previous dropout', keys: ['p', '['], shown: 'P or [', meaning: 'Previous dropout' },
  { command: 'cursor later', keys: ['Alt+ArrowRight', '.'], shown: 'Alt → or .', meaning: 'Cursor to the next recorded sample' },
  { command: 'cursor earlier', keys: ['Alt+ArrowLeft', ','], shown: 'Alt ← or ,', meaning: 'Cursor to the sample before' },
  { command: 'clear cursor', keys: ['Escape'], shown: 'Esc', meaning: 'End measuring; else take the cursor away' },
  { command: 'measure', keys: ['m'], shown: 'M', meaning: 'Measure: from the cursor; again, to the cursor; again, end. With the pointer: drag with Shift' },
  { command: 'mark', keys: ['k'], shown: 'K', meaning: 'Mark the cursor’s instant, or what is measured, and write a note' },
  { command: 'pan later', keys: ['ArrowRight'], shown: '→', meaning: 'Move later by a tenth of the screen' },
  { command: 'pan earlier', keys: ['ArrowLeft'], shown: '←', meaning: 'Move earlier by a tenth of the screen' },
  { command: 'page later', keys: ['Shift+ArrowRight', 'PageDown'], shown: 'Shift → or Page down', meaning: 'Move later by most of a screen' },
  { command: 'page earlier', keys: ['Shift+ArrowLeft', 'PageUp'], shown: 'Shift ← or Page up', meaning: 'Move earlier by most of a screen' },
  { command: 'zoom in', keys: ['+', '='], shown: '+', meaning: 'Show less time' },
  { command: 'zoom out', keys: ['-', '_'], shown: '−', meaning: 'Show more time' },
  { command: '1 min around', keys: ['1'], shown: '1', meaning: 'Show 1 min before and after the cursor, or the chosen dropout where the cursor is out of sight' },
  { command: '5 min around', keys: ['2'], shown: '2', meaning: 'The same with 5 min' },
  { command: '15 min around', keys: ['3'], shown: '3', meaning: 'The same with 15 min' },
  { command: 'fit', keys: ['0'], shown: '0', meaning: 'Show the whole case' },
  { command: 'to start', keys: ['Home'], shown: 'Home', meaning: 'Go to the start of the case' },
  { command: 'to end', keys: ['End'], shown: 'End', meaning: 'Go to the end of the case' },
  { command: 'toggle table', keys: ['t'], shown: 'T', meaning: 'Show or hide the table of what is visible' },
  { command: 'toggle bound', keys: ['e'], shown: 'E', meaning: 'Show or hide what cannot be excluded inside dropouts' },
];

/** The parts of a keyboard event that decide what it means. */
export interface KeyPress {
  readonly key: string;
  readonly altKey: boolean;
  readonly ctrlKey: boolean;
  readonly metaKey: boolean;
  readonly shiftKey: boolean;
}

/** Returns what a key press asks for, or null where the timeline has no use for it (the press is then left alone). */
export function commandOf(press: KeyPress): TimelineCommand | null {
  if (press.ctrlKey || press.metaKey) return null;
  const isNamed = press.key.length > 1;
  // Shift and M goes to the place Meeting; with caps lock alone the key means here what it always does.
  if (press.shiftKey && press.key === 'M') return null;
  const key = isNamed ? press.key : press.key.toLowerCase();
  const name = `${press.altKey ? 'Alt+' : ''}${press.shiftKey && isNamed ? 'Shift+' : ''}${key}`;
  return TIMELINE_KEYS.find((binding) => binding.keys.includes(name))?.command ?? null;
}
