import type { StagingArea } from '../host/case-store.ts';
import { buildFolderStaging } from '../host/folder-staging.ts';
import type { CaseBodies } from './case-bodies.ts';
import type { LibraryDatabase } from './library-database.ts';

/** How a case of an import that is not over is kept. */
export type ImportCaseState = 'prepared' | 'aside' | 'held';

/** A staging area with what the store has to know of it. */
export interface DatabaseStaging extends StagingArea {
  readonly folder: string;
  /** Cases that this import has put into the library, and whether each had one of its name put aside for it. */
  readonly stored: Map<string, boolean>;
}

/**
 * Returns a staging area whose cases lie in the library's file. The files themselves, and what is read of them, lie in `folder`
 * as they came, for the workers to read, until the import ends; therefore no later start goes on with it.
 */
export function buildDatabaseStaging(database: LibraryDatabase, bodies: CaseBodies, importId: string, folder: string): DatabaseStaging {
  const files = buildFolderStaging(importId, folder, false);
  const read = (caseKey: string, state: ImportCaseState): Uint8Array => {
    const bodyId = importBody(database, importId, caseKey, state);
    if (bodyId === null) throw new Error(`no case is ${state} under this key`);
    return bodies.read(bodyId);
  };
  const dropPrepared = (): void => database.transaction(() => dropImportCases(database, bodies, importId, 'prepared'));
  return {
    importId,
    folder,
    stored: files.stored,
    get files() {
      return files.files;
    },
    stage: (relativePath, body) => files.stage(relativePath, body),
    keepOnly: (names) => files.keepOnly(names),
    async begin(run) {
      dropPrepared();
      return await files.begin(run);
    },
    async end() {
      dropPrepared();
      await files.end();
    },
    async prepare({ bytes, ...line }) {
      database.transaction(() => keepImportCase(database, bodies, importId, line.summary.caseKey, 'prepared', bodies.put(bytes)));
      return line;
    },
    async readReady(caseKey) {
      return read(caseKey, 'prepared');
    },
    async readAside(caseKey) {
      return read(caseKey, 'aside');
    },
    async hold(caseKey) {
      database.transaction(() => {
        const bodyId = importBody(database, importId, caseKey, 'prepared');
        if (bodyId === null) throw new Error('no case is prepared under this key');
        keepImportCase(database, bodies, importId, caseKey, 'held', bodyId);
        database.run(`DELETE FROM import_cases WHERE import_id = ? AND case_key = ? AND state = 'prepared'`, importId, caseKey);
      });
    },
    async readHeld(caseKey) {
      return read(caseKey, 'held');
    },
  };
}

/** Returns the body of a case of an import; null when none is kept in that state. */
export function importBody(database: LibraryDatabase, importId: string, caseKey: string, state: ImportCaseState): number | null {
  return database.get('SELECT body_id FROM import_cases WHERE import_id = ? AND case_key = ? AND state = ?', importId, caseKey, state)?.integer('body_id') ?? null;
}

/** Keeps a body as a case of an import, in place of the one that was kept in that state; a step of a larger transaction. */
export function keepImportCase(database: LibraryDatabase, bodies: CaseBodies, importId: string, caseKey: string, state: ImportCaseState, bodyId: number): void {
  const before = importBody(database, importId, caseKey, state);
  database.run('INSERT INTO import_cases (import_id, case_key, state, body_id) VALUES (?, ?, ?, ?) ON CONFLICT DO UPDATE SET body_id = excluded.body_id', importId, caseKey, state, bodyId);
  if (before !== null && before !== bodyId) bodies.dropUnused(before);
}

/** Removes the cases of an import that are in that state, or all with null; a step of a larger transaction. */
export function dropImportCases(database: LibraryDatabase, bodies: CaseBodies, importId: string, state: ImportCaseState | null): void {
  const which = database.all('SELECT body_id FROM import_cases WHERE import_id = ? AND state = coalesce(?, state)', importId, state);
  database.run('DELETE FROM import_cases WHERE import_id = ? AND state = coalesce(?, state)', importId, state);
  for (const row of which) bodies.dropUnused(row.integer('body_id'));
}
