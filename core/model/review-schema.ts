import { z } from 'zod';
import type { Interval, Range3 } from '../base/interval.ts';
import type { FourInstants } from './analysis.ts';
import type {
  AnalysisSeen, AnchorClock, CaseBody, CaseEntry, CaseReview, Certainty, EarlierVerdict, EntryBody, Judgement, ListedEntry, QueuedDropout, QueueOrder, ReviewableDropout, ReviewAnchor, ReviewBasis, ReviewedDropout, ReviewState, SealedEntry, StandingVerdict, TrailCheck,
  TrailEntry, TrailHead, Verdict,
} from './review.ts';
import { CASE_FLAGS, CERTAINTIES, VERDICTS } from './review.ts';

const NOTE_LENGTH = 10_000;

/** The names of the verdicts, in the order in which they are offered. */
export const VERDICT_NAMES = Object.keys(VERDICTS) as readonly Verdict[]; // the keys of a constant of ours

const HAS_CONTROL = /[\u0000-\u001f\u007f-\u009f\u2028\u2029]/;
const DIGEST = /^[0-9a-f]{64}$/;
const ENTRY_ID = /^[0-9a-f]{32}$/;
/** UTC, to the millisecond at most. */
const INSTANT = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,3})?Z$/;

const entryIdSchema = z.string().regex(ENTRY_ID);
const digestSchema = z.string().regex(DIGEST);
const rangeSchema: z.ZodType<Range3> = z.strictObject({ low: z.number(), mid: z.number(), high: z.number() });
const intervalSchema: z.ZodType<Interval> = z.strictObject({ startMs: z.number(), endMs: z.number() });

