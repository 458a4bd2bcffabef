import { z } from 'zod';
import type { BoundedShare, Desaturation, Hypoxaemia, LowestPossible, LowRun, ReturnComparison } from './hypoxaemia.ts';

const signsShape = { dyeIds: z.array(z.string()), sensorIds: z.array(z.string()), headDownIds: z.array(z.string()) };

const lowRunSchema: z.ZodType<LowRun> = z.strictObject({
  rule: z.enum(['hypoxaemia', 'severe hypoxaemia']),
  startMs: z.number(),
  endMs: z.number(),
  lastedMs: z.number(),
  lowestPct: z.number(),
  ...signsShape,
});

const desaturationSchema: z.ZodType<Desaturation> = z.strictObject({
  startMs: z.number(),
  endMs: z.number(),
  endedBy: z.enum(['return', 'loss', 'end of monitoring']),
  baselinePct: z.number(),
  lowestPct: z.number(),
  lowestAtMs: z.number(),
  ...signsShape,
});

const boundedShareSchema: z.ZodType<BoundedShare> = z.strictObject({ observed: z.number().nullable(), low: z.number().nullable(), high: z.number().nullable() });

/** The low SpO2 of a sensor as plain data. */
export const hypoxaemiaSchema: z.ZodType<Hypoxaemia> = z.strictObject({
  observedMs: z.number(),
  meanPct: z.number().nullable(),
  lowest: z.strictObject({ pct: z.number(), atMs: z.number(), ...signsShape }).nullable(),
  t90: boundedShareSchema,
  lowRuns: z.array(lowRunSchema),
  desaturations: z.array(desaturationSchema),
});

/** A change over a dropout beside matched intervals as plain data. */
export const returnComparisonSchema: z.ZodType<ReturnComparison> = z.strictObject({
  changePoints: z.number(),
  intervals: z.number(),
  separate: z.number(),
  medianPoints: z.number(),
  lowPoints: z.number(),
  highPoints: z.number(),
  shareAsLow: z.number(),
});

/** A bound inside a dropout as plain data. */
export const lowestPossibleSchema: z.ZodType<LowestPossible> = z.strictObject({
  pct: z.number(),
  atMs: z.number(),
  edge: z.array(z.strictObject({ atMs: z.number(), pct: z.number() })),
});
