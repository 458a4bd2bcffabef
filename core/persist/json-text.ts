import type { z } from 'zod';
import type { Failure, Result } from '../base/result.ts';
import { fail, ok } from '../base/result.ts';

/**
 * Returns what JSON text holds.
 * Errors  `bad-json` with the line of the first fault where the engine tells it.
 */
export function parseJsonText(text: string): Result<unknown> {
  const body = text.replace(/^\uFEFF/u, '');
  try {
    return ok(JSON.parse(body));
  } catch (error) {
    const engineText = error instanceof Error ? error.message : '';
    const position = /position (\d+)/u.exec(engineText)?.[1];
    const line = body.slice(0, position === undefined ? body.length : Number(position)).split('\n').length;
    return fail({ code: 'bad-json', message: `This is not JSON: there is a fault in line ${line}.`, line, remedy: 'Look for a missing comma, quote or bracket on that line or the one before.' });
  }
}

/** Returns the failure that names the first field that does not fit the schema, `what` being the kind of file. */
export function schemaFailure(what: string, error: z.ZodError): Failure {
  const issue = error.issues[0];
  const field = issue === undefined || issue.path.length === 0 ? null : issue.path.join('.');
  const reason = issue?.message ?? 'unknown';
  return {
    code: 'bad-field',
    message: field === null ? `The ${what} does not fit: ${reason}.` : `In the ${what}, "${field}" does not fit: ${reason}.`,
    remedy: 'Correct it, or leave the field out.',
  };
}