/** The local name of a reader. What stands in brackets with "received" is kept for readers of other libraries. */
export const readerNameSchema = z
  .string()
  .min(1)
  .max(60)
  .refine((name) => name === name.trim() && !HAS_CONTROL.test(name), 'a name begins and ends with a letter and has no line breaks')
  .refine((name) => !/\(received/i.test(name), '“(received” is kept for readers of other libraries');

const fourInstantsShape = { lastGoodMs: z.number(), firstLostMs: z.number(), lastLostMs: z.number().nullable(), firstGoodMs: z.number().nullable() };

/** Four instants, the last two both there or both not. Their order is for `core/review/corrected-bounds.ts` to judge. */
export const fourInstantsSchema: z.ZodType<FourInstants> = z
  .strictObject(fourInstantsShape)
  .refine(({ lastLostMs, firstGoodMs }) => (lastLostMs === null) === (firstGoodMs === null), 'a last lost without a first good instant');

const anchorClockSchema: z.ZodType<AnchorClock> = z.strictObject({ kind: z.enum(['absolute', 'time of day', 'elapsed']), wallMs: z.number(), epochMs: z.number().nullable() });

const endsOnce = ({ lastLostMs, firstGoodMs, censoredAtMs }: Pick<ReviewAnchor, 'lastLostMs' | 'firstGoodMs' | 'censoredAtMs'>): boolean => (lastLostMs === null) === (firstGoodMs === null) && (firstGoodMs === null) !== (censoredAtMs === null);

const anchorSchema: z.ZodType<ReviewAnchor> = z
  .strictObject({ ...fourInstantsShape, siteKey: z.string().min(1), dropoutId: z.string().min(1), censoredAtMs: z.number().nullable(), clock: anchorClockSchema })
  .refine(endsOnce, 'a loss ends where information came back or where the count ends');

const seenSchema: z.ZodType<AnalysisSeen> = z.strictObject({ parametersDigest: digestSchema, parametersName: z.string(), productVersion: z.string(), inputDigests: z.array(z.string()) });

/** What a reviewer says of one dropout: `cannot tell` is a full answer and has no certainty, every other verdict has one. */
export const judgementSchema: z.ZodType<Judgement> = z
  .strictObject({ verdict: z.enum(VERDICT_NAMES), certainty: z.enum(CERTAINTIES).nullable() satisfies z.ZodType<Certainty | null>, note: z.string().max(NOTE_LENGTH), correctedBounds: fourInstantsSchema.nullable() })
  .refine(({ verdict, certainty }) => (verdict === 'cannot tell') === (certainty === null), 'every verdict but “cannot tell” has a certainty');

const caseShape = { caseKey: z.string().min(1), caseId: z.string() };
export const caseFlagsSchema = z.array(z.enum(CASE_FLAGS)).refine((flags) => new Set(flags).size === flags.length, 'a flag twice');
export const reviewNoteSchema = z.string().max(NOTE_LENGTH);

const headShape = {
  place: z.int().min(1),
  previous: z.union([digestSchema, z.literal('')]),
  entryId: entryIdSchema,
  at: z.string().regex(INSTANT),
  by: readerNameSchema,
  productVersion: z.string(),
};

const caseBodyShapes = [
  z.strictObject({
    ...headShape,
    ...caseShape,
    kind: z.literal('verdict'),
    anchor: anchorSchema,
    judgement: judgementSchema,
    seen: seenSchema,
    role: z.enum(['reading', 'consensus']),
    isBlinded: z.boolean(),
    supersedes: entryIdSchema.nullable(),
    settles: z.array(entryIdSchema),
  }),
  z.strictObject({ ...headShape, ...caseShape, kind: z.literal('taken back'), supersedes: entryIdSchema }),
  z.strictObject({ ...headShape, ...caseShape, kind: z.literal('flags'), flags: caseFlagsSchema, note: reviewNoteSchema, seen: seenSchema }),
  z.strictObject({ ...headShape, ...caseShape, kind: z.literal('revealed') }),
  z.strictObject({ ...headShape, ...caseShape, kind: z.literal('case read'), unread: z.int().min(0) }),
] as const;

/** What a reader did with a case: what may travel between libraries. */
export const caseEntrySchema: z.ZodType<CaseEntry> = z.discriminatedUnion('kind', caseBodyShapes);

/** One entry of the trail, strictly: a field that nobody knows makes it unreadable. */
export const trailEntrySchema: z.ZodType<TrailEntry> = z.discriminatedUnion('kind', [
  ...caseBodyShapes,
  z.strictObject({
    ...headShape,
    kind: z.literal('act'),
    act: z.enum(['parameters changed', 'case removed', 'case replaced', 'clock set', 'reviews written out', 'reviews received', 'conflict settled', 'action written', 'action changed', 'action measured', 'file written out']),
    caseKey: z.string().min(1).nullable(),
    detail: z.string().max(NOTE_LENGTH),
  }),
  z.strictObject({ ...headShape, ...caseShape, kind: z.literal('received'), entry: caseEntrySchema, hash: digestSchema, signedBy: z.string().min(8) }),
]);

export const sealedEntrySchema: z.ZodType<SealedEntry> = z.strictObject({ entry: trailEntrySchema, hash: digestSchema });
export const listedEntrySchema: z.ZodType<ListedEntry> = z.strictObject({
  entry: z.union([trailEntrySchema, z.strictObject({ kind: z.literal('kept back'), place: headShape.place, at: headShape.at, by: headShape.by, ...caseShape })]),
  hash: digestSchema,
});
export const trailHeadSchema: z.ZodType<TrailHead> = z.strictObject({ place: z.int().min(1), hash: digestSchema });

const standingVerdictShape = {
  entryId: entryIdSchema,
  by: z.string(),
  at: z.string(),
  role: z.enum(['reading', 'consensus']),
  isBlinded: z.boolean(),
  judgement: judgementSchema,
  seen: seenSchema,
  anchor: anchorSchema,
  settles: z.array(entryIdSchema),
  state: z.enum(['same', 'moved', 'split', 'joined', 'without a dropout']),
  isCounted: z.boolean(),
  dropoutId: z.string().nullable(),
  sawAnother: z.boolean(),
};

export const standingVerdictSchema: z.ZodType<StandingVerdict> = z.strictObject(standingVerdictShape);
const earlierVerdictSchema: z.ZodType<EarlierVerdict> = z.strictObject({ ...standingVerdictShape, ended: z.enum(['superseded', 'taken back']), endedAt: z.string() });

const reviewedDropoutSchema: z.ZodType<ReviewedDropout> = z.strictObject({
  dropoutId: z.string(),
  siteKey: z.string(),
  outcome: z.enum(['not reviewed', 'confirmed', 'refuted', 'cannot tell', 'disputed']),
  verdict: z.enum(VERDICT_NAMES).nullable(),
  correctedBounds: fourInstantsSchema.nullable(),
  verdicts: z.array(standingVerdictSchema),
});

export const caseReviewSchema: z.ZodType<CaseReview> = z.strictObject({
  ...caseShape,
  dropouts: z.array(reviewedDropoutSchema),
  without: z.array(standingVerdictSchema),
  earlier: z.array(earlierVerdictSchema),
  flags: z.array(z.strictObject({ by: z.string(), at: z.string(), flags: caseFlagsSchema, note: reviewNoteSchema })),
  readers: z.array(z.string()),
  hidden: z.array(z.string()),
  isRevealed: z.boolean(),
  readBy: z.array(z.string()),
});

export const reviewStateSchema: z.ZodType<ReviewState> = z.strictObject({
  caseKey: z.string(),
  dropouts: z.number(),
  confirmed: z.number(),
  refuted: z.number(),
  cannotTell: z.number(),
  disputed: z.number(),
  notReviewed: z.number(),
  without: z.number(),
  flags: caseFlagsSchema,
  readers: z.number(),
});

const reviewableDropoutSchema: z.ZodType<ReviewableDropout> = z.strictObject({ ...fourInstantsShape, dropoutId: z.string(), siteKey: z.string(), number: z.number(), censoredAtMs: z.number().nullable(), lostMs: rangeSchema });

/** What reviews need of a case, as it crosses from a worker to the host. */
export const reviewBasisSchema: z.ZodType<ReviewBasis> = z.strictObject({
  ...caseShape,
  seen: seenSchema,
  bounds: intervalSchema,
  sites: z.array(z.strictObject({ siteKey: z.string(), clock: anchorClockSchema, dropouts: z.array(reviewableDropoutSchema) })),
});

export const queuedDropoutSchema: z.ZodType<QueuedDropout> = z.strictObject({ ...caseShape, dropoutId: z.string(), siteKey: z.string(), firstLostMs: z.number(), lostMs: rangeSchema, isRead: z.boolean() });

export const queueOrderSchema: z.ZodType<QueueOrder> = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('worst first') }),
  z.strictObject({ kind: z.literal('case by case') }),
  z.strictObject({ kind: z.literal('random sample'), seed: z.int().min(0).max(0xffffffff), size: z.int().min(1).max(100_000) }),
]);

export const trailCheckSchema: z.ZodType<TrailCheck> = z.strictObject({
  entries: z.number(),
  head: z.string(),
  problems: z.array(z.strictObject({ place: z.number(), kind: z.enum(['altered', 'missing', 'out of order', 'unreadable', 'cut off', 'head not found']), message: z.string() })),
});

/** Returns whether a body is about one case's reading. */
export function isCaseBody(body: EntryBody): body is CaseBody {
  return body.kind !== 'act' && body.kind !== 'received';
}
