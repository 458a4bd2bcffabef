/** Returns the program file of an installed browser of the Chromium family, or null. LACUNA_BROWSER names one by hand. */
export function findBrowser(env?: Readonly<Record<string, string | undefined>>, platform?: NodeJS.Platform): string | null;
