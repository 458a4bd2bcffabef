import { randomBytes } from 'node:crypto';
import { mkdir, readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { setImmediate } from 'node:timers/promises';
import { z } from 'zod';
import { sourceDigests } from '../../core/model/source-digests.ts';
import { decodeCase, encodeCase } from '../../core/persist/case-bytes.ts';
import { summarizeCase, summarizeUnreadable } from '../../core/protocol/case-summary.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import { caseSummarySchema } from '../../core/protocol/host-api-schema.ts';
import type { CaseLine } from '../host/case-lines.ts';
import { buildCaseLines, caseMissing } from '../host/case-lines.ts';
import type { CaseStore, StagingArea } from '../host/case-store.ts';
import type { PreparedEntry } from '../host/import-ledger.ts';
import { buildKeptLedger } from '../host/kept-ledger.ts';
import { openSettings } from '../host/library-settings.ts';
import { makeFolder } from '../host/make-folder.ts';
import { describeRemoval } from '../host/removed-imports.ts';
import { buildShelfStores } from '../host/shelf-stores.ts';
import { writeFailure } from '../host/write-failure.ts';
import { buildCaseBodies } from './case-bodies.ts';
import { isLineWhole, placeLine } from './case-seal.ts';
import { buildDatabaseShelf, checkShelf, enterPrepared } from './database-shelf.ts';
import type { DatabaseStaging } from './database-staging.ts';
import { buildDatabaseStaging, dropImportCases, importBody, keepImportCase } from './database-staging.ts';
import type { LibraryDatabase } from './library-database.ts';

export interface DatabaseStoreOptions {
  readonly database: LibraryDatabase;
  /** Whether the lines of all entries are looked at before it opens; else whenever they are read. */
  readonly checkLines: boolean;
  /** The library's own name, without its place. */
  readonly libraryName: string;
  /** Where the files of imports that are not over lie; whatever is there at the start is removed. */
  readonly incoming: string;
  /** Awaited before the database is closed, and after. */
  readonly beforeClose: () => Promise<void>;
  readonly afterClose: () => Promise<void>;
}

interface Line extends CaseLine {
  readonly bodyId: number;
}

/** Numbers of bodies begin at 1: this one reads as damaged. */
const NO_BODY = 0;

const digestsSchema = z.array(z.string());

/**
 * Returns the library in an open database.
 * Errors  rejects with a FailureError `library-damaged` when anything on its shelf is not as it was written. A damaged case is no
 *         error: it is listed with its problem.
 */
export async function buildDatabaseStore({ database, checkLines, libraryName, incoming, beforeClose, afterClose }: DatabaseStoreOptions): Promise<CaseStore> {
  checkShelf(database, { withLines: checkLines });
  const shelf = buildDatabaseShelf(database);
  const bodies = buildCaseBodies(database);
  const lines = buildCaseLines<Line>();
  const stagings = new Map<string, DatabaseStaging>();
  const ledger = buildKeptLedger(shelf.journal('ledger'));
  const stores = buildShelfStores(shelf);
  await clearImports();
  await readLines();
  const settings = await openSettings(shelf, async () => lines.entries.size === 0);

  /** Removes what imports have left; of those that were cut short a note stays for the person. `evenUnread`: as `describeRemoval`. */
  async function clearFolders({ evenUnread }: { readonly evenUnread: boolean }): Promise<void> {
    for (const name of await readdir(incoming)) {
      const removed = await describeRemoval(name, join(incoming, name), ledger, { evenUnread });
      if (removed !== null) await stores.removedImports.add([removed]);
      await rm(join(incoming, name), { recursive: true, force: true });
    }
  }

  /** Removes what imports of a program that ended have left. */
  async function clearImports(): Promise<void> {
    await makeFolder(incoming, 0o700);
    await clearFolders({ evenUnread: true });
    database.transaction(() => {
      for (const row of database.all('SELECT DISTINCT import_id FROM import_cases')) dropImportCases(database, bodies, row.text('import_id'), null);
      database.run('DELETE FROM entries WHERE is_prepared = 1');
      // A body that no case came to refer to: the program ended between the two.
      database.run('DELETE FROM bodies WHERE body_id NOT IN (SELECT body_id FROM cases) AND body_id NOT IN (SELECT body_id FROM import_cases)');
    });
  }

  /** A line that an earlier version wrote, or that had a problem, is made anew from the case and written back, so that the next start need not read the case. */
  async function readLines(): Promise<void> {
    const remade: (readonly [string, Line])[] = [];
    for (const row of database.all('SELECT case_key, body_id, summary, digests, seal FROM cases')) {
      const [caseKey, bodyId] = [row.text('case_key'), row.integer('body_id')];
      const parsed = caseSummarySchema.safeParse(parsedJson(row.text('summary')));
      const listed = digestsSchema.safeParse(parsedJson(row.text('digests')));
      if (!isLineWhole(database, caseKey, bodyId, row.text('summary'), row.text('digests'), row.bytes('seal'))) lines.found(caseKey, changedLine(caseKey));
      else if (parsed.success && listed.success && parsed.data.caseKey === caseKey && parsed.data.problem === null) lines.found(caseKey, { summary: parsed.data, digests: listed.data, bodyId });
      else {
        const line = readLine(caseKey, bodyId);
        lines.found(caseKey, line);
        if (line.summary.problem === null) remade.push([caseKey, line]);
        await setImmediate(); // each may be a case of many megabytes; the window's other calls come in between
      }
    }
    try {
      if (remade.length > 0) database.transaction(() => remade.forEach(([caseKey, line]) => place(caseKey, line.bodyId, line)));
    } catch (error) {
      // A full disk is no reason not to open: the next start makes them anew once more.
      if (!(error instanceof FailureError) || error.code === 'library-damaged') throw error;
    }
  }

  function readLine(caseKey: string, bodyId: number): Line {
    try {
      const decoded = decodeCase(bodies.read(bodyId));
      if (decoded.ok) return { summary: summarizeCase(caseKey, decoded.value.record, decoded.value.analysis), digests: sourceDigests(decoded.value.record), bodyId };
      return unreadable(caseKey, bodyId, decoded.failure);
    } catch (error) {
      if (error instanceof FailureError) return unreadable(caseKey, bodyId, error);
      throw error;
    }
  }

  /** Puts a case into the table; a step of a larger transaction, after which its line is told to `lines`. */
  function place(caseKey: string, bodyId: number, line: CaseLine): void {
    placeLine(database, caseKey, bodyId, JSON.stringify(line.summary), JSON.stringify(line.digests));
  }

  function bodyOf(caseKey: string): number | null {
    return database.get('SELECT body_id FROM cases WHERE case_key = ?', caseKey)?.integer('body_id') ?? null;
  }

  /** Brings back the case that was put aside for an import, or removes the one that it has put there; a step of a larger transaction. */
  function takeBack(importId: string, caseKey: string, hasAside: boolean): void {
    const now = bodyOf(caseKey);
    const aside = hasAside ? importBody(database, importId, caseKey, 'aside') : null;
    if (aside !== null) {
      place(caseKey, aside, readLine(caseKey, aside));
      database.run(`DELETE FROM import_cases WHERE import_id = ? AND case_key = ? AND state = 'aside'`, importId, caseKey);
    } else if (!hasAside) database.run('DELETE FROM cases WHERE case_key = ?', caseKey);
    if (now !== null && now !== aside) bodies.dropUnused(now);
  }

  /** Looks at a case anew, after it came back or went. */
  function reread(caseKey: string): void {
    lines.delete(caseKey);
    const row = database.get('SELECT body_id, summary, digests, seal FROM cases WHERE case_key = ?', caseKey);
    if (row === null) return;
    const bodyId = row.integer('body_id');
    lines.changed(caseKey, isLineWhole(database, caseKey, bodyId, row.text('summary'), row.text('digests'), row.bytes('seal')) ? readLine(caseKey, bodyId) : changedLine(caseKey));
  }

  /** Brings the library back to what it was before an import; where the disk does not take even that, what is there stays. */
  function takeAllBack({ importId, stored }: DatabaseStaging): void {
    if (stored.size === 0) return;
    database.transaction(() => {
      for (const [caseKey, replacedOne] of stored) takeBack(importId, caseKey, replacedOne);
    });
    const keys = [...stored.keys()];
    stored.clear();
    for (const caseKey of keys) reread(caseKey);
  }

  function known(staging: StagingArea): DatabaseStaging {
    const found = stagings.get(staging.importId);
    if (found === undefined) throw new Error('this import is over');
    return found;
  }

  const keyOf = (caseId: string): string => lines.keyOf(caseId, settings.newKeyOf);

  return {
    libraryName,
    settings,
    endReanalysis: () => settings.change({ reanalysisPending: false }),
    async refresh(caseKey) {
      reread(caseKey);
    },
    list: lines.list,
    keyOf,
    revisionOf: lines.revisionOf,
    stampOf(caseKey) {
      const line = lines.entries.get(caseKey);
      const body = line === undefined ? null : database.get('SELECT seal FROM bodies WHERE body_id = ?', line.bodyId);
      return body === null ? null : Buffer.from(body.bytes('seal')).toString('hex');
    },
    async readBytes(caseKey) {
      const line = lines.entries.get(caseKey);
      if (line === undefined) throw caseMissing();
      return bodies.read(line.bodyId);
    },
    async save(record, analysis) {
      const caseKey = keyOf(record.caseId);
      const bytes = encodeCase(record, analysis);
      const line = { summary: summarizeCase(caseKey, record, analysis), digests: sourceDigests(record) };
      const bodyId = database.transaction(() => {
        const before = bodyOf(caseKey);
        const now = bodies.put(bytes);
        place(caseKey, now, line);
        if (before !== null) bodies.dropUnused(before);
        return now;
      });
      lines.changed(caseKey, { ...line, bodyId });
      return line.summary;
    },
    async remove(caseKey) {
      const line = lines.entries.get(caseKey);
      if (line === undefined) return false;
      database.transaction(() => {
        database.run('DELETE FROM cases WHERE case_key = ?', caseKey);
        bodies.dropUnused(line.bodyId);
      });
      lines.delete(caseKey);
      return true;
    },
    lineOf: lines.lineOf,
    casesFrom: lines.casesFrom,
    async publish(given, { put, takeBack: wanted, entry }, { signal, onFlushed, onPoint }) {
      const staging = known(given);
      const { importId, stored } = staging;
      const replaces = new Map(put.map(({ summary: { caseKey } }) => [caseKey, stored.get(caseKey) ?? lines.entries.has(caseKey)]));
      const takenBack = [...stored].filter(([caseKey]) => wanted.includes(caseKey) && !replaces.has(caseKey));
      for (const one of put) {
        signal?.throwIfAborted();
        onFlushed?.(one); // `prepare` has put it on the disk
      }
      onPoint?.();
      const placed = new Map<string, number>();
      try {
        database.transaction(() => {
          for (const line of put) {
            const { caseKey } = line.summary;
            const ready = importBody(database, importId, caseKey, 'prepared');
            if (ready === null) throw new Error('a case that is to be published is not prepared');
            const before = bodyOf(caseKey);
            if (before !== null && !stored.has(caseKey)) keepImportCase(database, bodies, importId, caseKey, 'aside', before);
            place(caseKey, ready, line);
            database.run(`DELETE FROM import_cases WHERE import_id = ? AND case_key = ? AND state = 'prepared'`, importId, caseKey);
            if (before !== null) bodies.dropUnused(before);
            placed.set(caseKey, ready);
          }
          for (const [caseKey, hasAside] of takenBack) takeBack(importId, caseKey, hasAside);
          if (entry !== undefined) enterPrepared(database, 'ledger', journalEntry(entry));
        });
      } catch (error) {
        takeAllBack(staging);
        throw error;
      }
      if (entry !== undefined) await ledger.entered(entry);
      for (const { summary, digests } of put) lines.changed(summary.caseKey, { summary, digests, bodyId: placed.get(summary.caseKey) ?? 0 });
      for (const [caseKey] of takenBack) {
        reread(caseKey);
        stored.delete(caseKey);
      }
      for (const [caseKey, replacesOne] of replaces) stored.set(caseKey, replacesOne);
      return new Set([...replaces].flatMap(([caseKey, replacesOne]) => (replacesOne ? [caseKey] : [])));
    },
    ...stores,
    ledger,
    async openStaging() {
      const importId = randomBytes(16).toString('hex');
      const folder = join(incoming, importId);
      await mkdir(folder, { mode: 0o700 }).catch((error: unknown) => {
        throw writeFailure(error);
      });
      const staging = buildDatabaseStaging(database, bodies, importId, folder);
      stagings.set(importId, staging);
      return staging;
    },
    stagingOf: (importId) => stagings.get(importId) ?? null,
    interruptedRuns: async () => [],
    async endStaging(importId) {
      if (!stagings.delete(importId)) return false;
      database.transaction(() => dropImportCases(database, bodies, importId, null));
      await rm(join(incoming, importId), { recursive: true, force: true });
      return true;
    },
    async close() {
      await beforeClose();
      try {
        await clearFolders({ evenUnread: false }); // a person who closes the window knows of files that were only chosen
        await rm(incoming, { recursive: true, force: true });
      } finally {
        database.close();
        await afterClose();
      }
    },
  };
}

function journalEntry({ importId, number }: PreparedEntry): { readonly group: string; readonly number: string } {
  return { group: importId, number };
}

function unreadable(caseKey: string, bodyId: number, { message, remedy }: { readonly message: string; readonly remedy?: string | undefined }): Line {
  return { summary: summarizeUnreadable(caseKey, [message, remedy].filter(Boolean).join(' ')), digests: [], bodyId };
}

/** The line of a case whose row was changed by somebody without the key: nothing vouches any more for which case lies under this key. */
function changedLine(caseKey: string): Line {
  return unreadable(caseKey, NO_BODY, { message: 'The line of this case in the list is not as it was written; its content may belong to another case.', remedy: 'Import the original export again, or restore the library from one of its backups.' });
}

function parsedJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
