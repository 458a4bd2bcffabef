import { z } from 'zod';
import type { AgreementFigure, AgreementOptions, AgreementScale, AgreementTable, BoundDifferences, ManyReadersFigure, PairAgreement, ReviewAgreement } from './review-agreement.ts';
import { AGREEMENT_FIGURES, AGREEMENT_SCALES, COMPARED_BOUNDS, MISSING_REASONS } from './review-agreement.ts';

const readerSchema = z.string().min(1).max(200);
const scaleSchema = z.enum(Object.keys(AGREEMENT_SCALES) as [AgreementScale, ...AgreementScale[]]); // the keys of a constant, of which there are some
const reasonSchema = z.enum(MISSING_REASONS).nullable();
const nullable = z.number().nullable();
const limitsSchema = z.tuple([z.number(), z.number()]).nullable();

/** What may be asked: limits as those of results over cases. */
export const agreementOptionsSchema: z.ZodType<AgreementOptions> = z.strictObject({
  readers: z.tuple([readerSchema, readerSchema]).nullable(),
  replicates: z.number().int().min(100).max(100_000),
  seed: z.number().int().min(0).max(4_294_967_295),
  conf: z.number().min(0.5).max(0.999),
});

const figureSchema: z.ZodType<AgreementFigure> = z.strictObject({
  figure: z.enum(AGREEMENT_FIGURES), estimate: nullable, lower: nullable, upper: nullable, interval: z.enum(['cases drawn anew', 'formula']).nullable(), undefinedDraws: z.number().int(), reason: reasonSchema,
});

const tableSchema: z.ZodType<AgreementTable> = z.strictObject({
  scale: scaleSchema, counts: z.array(z.array(z.number().int())), dropouts: z.number().int(), cases: z.number().int(), expectedAgreement: nullable, kappaMax: nullable, figures: z.array(figureSchema),
});

const differencesSchema: z.ZodType<BoundDifferences> = z.strictObject({
  bound: z.enum(COMPARED_BOUNDS), dropouts: z.number().int(), cases: z.number().int(), medianMs: nullable, biasMs: nullable, lowerMs: nullable, upperMs: nullable, lowerLimitCI: limitsSchema, upperLimitCI: limitsSchema,
});

const pairSchema: z.ZodType<PairAgreement> = z.strictObject({
  first: readerSchema,
  second: readerSchema,
  common: z.number().int(),
  cases: z.number().int(),
  unblinded: z.number().int(),
  isClustered: z.boolean(),
  tables: z.array(tableSchema),
  bounds: z.strictObject({ corrected: z.number().int(), correctedByBoth: z.number().int(), leftStanding: z.number().int(), differences: z.array(differencesSchema) }),
});

const manySchema: z.ZodType<ManyReadersFigure> = z.strictObject({
  figure: z.enum(['Krippendorff’s alpha', 'AC1', 'Fleiss’ kappa']), scale: scaleSchema, dropouts: z.number().int(), cases: z.number().int(), estimate: nullable, lower: nullable, upper: nullable, undefinedDraws: z.number().int(), reason: reasonSchema,
});

/** Agreement of readers as plain data. */
export const reviewAgreementSchema: z.ZodType<ReviewAgreement> = z.strictObject({
  options: agreementOptionsSchema,
  candidates: z.literal('found by the program'),
  cases: z.number().int(),
  dropouts: z.number().int(),
  without: z.number().int(),
  readers: z.array(z.strictObject({ by: readerSchema, blind: z.number().int(), unblinded: z.number().int() })),
  pairs: z.array(z.strictObject({ first: readerSchema, second: readerSchema, common: z.number().int() })),
  pair: pairSchema.nullable(),
  many: z.array(manySchema).nullable(),
});
