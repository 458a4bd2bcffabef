import { z } from 'zod';
import { disagreementSchema } from '../model/disagreement-schema.ts';
import { agreementOptionsSchema, reviewAgreementSchema } from '../model/review-agreement-schema.ts';
import { receivedSummarySchema, reviewConflictSchema, reviewsFileOutlookSchema, senderSchema, waitingReviewsSchema } from '../model/reviews-file-schema.ts';
import type { ReviewExchange, ReviewExchangeApi } from './review-exchange-api.ts';

type MethodSchemas = { readonly [M in keyof ReviewExchangeApi]: { readonly args: z.ZodType<Parameters<ReviewExchangeApi[M]>[0]>; readonly reply: z.ZodType<Awaited<ReturnType<ReviewExchangeApi[M]>>> } };

const keySchema = z.string().regex(/^[0-9a-f]{16,64}$/);
const readerSchema = z.string().max(1000);
const job = { jobId: keySchema };
const staged = { ...job, importId: keySchema, file: z.string().max(4000) };
const leftOutSchema = z.array(z.strictObject({ caseKey: z.string(), caseId: z.string(), reason: z.string() }));
const exchangeSchema: z.ZodType<ReviewExchange> = z.strictObject({
  ownFingerprint: z.string().nullable(), senders: z.array(senderSchema), files: z.number().int(), waiting: z.array(waitingReviewsSchema), conflicts: z.array(reviewConflictSchema),
});

/** The schemas of the calls about two readers and reviews of other libraries. */
export const REVIEW_EXCHANGE_METHODS: MethodSchemas = {
  reviewAgreement: { args: z.strictObject({ ...job, options: agreementOptionsSchema, by: readerSchema.nullable(), blinded: z.boolean() }), reply: z.strictObject({ agreement: reviewAgreementSchema, hidden: z.number().int(), leftOut: leftOutSchema }) },
  agreementTexts: { args: z.strictObject({ agreement: reviewAgreementSchema }), reply: z.strictObject({ agreement: z.string(), verdicts: z.string() }) },
  listDisagreements: { args: z.strictObject({ ...job, by: readerSchema.nullable(), blinded: z.boolean() }), reply: z.strictObject({ disagreements: z.array(disagreementSchema), hidden: z.number().int(), leftOut: leftOutSchema }) },
  reviewExchange: { args: z.strictObject(job), reply: exchangeSchema },
  reviewsOutlook: { args: z.strictObject(job), reply: reviewsFileOutlookSchema },
  writeReviews: { args: z.strictObject({ ...job, notes: z.enum(['included', 'left out']), by: readerSchema }), reply: z.strictObject({ text: z.string(), fileName: z.string(), fingerprint: z.string(), outlook: reviewsFileOutlookSchema }) },
  inspectReviews: { args: z.strictObject(staged), reply: receivedSummarySchema },
  receiveReviews: { args: z.strictObject({ ...staged, confirmed: z.string().max(200).nullable(), label: z.string().max(200), by: readerSchema }), reply: receivedSummarySchema },
  settleReviewConflict: { args: z.strictObject({ ...job, conflictId: keySchema, choice: z.string().max(200), by: readerSchema }), reply: exchangeSchema },
};
