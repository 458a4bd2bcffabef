import { z } from 'zod';
import type { CaseFacet, CohortOptions } from './cohort-options.ts';
import { DROPOUT_CHOICES } from './confirmed.ts';

const day = z.string().regex(/^\d{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12]\d|3[01])$/, 'not a day as YYYY-MM-DD');

/** A property of cases as plain data. */
export const caseFacetSchema: z.ZodType<CaseFacet> = z.union([
  z.strictObject({ kind: z.enum(['service', 'asa class', 'age band', 'position', 'site', 'month']) }),
  z.strictObject({ kind: z.literal('column'), column: z.string().min(1).max(1000) }),
]);

const windowSchema = z.tuple([z.number().min(0).max(86_400), z.number().min(0).max(86_400)]).readonly().refine(([from, to]) => from < to, 'a window that ends before it begins');

/** How a cohort is worked out, as plain data. */
export const cohortOptionsSchema: z.ZodType<CohortOptions> = z.strictObject({
  choice: z.strictObject({
    facets: z.array(z.strictObject({ facet: caseFacetSchema, values: z.array(z.string().max(1000)).max(10_000) })).max(100),
    from: day.nullable(),
    to: day.nullable(),
    keepUndated: z.boolean(),
  }),
  dropouts: z.enum(DROPOUT_CHOICES),
  groupBy: caseFacetSchema.nullable(),
  patientColumn: z.string().min(1).max(1000).nullable(),
  change: z.strictObject({ date: day, text: z.string().max(1000) }).nullable(),
  meanLimitS: z.number().min(1).max(86_400),
  windows: z.strictObject({ bolusS: windowSchema, positionS: windowSchema, preS: z.number().min(0).max(86_400), washOutS: z.number().min(0).max(86_400) }),
  seed: z.number().int().min(0).max(4_294_967_295),
  draws: z.number().int().min(100).max(100_000),
  conf: z.number().min(0.5).max(0.999),
});
