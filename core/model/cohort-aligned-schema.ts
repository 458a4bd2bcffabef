import { z } from 'zod';
import type { AlignedCourse, EventAlignedCourses } from './cohort-aligned.ts';
import { COHORT_CAUTIONS } from './cohort-caution.ts';

const cautionsSchema = z.array(z.enum(COHORT_CAUTIONS));
const values = z.array(z.number().nullable());

const courseSchema: z.ZodType<AlignedCourse> = z.strictObject({
  quantity: z.enum(['spo2', 'perfusion-index', 'mean-pressure']),
  siteKey: z.string().nullable(),
  drug: z.string().nullable(),
  scale: z.enum(['percent of baseline', 'difference']),
  boluses: z.number(),
  bolusesLeftOut: z.number(),
  units: z.number(),
  bolusCases: z.array(z.strictObject({ caseKey: z.string(), boluses: z.number() })),
  unitsAtLag: z.array(z.number()),
  mean: values,
  lower: values,
  upper: values,
  band: z.enum(['cases drawn anew', 't over cases']),
  cautions: cautionsSchema,
});

/** Courses around boluses, as plain data. */
export const eventAlignedSchema: z.ZodType<EventAlignedCourses> = z.strictObject({
  lagsS: z.array(z.number()),
  baselineS: z.tuple([z.number(), z.number()]),
  conf: z.number(),
  seed: z.number(),
  draws: z.number(),
  boluses: z.number(),
  bolusesTooClose: z.number(),
  courses: z.array(courseSchema),
  cautions: cautionsSchema,
});
