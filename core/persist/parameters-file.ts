import type { Result } from '../base/result.ts';
import { fail, ok } from '../base/result.ts';
import { analysisParametersSchema } from '../model/parameters-schema.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { DEFAULT_PARAMETERS } from '../model/parameters.ts';
import { schemaFailure } from './json-text.ts';

const FILE_KIND = 'parameters file';

/**
 * Returns the analysis parameters that a parameters file asks for.
 * Missing every field left out has its default, in the tables of look-backs too. A set that names itself not is called
 *         "from file" as soon as it states anything, so that it does not pass for the default.
 * Errors  `bad-field` naming the field; an unknown field is an error, since a misspelt one would change nothing in silence.
 */
export function parseParameters(json: unknown): Result<AnalysisParameters> {
  if (!isRecord(json)) return fail({ code: 'bad-field', message: `The ${FILE_KIND} has to hold one object, { "minDurationS": 30, … }.`, remedy: 'Put braces around its fields.' });
  const merged: Record<string, unknown> = { ...DEFAULT_PARAMETERS, name: Object.keys(json).length === 0 ? DEFAULT_PARAMETERS.name : 'from file' };
  for (const [field, value] of Object.entries(json)) {
    const fallback = merged[field];
    merged[field] = isRecord(value) && isRecord(fallback) ? { ...fallback, ...value } : value;
  }
  const parsed = analysisParametersSchema.safeParse(merged);
  return parsed.success ? ok(parsed.data) : fail(schemaFailure(FILE_KIND, parsed.error));
}

function isRecord(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
