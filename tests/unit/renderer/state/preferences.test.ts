import { describe, expect, it } from 'vitest';
import { changeReading, createPreferences, DEFAULT_PREFERENCES, parsePreferences, readerFault, readingOf } from '../../../../renderer/state/preferences.ts';
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
  it('keep how each reader reads by name: blinded unless that reader says otherwise', () => {
    const preferences = createPreferences(null);
    expect(changeReading(preferences.get(), { isBlinded: false })).toEqual({});
    preferences.change({ reader: 'Ada' });
    preferences.change(changeReading(preferences.get(), { isBlinded: false }));
    expect(readingOf(preferences.get())).toEqual({ isBlinded: false, goesOn: false });
    preferences.change({ reader: 'Ben' });
    expect(readingOf(preferences.get()).isBlinded).toBe(true);
  });
  it('take a name of 1 to 60 characters on one line', () => {
    expect([readerFault('Ada R.'), readerFault('x'.repeat(60))]).toEqual([null, null]);
    for (const name of ['', '  ', 'x'.repeat(61), 'a\nb', 'a\u0007b']) expect(readerFault(name)).not.toBeNull();
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
