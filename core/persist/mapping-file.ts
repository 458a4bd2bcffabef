import type { Result } from '../base/result.ts';
import { fail, ok } from '../base/result.ts';
import { mappingSchema } from '../model/mapping-schema.ts';
import type { Mapping } from '../model/mapping.ts';
import { schemaFailure } from './json-text.ts';

/**
 * Returns the mapping that a mapping file holds.
 * Errors  `bad-field` naming the field, unknown fields included.
 */
export function parseMapping(json: unknown): Result<Mapping> {
  const parsed = mappingSchema.safeParse(json);
  return parsed.success ? ok(parsed.data) : fail(schemaFailure('mapping file', parsed.error));
}
