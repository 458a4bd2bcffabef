import { z } from 'zod';
import type { CohortFlow, FacetValues } from './cohort-flow.ts';
import { caseFacetSchema } from './cohort-options-schema.ts';

/** The flow of cases as plain data. */
export const cohortFlowSchema: z.ZodType<CohortFlow> = z.strictObject({
  steps: z.array(
    z.strictObject({
      step: z.enum(['imported', 'readable', 'usable', 'analysed']),
      cases: z.number(),
      leftOut: z.array(z.strictObject({ reason: z.string(), cases: z.array(z.strictObject({ caseKey: z.string(), caseId: z.string() })) })),
    }),
  ),
  units: z.number(),
  unit: z.enum(['case', 'patient']),
  undated: z.number(),
});

/** What of a property occurs, as plain data. */
export const facetValuesSchema: z.ZodType<FacetValues> = z.strictObject({
  facet: caseFacetSchema,
  values: z.array(z.strictObject({ value: z.string(), cases: z.number() })),
});
