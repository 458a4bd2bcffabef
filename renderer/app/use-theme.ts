import { useEffect, useLayoutEffect, useState } from 'react';
import type { ThemeChoice } from '../state/preferences.ts';
import { useIsPrinting } from '../widgets/printing.ts';
import { resolveTheme, type ThemeName } from '../state/theme.ts';

/** Returns the theme in force and sets it on the document. */
export function useTheme(choice: ThemeChoice): ThemeName {
  const [systemIsDark, setSystemIsDark] = useState(() => matchMedia('(prefers-color-scheme: dark)').matches);
  useEffect(() => {
    const query = matchMedia('(prefers-color-scheme: dark)');
    const update = (): void => setSystemIsDark(query.matches);
    query.addEventListener('change', update);
    return () => query.removeEventListener('change', update);
  }, []);
  // Paper is light whatever the screen is.
  const isPrinting = useIsPrinting();
  const theme = isPrinting ? 'light' : resolveTheme(choice, systemIsDark);
  useLayoutEffect(() => {
    document.documentElement.dataset['theme'] = theme;
  }, [theme]);
  return theme;
}
