import { z } from 'zod';
import { lagSchema } from './site-comparison-schema.ts';
import type { PairDetail, SensorCoverage, SiteDetail } from './site-detail.ts';
import { PAIR_STATES, SENSOR_STATES } from './site-detail.ts';

const interval = { startMs: z.number(), endMs: z.number() };

const sensorSchema: z.ZodType<SensorCoverage> = z.strictObject({
  siteKey: z.string(),
  spans: z.array(z.strictObject({ ...interval, state: z.enum(SENSOR_STATES) })),
});

const pairSchema: z.ZodType<PairDetail> = z.strictObject({
  firstKey: z.string(),
  secondKey: z.string(),
  spans: z.array(z.strictObject({ ...interval, state: z.enum(PAIR_STATES) })),
  swings: z.array(
    z.strictObject({
      direction: z.enum(['fall', 'rise']),
      fromMs: z.number(),
      toMs: z.number(),
      fromPct: z.number(),
      toPct: z.number(),
      halfMs: z.number(),
      lag: lagSchema.nullable(),
    }),
  ),
  differences: z.array(z.strictObject({ atMs: z.number(), mean: z.number(), difference: z.number() })),
  limits: z.strictObject({ lower: z.number(), upper: z.number() }).nullable(),
});

/** The sensors of a case over time as plain data. */
export const siteDetailSchema: z.ZodType<SiteDetail> = z.strictObject({
  bounds: z.strictObject(interval),
  sensors: z.array(sensorSchema),
  pairs: z.array(pairSchema),
  bypass: z.array(z.strictObject(interval)),
  headDown: z.array(z.strictObject(interval)),
});
