import type { PresentingCommand } from '../../../state/presentation.ts';

export interface PresentingKey {
  readonly command: PresentingCommand;
  /** As `KeyboardEvent.key` gives them, after Shift where it counts. */
  readonly keys: readonly string[];
  readonly shown: string;
  readonly meaning: string;
}

/*
 * Page down and page up are what clickers for presenting send (common practice, no source). Every other key of the timeline stays the timeline's:
 * arrows, + and −, N and P, 0 to 3, M, E, T, point and comma.
 */
export const PRESENTING_KEYS: readonly PresentingKey[] = [
  { command: 'next', keys: ['PageDown', ' '], shown: 'Page down or Space', meaning: 'Next moment' },
  { command: 'previous', keys: ['PageUp', 'Backspace'], shown: 'Page up or Backspace', meaning: 'Previous moment' },
  { command: 'next part', keys: ['Shift+PageDown', 's'], shown: 'Shift Page down or S', meaning: 'Next part' },
  { command: 'previous part', keys: ['Shift+PageUp', 'a'], shown: 'Shift Page up or A', meaning: 'Start of the part, then the part before' },
  { command: 'collected view', keys: ['v'], shown: 'V', meaning: 'Back to the view as it was collected' },
  { command: 'reveal', keys: ['r'], shown: 'R', meaning: 'Show what came after the instant, or hide it again' },
  { command: 'black', keys: ['b'], shown: 'B', meaning: 'Black screen, and back' },
  { command: 'notes', keys: ['o'], shown: 'O', meaning: 'Notes and time on this screen, and away' },
  { command: 'second window', keys: ['w'], shown: 'W', meaning: 'Presenter’s window: open it, or bring it to the front' },
  { command: 'full screen', keys: ['f'], shown: 'F', meaning: 'Full screen, and back' },
  { command: 'keys', keys: ['?'], shown: '?', meaning: 'This list' },
  { command: 'end', keys: ['q'], shown: 'Q', meaning: 'End the presentation' },
];

/** Returns what a key asks of the presentation, or null where it is the timeline's or nobody's. */
export function presentingCommandOf(press: Pick<KeyboardEvent, 'key' | 'shiftKey' | 'ctrlKey' | 'metaKey' | 'altKey'>): PresentingCommand | null {
  if (press.ctrlKey || press.metaKey || press.altKey) return null;
  const key = press.key.length === 1 ? press.key.toLowerCase() : press.key;
  const name = `${press.shiftKey && press.key.length > 1 ? 'Shift+' : ''}${key}`;
  return PRESENTING_KEYS.find(({ keys }) => keys.includes(name))?.command ?? null;
}
