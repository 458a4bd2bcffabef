import { readdir, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { z } from 'zod';
import type { RemovedImport } from '../../core/protocol/library-calls.ts';
import { removedImportsSchema } from '../../core/protocol/library-calls-schema.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { ImportLedger } from './import-ledger.ts';
import type { LibraryDocument } from './library-shelf.ts';

const SCHEMA = 'lacuna-removed-imports/1';
const fileSchema = z.object({ schema: z.literal(SCHEMA), imports: removedImportsSchema });

/** Imports whose files were removed before they came to their end: kept until a person has been told. */
export interface RemovedImportStore {
  list(): Promise<readonly RemovedImport[]>;
  /** Adds those that are not there yet. */
  add(removed: readonly RemovedImport[]): Promise<void>;
  /** Says that a person has been told of all. */
  forget(): Promise<void>;
}

/**
 * Returns the removed imports that are kept in a document.
 * Errors  rejects with a FailureError: `removed-imports-damaged`, or what the disk refused.
 */
export function buildRemovedImports(document: LibraryDocument): RemovedImportStore {
  async function list(): Promise<readonly RemovedImport[]> {
    try {
      const text = await document.read();
      return text === null ? [] : fileSchema.parse(JSON.parse(text)).imports;
    } catch {
      throw new FailureError({ code: 'removed-imports-damaged', message: 'The list of imports that were cut short cannot be read.', remedy: `${document.wayOut}. The ledger of imports shows them too, as interrupted.` });
    }
  }
  const write = (imports: readonly RemovedImport[]): Promise<void> => document.replace(`${JSON.stringify({ schema: SCHEMA, imports }, null, 2)}\n`);
  return {
    list,
    async add(removed) {
      if (removed.length === 0) return;
      const before = await list();
      await write([...before, ...removed.filter(({ importId }) => before.every((one) => one.importId !== importId))]);
    },
    async forget() {
      if ((await list()).length > 0) await write([]);
    },
  };
}

/**
 * Returns what is to be said of an import whose folder of staged files is about to be removed; null where there is nothing to say:
 * it holds no file, or the import had come to its end. `evenUnread`: also where its files were chosen and no reading had begun.
 */
export async function describeRemoval(importId: string, folder: string, ledger: Pick<ImportLedger, 'read'>, { evenUnread }: { readonly evenUnread: boolean }): Promise<RemovedImport | null> {
  const names = (await readdir(folder).catch((): string[] => [])).filter((name) => name.endsWith('.input'));
  const found = (await Promise.all(names.map((name) => stat(join(folder, name)).catch(() => null)))).filter((one) => one !== null);
  if (found.length === 0) return null;
  const last = (await ledger.read(importId)).entries.findLast(({ kind }) => kind !== 'decision')?.kind;
  const wasReading = last === 'begun';
  if (!wasReading && (last !== undefined || !evenUnread)) return null;
  const newest = Math.max(...found.map(({ mtimeMs }) => mtimeMs));
  return { importId, files: found.length, byteLength: found.reduce((sum, { size }) => sum + size, 0), lastSignAt: new Date(newest).toISOString(), wasReading };
}
