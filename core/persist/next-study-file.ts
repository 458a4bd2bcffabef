import type { Result } from '../base/result.ts';
import { fail, ok } from '../base/result.ts';
import { DEFAULT_NEXT_STUDY, type NextStudyOptions } from '../model/next-study.ts';
import { nextStudyOptionsSchema } from '../model/next-study-schema.ts';
import { schemaFailure } from './json-text.ts';

/**
 * Returns the study that a file asks about.
 * Missing whatever is left out has its default, but for the two sites.
 * Errors  `bad-field` naming the field.
 */
export function parseNextStudy(json: unknown): Result<NextStudyOptions> {
  if (typeof json !== 'object' || json === null || Array.isArray(json)) return fail({ code: 'bad-field', message: 'The file of the next study has to hold one object, { "firstKey": "finger", "secondKey": "ear lobe", … }.', remedy: 'Put braces around its fields.' });
  const parsed = nextStudyOptionsSchema.safeParse({ ...DEFAULT_NEXT_STUDY, ...json });
  return parsed.success ? ok(parsed.data) : fail(schemaFailure('file of the next study', parsed.error));
}
