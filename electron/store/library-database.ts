import { createHmac, timingSafeEqual } from 'node:crypto';
import type Database from 'libsql';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { LibraryKeys } from './library-key.ts';
import { MIGRATIONS } from './migrations.ts';
import { libraryDamaged, storeFailure } from './store-failure.ts';

/** What is put into a statement. */
export type Value = string | number | Uint8Array | null;

/** A row; its fields are checked as they are taken out. */
export interface Row {
  text(field: string): string;
  integer(field: string): number;
  bytes(field: string): Uint8Array;
}

/**
 * The encrypted database of a library. Its calls are synchronous: a change is short, and one follows the other anyway.
 * Errors  each call throws a FailureError: `disk-full`, `library-unwritable`, `library-damaged`, `library-closed`.
 */
export interface LibraryDatabase {
  get(sql: string, ...values: Value[]): Row | null;
  all(sql: string, ...values: Value[]): Row[];
  /** Runs a change; outside a transaction it is on the disk when the call returns. Returns the number of the row that came in last. */
  run(sql: string, ...values: Value[]): number;
  /** Does all of `change` or nothing of it. When the call returns it is on the disk. */
  transaction<T>(change: () => T): T;
  /** Returns the keyed code of a content: one that was changed without the key does not fit it. */
  seal(...parts: readonly (string | Uint8Array)[]): Uint8Array;
  fits(seal: Uint8Array, ...parts: readonly (string | Uint8Array)[]): boolean;
  /**
   * Calls `copy` while the file holds everything and is not written to: changes that come meanwhile wait beside it.
   * At most one at a time.
   */
  whileStill(copy: () => Promise<void>): Promise<void>;
  /** Writes everything into the one file and closes it. */
  close(): void;
}

/** Marks a file as a library of this program (the bytes LACU). */
const APPLICATION_ID = 0x4c414355;
const PAGES_BESIDE = 1000;
/** The tables that are looked through at every start: everything but the cases' bytes, which carry a code each. */
const SMALL_TABLES = ['bodies', 'cases', 'import_cases', 'documents', 'entries', 'entry_lines'] as const;

/**
 * Returns the database at `path`, made when it is not there yet, and brought to the form of this version.
 * Errors  rejects with a FailureError: `library-newer`, `library-damaged`, or as the calls do.
 */
export async function openDatabase(path: string, keys: LibraryKeys): Promise<LibraryDatabase> {
  // Loaded only where there is a library to open: the other programs do not need it.
  const { default: Libsql } = await import('libsql');
  let database: Database | null = null;
  try {
    database = new Libsql(path, { encryptionCipher: 'aes256cbc', encryptionKey: keys.database });
    // FULL: a change that was acknowledged is on the disk, not only with the system.
    for (const setting of ['journal_mode = WAL', 'synchronous = FULL', 'foreign_keys = ON', 'trusted_schema = OFF', 'cell_size_check = ON', `wal_autocheckpoint = ${PAGES_BESIDE}`]) database.pragma(setting);
    const library = wrap(database, keys);
    migrate(database, library);
    for (const table of SMALL_TABLES) check(database, `quick_check('${table}')`);
    return library;
  } catch (error) {
    database?.close();
    throw storeFailure(error);
  }
}

/** Throws the failure of a damaged library where a check of the file finds anything. */
function check(database: Database, what: string): void {
  const found = rowsOf(database.pragma(what)).flatMap(Object.values);
  if (found.length !== 1 || found[0] !== 'ok') throw libraryDamaged();
}

function migrate(database: Database, library: LibraryDatabase): void {
  const version = numberOf(database.pragma('user_version'));
  const mark = numberOf(database.pragma('application_id'));
  if (version > 0 && mark !== APPLICATION_ID) throw new FailureError({ code: 'not-a-library', message: 'The file is a database of another program.', remedy: 'Choose the file of a Lacuna library.' });
  if (version > MIGRATIONS.length) throw new FailureError({ code: 'library-newer', message: 'The library was changed by a later version of Lacuna.', remedy: 'Open it with that version or a later one; nothing was changed.' });
  for (const [i, step] of MIGRATIONS.entries()) {
    if (i < version) continue;
    database.exec('BEGIN IMMEDIATE');
    try {
      database.exec(step.sql);
      step.fill?.(library);
      database.pragma(`application_id = ${APPLICATION_ID}`);
      database.pragma(`user_version = ${i + 1}`);
      database.exec('COMMIT');
    } catch (error) {
      if (database.inTransaction) database.exec('ROLLBACK');
      throw error;
    }
  }
}

