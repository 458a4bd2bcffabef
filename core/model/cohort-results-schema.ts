import { z } from 'zod';
import { eventAlignedSchema } from './cohort-aligned-schema.ts';
import { beforeLossSchema } from './cohort-before-loss-schema.ts';
import { cohortBurdenSchema } from './cohort-burden-schema.ts';
import { cohortFlowSchema, facetValuesSchema } from './cohort-flow-schema.ts';
import { cohortOptionsSchema } from './cohort-options-schema.ts';
import type { CohortResults } from './cohort-results.ts';
import { restorationTimesSchema } from './cohort-restoration-schema.ts';
import { robustPointSchema } from './cohort-robustness-schema.ts';
import { sitesWithinPatientsSchema } from './cohort-sites-schema.ts';
import { analysisParametersSchema } from './parameters-schema.ts';

/** The results of a cohort as they cross from host to page. */
export const cohortResultsSchema: z.ZodType<CohortResults> = z.strictObject({
  productVersion: z.string(),
  parameters: analysisParametersSchema,
  options: cohortOptionsSchema,
  flow: cohortFlowSchema,
  facets: z.array(facetValuesSchema),
  burden: cohortBurdenSchema,
  sites: sitesWithinPatientsSchema,
  restoration: restorationTimesSchema,
  beforeLoss: beforeLossSchema,
  aligned: eventAlignedSchema,
  robustness: z.array(robustPointSchema),
});
