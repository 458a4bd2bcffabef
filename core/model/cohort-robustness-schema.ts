import { z } from 'zod';
import type { RobustPoint } from './cohort-robustness.ts';
import { ROBUST_RESULTS } from './cohort-robustness.ts';

const definitionSchema = z.strictObject({ minDurationS: z.number(), bridgeS: z.number(), lookBackFactor: z.number(), doubtfulLost: z.boolean() });

/** A cohort under one definition as plain data. */
export const robustPointSchema: z.ZodType<RobustPoint> = z.strictObject({
  moved: z.enum(['minDurationS', 'bridgeS', 'lookBackFactor', 'doubtfulLost']).nullable(),
  definition: definitionSchema,
  figures: z.array(
    z.strictObject({ result: z.enum(ROBUST_RESULTS), of: z.string(), method: z.string().nullable(), estimate: z.number().nullable(), lower: z.number().nullable(), upper: z.number().nullable(), n: z.number(), reason: z.string().nullable() }),
  ),
});
