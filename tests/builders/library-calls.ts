import type { LibraryCalls, TakenKind } from '../../core/protocol/library-calls.ts';

const NONE: TakenKind = { added: [], alreadyThere: [], leftOut: [] };

/** Returns the calls about the library itself, each with the simplest valid answer: a folder that nobody has decided about. */
export function buildLibraryCalls(): LibraryCalls {
  return {
    describeLibrary: () => Promise.resolve({ open: { name: 'library', form: 'folder' }, isOwn: true, others: [], lockAfter: null, keyKeeping: { kind: 'none', why: 'A folder has no key.' }, keptAside: [], isUndecided: false }),
    createLibrary: () => Promise.resolve({ cases: 0 }),
    moveLibrary: () => Promise.resolve({ cases: 0 }),
    openOtherLibrary: () => Promise.resolve({ isLocked: false }),
    changePassphrase: () => Promise.resolve({ changed: true }),
    setLockAfter: ({ minutes }) => Promise.resolve({ minutes }),
    keepKey: ({ isKept }) => Promise.resolve({ isKept }),
    listBackups: () => Promise.resolve([]),
    backUpNow: () => Promise.resolve({ at: '2031-01-02T06:00:00Z', byteLength: 4096, cases: 0 }),
    restoreBackup: () => Promise.resolve({ cases: 0, keptAs: 'library.lacuna.before-2031-01-02T06-00-00Z' }),
    stayWithFolder: () => Promise.resolve({ stays: true }),
    removedImports: () => Promise.resolve([]),
    forgetRemovedImports: () => Promise.resolve({ forgotten: true }),
    shareDefinitions: () => Promise.resolve({ text: '{}' }),
    takeDefinitions: () => Promise.resolve({ mappings: NONE, parameterSets: NONE, protocols: NONE, charts: NONE }),
  };
}
