import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { FailureError } from '../../core/protocol/failure-error.ts';
import { isSystemError, writeAtomically } from './atomic-write.ts';
import { buildFolderJournal } from './folder-journal.ts';
import type { LibraryShelf } from './library-shelf.ts';
import { systemCode, writeFailure } from './write-failure.ts';

/** Returns the shelf of a library that is a folder: a document is `NAME.json` in it, a journal a folder of its own. */
export function buildFolderShelf(root: string): LibraryShelf {
  return {
    document(name) {
      const path = join(root, `${name}.json`);
      return {
        wayOut: `Move the file ${name}.json out of the library’s folder and keep it`,
        wayBack: `Put the file ${name}.json of a backup into the library’s folder`,
        async read() {
          try {
            return await readFile(path, 'utf8');
          } catch (error) {
            if (isSystemError(error, 'ENOENT')) return null;
            throw new FailureError({ code: 'document-unreadable', message: `The file ${name}.json of the library could not be read from the disk (${systemCode(error)}).`, remedy: 'Check the disk and the rights of the library’s folder; nothing was changed.' });
          }
        },
        async replace(text) {
          try {
            await writeAtomically(path, text);
          } catch (error) {
            throw writeFailure(error);
          }
        },
      };
    },
    journal: (name) => buildFolderJournal(join(root, name)),
  };
}
