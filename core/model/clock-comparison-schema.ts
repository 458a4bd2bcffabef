import { z } from 'zod';
import { CLOCK_METHODS, CLOCK_VERDICTS, MOST_CURVE_POINTS, type AcceptedOffset, type ClockComparison, type ClockEvidence } from './clock-comparison.ts';

const count = z.number().int().min(0);

export const acceptedOffsetSchema: z.ZodType<AcceptedOffset> = z.strictObject({
  against: z.string(),
  method: z.enum(CLOCK_METHODS),
  lowMs: z.number(),
  highMs: z.number(),
  n: count,
  peak: z.number(),
  atPresent: z.number().nullable(),
});

const clockEvidenceSchema: z.ZodType<ClockEvidence> = z.strictObject({
  method: z.enum(CLOCK_METHODS),
  ownName: z.string(),
  againstName: z.string(),
  n: count,
  nOf: count.nullable(),
  offsetMs: z.number().nullable(),
  lowMs: z.number().nullable(),
  highMs: z.number().nullable(),
  peak: z.number().nullable(),
  atPresent: z.number().nullable(),
  next: z.number().nullable(),
  reason: z.string().nullable(),
  curve: z.array(z.tuple([z.number(), z.number().nullable()])).max(MOST_CURVE_POINTS),
});

export const clockComparisonSchema: z.ZodType<ClockComparison> = z.strictObject({
  sourceIndex: count,
  againstIndex: count.nullable(),
  verdict: z.enum(CLOCK_VERDICTS),
  offsetMs: z.number().nullable(),
  words: z.string(),
  evidence: z.array(clockEvidenceSchema),
});
