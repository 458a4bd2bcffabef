import { z } from 'zod';
import { caseAnalysisSchema, findingSchema, fourInstantsShape, range3Schema } from '../model/analysis-schema.ts';
import type { CaseAnalysis } from '../model/analysis.ts';
import type { CasePart, PartChannel } from '../model/case-part.ts';
import { SOURCE_KINDS } from '../model/case.ts';
import type { CaseRecord } from '../model/case.ts';
import type { Channel } from '../model/channel.ts';
import { acceptedOffsetSchema } from '../model/clock-comparison-schema.ts';
import { EVENT_KINDS } from '../model/event.ts';
import { VALUE_MAKINGS } from '../model/mapping.ts';
import { analysisParametersSchema } from '../model/parameters-schema.ts';
import { QUANTITIES } from '../model/quantity.ts';
import type { ReviewableCase } from '../model/review.ts';
import { SITES } from '../model/site.ts';

/** The element types an array of a stored case may have. */
export const ARRAY_TYPES = ['f64', 'u32', 'u8'] as const;
export type ArrayType = (typeof ARRAY_TYPES)[number];

/** Where one array stands in the bytes: `offset` counts from the start of the arrays, `length` counts elements. */
export interface ArrayPlace {
  readonly type: ArrayType;
  readonly offset: number;
  readonly length: number;
}

/** A channel whose four arrays are replaced by indices into `CaseHead.arrays`. */
export type Stored<C extends PartChannel> = Omit<C, 'tMs' | 'value' | 'mark' | 'line'> & Readonly<Record<'tMs' | 'value' | 'mark' | 'line', number>>;
export type StoredChannel = Stored<Channel>;
export type StoredPart = Omit<CasePart, 'channels'> & { readonly channels: readonly Stored<PartChannel>[] };

/** The JSON part of a stored case. */
export interface CaseHead {
  readonly arrays: readonly ArrayPlace[];
  readonly record: Omit<CaseRecord, 'channels' | 'parts'> & { readonly channels: readonly StoredChannel[]; readonly parts?: readonly StoredPart[] | undefined };
  readonly analysis: CaseAnalysis | null;
}

const count = z.number().int().min(0);
const sourceRefSchema = z.strictObject({ sourceIndex: count, line: z.number() });

const placeFields = { quantity: z.enum(QUANTITIES), label: z.string(), unit: z.string(), site: z.enum(SITES).nullable(), sensor: z.string() };
// Forms before 4 knew nothing of the making of values and of device hold.
const sampleFields = { layout: z.enum(['wide', 'long']), valueMaking: z.enum(VALUE_MAKINGS).optional(), deviceHoldS: z.number().min(0).optional(), tMs: count, value: count, mark: count, line: count };

// A decoded object has its fields in the order of its schema: it is the order in which the assembly sets them, so that a case
// that was read and written again has the same bytes.
const storedChannelSchema: z.ZodType<StoredChannel> = z.strictObject({ channelId: z.string(), ...placeFields, sourceIndex: count, ...sampleFields });

const entryTimeSchema = z.tuple([z.number(), z.number().nullable()]);

const storedPartSchema: z.ZodType<StoredPart> = z.strictObject({
  clock: z.enum(['absolute', 'time of day', 'elapsed']).nullable(),
  mayBeTimeOfDay: z.boolean(),
  zone: z.strictObject({ name: z.string(), basis: z.enum(['stated', 'offset', 'none']) }),
  canSwapDayAndMonth: z.boolean(),
  channels: z.array(z.strictObject({ ...placeFields, ...sampleFields })),
  eventTimes: z.array(entryTimeSchema),
  drugTimes: z.array(entryTimeSchema),
  nDuplicates: count,
  nConflicts: count,
  firstConflictLine: count.nullable(),
});

const originSchema = z.strictObject({
  epochMs: z.number().nullable(),
  clock: z.enum(['absolute', 'time of day', 'elapsed']),
  originOffsetMs: z.number(),
  zone: z.string(),
  zoneStated: z.boolean(),
});

/** Checks the JSON part: a field more, less or of another type means a damaged or foreign file. */
export const caseHeadSchema: z.ZodType<CaseHead> = z.strictObject({
  arrays: z.array(z.strictObject({ type: z.enum(ARRAY_TYPES), offset: count, length: count })),
  record: z.strictObject({
    caseId: z.string(),
    origin: originSchema,
    // Form 1 knew no clock offset.
    sources: z.array(z.strictObject({ name: z.string(), sha256: z.string(), byteLength: z.number(), kind: z.enum(SOURCE_KINDS), clockOffsetMs: z.number().default(0), acceptedOffset: acceptedOffsetSchema.optional() })),
    channels: z.array(storedChannelSchema),
    events: z.array(
      z.strictObject({
        eventId: z.string(),
        kind: z.enum(EVENT_KINDS),
        term: z.string(),
        phase: z.enum(['start', 'end', 'moment']),
        text: z.string(),
        atMs: z.number(),
        endMs: z.number().nullable(),
        manual: z.boolean(),
        site: z.string().nullable(),
        source: sourceRefSchema,
      }),
    ),
    drugs: z.array(
      z.strictObject({
        drugId: z.string(),
        inn: z.string().nullable(),
        atc: z.string().nullable(),
        isVasopressor: z.boolean(),
        route: z.string().nullable(),
        form: z.enum(['bolus', 'infusion start', 'infusion rate', 'infusion stop']),
        amount: z.number().nullable(),
        unit: z.string(),
        atMs: z.number(),
        endMs: z.number().nullable(),
        manual: z.boolean(),
        flags: z.array(z.string()),
        text: z.string(),
        source: sourceRefSchema,
      }),
    ),
    findings: z.array(findingSchema),
    attributes: z.record(z.string(), z.string()),
    // Forms 1 and 2 kept only the case itself.
    parts: z.array(storedPartSchema).optional(),
  }),
  analysis: caseAnalysisSchema.nullable(),
});

/** Checks what reviews need of the JSON part, and passes over the rest. */
export const reviewableCaseSchema: z.ZodType<ReviewableCase> = z.object({
  record: z.object({
    caseId: z.string(),
    origin: originSchema,
    sources: z.array(z.object({ clockOffsetMs: z.number().default(0) })),
    channels: z.array(z.object({ channelId: z.string(), sourceIndex: count })),
  }),
  analysis: z.object({
    parameters: analysisParametersSchema,
    productVersion: z.string(),
    inputDigests: z.array(z.string()),
    bounds: z.object({ startMs: z.number(), endMs: z.number() }),
    sites: z.array(
      z.object({
        siteKey: z.string(),
        channelId: z.string(),
        dropouts: z.array(z.object({ ...fourInstantsShape, dropoutId: z.string(), siteKey: z.string(), number: z.number(), censoredAtMs: z.number().nullable(), lostMs: range3Schema })),
      }),
    ),
  }),
});
