import { describe, expect, it } from 'vitest';
import { createPreferences, DEFAULT_PREFERENCES, parsePreferences } from '../../../../renderer/state/preferences.ts';
import { resolveTheme } from '../../../../renderer/state/theme.ts';

describe('preferences', () => {
  it.each([null, 'not json', '[]', '"x"', 'null'])('falls back to the defaults for %s', (text) => {
    expect(parsePreferences(text)).toEqual(DEFAULT_PREFERENCES);
  });
  it('keeps the sound fields of a damaged set', () => {
    expect(parsePreferences('{"theme":"dark","caseSplit":17,"singleKeys":"yes"}')).toEqual({ ...DEFAULT_PREFERENCES, theme: 'dark' });
  });
  it('survives a new window over the same storage', () => {
    const held = new Map<string, string>();
    const storage = { getItem: (key: string) => held.get(key) ?? null, setItem: (key: string, value: string) => void held.set(key, value) };
    createPreferences(storage).change({ theme: 'dark', caseSplit: 0.7 });
    expect(createPreferences(storage).get()).toEqual({ ...DEFAULT_PREFERENCES, theme: 'dark', caseSplit: 0.7 });
  });
  it('works without storage', () => {
    const preferences = createPreferences(null);
    preferences.change({ theme: 'light' });
    expect(preferences.get().theme).toBe('light');
  });
  it('follows the computer only where asked', () => {
    expect([resolveTheme('system', true), resolveTheme('system', false), resolveTheme('light', true), resolveTheme('dark', false)]).toEqual(['dark', 'light', 'light', 'dark']);
  });
});
