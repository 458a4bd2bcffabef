import { createHash } from 'node:crypto';
import { promisify } from 'node:util';
import { gunzip, gzip } from 'node:zlib';
import type { DocumentName, JournalName, LibraryDocument, LibraryJournal, LibraryShelf, NewJournalEntry, PreparedJournalEntry } from '../host/library-shelf.ts';
import type { LibraryDatabase, Row } from './library-database.ts';
import { libraryDamaged } from './store-failure.ts';

const zip = promisify(gzip);
const unzip = promisify(gunzip);

/** Lines in one row of the table: what is held in memory at a time. */
const LINES_PACKED = 1000;

/** Returns the shelf of a library that is one file. */
export function buildDatabaseShelf(database: LibraryDatabase): LibraryShelf {
  return {
    document: (name) => buildDocument(database, name),
    journal: (name) => buildJournal(database, name),
  };
}

/**
 * Looks at everything on the shelf: what was changed without the library's key does not fit its seal. Lines of entries may be many;
 * they are looked at where `withLines`, and whenever they are read.
 * Errors  throws a FailureError `library-damaged`.
 */
export function checkShelf(database: LibraryDatabase, { withLines }: { readonly withLines: boolean }): void {
  for (const row of database.all('SELECT name, text, seal FROM documents')) {
    if (!database.fits(row.bytes('seal'), 'document', row.text('name'), row.text('text'))) throw libraryDamaged();
  }
  for (const row of database.all('SELECT journal, entry_group, number, text, lines_digest, seal FROM entries')) {
    const [journal, group] = [row.text('journal'), row.text('entry_group')];
    if (!fitsEntry(database, journal, group, row)) throw libraryDamaged();
    if (withLines && !fitsLines(row, linesOf(database, journal, group, row.integer('number')).map((line) => line.bytes('packed')))) throw libraryDamaged();
  }
}

function buildDocument(database: LibraryDatabase, name: DocumentName): LibraryDocument {
  return {
    wayOut: 'Restore the library from one of its backups',
    wayBack: 'Restore the library from one of its backups',
    async read() {
      const row = database.get('SELECT text, seal FROM documents WHERE name = ?', name);
      if (row === null) return null;
      const text = row.text('text');
      if (!database.fits(row.bytes('seal'), 'document', name, text)) throw libraryDamaged();
      return text;
    },
    async replace(text) {
      const seal = database.seal('document', name, text);
      database.run('INSERT INTO documents (name, text, seal) VALUES (?, ?, ?) ON CONFLICT (name) DO UPDATE SET text = excluded.text, seal = excluded.seal', name, text, seal);
    },
  };
}

function buildJournal(database: LibraryDatabase, name: JournalName): LibraryJournal {
  async function write(group: string, { lines, text: textOf }: NewJournalEntry, isPrepared: boolean): Promise<PreparedJournalEntry> {
    // Packed first: a transaction must not stay open while lines come from the disk.
    const packed: Buffer[] = [];
    let count = 0;
    let batch: string[] = [];
    const pack = async (): Promise<void> => {
      if (batch.length > 0) packed.push(await zip(batch.map((line) => `${line}\n`).join('')));
      batch = [];
    };
    for await (const line of lines) {
      count += 1;
      if (batch.push(line) === LINES_PACKED) await pack();
    }
    await pack();
    const text = textOf(count);
    return database.transaction(() => {
      const last = database.get('SELECT coalesce(max(number), 0) AS number FROM entries WHERE journal = ? AND entry_group = ?', name, group)?.integer('number') ?? 0;
      const number = last + 1;
      const digest = digestOf(packed);
      const seal = database.seal('entry', name, group, String(number), text, digest);
      database.run('INSERT INTO entries (journal, entry_group, number, is_prepared, text, lines_digest, seal) VALUES (?, ?, ?, ?, ?, ?, ?)', name, group, number, isPrepared ? 1 : 0, text, digest, seal);
      for (const [place, bytes] of packed.entries()) database.run('INSERT INTO entry_lines (journal, entry_group, number, place, packed) VALUES (?, ?, ?, ?, ?)', name, group, number, place, bytes);
      return { group, number: numberText(number) };
    });
  }
  return {
    async groups() {
      return database.all('SELECT DISTINCT entry_group FROM entries WHERE journal = ? AND is_prepared = 0 ORDER BY entry_group', name).map((row) => row.text('entry_group'));
    },
    async read(group) {
      const rows = database.all('SELECT number, text, lines_digest, seal FROM entries WHERE journal = ? AND entry_group = ? AND is_prepared = 0 ORDER BY number', name, group);
      return rows.map((row) => ({ number: numberText(row.integer('number')), text: fitsEntry(database, name, group, row) ? row.text('text') : null }));
    },
    async *lines(group, number) {
      const entry = database.get('SELECT lines_digest FROM entries WHERE journal = ? AND entry_group = ? AND number = ?', name, group, Number(number));
      const packed = linesOf(database, name, group, Number(number));
      if (entry !== null && !fitsLines(entry, packed.map((row) => row.bytes('packed')))) throw libraryDamaged();
      for (const row of packed) yield (await unzip(row.bytes('packed'))).toString('utf8').split('\n').slice(0, -1);
    },
    async append(group, entry) {
      await write(group, entry, false);
    },
    prepare: (group, entry) => write(group, entry, true),
    async discard({ group, number }) {
      database.run('DELETE FROM entries WHERE journal = ? AND entry_group = ? AND number = ? AND is_prepared = 1', name, group, Number(number));
    },
  };
}

/** Makes a prepared entry a part of its journal; a step of a larger transaction. */
export function enterPrepared(database: LibraryDatabase, name: JournalName, { group, number }: PreparedJournalEntry): void {
  database.run('UPDATE entries SET is_prepared = 0 WHERE journal = ? AND entry_group = ? AND number = ? AND is_prepared = 1', name, group, Number(number));
}

function fitsEntry(database: LibraryDatabase, journal: string, group: string, row: Row): boolean {
  return database.fits(row.bytes('seal'), 'entry', journal, group, String(row.integer('number')), row.text('text'), row.bytes('lines_digest'));
}

function fitsLines(entry: Row, packed: readonly Uint8Array[]): boolean {
  return digestOf(packed).equals(entry.bytes('lines_digest'));
}

function digestOf(packed: readonly Uint8Array[]): Buffer {
  const digest = createHash('sha256');
  for (const bytes of packed) digest.update(`${bytes.length}:`).update(bytes);
  return digest.digest();
}

function linesOf(database: LibraryDatabase, journal: string, group: string, number: number): Row[] {
  return database.all('SELECT packed FROM entry_lines WHERE journal = ? AND entry_group = ? AND number = ? ORDER BY place', journal, group, number);
}

function numberText(number: number): string {
  return String(number).padStart(4, '0');
}
