import { z } from 'zod';
import { eventAlignedSchema } from './cohort-aligned-schema.ts';
import { beforeLossSchema } from './cohort-before-loss-schema.ts';
import { cohortBurdenSchema } from './cohort-burden-schema.ts';
import { cohortFlowSchema, facetValuesSchema } from './cohort-flow-schema.ts';
import { cohortOptionsSchema } from './cohort-options-schema.ts';
import type { BurdenBeside, CohortResults, CohortReviewFigures } from './cohort-results.ts';
import { restorationTimesSchema } from './cohort-restoration-schema.ts';
import { robustPointSchema } from './cohort-robustness-schema.ts';
import { LOSS_SELECTIONS } from './confirmed.ts';
import { sitesWithinPatientsSchema } from './cohort-sites-schema.ts';
import { analysisParametersSchema } from './parameters-schema.ts';

const count = z.number().int().min(0);
const reviewSchema: z.ZodType<CohortReviewFigures> = z.strictObject({
  dropouts: count, confirmed: count, refuted: count, cannotTell: count, disputed: count, notReviewed: count, corrected: count, tooShort: count, without: count,
  cases: count, casesReviewed: count, casesRead: count, casesWithDropout: count,
});
const besideSchema: z.ZodType<BurdenBeside> = z.strictObject({ selection: z.enum(LOSS_SELECTIONS), burden: cohortBurdenSchema });

/** The results of a cohort as they cross from host to page. */
export const cohortResultsSchema: z.ZodType<CohortResults> = z.strictObject({
  productVersion: z.string(),
  parameters: analysisParametersSchema,
  options: cohortOptionsSchema,
  flow: cohortFlowSchema,
  selection: z.enum(['computed', 'confirmed']),
  review: reviewSchema,
  beside: z.array(besideSchema),
  facets: z.array(facetValuesSchema),
  burden: cohortBurdenSchema,
  sites: sitesWithinPatientsSchema,
  restoration: restorationTimesSchema,
  beforeLoss: beforeLossSchema,
  aligned: eventAlignedSchema,
  robustness: z.array(robustPointSchema),
});