function wrap(database: Database, { seal: sealKey }: LibraryKeys): LibraryDatabase {
  const statements = new Map<string, ReturnType<Database['prepare']>>();
  let isOpen = true;
  let isStill = false;
  function ask<T>(question: () => T): T {
    // Asked after its end, the library below ends the whole program.
    if (!isOpen) throw new FailureError({ code: 'library-closed', message: 'The library is closed.', remedy: 'Open it again.' });
    try {
      return question();
    } catch (error) {
      throw storeFailure(error);
    }
  }
  function prepared(sql: string): ReturnType<Database['prepare']> {
    const known = statements.get(sql) ?? database.prepare(sql);
    statements.set(sql, known);
    return known;
  }
  function sealOf(parts: readonly (string | Uint8Array)[]): Buffer {
    const code = createHmac('sha256', sealKey);
    for (const part of parts) {
      const bytes = typeof part === 'string' ? Buffer.from(part, 'utf8') : part;
      code.update(`${bytes.length}:`).update(bytes); // with its length: where one part ends and the next begins is sealed too
    }
    return code.digest();
  }
  return {
    get: (sql, ...values) =>
      ask(() => {
        const row = prepared(sql).get(values);
        return row === undefined ? null : rowOf(row);
      }),
    all: (sql, ...values) => ask(() => prepared(sql).all(values).map(rowOf)),
    run: (sql, ...values) => ask(() => prepared(sql).run(values).lastInsertRowid),
    transaction: (change) =>
      ask(() => {
        database.exec('BEGIN IMMEDIATE');
        try {
          const result = change();
          database.exec('COMMIT');
          return result;
        } catch (error) {
          if (database.inTransaction) database.exec('ROLLBACK'); // a full disk has already taken it back
          throw error;
        }
      }),
    seal: (...parts) => sealOf(parts),
    fits: (seal, ...parts) => seal.length === 32 && timingSafeEqual(seal, sealOf(parts)),
    async whileStill(copy) {
      if (isStill) throw new Error('the library is being copied already');
      isStill = true;
      ask(() => database.pragma('wal_autocheckpoint = 0'));
      try {
        // It does not throw when it cannot finish: the copy would be of an earlier state.
        const [taken] = rowsOf(ask(() => database.pragma('wal_checkpoint(TRUNCATE)')));
        if (taken?.['busy'] !== 0) throw new FailureError({ code: 'library-unwritable', message: 'Not everything could be taken into the library’s file, so no backup was made.', remedy: 'End other programs that hold the file, and open the library again.' });
        await copy();
      } finally {
        isStill = false;
        if (isOpen) ask(() => database.pragma(`wal_autocheckpoint = ${PAGES_BESIDE}`));
      }
    },
    close() {
      if (!isOpen) return;
      isOpen = false;
      statements.clear();
      // Closing alone would leave that to whenever memory is tidied.
      try {
        database.pragma('wal_checkpoint(TRUNCATE)');
      } catch {
        // A full disk: what is beside the file is taken in at the next start.
      }
      database.close();
    },
  };
}

function rowOf(row: Record<string, unknown>): Row {
  return {
    text(field) {
      const value = row[field];
      if (typeof value !== 'string') throw libraryDamaged();
      return value;
    },
    integer(field) {
      const value = row[field];
      if (typeof value !== 'number') throw libraryDamaged();
      return value;
    },
    bytes(field) {
      const value = row[field];
      if (value instanceof ArrayBuffer) return new Uint8Array(value);
      if (value instanceof Uint8Array) return value;
      throw libraryDamaged();
    },
  };
}

function rowsOf(answer: unknown): Record<string, unknown>[] {
  return Array.isArray(answer) ? (answer as Record<string, unknown>[]) : []; // a pragma answers in rows
}

function numberOf(answer: unknown): number {
  return Number(Object.values(rowsOf(answer)[0] ?? {})[0]);
}
