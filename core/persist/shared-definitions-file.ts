import type { Result } from '../base/result.ts';
import { fail, ok } from '../base/result.ts';
import { sharedDefinitionsSchema } from '../model/shared-definitions-schema.ts';
import type { SharedDefinitions } from '../model/shared-definitions.ts';
import { schemaFailure } from './json-text.ts';

const SCHEMA = 'lacuna-shared-definitions/1';

/** Returns shared definitions as a file that `parseSharedDefinitions` reads. */
export function sharedDefinitionsText(shared: SharedDefinitions): string {
  return `${JSON.stringify(shared, null, 2)}\n`;
}

/**
 * Returns what a file of shared definitions holds.
 * Errors  `share-newer` for one of a later version, `bad-field` naming the field, unknown fields included.
 */
export function parseSharedDefinitions(json: unknown): Result<SharedDefinitions> {
  const schema = typeof json === 'object' && json !== null && 'schema' in json ? json.schema : null;
  if (typeof schema === 'string' && /^lacuna-shared-definitions\/\d+$/.test(schema) && schema !== SCHEMA) {
    return fail({ code: 'share-newer', message: 'The file was written by a later version of Lacuna.', remedy: 'Take it in with that version or a later one; nothing was changed.' });
  }
  if (schema !== SCHEMA) return fail({ code: 'bad-field', message: `This is no file of definitions: it does not begin with the schema ${SCHEMA}.`, remedy: 'Choose a file that “Save the definitions…” or “lacuna library share” has written.' });
  const parsed = sharedDefinitionsSchema.safeParse(json);
  return parsed.success ? ok(parsed.data) : fail({ ...schemaFailure('file of shared definitions', parsed.error), remedy: 'Nothing was taken in. Let the library that it comes from write the file again.' });
}
