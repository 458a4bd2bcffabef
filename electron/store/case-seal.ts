import type { LibraryDatabase } from './library-database.ts';

/*
 * The line of a case in the list is sealed with the key of the case and the seal of its content: neither the line nor which content
 * belongs to which key can be changed without the library's key.
 */

/** Puts a case into the table with its line, in place of the one of its key; a step of a larger transaction. */
export function placeLine(database: LibraryDatabase, caseKey: string, bodyId: number, summary: string, digests: string): void {
  database.run(
    'INSERT INTO cases (case_key, body_id, summary, digests, seal) VALUES (?, ?, ?, ?, ?) ON CONFLICT (case_key) DO UPDATE SET body_id = excluded.body_id, summary = excluded.summary, digests = excluded.digests, seal = excluded.seal',
    caseKey, bodyId, summary, digests, database.seal('line', caseKey, sealOfBody(database, bodyId), summary, digests),
  );
}

/** Returns whether a line, and the content that it names, are as they were written. */
export function isLineWhole(database: LibraryDatabase, caseKey: string, bodyId: number, summary: string, digests: string, seal: Uint8Array): boolean {
  return database.fits(seal, 'line', caseKey, sealOfBody(database, bodyId), summary, digests);
}

function sealOfBody(database: LibraryDatabase, bodyId: number): Uint8Array {
  return database.get('SELECT seal FROM bodies WHERE body_id = ?', bodyId)?.bytes('seal') ?? new Uint8Array(0);
}
