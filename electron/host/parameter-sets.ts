import { z } from 'zod';
import { isReservedSetName } from '../../core/model/parameter-presets.ts';
import { DEFAULT_PARAMETERS, type AnalysisParameters } from '../../core/model/parameters.ts';
import { analysisParametersSchema } from '../../core/model/parameters-schema.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { ParameterSetStore } from './case-store.ts';
import type { LibraryDocument } from './library-shelf.ts';

const SCHEMA = 'lacuna-parameter-sets/1';
const fileSchema = z.object({ schema: z.literal(SCHEMA), sets: z.array(z.looseObject({})) });

/**
 * Returns the named sets that are kept in a document.
 * Missing  no text: no set. A parameter that an earlier version did not know takes its default.
 * Errors   rejects with a FailureError: `sets-damaged`, `name-taken`, or what the disk refused.
 */
export function buildParameterSets(document: LibraryDocument): ParameterSetStore {
  async function list(): Promise<AnalysisParameters[]> {
    try {
      const text = await document.read();
      if (text === null) return [];
      const { sets } = fileSchema.parse(JSON.parse(text));
      return sets.map((set) => analysisParametersSchema.parse({ ...DEFAULT_PARAMETERS, ...set })).sort(byName);
    } catch {
      throw new FailureError({ code: 'sets-damaged', message: 'The saved sets of definitions cannot be read.', remedy: `${document.wayOut}, then save the sets anew; a set that was written to a file can be read in again.` });
    }
  }
  async function write(sets: readonly AnalysisParameters[]): Promise<readonly AnalysisParameters[]> {
    await document.replace(`${JSON.stringify({ schema: SCHEMA, sets }, null, 2)}\n`);
    return sets;
  }
  return {
    list,
    async save(parameters) {
      if (isReservedSetName(parameters.name)) throw new FailureError({ code: 'name-taken', message: `“${parameters.name}” is a name of the program’s own.`, remedy: 'Choose another name.' });
      const others = (await list()).filter((set) => set.name !== parameters.name);
      return await write([...others, parameters].sort(byName));
    },
    async remove(name) {
      return await write((await list()).filter((set) => set.name !== name));
    },
  };
}

function byName(a: AnalysisParameters, b: AnalysisParameters): number {
  return a.name < b.name ? -1 : a.name > b.name ? 1 : 0;
}
