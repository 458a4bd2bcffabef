import { z } from 'zod';
import { SOURCE_KINDS } from './case.ts';
import { EVENT_KINDS } from './event.ts';
import { COLUMN_ROLES, MAX_CLOCK_OFFSET_S, MAX_DEVICE_HOLD_S, VALUE_MAKINGS, type ColumnReading, type Mapping, type PhraseReading, type ReadingRules } from './mapping.ts';
import { QUANTITIES } from './quantity.ts';
import { SITES } from './site.ts';

const text = z.string().max(1000);
const words = z.array(text).max(1000);

const columnReadingSchema: z.ZodType<ColumnReading> = z.strictObject({
  role: z.enum(COLUMN_ROLES).optional(),
  quantity: z.enum(QUANTITIES).optional(),
  site: z.enum(SITES).optional(),
  sensor: text.optional(),
  unit: text.optional(),
  sentinels: words.optional(),
  flagWords: words.optional(),
  identifier: z.enum(['keep', 'leave out']).optional(),
});

const phraseReadingSchema: z.ZodType<PhraseReading> = z.discriminatedUnion('means', [
  z.strictObject({ means: z.literal('drug'), inn: text.min(1), isVasopressor: z.boolean().optional() }),
  z.strictObject({ means: z.literal('event'), kind: z.enum(EVENT_KINDS), term: text.optional(), phase: z.enum(['start', 'end', 'moment']).optional(), site: z.enum(SITES).optional() }),
  z.strictObject({ means: z.literal('note') }),
]);

/** What a person says about the reading of a file, as it stands in a mapping file or a message. */
export const readingRulesSchema: z.ZodType<ReadingRules> = z.strictObject({
  kind: z.enum(SOURCE_KINDS).optional(),
  encoding: text.optional(),
  delimiter: z.string().min(1).max(20).optional(),
  decimalMark: z.enum(['.', ',']).optional(),
  dateOrder: z.enum(['ymd', 'dmy', 'mdy']).optional(),
  timeKind: z.enum(['timestamp', 'time of day', 'elapsed s', 'elapsed min', 'elapsed hms', 'elapsed m:ss', 'unix s', 'unix ms', 'excel day']).optional(),
  zone: text.optional(),
  caseId: text.optional(),
  clockOffsetS: z.number().min(-MAX_CLOCK_OFFSET_S).max(MAX_CLOCK_OFFSET_S).optional(),
  sentinels: words.optional(),
  flagWords: words.optional(),
  phrases: z.record(z.string(), phraseReadingSchema).optional(),
  valueMaking: z.enum(VALUE_MAKINGS).optional(),
  deviceHoldS: z.number().min(0).max(MAX_DEVICE_HOLD_S).optional(),
  columns: z.record(z.string(), columnReadingSchema).optional(),
});

/** A mapping file. */
export const mappingSchema: z.ZodType<Mapping> = z.strictObject({
  schema: z.literal('lacuna-mapping/1'),
  name: text,
  files: z
    .array(z.strictObject({ match: z.strictObject({ headings: z.array(text).optional(), fileName: text.optional(), path: z.string().max(4096).optional() }), reading: readingRulesSchema, name: text.optional() }))
    .max(10_000),
});
