import { FailureError } from '../../core/protocol/failure-error.ts';
import type { HostApi } from '../../core/protocol/host-api.ts';

/** What only a host that can change its library answers (electron/store/library-desk.ts). */
export const DESK_METHODS = [
  'describe', 'unlockLibrary', 'lockLibrary', 'describeLibrary', 'createLibrary', 'moveLibrary', 'openOtherLibrary', 'changePassphrase', 'setLockAfter', 'keepKey', 'listBackups', 'backUpNow', 'restoreBackup', 'stayWithFolder',
] as const satisfies readonly (keyof HostApi)[];

/** The calls of the desk. */
export type DeskApi = Pick<HostApi, (typeof DESK_METHODS)[number]>;

/** Returns the answers of a host over one library that is given to it open: each call rejects with `no-desk`. */
export function noLibraryDesk(): Omit<DeskApi, 'describe'> {
  const refuse = (): Promise<never> => Promise.reject(new FailureError({ code: 'no-desk', message: 'This host has one library, which it was given.', remedy: 'Start the program with npm start.' }));
  return {
    unlockLibrary: refuse,
    lockLibrary: refuse,
    describeLibrary: refuse,
    createLibrary: refuse,
    moveLibrary: refuse,
    openOtherLibrary: refuse,
    changePassphrase: refuse,
    setLockAfter: refuse,
    keepKey: refuse,
    listBackups: refuse,
    backUpNow: refuse,
    restoreBackup: refuse,
    stayWithFolder: refuse,
  };
}
