import { FailureError } from '../../core/protocol/failure-error.ts';
import type { LibraryDatabase } from './library-database.ts';

/** Bytes of a case in one row; measured in docs/library.md. */
const CHUNK_BYTES = 65_536;

/** The bytes of cases, in pieces, each case sealed as a whole. Every call is a step of the caller's transaction. */
export interface CaseBodies {
  /** Returns the number under which the bytes are kept. */
  put(bytes: Uint8Array): number;
  /** Errors  throws a FailureError `case-unreadable` when the bytes are not those that were put, `library-damaged` when the file is torn. */
  read(bodyId: number): Uint8Array;
  /** Removes a body that no case refers to any more. */
  dropUnused(bodyId: number): void;
}

/** Returns the bodies of a library. */
export function buildCaseBodies(database: LibraryDatabase): CaseBodies {
  return {
    put(bytes) {
      const bodyId = database.run('INSERT INTO bodies (byte_length, seal) VALUES (?, ?)', bytes.length, database.seal('body', bytes));
      for (let at = 0, place = 0; at < bytes.length; at += CHUNK_BYTES, place += 1) database.run('INSERT INTO chunks (body_id, place, bytes) VALUES (?, ?, ?)', bodyId, place, bytes.subarray(at, at + CHUNK_BYTES));
      return bodyId;
    },
    read(bodyId) {
      const body = database.get('SELECT byte_length, seal FROM bodies WHERE body_id = ?', bodyId);
      const bytes = new Uint8Array(body?.integer('byte_length') ?? 0);
      let at = 0;
      for (const row of database.all('SELECT bytes FROM chunks WHERE body_id = ? ORDER BY place', bodyId)) {
        const chunk = row.bytes('bytes');
        if (at + chunk.length <= bytes.length) bytes.set(chunk, at);
        at += chunk.length;
      }
      if (body === null || at !== bytes.length || !database.fits(body.bytes('seal'), 'body', bytes)) throw caseDamaged();
      return bytes;
    },
    dropUnused(bodyId) {
      database.run('DELETE FROM bodies WHERE body_id = ? AND body_id NOT IN (SELECT body_id FROM cases WHERE body_id = ?) AND body_id NOT IN (SELECT body_id FROM import_cases WHERE body_id = ?)', bodyId, bodyId, bodyId);
    },
  };
}

function caseDamaged(): FailureError {
  return new FailureError({ code: 'case-unreadable', message: 'The stored case is damaged: it is not as it was written.', remedy: 'Import the original export again, or restore the library from one of its backups.' });
}
