import { z } from 'zod';
import { SOURCE_KINDS } from './case.ts';
import type { FileReport, Guess, RejectedRow, Withheld } from './import-report.ts';
import { VALUE_MAKINGS } from './mapping.ts';
import { readingRulesSchema } from './mapping-schema.ts';

/** One decision that a file did not force. */
export const guessSchema: z.ZodType<Guess> = z.strictObject({
  field: z.string(),
  taken: z.string(),
  because: z.string(),
  certainty: z.enum(['proven', 'likely', 'assumed']),
  alternatives: z.array(z.strictObject({ label: z.string(), rules: readingRulesSchema })),
});

/** One kind of identifier that was recognised. */
export const withheldSchema: z.ZodType<Withheld> = z.strictObject({
  heading: z.string(),
  looksLike: z.enum(['name', 'record number', 'birth date', 'age', 'address', 'contact', 'other number', 'free text']),
  done: z.enum(['left out', 'replaced by a code', 'grouped', 'blanked in the text', 'kept']),
  count: z.number(),
  firstLine: z.number().nullable(),
});

/** Why a file could not be read, null when it could. */
export const failureOfFileSchema: z.ZodType<FileReport['failure']> = z.strictObject({ message: z.string(), line: z.number().nullable(), remedy: z.string().nullable() }).nullable();

/** One file's entry of the import report. */
export const fileReportSchema: z.ZodType<FileReport> = z.strictObject({
  file: z.string(),
  kind: z.enum(SOURCE_KINDS),
  encoding: z.string(),
  delimiter: z.string(),
  layout: z.string(),
  rows_read: z.number(),
  rows_accepted: z.number(),
  rows_rejected: z.number(),
  rejected: z.array(z.strictObject({ reason: z.string(), count: z.number(), first_line: z.number() })),
  notes: z.array(z.string()),
  guesses: z.array(guessSchema),
  columns: z.array(
    z.strictObject({ heading: z.string(), readAs: z.string(), quantity: z.string().nullable(), site: z.string().nullable(), values: z.number(), missing: z.number() }),
  ),
  cases: z.array(z.string()),
  withheld: z.array(withheldSchema).optional(),
  unknown_phrases: z.array(z.strictObject({ text: z.string(), kind: z.enum(['drug', 'event']), count: z.number(), first_line: z.number() })).optional(),
  unknown_phrases_not_listed: z.number().optional(),
  value_making: z.enum([...VALUE_MAKINGS, 'not stated']).optional(),
  device_hold_s: z.number().nullable().optional(),
  sha256: z.string(),
  byte_length: z.number(),
  container: z.strictObject({ file: z.string(), sha256: z.string(), byte_length: z.number() }).optional(),
  mapping: z.string().optional(),
  headings: z.array(z.string()).optional(),
  failure: failureOfFileSchema,
});

/** One rejected row. */
export const rejectedRowSchema: z.ZodType<RejectedRow> = z.strictObject({ file: z.string(), line: z.number(), reason: z.string(), row: z.string() });
