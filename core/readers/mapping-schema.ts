import { z } from 'zod';
import { fail, ok, type Result } from '../base/result.ts';
import { SOURCE_KINDS } from '../model/case.ts';
import type { Mapping } from '../model/mapping.ts';
import { QUANTITIES } from '../model/quantity.ts';
import { SITES } from '../model/site.ts';

const columnSchema = z.strictObject({
  role: z.enum(['value', 'ignore', 'time', 'date', 'case', 'name', 'number', 'unit', 'site', 'flag', 'text', 'drug', 'dose', 'route']).optional(),
  quantity: z.enum(QUANTITIES).optional(),
  site: z.enum(SITES).optional(),
  sensor: z.string().max(60).optional(),
  unit: z.string().max(40).optional(),
});

/** Schema of the rules for one file. */
export const readingRulesSchema = z.strictObject({
  kind: z.enum(SOURCE_KINDS).optional(),
  encoding: z.string().max(40).optional(),
  delimiter: z.string().max(12).optional(),
  decimalMark: z.enum(['.', ',']).optional(),
  dateOrder: z.enum(['ymd', 'dmy', 'mdy']).optional(),
  timeKind: z.enum(['timestamp', 'time of day', 'elapsed s', 'elapsed min', 'elapsed hms', 'unix s', 'unix ms', 'excel day']).optional(),
  zone: z.string().max(80).optional(),
  caseId: z.string().max(200).optional(),
  columns: z.record(z.string().max(400), columnSchema).optional(),
});

const mappingSchema = z.strictObject({
  schema: z.literal('lacuna-mapping/1'),
  name: z.string().max(200),
  files: z
    .array(
      z.strictObject({
        match: z.strictObject({ headings: z.array(z.string().max(400)).max(500).optional(), fileName: z.string().max(400).optional() }),
        reading: readingRulesSchema,
      }),
    )
    .max(10_000),
});

/**
 * Returns a mapping from the text of its file.
 * Errors  `mapping-not-json` with the parser's own words, `mapping-invalid` naming the first field that is wrong.
 */
export function parseMapping(json: string): Result<Mapping> {
  let value: unknown;
  try {
    value = JSON.parse(json.replace(/^\ufeff/, ''));
  } catch (error) {
    const reason = error instanceof Error ? error.message : '';
    return fail({ code: 'mapping-not-json', message: `The mapping is not valid JSON: ${reason}`, remedy: 'Correct the file, or leave the mapping out: most exports are read without one.' });
  }
  const parsed = mappingSchema.safeParse(value);
  if (!parsed.success) {
    const [issue] = parsed.error.issues;
    const where = issue === undefined || issue.path.length === 0 ? 'the mapping' : issue.path.map((part) => (typeof part === 'number' ? `[${part}]` : `.${String(part)}`)).join('').replace(/^\./, '');
    return fail({ code: 'mapping-invalid', message: `The mapping is wrong at ${where}: ${issue?.message ?? 'not as expected'}`, remedy: 'See docs/formats/mapping.md for the fields and their values.' });
  }
  return ok(parsed.data);
}
