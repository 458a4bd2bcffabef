import { z } from 'zod';
import type { Disagreement } from './disagreement.ts';
import { DISAGREEMENT_STATES } from './disagreement.ts';
import { fourInstantsSchema, standingVerdictSchema } from './review-schema.ts';

/** A dropout on which readers differ, as plain data. */
export const disagreementSchema: z.ZodType<Disagreement> = z.strictObject({
  caseKey: z.string(),
  caseId: z.string(),
  dropoutId: z.string(),
  siteKey: z.string(),
  bounds: fourInstantsSchema,
  lostMs: z.strictObject({ low: z.number(), mid: z.number(), high: z.number() }),
  state: z.enum(DISAGREEMENT_STATES),
  readings: z.array(standingVerdictSchema),
  agreed: z.array(standingVerdictSchema),
});
