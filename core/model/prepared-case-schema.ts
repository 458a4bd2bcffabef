import { z } from 'zod';
import { bareExposureShape, recordGapSchema } from './analysis-schema.ts';
import type { LossRun } from './loss-run.ts';
import type { PreparedCase, PreparedLosses, PreparedRuns } from './prepared-case.ts';
import { SITES } from './site.ts';

const lossRunSchema: z.ZodType<LossRun> = z.strictObject({ lastGoodMs: z.number(), firstLostMs: z.number(), lastLostMs: z.number(), firstGoodMs: z.number(), isOpen: z.boolean(), widening: z.strictObject({ lowMs: z.number(), highMs: z.number(), holdMs: z.number().nullable() }).optional() });

const runsShape = { runs: z.array(lossRunSchema), inGaps: z.array(z.boolean()) };
const preparedRunsSchema: z.ZodType<PreparedRuns> = z.strictObject(runsShape);
const preparedLossesSchema: z.ZodType<PreparedLosses> = z.strictObject({ ...runsShape, monitoredMs: z.number(), monitoredWithOpenMs: z.number(), openUntilMs: z.number().nullable() });
const intervalSchema = z.strictObject({ startMs: z.number(), endMs: z.number() });

/** A prepared case as it crosses from host to page. */
export const preparedCaseSchema: z.ZodType<PreparedCase> = z.strictObject({
  sites: z.array(z.strictObject({ siteKey: z.string(), site: z.enum(SITES), sensor: z.string(), monitored: intervalSchema.nullable(), any: preparedLossesSchema, good: preparedLossesSchema })),
  blind: z.strictObject({ any: preparedRunsSchema, good: preparedRunsSchema }),
  gaps: z.array(recordGapSchema),
  exposures: z.array(z.strictObject(bareExposureShape)),
  caseEndMs: z.number(),
  deviceHoldMs: z.number(),
  handTimeMs: z.number(),
  keepRecordGaps: z.boolean(),
});
