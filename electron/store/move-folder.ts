import { createHash } from 'node:crypto';
import { sourceDigests } from '../../core/model/source-digests.ts';
import { decodeCase } from '../../core/persist/case-bytes.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import { buildFolderShelf } from '../host/folder-shelf.ts';
import { openFolderStore } from '../host/folder-case-store.ts';
import { DOCUMENT_NAMES, JOURNAL_NAMES, type LibraryShelf } from '../host/library-shelf.ts';
import { buildCaseBodies } from './case-bodies.ts';
import { placeLine } from './case-seal.ts';
import { buildDatabaseShelf } from './database-shelf.ts';
import type { LibraryDatabase } from './library-database.ts';
import type { LibraryFileOptions } from './library-file.ts';
import { createLibraryFile } from './library-file.ts';

/** What came into the file. */
export interface MovedLibrary {
  readonly cases: number;
  readonly documents: number;
  readonly entries: number;
}

/**
 * Makes an encrypted library out of one that is a folder: every case as its bytes stand, every document, every entry with its lines.
 * What was written is read again and held against the folder before the file comes to be. The folder stays as it is.
 * Errors  rejects as `createLibraryFile` and `openFolderStore` do, or with `import-unfinished`: an interrupted import waits in the
 *         folder; no file is there then.
 */
export async function moveFolder(folder: string, path: string, passphrase: string, options: LibraryFileOptions = {}): Promise<MovedLibrary> {
  const from = await openFolderStore(folder);
  try {
    if ((await from.interruptedRuns()).length > 0) throw new FailureError({ code: 'import-unfinished', message: 'An interrupted import waits in this library.', remedy: 'Open the library, go on with the import or discard it, and then move the library.' });
    const shelf = buildFolderShelf(folder);
    let moved: MovedLibrary | null = null;
    const store = await createLibraryFile(path, passphrase, options, async (database) => {
      const bodies = buildCaseBodies(database);
      const lines = from.list();
      for (const summary of lines) {
        const { caseKey } = summary;
        const bytes = await from.readBytes(caseKey);
        const decoded = decodeCase(bytes);
        // A damaged case goes along as it stands and keeps its problem.
        const digests = decoded.ok ? sourceDigests(decoded.value.record) : [];
        const bodyId = database.transaction(() => {
          const put = bodies.put(bytes);
          placeLine(database, caseKey, put, JSON.stringify(summary), JSON.stringify(digests));
          return put;
        });
        if (!Buffer.from(bodies.read(bodyId)).equals(bytes)) throw differs();
      }
      const { documents, entries } = await copyShelf(shelf, buildDatabaseShelf(database), database);
      moved = { cases: lines.length, documents, entries };
    });
    await store.close();
    return moved ?? { cases: 0, documents: 0, entries: 0 };
  } finally {
    await from.close();
  }
}

async function copyShelf(from: LibraryShelf, to: LibraryShelf, database: LibraryDatabase): Promise<Omit<MovedLibrary, 'cases'>> {
  let documents = 0;
  for (const name of DOCUMENT_NAMES) {
    const text = await from.document(name).read();
    if (text === null) continue;
    await to.document(name).replace(text);
    documents += 1;
  }
  for (const name of JOURNAL_NAMES) {
    const journal = from.journal(name);
    for (const group of await journal.groups()) {
      for (const { number, text } of await journal.read(group)) {
        // It may be readable another day; moved as an empty one it would be lost with the folder.
        if (text === null) throw new FailureError({ code: 'entry-unreadable', message: `Entry ${number} of ${name === 'ledger' ? 'an import in the ledger' : 'the reviews'} could not be read from the disk.`, remedy: 'Check the disk and the rights of the folder, then move the library again; no new library is there.' });
        await to.journal(name).append(group, { lines: linesOf(from, name, group, number), text: () => text });
      }
    }
  }
  if ((await digestOf(from)) !== (await digestOf(to))) throw differs();
  return { documents, entries: database.get('SELECT count(*) AS entries FROM entries')?.integer('entries') ?? 0 };
}

async function* linesOf(shelf: LibraryShelf, name: (typeof JOURNAL_NAMES)[number], group: string, number: string): AsyncGenerator<string> {
  for await (const lines of shelf.journal(name).lines(group, number)) yield* lines;
}

/** Returns a digest of all that lies on a shelf, in the order of the names; numbers of entries left out, which may have gaps. */
async function digestOf(shelf: LibraryShelf): Promise<string> {
  const digest = createHash('sha256');
  const take = (...parts: readonly (string | null)[]): void => void digest.update(`${JSON.stringify(parts)}\n`);
  for (const name of DOCUMENT_NAMES) take(name, await shelf.document(name).read());
  for (const name of JOURNAL_NAMES) {
    for (const group of await shelf.journal(name).groups()) {
      for (const { number, text } of await shelf.journal(name).read(group)) {
        take(name, group, text ?? '');
        for await (const lines of shelf.journal(name).lines(group, number)) for (const line of lines) take(line);
      }
    }
  }
  return digest.digest('hex');
}

function differs(): FailureError {
  return new FailureError({ code: 'move-differs', message: 'What was written into the new library is not what the folder holds.', remedy: 'Check the disk, then try again; the folder is as it was, and no new library is there.' });
}
