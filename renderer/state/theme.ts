import type { ThemeChoice } from './preferences.ts';

export type ThemeName = 'light' | 'dark';

/** Returns the theme to draw: the chosen one, or the computer's own for 'system'. */
export function resolveTheme(choice: ThemeChoice, systemIsDark: boolean): ThemeName {
  if (choice === 'system') return systemIsDark ? 'dark' : 'light';
  return choice;
}
