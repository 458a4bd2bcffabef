import { z } from 'zod';
import type { OnsetEvidence } from './onset-evidence.ts';

const perfusionSchema = z.strictObject({
  last: z.number(),
  lastAtMs: z.number(),
  highest: z.number(),
  highestAtMs: z.number(),
  fadeRatio: z.number(),
  lowestOfLastPart: z.number(),
  medianOfLastPart: z.number(),
  medianBefore: z.number(),
  steadyRatio: z.number(),
  resetAtMs: z.number().nullable(),
  courseBinMs: z.number(),
  course: z.array(z.number().nullable()),
});

const cuffSchema = z.strictObject({
  atMs: z.array(z.number()),
  alike: z.number(),
  cycleMs: z.number().nullable(),
  stepsAtCycle: z.number(),
  steps: z.number(),
  isRegular: z.boolean(),
});

/** The figures behind the onset patterns as plain data. */
export const onsetEvidenceSchema: z.ZodType<OnsetEvidence> = z.strictObject({
  perfusion: perfusionSchema.nullable(),
  cuff: cuffSchema.nullable(),
  unsteady: z.strictObject({ shortLosses: z.number(), doubtfulRuns: z.number() }),
  temperature: z.strictObject({ celsius: z.number(), atMs: z.number() }).nullable(),
  plannedBy: z.array(z.string()),
});
