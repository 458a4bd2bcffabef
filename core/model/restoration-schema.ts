import { z } from 'zod';
import type { Restoration } from './restoration.ts';

/** How dropouts ended as plain data. */
export const restorationSchema: z.ZodType<Restoration> = z.strictObject({
  sameSite: z.number(),
  otherSite: z.number(),
  notRestored: z.number(),
  medianMs: z.number().nullable(),
  medianElsewhereMs: z.number().nullable(),
  dropoutsAnswered: z.number(),
  medianToResponseMs: z.number().nullable(),
  responses: z.array(
    z.strictObject({ kind: z.enum(['vasopressor bolus', 'infusion change', 'position', 'bypass', 'cross-clamp', 'tourniquet', 'sensor', 'cuff moved', 'warming']), dropouts: z.number() }),
  ),
  patterns: z.array(z.strictObject({ pattern: z.string(), dropouts: z.number() })),
});
