import { z } from 'zod';
import { mappingSchema } from '../../core/model/mapping-schema.ts';
import type { Mapping } from '../../core/model/mapping.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { SavedMappingStore } from './case-store.ts';
import type { LibraryDocument } from './library-shelf.ts';

const SCHEMA = 'lacuna-mappings/1';
const fileSchema = z.object({ schema: z.literal(SCHEMA), mappings: z.array(mappingSchema) });

/**
 * Returns the mappings that are kept in a document, each in the form of a mapping file.
 * Missing  no text: no mapping.
 * Errors   rejects with a FailureError: `mappings-damaged`, `name-taken`, `no-name`, `mapping-missing`, or what the disk refused.
 */
export function buildSavedMappings(document: LibraryDocument): SavedMappingStore {
  async function list(): Promise<Mapping[]> {
    try {
      const text = await document.read();
      return text === null ? [] : fileSchema.parse(JSON.parse(text)).mappings.sort(byName);
    } catch {
      throw new FailureError({
        code: 'mappings-damaged',
        message: 'The saved mappings cannot be read.',
        remedy: `${document.wayOut}, then save the mappings anew; one that was written to a file can be read in again.`,
      });
    }
  }
  async function write(mappings: readonly Mapping[]): Promise<readonly Mapping[]> {
    const sorted = [...mappings].sort(byName);
    await document.replace(`${JSON.stringify({ schema: SCHEMA, mappings: sorted }, null, 2)}\n`);
    return sorted;
  }
  return {
    list,
    async save(mapping, replace) {
      const name = usableName(mapping.name);
      const all = await list();
      if (!replace && all.some((other) => other.name === name)) throw nameTaken(name);
      return await write([...all.filter((other) => other.name !== name), { ...mapping, name }]);
    },
    async rename(name, to) {
      const wanted = usableName(to);
      const all = await list();
      const mapping = all.find((other) => other.name === name);
      if (mapping === undefined) throw new FailureError({ code: 'mapping-missing', message: `There is no saved mapping “${name}” any more.`, remedy: 'Look at the list again.' });
      if (wanted === name) return all;
      if (all.some((other) => other.name === wanted)) throw nameTaken(wanted);
      return await write([...all.filter((other) => other !== mapping), { ...mapping, name: wanted }]);
    },
    async remove(name) {
      return await write((await list()).filter((mapping) => mapping.name !== name));
    },
  };
}

function usableName(text: string): string {
  const name = text.trim();
  if (name === '') throw new FailureError({ code: 'no-name', message: 'The mapping has no name.', remedy: 'Give it a name of your own, such as that of the export.' });
  return name;
}

function nameTaken(name: string): FailureError {
  return new FailureError({ code: 'name-taken', message: `There is a saved mapping “${name}” already.`, remedy: 'Choose another name, or replace it.' });
}

function byName(a: Mapping, b: Mapping): number {
  return a.name < b.name ? -1 : a.name > b.name ? 1 : 0;
}
