import { z } from 'zod';
import { caseEntrySchema } from './review-schema.ts';
import type { ReceivedSummary, ReviewConflict, ReviewsFile, ReviewsFileContent, ReviewsFileOutlook, Sender, SettledConflict, TravellingCase, TravellingEntry, WaitingReviews } from './reviews-file.ts';
import { REVIEWS_FILE_SCHEMA } from './reviews-file.ts';

const digestSchema = z.string().regex(/^[0-9a-f]{64}$/, 'not a sha-256 in hexadecimal digits');
const instantSchema = z.string().regex(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,3})?Z$/, 'not an instant in UTC');

export const travellingCaseSchema: z.ZodType<TravellingCase> = z.strictObject({
  caseKey: z.string().min(1).max(200),
  caseId: z.string().max(2000),
  inputDigests: z.array(digestSchema),
  contentFingerprint: digestSchema.nullable(),
});

export const travellingEntrySchema: z.ZodType<TravellingEntry> = z.strictObject({ entry: caseEntrySchema, hash: digestSchema, sealedAs: digestSchema });

const contentSchema: z.ZodType<ReviewsFileContent> = z.strictObject({
  writtenAt: instantSchema,
  productVersion: z.string().max(100),
  sender: z.strictObject({ publicKey: digestSchema, fingerprint: digestSchema }),
  notes: z.enum(['included', 'left out']),
  chain: z.array(digestSchema),
  cases: z.array(travellingCaseSchema),
  entries: z.array(travellingEntrySchema),
});

/** The form of a reviews file; docs/formats/reviews-file.schema.json is made of it. */
export const reviewsFileSchema: z.ZodType<ReviewsFile> = z.strictObject({
  schema: z.literal(REVIEWS_FILE_SCHEMA),
  content: contentSchema,
  signature: z.string().regex(/^[0-9a-f]{128}$/, 'not a signature in hexadecimal digits'),
});

const count = z.number().int().min(0);
export const senderSchema: z.ZodType<Sender> = z.strictObject({ fingerprint: digestSchema, label: z.string(), confirmedAt: z.string().nullable(), isOwn: z.boolean() });
export const settledConflictSchema: z.ZodType<SettledConflict> = z.strictObject({ choice: z.string().max(200), by: z.string(), at: z.string() });

export const reviewsFileOutlookSchema: z.ZodType<ReviewsFileOutlook> = z.strictObject({ cases: count, entries: count, verdicts: count, notes: count, readers: z.array(z.string()), withoutContent: count, notOwn: count });

export const receivedSummarySchema: z.ZodType<ReceivedSummary> = z.strictObject({
  sender: senderSchema, fileDigest: digestSchema, writtenAt: z.string(), notes: z.enum(['included', 'left out']), entries: count, verdicts: count, readers: z.array(z.string()), cases: count, fresh: count, known: count, matched: count, waiting: count,
});

export const waitingReviewsSchema: z.ZodType<WaitingReviews> = z.strictObject({ sender: senderSchema, caseId: z.string(), entries: count, verdicts: count });

const conflictShape = { conflictId: z.string().regex(/^[0-9a-f]{32}$/), sender: senderSchema, settled: settledConflictSchema.nullable() };
export const reviewConflictSchema: z.ZodType<ReviewConflict> = z.discriminatedUnion('kind', [
  z.strictObject({
    ...conflictShape, kind: z.literal('other content'), entryId: z.string(), caseId: z.string(),
    versions: z.array(z.strictObject({ sealedAs: digestSchema, entry: caseEntrySchema, from: z.enum(['here', 'file']), isInForce: z.boolean() })),
  }),
  z.strictObject({
    ...conflictShape, kind: z.literal('which case'), why: z.enum(['content differs', 'content unknown', 'several alike']), caseKey: z.string(), caseId: z.string(), entries: count,
    candidates: z.array(z.strictObject({ caseKey: z.string(), caseId: z.string() })),
  }),
  z.strictObject({ ...conflictShape, kind: z.literal('same name'), name: z.string(), entries: count }),
  z.strictObject({ ...conflictShape, kind: z.literal('trails part'), place: z.number().int().min(1) }),
]);
