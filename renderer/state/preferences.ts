import { z } from 'zod';
import { createStore, type ReadableStore } from './store.ts';

const PREFERENCES_KEY = 'lacuna-preferences/1';

const preferencesSchema = z.object({
  theme: z.enum(['light', 'dark', 'system']).catch('system'),
  /** Share of the width that the timeline takes beside the list. */
  caseSplit: z.number().min(0.3).max(0.85).catch(0.6),
  /** Whether single keys are commands; speech users may want them off. */
  singleKeys: z.boolean().catch(true),
});

export type Preferences = z.infer<typeof preferencesSchema>;
export type ThemeChoice = Preferences['theme'];

export const DEFAULT_PREFERENCES: Preferences = { theme: 'system', caseSplit: 0.6, singleKeys: true };

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
