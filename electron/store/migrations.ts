import { placeLine } from './case-seal.ts';
import type { LibraryDatabase } from './library-database.ts';

/*
 * The form of a library's file, step by step. A step that was ever delivered is never changed: a library of any earlier version is
 * brought to today's by the steps that it lacks, each in a transaction of its own. For each step a real library of the version before
 * is kept in tests/fixtures/stored-libraries.
 */

const first = `
-- What a case, or a case on its way in, consists of. seal: a keyed code over all its bytes.
CREATE TABLE bodies (body_id INTEGER PRIMARY KEY, byte_length INTEGER NOT NULL, seal BLOB NOT NULL) STRICT;
CREATE TABLE chunks (
  body_id INTEGER NOT NULL REFERENCES bodies ON DELETE CASCADE,
  place INTEGER NOT NULL,
  bytes BLOB NOT NULL,
  PRIMARY KEY (body_id, place)
) STRICT;

-- The cases of the library, each with its line and the digests of the files that it was read from.
CREATE TABLE cases (
  case_key TEXT PRIMARY KEY CHECK (length(case_key) = 32),
  body_id INTEGER NOT NULL REFERENCES bodies,
  summary TEXT NOT NULL,
  digests TEXT NOT NULL
) STRICT;
CREATE INDEX cases_by_body ON cases (body_id);

-- Cases of imports that are not over.
CREATE TABLE import_cases (
  import_id TEXT NOT NULL CHECK (length(import_id) = 32),
  case_key TEXT NOT NULL CHECK (length(case_key) = 32),
  state TEXT NOT NULL CHECK (state IN ('prepared', 'aside', 'held')),
  body_id INTEGER NOT NULL REFERENCES bodies,
  PRIMARY KEY (import_id, case_key, state)
) STRICT;
CREATE INDEX import_cases_by_body ON import_cases (body_id);

CREATE TABLE documents (name TEXT PRIMARY KEY, text TEXT NOT NULL, seal BLOB NOT NULL) STRICT;

-- Entries are added and never changed or taken away; only one that is prepared may come in, or go.
CREATE TABLE entries (
  journal TEXT NOT NULL,
  entry_group TEXT NOT NULL CHECK (length(entry_group) = 32),
  number INTEGER NOT NULL,
  is_prepared INTEGER NOT NULL CHECK (is_prepared IN (0, 1)),
  text TEXT NOT NULL,
  lines_digest BLOB NOT NULL,
  seal BLOB NOT NULL,
  PRIMARY KEY (journal, entry_group, number)
) STRICT;
CREATE TRIGGER entries_stay BEFORE DELETE ON entries WHEN old.is_prepared = 0
BEGIN SELECT RAISE (ABORT, 'an entry is never taken away'); END;
CREATE TRIGGER entries_are_not_changed BEFORE UPDATE ON entries
WHEN old.is_prepared = 0 OR new.text <> old.text OR new.seal <> old.seal OR new.lines_digest <> old.lines_digest OR new.number <> old.number OR new.entry_group <> old.entry_group OR new.journal <> old.journal
BEGIN SELECT RAISE (ABORT, 'an entry is never changed'); END;

CREATE TABLE entry_lines (
  journal TEXT NOT NULL,
  entry_group TEXT NOT NULL,
  number INTEGER NOT NULL,
  place INTEGER NOT NULL,
  packed BLOB NOT NULL,
  PRIMARY KEY (journal, entry_group, number, place),
  FOREIGN KEY (journal, entry_group, number) REFERENCES entries ON DELETE CASCADE
) STRICT;
CREATE TRIGGER entry_lines_are_not_changed BEFORE UPDATE ON entry_lines
BEGIN SELECT RAISE (ABORT, 'lines of an entry are never changed'); END;
`;

/** From here on the line of a case is sealed, together with which content belongs to it. */
const second: MigrationStep = {
  sql: `
ALTER TABLE cases RENAME TO unsealed_cases;
DROP INDEX cases_by_body;
CREATE TABLE cases (
  case_key TEXT PRIMARY KEY CHECK (length(case_key) = 32),
  body_id INTEGER NOT NULL REFERENCES bodies,
  summary TEXT NOT NULL,
  digests TEXT NOT NULL,
  seal BLOB NOT NULL CHECK (length(seal) = 32)
) STRICT;
CREATE INDEX cases_by_body ON cases (body_id);
`,
  // Lines of version 1 are taken as that version took them: as the file has them.
  fill(database) {
    for (const row of database.all('SELECT case_key, body_id, summary, digests FROM unsealed_cases')) placeLine(database, row.text('case_key'), row.integer('body_id'), row.text('summary'), row.text('digests'));
    database.run('DROP TABLE unsealed_cases');
  },
};

/** A step: what changes in the form, and what is put into it with the library's keys at hand; both in one transaction. */
export interface MigrationStep {
  readonly sql: string;
  readonly fill?: (database: LibraryDatabase) => void;
}

/** The steps in their order; a library's version is the number of those that it has. */
export const MIGRATIONS: readonly MigrationStep[] = [{ sql: first }, second];
