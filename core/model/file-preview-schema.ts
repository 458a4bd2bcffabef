import { z } from 'zod';
import { SOURCE_KINDS } from './case.ts';
import { EVENT_KINDS } from './event.ts';
import type { FilePreview, PreviewColumn, PreviewOutcome, PreviewRow } from './file-preview.ts';
import { failureOfFileSchema, guessSchema, withheldSchema } from './import-report-schema.ts';
import { QUANTITIES } from './quantity.ts';
import { SITES } from './site.ts';

const quantity = z.enum(QUANTITIES);
const site = z.enum(SITES).nullable();

const outcomeSchema: z.ZodType<PreviewOutcome> = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('value'), column: z.number(), quantity, site, sensor: z.string(), unit: z.string(), value: z.number(), isFlagged: z.boolean(), isConverted: z.boolean() }),
  z.strictObject({ kind: z.literal('missing'), column: z.number(), quantity, site, sensor: z.string(), why: z.enum(['empty', 'filler']), isFlagged: z.boolean() }),
  z.strictObject({
    kind: z.literal('drug'),
    inn: z.string().nullable(),
    isVasopressor: z.boolean(),
    form: z.enum(['bolus', 'infusion start', 'infusion rate', 'infusion stop']),
    amount: z.number().nullable(),
    unit: z.string(),
    route: z.string().nullable(),
    flags: z.array(z.string()),
    text: z.string(),
  }),
  z.strictObject({ kind: z.literal('event'), event: z.enum(EVENT_KINDS), term: z.string(), phase: z.enum(['start', 'end', 'moment']), site: z.string().nullable(), text: z.string() }),
  z.strictObject({ kind: z.literal('facts') }),
  z.strictObject({ kind: z.literal('rejected'), reason: z.string() }),
  z.strictObject({ kind: z.literal('nothing'), why: z.string() }),
]);

const rowSchema: z.ZodType<PreviewRow> = z.strictObject({
  line: z.number(),
  part: z.enum(['preamble', 'headings', 'units', 'row']),
  cells: z.array(z.string().nullable()),
  timeMs: z.number().nullable(),
  becomes: z.array(outcomeSchema),
});

const columnSchema: z.ZodType<PreviewColumn> = z.strictObject({
  index: z.number(),
  heading: z.string(),
  key: z.string(),
  role: z.string(),
  readAs: z.string(),
  quantity: quantity.nullable(),
  site,
  sensor: z.string(),
  unit: z.string(),
  certainty: z.enum(['stated', 'known', 'proven', 'likely', 'assumed', 'unknown']),
  because: z.string(),
  examples: z.array(z.string()),
  isWithheld: z.boolean(),
});

/** What the head of a file becomes, as it travels to the page. */
export const filePreviewSchema: z.ZodType<FilePreview> = z.strictObject({
  file: z.string(),
  layout: z.string(),
  kind: z.enum(SOURCE_KINDS),
  encoding: z.string(),
  delimiter: z.string(),
  decimalMark: z.enum(['.', ',']).nullable(),
  dateOrder: z.enum(['ymd', 'dmy', 'mdy']).nullable(),
  timeForm: z.enum(['timestamp', 'time of day', 'elapsed s', 'elapsed min', 'elapsed ms', 'elapsed h', 'elapsed hms', 'elapsed m:ss', 'unix s', 'unix ms', 'excel day']).nullable(),
  clock: z.enum(['absolute', 'time of day', 'elapsed']).nullable(),
  zone: z.strictObject({ name: z.string(), basis: z.enum(['stated', 'offset', 'none']) }),
  headings: z.array(z.string()),
  columns: z.array(columnSchema),
  rows: z.array(rowSchema),
  rowsRead: z.number(),
  rowsAccepted: z.number(),
  rowsRejected: z.number(),
  isWhole: z.boolean(),
  guesses: z.array(guessSchema),
  notes: z.array(z.string()),
  unknownPhrases: z.array(z.strictObject({ text: z.string(), kind: z.enum(['drug', 'event']), count: z.number(), firstLine: z.number() })),
  withheld: z.array(withheldSchema).optional(),
  failure: failureOfFileSchema,
});
