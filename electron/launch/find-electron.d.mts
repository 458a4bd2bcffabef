/** Returns Electron's program file, or null where its runtime is not there. */
export function findElectron(env?: Readonly<Record<string, string | undefined>>, platform?: NodeJS.Platform): string | null;
/** Returns whether a window can be shown. */
export function hasDisplay(env?: Readonly<Record<string, string | undefined>>, platform?: NodeJS.Platform): boolean;
