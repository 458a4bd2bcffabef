import { z } from 'zod';
import { PAPER_NAMES } from '../../core/model/report-document.ts';
import { createStore, type ReadableStore } from './store.ts';
import { NEW_TOUR, tourSchema } from './tour.ts';

const PREFERENCES_KEY = 'lacuna-preferences/1';

/** How one reader reads. */
const readingSchema = z.object({
  /** Whether verdicts of others are kept from this reader until the case is read or they are revealed. */
  isBlinded: z.boolean().catch(true),
  /** Whether the next dropout is gone to as soon as a verdict is saved. */
  goesOn: z.boolean().catch(false),
});

export type ReadingSettings = z.infer<typeof readingSchema>;

export const DEFAULT_READING: ReadingSettings = { isBlinded: true, goesOn: false };

/** The longest name of a reader that the trail takes, characters. */
export const LONGEST_READER = 60;

const preferencesSchema = z.object({
  theme: z.enum(['light', 'dark', 'system']).catch('system'),
  /** Share of the width that the timeline takes beside the list. */
  caseSplit: z.number().min(0.3).max(0.85).catch(0.6),
  /** Whether single keys are commands; speech users may want them off. */
  singleKeys: z.boolean().catch(true),
  /** The local name that whoever sits here reads under; null: not said yet. */
  reader: z.string().min(1).max(LONGEST_READER).nullable().catch(null),
  /** By name of the reader. */
  reading: z.record(z.string(), readingSchema).catch({}),
  /** Whether the form for a verdict is open beneath the list of dropouts. */
  isVerdictFormOpen: z.boolean().catch(false),
  paper: z.enum(PAPER_NAMES).catch('A4'),
  /** How far the steps of learning by doing are. */
  tour: tourSchema.catch(NEW_TOUR),
  /** The story that was last collected into: its key, which says nothing by itself. */
  lastStory: z.string().nullable().catch(null),
});

export type Preferences = z.infer<typeof preferencesSchema>;
export type ThemeChoice = Preferences['theme'];

export const DEFAULT_PREFERENCES: Preferences = { theme: 'system', caseSplit: 0.6, singleKeys: true, reader: null, reading: {}, isVerdictFormOpen: false, paper: 'A4', lastStory: null, tour: NEW_TOUR };

/** Returns the preferences held in `text`; every field that does not read as it should falls back to its default. */
export function parsePreferences(text: string | null): Preferences {
  if (text === null) return DEFAULT_PREFERENCES;
  try {
    const parsed = preferencesSchema.safeParse(JSON.parse(text));
    return parsed.success ? parsed.data : DEFAULT_PREFERENCES;
  } catch {
    return DEFAULT_PREFERENCES; // not JSON: written by hand or cut short; a preference is worth no message
  }
}

/** Returns how the present reader reads; without a name as a new reader would. */
export function readingOf({ reader, reading }: Preferences): ReadingSettings {
  return (reader === null ? undefined : reading[reader]) ?? DEFAULT_READING;
}

/** Returns the change of preferences that gives the present reader other settings; none without a name. */
export function changeReading({ reader, reading }: Preferences, part: Partial<ReadingSettings>): Partial<Preferences> {
  return reader === null ? {} : { reading: { ...reading, [reader]: { ...(reading[reader] ?? DEFAULT_READING), ...part } } };
}

/** Returns why `name` cannot be a reader's name, or null where it can. */
export function readerFault(name: string): string | null {
  const trimmed = name.trim();
  if (trimmed === '') return 'a name or initials are needed: every verdict bears one.';
  if (trimmed.length > LONGEST_READER) return `at most ${LONGEST_READER} characters.`;
  return /\p{Cc}/u.test(trimmed) ? 'line breaks and control characters cannot stand in a name.' : null;
}

export interface PreferenceStore extends ReadableStore<Preferences> {
  change(part: Partial<Preferences>): void;
}

/** Returns the preferences of this person on this computer, kept in `storage` (null: kept only while the window is open). */
export function createPreferences(storage: Pick<Storage, 'getItem' | 'setItem'> | null): PreferenceStore {
  const store = createStore(parsePreferences(storage?.getItem(PREFERENCES_KEY) ?? null));
  return {
    get: store.get,
    subscribe: store.subscribe,
    change(part) {
      const next = { ...store.get(), ...part };
      store.set(next);
      storage?.setItem(PREFERENCES_KEY, JSON.stringify(next));
    },
  };
}
