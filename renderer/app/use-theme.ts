import { useEffect, useLayoutEffect, useState, useSyncExternalStore } from 'react';
import type { ThemeChoice } from '../state/preferences.ts';
import { resolveTheme, type ThemeName } from '../state/theme.ts';

/** Tells of the beginning and the end of printing: paper is light whatever the screen is, and what paints itself has to know before the sheet is taken. */
function followPrinting(listener: () => void): () => void {
  const begin = (): void => {
    document.documentElement.dataset['printing'] = 'true';
    listener();
  };
  const end = (): void => {
    delete document.documentElement.dataset['printing'];
    listener();
  };
  window.addEventListener('beforeprint', begin);
  window.addEventListener('afterprint', end);
  return () => {
    window.removeEventListener('beforeprint', begin);
    window.removeEventListener('afterprint', end);
  };
}

/** Returns the theme in force and sets it on the document. */
export function useTheme(choice: ThemeChoice): ThemeName {
  const [systemIsDark, setSystemIsDark] = useState(() => matchMedia('(prefers-color-scheme: dark)').matches);
  useEffect(() => {
    const query = matchMedia('(prefers-color-scheme: dark)');
    const update = (): void => setSystemIsDark(query.matches);
    query.addEventListener('change', update);
    return () => query.removeEventListener('change', update);
  }, []);
  const isPrinting = useSyncExternalStore(followPrinting, () => document.documentElement.dataset['printing'] === 'true');
  const theme = isPrinting ? 'light' : resolveTheme(choice, systemIsDark);
  useLayoutEffect(() => {
    document.documentElement.dataset['theme'] = theme;
  }, [theme]);
  return theme;
}
